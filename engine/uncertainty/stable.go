package uncertainty

import (
	"maps"
	"math"
	"slices"

	"candelua/engine/draw"
)

// The digits that are shown are stable where twice the numerical standard deviation is below
// these shares of u: of u itself, and of the ends of the interval, which hang on the few outermost draws. The tolerance
// of the source is half a unit of the last digit. With one digit of u that is 5 to 50 % of u, by the digit
// that it happens to begin with; two digits would need 10,000 draws and more.
//
// Source: JCGM 101:2008, 7.9.2 and 7.9.4, from memory.
const (
	toleranceOfU    = 0.1
	toleranceOfEnds = 0.2
)

// lookedAt is how many numbers of tables are looked at; they lie evenly among all.
const lookedAt = 50

// stable says whether more draws than n would change the shown digits by little: of each value, and of
// the numbers of tables on the whole, since among hundreds some are beyond any tolerance by chance.
func (d *Drawn) stable(n int) bool {
	for id, all := range d.values {
		v, _ := d.base.ValueByID(id)
		if notKnown(d.depends.values[id], false) != "" {
			continue // nothing is shown of it
		}
		if d.unsettled(v.Unit, *v.Value, all[:n]) > 1 {
			return false
		}
	}
	cells := slices.SortedFunc(maps.Keys(d.cells), compareCells)
	sum, looked := 0., 0
	for i := 0; i < len(cells); i += 1 + len(cells)/lookedAt {
		at := cells[i]
		t := tableByID(d.base, at.table)
		x, _ := t.Cell(at.row, at.column).Float()
		off := d.unsettled(t.Columns()[at.column].Unit, x, d.cells[at][:n])
		sum, looked = sum+off*off, looked+1
	}
	return sum <= float64(looked)
}

// unsettled is twice the numerical standard deviation of a number's u and of the ends of its
// interval, as a multiple of the tolerance; the largest. It is 0 where nothing is shown of them.
//
// The standard deviation is that of what results when each block of draws is left out in turn
// (delete-a-group jackknife). This goes for any kind of interval.
//
// Source: B. Efron, The Jackknife, the Bootstrap and Other Resampling Plans, SIAM 1982, 3, from memory.
func (d *Drawn) unsettled(unit string, estimate float64, all []float64) float64 {
	u, _, err := d.evaluate(unit, estimate, all)
	if err != nil || u.Method == draw.Constant || u.U <= rounding*math.Abs(estimate) {
		return 0
	}
	var of, low, high jackknife
	for from := 0; from < len(all); from += block {
		left, _, err := d.evaluate(unit, estimate, slices.Concat(all[:from], all[min(from+block, len(all)):]))
		if err != nil {
			return math.Inf(1)
		}
		of.add(left.U)
		low.add(left.Low)
		high.add(left.High)
	}
	ends := max(low.deviation(), high.deviation())
	return 2 / u.U * max(of.deviation()/toleranceOfU, ends/toleranceOfEnds)
}

// jackknife are the results without each of the blocks.
type jackknife []float64

func (j *jackknife) add(x float64) { *j = append(*j, x) }

func (j jackknife) deviation() float64 {
	mean, squares := 0., 0.
	for _, x := range j {
		mean += x / float64(len(j))
	}
	for _, x := range j {
		squares += (x - mean) * (x - mean)
	}
	return math.Sqrt(squares * float64(len(j)-1) / float64(len(j)))
}

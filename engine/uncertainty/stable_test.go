package uncertainty

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"candelua/engine/draw"
	"candelua/engine/result"
)

// normals gives a number of each draw: from a distribution that each hundred of draws divides evenly, as a
// cause that all readings share does, or by chance, as scatter does.
func normals(even bool, seed uint64) func(int) float64 {
	reading := draw.Reading{Accuracy: draw.Accuracy{Scale: 1}, Keys: draw.Keys{Scale: draw.NewKey("scale").Number(int(seed))}, Mean: draw.XYZ{Y: 100}}
	sheet := &draw.Sheet{}
	sheet.Enter(1, 0, "meter", []draw.XYZ{{Y: 100}}, draw.Taken{}, reading)
	return func(n int) float64 {
		if !even {
			return 100 + rand.New(rand.NewPCG(seed, uint64(n))).NormFloat64()
		}
		moved, _ := sheet.Draw(1, 0, n)
		return moved.Apply(draw.XYZ{Y: 100}).Y
	}
}

// TestDrawsAsNeeded: a shared cause needs the least number of draws, scatter more, and what works long stops
// sooner. The number is the same on any number of cores, and so are the uncertainties.
func TestDrawsAsNeeded(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, c := range []struct {
		name        string
		value       func(int) float64
		work        int64
		least, most int
	}{
		{"shared", normals(true, 1), 1, leastAsNeeded, leastAsNeeded},
		{"scatter", normals(false, 1), 1, leastAsNeeded + block, mostAsNeeded},
		{"scatter that works long", normals(false, 1), enoughWork / 250, 300, 300},
		{"scatter that works very long", normals(false, 1), enoughWork, 14, 14}, // DefaultDraws of workOfDraw
		{"constant", func(int) float64 { return 100 }, 1, leastAsNeeded, leastAsNeeded},
		{"whole numbers", func(n int) float64 { return math.Round(normals(false, 2)(n)) }, 1, leastAsNeeded, mostAsNeeded},
		{"not evaluated", func(n int) float64 {
			if n%10 == 0 {
				return math.NaN()
			}
			return normals(false, 1)(n)
		}, 1, leastAsNeeded, leastAsNeeded},
	} {
		var first result.Draws
		var u *float64
		for _, cores := range []int{1, 2, 7} {
			runtime.GOMAXPROCS(cores)
			base := valued(100)
			d, err := Draw(context.Background(), &working{work: func(int) int64 { return c.work }, value: c.value}, base, Planned(AsNeeded), nil)
			if err != nil || d.Conclude() != nil {
				t.Fatal(err)
			}
			got, v := *base.Draws(), base.Values()[0]
			made := max(got.Count, d.made.within)
			if made < c.least || made > c.most || (got.Ended != "") != (c.most < leastAsNeeded) {
				t.Errorf("%s: %+v (%d made), want %d to %d", c.name, got, made, c.least, c.most)
			}
			if cores == 1 {
				first, u = got, v.U
			}
			if got != first || (u == nil) != (v.U == nil) || u != nil && *u != *v.U {
				t.Errorf("%s on %d cores: %+v, u %v; on one %+v, u %v", c.name, cores, got, v.U, first, u)
			}
		}
	}
}

// TestNeededDraws: where draws end because the digits are stable, u and the ends of the interval
// are what they should be, 1 and 1.96, within the tolerances in most cases, and never are three times as far off. There are
// as many as the tolerances ask for by the variances of u and of quantiles: the ends of an interval need (2·2.67/0.2)² = 713.
//
// Source: standard deviation of a standard deviation, 1/√(2n), and of a quantile, √(p(1-p)/n)/φ(z).
func TestNeededDraws(t *testing.T) {
	sum, off, cases := 0, 0, 60
	for seed := range cases {
		base := valued(100)
		d, err := Draw(context.Background(), &working{work: func(int) int64 { return 1 }, value: normals(false, uint64(seed))}, base, Planned(AsNeeded), nil)
		if err != nil || d.Conclude() != nil {
			t.Fatal(err)
		}
		v := base.Values()[0]
		far := max(math.Abs(*v.U-1)/toleranceOfU, math.Abs(v.Interval[0]-98.04)/toleranceOfEnds, math.Abs(v.Interval[1]-101.96)/toleranceOfEnds)
		if far > 1 {
			off++
		}
		if far > 3 {
			t.Errorf("seed %d: %d draws: u %v, interval %v", seed, d.Count, *v.U, *v.Interval)
		}
		sum += d.Count
	}
	if mean := float64(sum) / float64(cases); mean < 400 || mean > 850 || off > cases/5 {
		t.Errorf("%v draws in the mean, %d of %d beyond the tolerance", mean, off, cases)
	}
	t.Logf("%d draws in the mean, %d of %d beyond the tolerance", sum/cases, off, cases)
}

// TestNeededOfTables: numbers of tables count on the whole, and one that cannot be told does not hold up the others.
func TestNeededOfTables(t *testing.T) {
	for name, c := range map[string]struct {
		scattered func(row int) bool
		stable    bool
	}{
		"all shared":    {func(int) bool { return false }, true},
		"one scattered": {func(row int) bool { return row == 0 }, true},
		"all scattered": {func(int) bool { return true }, false},
	} {
		base := result.New()
		table, err := base.Table("T", "", []result.Column{{Name: "Y"}})
		if err != nil {
			t.Fatal(err)
		}
		for range 300 {
			if err := table.Add(map[string]any{"Y": 100.0}); err != nil {
				t.Fatal(err)
			}
		}
		d := newDrawn(base, leastAsNeeded)
		for at, all := range d.cells {
			of := normals(!c.scattered(at.row), uint64(at.row))
			for i := range all {
				all[i] = of(i)
			}
		}
		if got := d.stable(leastAsNeeded); got != c.stable {
			t.Errorf("%s: stable is %v", name, got)
		}
	}
}

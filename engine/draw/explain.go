package draw

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Cause is what a component draws under one key: a few normal numbers.
type Cause struct {
	component Component
	key       Key
	numbers   int // key.part(0) to key.part(numbers-1)
}

// causes lists the causes of error that the reading shares with others and that are not
// zero. Readings that share a cause list the same one, so that causes may be the keys of a map.
func (r *Reading) causes() (all []Cause) {
	a := r.Accuracy
	if a.Scale > 0 {
		all = append(all, Cause{Scale, r.Keys.Scale, 1})
	}
	if a.Gain > 0 {
		all = append(all, Cause{Gain, r.Keys.Gain, 1})
	}
	if a.XY > 0 && r.Colour {
		all = append(all, Cause{Chroma, r.Keys.Chroma, 2})
	}
	channels := 1
	if r.Colour {
		channels = 3
	}
	if a.Dark > 0 {
		all = append(all, Cause{DarkLevel, r.Keys.Dark, channels})
	}
	if r.zero > 0 {
		all = append(all, Cause{Zero, r.Keys.Zero, channels})
	}
	if a.Drift > 0 && r.Hours > 0 {
		all = append(all, Cause{Drift, r.Keys.Drift, channels})
	}
	return all
}

// Explain returns the budget of a value without further draws. It finds how much
// of the value's changes between draws is in proportion to the numbers that were
// drawn for the causes. All other changes are the part of the component rest: the
// readings' scatter, the resolution of typed numbers, and changes that are not in
// proportion, such as those of distances near 0. A part that is no larger than
// chance makes it is 0. Shares are accurate to about 2/√draws of the uncertainty.
//
// estimate, draws and the errors are those of [Evaluate]; [ErrTooFew] is also for
// fewer than three draws for each number that the causes draw.
//
// Source: linear regression, by modified Gram and Schmidt; [JCGM100], 5.1.2 for
// the parts.
func Explain(estimate float64, draws []float64, causes []Cause, rest Component) (Budget, error) {
	return NewExplainer(causes).Explain(estimate, draws, rest)
}

// Explainer explains many values of the same draws. The numbers that the causes drew are
// computed once for all values that have a number in the same draws. That is most of the work
// where there are many causes.
type Explainer struct {
	causes []Cause
	asked  int
	known  map[string]directions // by the draws that gave a value
	kept   int                   // numbers in all of these
}

// NewExplainer explains values by these causes.
func NewExplainer(causes []Cause) *Explainer {
	e := &Explainer{causes: causes, known: map[string]directions{}}
	for _, c := range causes {
		e.asked += c.numbers
	}
	return e
}

// Least is how many draws with a value it needs.
func (e *Explainer) Least() int { return 3 * e.asked }

// mostKept is how many numbers of the causes an explainer keeps, besides those of the first
// value: 64 MB.
const mostKept = 8 << 20

// Explain is as [Explain], but fails with [ErrManySets] where too many values before
// had numbers in different draws.
func (e *Explainer) Explain(estimate float64, draws []float64, rest Component) (Budget, error) {
	s, err := usable(estimate, draws)
	if err != nil {
		return Budget{}, err
	}
	if e.Least() > len(s.at) {
		return Budget{}, tooFewFor(len(s.at), e.asked)
	}
	along, err := e.directions(draws)
	if err != nil {
		return Budget{}, err
	}
	left := centred(draws, func(i int) float64 { return draws[i] })
	squares, numbers := map[Component]float64{}, map[Component]int{rest: 0}
	for i, column := range along.basis {
		much := dot(left, column)
		take(left, column, much)
		squares[along.of[i]] += much * much
		numbers[along.of[i]]++
	}
	known := float64(len(along.basis))
	unexplained := dot(left, left)
	noise := unexplained / (float64(len(s.at)) - 1 - known)
	squares[rest] += unexplained + noise*known
	return budgetOfSquares(squares, numbers, noise, len(s.at)), nil
}

// directions are the numbers that causes drew, at right angles to each other and of
// length 1, and the component of each.
type directions struct {
	basis [][]float64
	of    []Component
}

// directions gives those of the draws that gave a value.
func (e *Explainer) directions(draws []float64) (directions, error) {
	gave := gaveOf(draws)
	if d, ok := e.known[gave]; ok {
		return d, nil
	}
	if e.kept > 0 && e.kept+e.asked*len(draws) > mostKept {
		return directions{}, fmt.Errorf("%w: a budget is made for the first %d only", ErrManySets, len(e.known))
	}
	var d directions
	for _, c := range e.causes {
		for p := range c.numbers {
			d.follow(c.component, centred(draws, c.key.part(p).normal))
		}
	}
	e.known[gave] = d
	e.kept += max(e.asked, 1) * len(draws)
	return d, nil
}

// gaveOf tells sets of draws apart by which of them gave a value.
func gaveOf(draws []float64) string {
	gave := make([]byte, (len(draws)+7)/8)
	for i, y := range draws {
		if finite(y) {
			gave[i/8] |= 1 << (i % 8)
		}
	}
	return string(gave)
}

// follow takes in a column of numbers, unless it follows from the earlier ones.
func (d *directions) follow(of Component, column []float64) {
	for _, b := range d.basis {
		take(column, b, dot(column, b))
	}
	length := math.Sqrt(dot(column, column))
	if length < 1e-6 {
		return
	}
	for i := range column {
		column[i] /= length
	}
	d.basis, d.of = append(d.basis, column), append(d.of, of)
}

// budgetOfSquares makes parts of sums of squares, less what chance gives to so
// many numbers.
func budgetOfSquares(squares map[Component]float64, numbers map[Component]int, noise float64, n int) (b Budget) {
	sum := 0.
	for c := range components {
		if _, present := numbers[c]; !present {
			continue
		}
		own := math.Max(0, squares[c]-noise*float64(numbers[c]))
		b.Parts = append(b.Parts, Part{Component: c, U: math.Sqrt(own / float64(n-1)), Share: own})
		sum += own
	}
	for i := range b.Parts {
		if sum > 0 {
			b.Parts[i].Share /= sum
		}
	}
	b.Together = math.Sqrt(sum / float64(n-1))
	slices.SortStableFunc(b.Parts, func(p, q Part) int { return cmp.Compare(q.U, p.U) })
	return b
}

// centred returns numbers of those draws that gave a value, about their mean.
func centred(draws []float64, of func(draw int) float64) []float64 {
	out := make([]float64, 0, len(draws))
	for i, y := range draws {
		if finite(y) {
			out = append(out, of(i))
		}
	}
	mean, _ := moments(out)
	for i := range out {
		out[i] -= mean
	}
	return out
}

func dot(a, b []float64) (sum float64) {
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// take subtracts a multiple of b from a.
func take(a, b []float64, times float64) {
	for i := range a {
		a[i] -= times * b[i]
	}
}

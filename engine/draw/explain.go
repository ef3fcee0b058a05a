package draw

import (
	"cmp"
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
	s, err := usable(estimate, draws)
	if err != nil {
		return Budget{}, err
	}
	asked := 0
	for _, c := range causes {
		asked += c.numbers
	}
	if 3*asked > len(s.at) {
		return Budget{}, tooFewFor(len(s.at), asked)
	}
	r := regression{left: centred(draws, func(i int) float64 { return draws[i] })}
	squares, numbers := map[Component]float64{}, map[Component]int{rest: 0}
	for _, c := range causes {
		for p := range c.numbers {
			if along, isNew := r.follow(centred(draws, c.key.part(p).normal)); isNew {
				squares[c.component] += along * along
				numbers[c.component]++
			}
		}
	}
	known := float64(len(r.basis))
	unexplained := dot(r.left, r.left)
	noise := unexplained / (float64(len(s.at)) - 1 - known)
	squares[rest] += unexplained + noise*known
	return budgetOfSquares(squares, numbers, noise, len(s.at)), nil
}

// regression is what is left of the draws beside the numbers that they were
// seen to follow, which are at right angles to each other and of length 1.
type regression struct {
	left  []float64
	basis [][]float64
}

// follow takes out of the draws what goes with a column of numbers, and says
// how much it was; a column that follows from the earlier ones is not new.
func (r *regression) follow(column []float64) (along float64, isNew bool) {
	for _, b := range r.basis {
		take(column, b, dot(column, b))
	}
	length := math.Sqrt(dot(column, column))
	if length < 1e-6 {
		return 0, false
	}
	for i := range column {
		column[i] /= length
	}
	r.basis = append(r.basis, column)
	along = dot(r.left, column)
	take(r.left, column, along)
	return along, true
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

package draw

import (
	"cmp"
	"math"
	"slices"
)

// Plan returns the sets of components that are to be drawn for a budget, of
// those that are present: all together, and then each alone. The same keys
// give the same numbers in each, so that a component errs alone just as it did
// among the others. A third as many draws do for each alone.
func Plan(present Set) []Set {
	sets := []Set{present}
	for _, c := range present.Components() {
		sets = append(sets, Of(c))
	}
	return sets
}

// Alone are the draws of a value in which a single component was drawn.
type Alone struct {
	Component Component
	Draws     []float64
}

// Part is a component's part in the uncertainty of a value.
type Part struct {
	Component Component
	U         float64 // the standard uncertainty that it alone gives
	Share     float64 // of the sum of squares, 0 to 1
}

// Budget is where a value's uncertainty comes from, the largest part first.
type Budget struct {
	Parts []Part
	// Together is the root of the sum of the parts' squares. It differs from
	// the value's u where components act on each other, or are so large that
	// the value does not follow them in proportion.
	Together float64
}

// BudgetOf returns the budget of a value with each component drawn alone:
//
//	share = uᵢ² / Σ uⱼ²
//
// All shares are 0 where no component moves the value. Errors are those of
// [Evaluate], for any of the components.
//
// Source: [JCGM101], B.1 (a single input varied, the others at their
// estimates); [JCGM100], 5.1.2 for the sum of squares.
func BudgetOf(estimate float64, alone []Alone) (Budget, error) {
	var b Budget
	sum := 0.
	for _, a := range alone {
		s, err := usable(estimate, a.Draws)
		if err != nil {
			return Budget{}, err
		}
		p := Part{Component: a.Component, U: s.standard()}
		sum += p.U * p.U
		b.Parts = append(b.Parts, p)
	}
	if sum > 0 {
		for i := range b.Parts {
			b.Parts[i].Share = b.Parts[i].U * b.Parts[i].U / sum
		}
	}
	b.Together = math.Sqrt(sum)
	slices.SortStableFunc(b.Parts, func(p, q Part) int { return cmp.Compare(q.U, p.U) })
	return b, nil
}

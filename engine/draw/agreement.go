package draw

import (
	"cmp"
	"fmt"
	"slices"
)

// Agreement is how often the draws gave a text, or a finding such as pass or
// fail, as the readings themselves did.
type Agreement struct {
	Share  float64 // of all draws, those without the text included
	Others []Count // what else the draws gave, the most frequent first
	Draws  int
}

// Count is a text, and how many draws gave it.
type Count struct {
	Text  string
	Draws int
}

// AgreementOf compares a text with what it was in each draw; none is empty. It
// has no uncertainty and no interval. A draw that gave no text is one that
// does not agree. Fewer than 100 draws are [ErrTooFew].
func AgreementOf(text string, draws []string) (Agreement, error) {
	if len(draws) < leastDraws {
		return Agreement{}, fmt.Errorf("%w: %d, want %d or more", ErrTooFew, len(draws), leastDraws)
	}
	counts := map[string]int{}
	for _, d := range draws {
		counts[d]++
	}
	a := Agreement{Share: float64(counts[text]) / float64(len(draws)), Draws: len(draws)}
	for other, n := range counts {
		if other != text {
			a.Others = append(a.Others, Count{other, n})
		}
	}
	slices.SortFunc(a.Others, func(p, q Count) int {
		return cmp.Or(cmp.Compare(q.Draws, p.Draws), cmp.Compare(p.Text, q.Text))
	})
	return a, nil
}

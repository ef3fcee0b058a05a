package main

import (
	"math"
	"slices"

	"candelua/engine/result"
)

// stated is what one run states of one value.
type stated struct {
	ID       string      `json:"id"`
	Value    *float64    `json:"value,omitempty"`
	Interval *[2]float64 `json:"interval,omitempty"` // nil where the uncertainty is not known
	Unit     string      `json:"unit,omitempty"`
	Bound    string      `json:"bound,omitempty"`
	Text     string      `json:"text,omitempty"`
	Method   string      `json:"method,omitempty"`
	Why      string      `json:"why,omitempty"`
	Remarked bool        `json:"remarked,omitempty"` // it is outside of its own interval
}

// kind is how much a run states of a value.
type kind string

const (
	interval kind = "interval" // a number with its interval
	constant kind = "constant" // a number that is stated to have no error
	bound    kind = "bound"    // a limit alone
	words    kind = "words"
	unknown  kind = "unknown"  // a number whose uncertainty is said not to be known
	withheld kind = "withheld" // no number, or no such value
)

func (s *stated) kind() kind {
	switch {
	case s.Text != "":
		return words
	case s.Value == nil:
		return withheld
	case s.Bound != "":
		return bound
	case s.Interval == nil:
		return unknown
	case s.Method == "constant":
		return constant
	}
	return interval
}

// statedBy lists what results state.
func statedBy(r *result.Results) (all []stated) {
	for _, v := range r.Values() {
		all = append(all, stated{v.ID, v.Value, v.Interval, v.Unit, string(v.Bound), v.Text, v.Method, v.Why, v.Outside()})
	}
	return all
}

// doubts are the notes that bear on how far results hold.
func doubts(r *result.Results) (all []string) {
	for _, n := range r.Notes() {
		if n.Doubts() && !slices.Contains(all, n.Text) {
			all = append(all, n.Text)
		}
	}
	return all
}

// angular says whether numbers of this unit are on a circle.
func angular(unit string) bool {
	return slices.Contains([]string{"°", "deg", "degree", "degrees"}, unit)
}

// off is by how much a value is off the truth; angles the short way round.
func (s *stated) off(truth float64) float64 {
	d := *s.Value - truth
	if angular(s.Unit) {
		d -= 360 * math.Round(d/360)
	}
	return d
}

// holds says whether what is stated is true where the same script states the truth: the
// truth is in the interval, or on the right side of the limit. Where the truth itself is but a
// limit, only what cannot be true with it is false. judged is false where nothing can be said.
func (s *stated) holds(truth *stated) (holds, judged bool) {
	k, of := s.kind(), truth.kind()
	switch {
	case k == withheld || k == unknown || of == withheld:
		return false, false
	case k == words || of == words:
		return s.Text == truth.Text, true
	case of == bound:
		return s.agrees(*truth.Value, truth.Bound), true
	case k == bound:
		return onSide(*truth.Value, *s.Value, s.Bound), true
	}
	at := *s.Value - s.off(*truth.Value) // the truth, by whole turns next to the value
	i := s.Interval
	return i[0] <= at && at <= i[1] || result.Same(at, i[0]) || result.Same(at, i[1]), true
}

// onSide says whether x is on the side of a limit on which the limit says it is.
func onSide(x, limit float64, side string) bool {
	if result.Same(x, limit) {
		return true
	}
	return (side == string(result.Upper)) == (x < limit)
}

// agrees says whether what is stated may be true where the truth is beyond a limit.
func (s *stated) agrees(limit float64, side string) bool {
	switch {
	case s.Bound == side:
		return true
	case s.Bound != "":
		return onSide(*s.Value, limit, side)
	case side == string(result.Upper):
		return onSide(s.Interval[0], limit, side)
	}
	return onSide(s.Interval[1], limit, side)
}

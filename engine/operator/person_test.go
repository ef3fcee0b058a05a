package operator

import (
	"strings"
	"testing"

	"candelua/engine/bench"
)

// TestUncertaintyBehindNumber: behind a number its standard uncertainty may be typed, with the unit or without; what is no
// uncertainty is refused, and asked for again.
func TestUncertaintyBehindNumber(t *testing.T) {
	s := newStory(t, Options{}, "12.5 ± x", "12.5 ± -1", "12.5 ±", "12.5 ± 0.2 mm", "12.5", "3 +- 0", "1 mm ± 0,5 mm")
	q := bench.Question{Kind: bench.Number, Text: "How far?", Unit: "mm"}
	for _, want := range []struct{ number, u float64 }{{12.5, 0.2}, {12.5, -1}, {3, 0}, {1, 0.5}} {
		r, err := s.bench.Operator.Ask(t.Context(), q)
		if err != nil || r.Number != want.number || (r.Uncertainty == nil) != (want.u < 0) || r.Uncertainty != nil && *r.Uncertainty != want.u {
			t.Errorf("got %+v, %v, want %v ± %v", r, err, want.number, want.u)
		}
	}
	if text := s.text.String(); strings.Count(text, "is no standard uncertainty: please type a number of 0 or more behind ±, in the same unit, or leave ± out.") != 3 {
		t.Errorf("three wrong answers are told as\n%s", text)
	}
}

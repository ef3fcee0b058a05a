package engine

import (
	"testing"

	"candelua/engine/bench"
)

// A meter that states its noise is the one that an older head keeps without it; another noise, or a
// noise that it no longer states, is another statement.
func TestStatesAlike(t *testing.T) {
	old := bench.Identity{Name: "m", Accuracy: bench.Accuracy{Scale: 1}}
	with := func(noise float64) bench.Identity {
		id := old
		id.Accuracy.Noise, id.Accuracy.Zero = [][]float64{{0, noise}}, 0.001
		return id
	}
	other := with(0.1)
	other.Accuracy.Scale = 2
	for _, c := range []struct {
		name    string
		is, was bench.Identity
		alike   bool
	}{
		{"as it was", with(0.1), with(0.1), true},
		{"older head", with(0.1), old, true},
		{"older head, another scale", other, old, false},
		{"another noise", with(0.2), with(0.1), false},
		{"no longer stated", old, with(0.1), false},
	} {
		if got := statesAlike(c.is, c.was); got != c.alike {
			t.Errorf("%s: alike is %t", c.name, got)
		}
	}
}

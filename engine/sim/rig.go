package sim

import (
	"context"

	"candelua/engine/bench"
)

// rig says that there is none: this world's room is dark, so a lamp that could
// be set here would light nothing, and a procedure that needs one would be
// thought to work.
type rig struct{}

var _ bench.Rig = rig{}

// About implements [bench.Device].
func (rig) About() bench.Identity {
	return bench.Identity{Name: "no rig", Driver: driverName, Simulated: true}
}

// Set implements [bench.Rig]; it always fails with an [bench.Error] of code
// "unsupported".
func (rig) Set(_ context.Context, lamp string, _ float64) (bench.SetAnswer, error) {
	return bench.SetAnswer{}, bench.Errorf(bench.CodeUnsupported, "rehearse procedures that need no rig",
		"lamp %q: the simulated room is dark and has no lamps", lamp)
}

package engine_test

import (
	"fmt"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/engine/sim"
	"candelua/testdata/campaign"
)

// A meter that scatters in the dark by far more than its floor, on a panel whose black
// gives no light, ends no shipped procedure: what it reads around black is valid.
func TestDarkReadingsEndNoRun(t *testing.T) {
	type trial struct {
		run   int
		noise float64
		kind  string
		seed  uint64
	}
	var all []trial
	for i := range smallRuns {
		for j, noise := range []float64{0.02, 0.08, 0.2} {
			all = append(all, trial{i, noise, []string{"spectral", "filter"}[(i+j)%2], uint64(1 + j)})
		}
	}
	for _, c := range campaign.Some(t, all, 6) {
		s := smallRuns[c.run]
		t.Run(fmt.Sprintf("%s, %g", s.name, c.noise), func(t *testing.T) {
			world := sim.Default()
			world.Light.Black = 0
			world.Meter.DarkNoise, world.Meter.Kind = c.noise, c.kind
			if s.name == "spectrum" {
				world.Meter.Kind = "spectral"
			}
			spec := simSpec(t, shipped(t, s.name), s.set...)
			spec.Seed, spec.Draws = c.seed, 0
			spec.Openers = bench.Openers{"sim": sim.Opener(world, c.seed, 0)}
			rep := ran(t, spec, journal.Done)
			below := 0
			for _, r := range rep.Readings {
				if r.Y < 0 {
					below++
				}
			}
			t.Logf("%d of %d readings are below 0", below, len(rep.Readings))
		})
	}
}

package engine_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/progress"
	"candelua/engine/sim"
	"candelua/testdata/campaign"
)

// leftAt is a script time and the time that was left then, as it was told.
type leftAt struct{ now, left float64 }

// toldOf runs on another world than its course was rehearsed on, and gives what was told at each step, and how long it took.
func toldOf(t *testing.T, name string, set []string, world string, course *progress.Course) (told []leftAt, took float64) {
	t.Helper()
	g := &progress.Gauge{Course: course}
	s := simSpec(t, shipped(t, name), set...)
	s.Openers = bench.Openers{"sim": sim.Opener(get(sim.Load(world))(t), 1, 0)}
	s.Tell = func(e play.Event) {
		switch e := e.(type) {
		case play.Began:
			g.Restart()
		case play.Part:
			if e.Begins {
				g.Part(e.Name, e.Step)
			}
		case play.Progress:
			g.Begin(e.Step, e.Now)
			r, _ := g.Rest(0)
			told = append(told, leftAt{e.Now, r.Seconds})
		case play.Answered:
			g.End(e.Name, e.Now, 0)
		}
	}
	rep, err := engine.Run(context.Background(), s)
	if err != nil || rep.Status != journal.Done { // a bench may lack what a procedure needs
		t.Logf("%s does not run on %s: %v", name, world, err)
		return nil, 0
	}
	return told, rep.Seconds
}

// The time left is told from a rehearsal on the default unit. On other units, which are read faster or slower or take other steps, it is
// off by at most so much of the whole run once a half, and once three quarters of it are over (measured on the shipped worlds; no source).
func TestTimeLeftOnOtherUnits(t *testing.T) {
	const half, threeQuarters = 0.45, 0.25
	type member struct {
		name, world string
		set         []string
	}
	var all []member
	for _, c := range smallRuns {
		for _, world := range sim.Names() {
			if world != "default" && world != "ideal" { // no real meter is without noise
				all = append(all, member{c.name, world, c.set})
			}
		}
	}
	close := 0
	some := campaign.Some(t, all, 4)
	for _, m := range some {
		var recorder progress.Recorder
		s := simSpec(t, shipped(t, m.name), m.set...)
		s.Tell = recorder.Tell
		ran(t, s, journal.Done)
		told, took := toldOf(t, m.name, m.set, m.world, recorder.Course())
		line := fmt.Sprintf("%s on %s:", m.name, m.world)
		for _, at := range []struct{ share, most float64 }{{0.5, half}, {0.75, threeQuarters}} {
			for _, now := range told {
				if now.now < at.share*took {
					continue
				}
				off := (now.left - (took - now.now)) / took
				line += fmt.Sprintf(" at %.0f %% off by %+.0f %%", 100*at.share, 100*off)
				if math.Abs(off) > at.most {
					t.Errorf("%s on %s: after %.0f of %.0f s %.0f s are told to be left", m.name, m.world, now.now, took, now.left)
				}
				if at.share == 0.5 && math.Abs(off) <= 0.1 {
					close++
				}
				break
			}
		}
		t.Log(line)
	}
	t.Logf("half way through, the time left of %d of %d is right to a tenth of the run", close, len(some))
}

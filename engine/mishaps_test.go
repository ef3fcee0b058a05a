package engine_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/sim"
	"candelua/testdata/campaign"
)

// mishap opens a world in which a fault happens, and nothing else moves.
func mishap(f ...sim.FaultParams) bench.Openers {
	world, err := sim.Load("ideal")
	if err != nil {
		panic(err)
	}
	world.Faults = f
	return bench.Openers{"sim": sim.Opener(world, 1, 0)}
}

// mishaps are faults of all kinds in all places, with a short and an endless duration.
func mishaps() (all []sim.FaultParams) {
	for _, f := range []sim.FaultParams{
		{Kind: "timeout"}, {Kind: "timeout", Seconds: 10}, {Kind: "bad_reading", Percent: -1000}, {Kind: "bad_reading", Percent: 150},
		{Kind: "slip", Percent: 50}, {Kind: "slip", Percent: 50, Seconds: 2}, {Kind: "banner", Grey: 0.1}, {Kind: "banner", Grey: 0.1, Seconds: 2}, {Kind: "sleep"},
	} {
		for n := 1; n <= 4; n++ {
			at := f
			at.AtReading = n
			all = append(all, at)
			at = f
			at.AtPatch = n
			all = append(all, at)
			at = f
			at.AtSecond = 1.7 * float64(n)
			all = append(all, at)
		}
	}
	return all
}

// In each of these scripts every reading is a step that follows the one that shows its patch. The second has
// them in a stretch that starts over as a whole.
var readFour = []string{`
    for i = 1, 4 do
      patches.show { grey = (i + 2) / 8 }
      record.value { name = "Y" .. i, value = meter.read().Y }
    end`, `
    run.unbroken("all", function()
      for i = 1, 4 do
        patches.show { grey = (i + 2) / 8 }
        record.value { name = "Y" .. i, value = meter.read().Y }
      end
    end)`}

// wrongValue is the first value that is not as it must be, from 1; 0 where there is none.
func wrongValue(t *testing.T, got, want *engine.Report) int {
	t.Helper()
	a, b := got.Results.Values(), want.Results.Values()
	if len(a) != len(b) {
		t.Fatalf("%d values, want %d", len(a), len(b))
	}
	for i := range a {
		if x, y := a[i].Value, b[i].Value; math.Abs(*x / *y - 1) > 1e-6 {
			return i + 1
		}
	}
	return 0
}

// TestMishapsAreMended: whatever goes wrong in a simulated world, and wherever, it goes wrong once. Where it
// pauses the run, resuming leads on; where it spoils a reading, setting that aside does. So each run comes to what
// it would have come to without a fault.
func TestMishapsAreMended(t *testing.T) {
	for k, body := range readFour {
		spec := simSpec(t, procedureOf(body))
		spec.Openers = mishap()
		right := ran(t, spec, journal.Done)
		for _, f := range campaign.Part(t, mishaps(), 8, len(mishaps())/2) {
			t.Run(fmt.Sprintf("script %d/%s after %g s at %d, %d, %g", k+1, f.Kind, f.Seconds, f.AtReading, f.AtPatch, f.AtSecond), func(t *testing.T) {
				spec := simSpec(t, procedureOf(body))
				spec.Openers = mishap(f)
				reopen := func(history.Head) (*bench.File, bench.Openers, error) { return bench.SimFile, mishap(f), nil }
				rep, err := engine.Run(context.Background(), spec)
				must(t, err)
				for range 3 {
					how := engine.Resumption{Setup: plain(), Reopen: reopen, Stood: 10} // what passes by itself has passed
					if rep.Status == journal.Done {
						wrong := wrongValue(t, rep, right)
						if wrong == 0 {
							replayed(t, rep.Path, journal.Done)
							return
						}
						how.From, how.Because = max(1, 2*wrong-3), "the reading is wrong" // it may have begun as the last one ended
					}
					rep, err = engine.Resume(context.Background(), rep.Path, how)
					must(t, err)
				}
				t.Fatalf("after three resumptions the run is %s (%v), and value %d is wrong", rep.Status, rep.Err, wrongValue(t, rep, right))
			})
		}
	}
}

// TestMishapsSurviveACrash: a script catches what goes wrong, and reads again. Wherever the run is cut off, it comes to
// the same as the one that was not: what happened in steps that are kept does not happen again, and what
// happened in one that was cut off does. A screen that
// has gone dark is no part of this: whoever goes on has the patch shown again.
func TestMishapsSurviveACrash(t *testing.T) {
	body := strings.ReplaceAll(readFour[0], "meter.read().Y", "again()")
	body = `
    local function again()
      for try = 1, 3 do
        local ok, r = pcall(meter.read, { repeats = 2 })
        if ok then return r.Y end
      end
    end` + body
	awake := slices.DeleteFunc(mishaps(), func(f sim.FaultParams) bool { return f.Kind == "sleep" })
	for _, f := range campaign.Part(t, awake, 3, len(awake)/3) {
		t.Run(fmt.Sprintf("%s after %g s at %d, %d, %g", f.Kind, f.Seconds, f.AtReading, f.AtPatch, f.AtSecond), func(t *testing.T) {
			spec := simSpec(t, procedureOf(body))
			spec.Openers = mishap(f)
			w := wholeOf(t, ran(t, spec, journal.Done).Path)
			for _, end := range lineEnds(w.journal) {
				path := copied(t, w.path, w.journal[:end])
				wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(),
					Reopen: func(history.Head) (*bench.File, bench.Openers, error) { return bench.SimFile, mishap(f), nil }}))
				w.equals(t, path, fmt.Sprintf("cut at byte %d", end))
			}
		})
	}
}

package engine_test

import (
	"math"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/testdata/campaign"
)

// TestDriftOverAPause: a dark level drifts while the run stands still too, until the
// meter takes a new one.
func TestDriftOverAPause(t *testing.T) {
	body := `patches.show { grey = 0.5, window = 10 }
    if FIRST then meter.dark() end
    local before = meter.read { after = 1, repeats = 3 }
    if AGAIN then meter.dark() end
    record.value { name = "Before", value = before.Y, unit = "cd/m2" }
    record.value { name = "After", value = meter.read({ after = 1, repeats = 3 }).Y, unit = "cd/m2" }`
	const drift, hours = 0.5, 3.0 // cd/m2 an hour
	f := &faults{id: func(id *bench.Identity) { id.Accuracy = bench.Accuracy{Drift: drift} }}
	for _, c := range []struct {
		first, again string
		stopped      int     // before this step
		want         float64 // hours since the dark level was taken, of the last reading
	}{
		{"false", "false", 3, hours},
		{"true", "false", 4, hours},
		{"true", "true", 5, hours}, // the pause comes after the new dark level
		{"true", "true", 4, 0},     // before it
	} {
		s := drawnSpec(t, procedureOf(strings.NewReplacer("FIRST", c.first, "AGAIN", c.again).Replace(body)), campaign.Of(t, 400, 1000))
		s.Openers = f.openers()
		rep := stopped(t, s, c.stopped)
		out := wants(t, journal.Done)(engine.Resume(t.Context(), rep.Path, engine.Resumption{Setup: plain(), Reopen: f.reopen, Stood: hours * 3600}))
		replayed(t, rep.Path, journal.Done)
		before, after := drawnPart(out, 0, "drift"), drawnPart(out, 1, "drift")
		if before > 0.05*drift || math.Abs(after-c.want*drift) > 0.1*drift {
			t.Errorf("%+v: the drift's share of u is %.3g before the pause and %.3g after, want 0 and %v cd/m2", c, before, after, c.want*drift)
		}
	}
}

// drawnPart is what a cause contributes to a value's uncertainty.
func drawnPart(rep *engine.Report, value int, of string) float64 {
	for _, p := range rep.Results.Values()[value].Budget {
		if p.Of == of {
			return p.U
		}
	}
	return 0
}

package engine_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/bench"
	"candelua/engine/journal"
)

// TestPromptsCount: where a part says how many readings it takes, a person is told which of them is asked for, also after one was withdrawn. Readings of a part
// within it count and have their numbers, and those beyond what was said have none.
func TestPromptsCount(t *testing.T) {
	const body = `run.part("all", function()
  meter.read()
  run.part("inner", function() meter.read() end)
  meter.read()
  meter.read()
end, { readings = 3 })`
	var out bytes.Buffer
	s := simSpec(t, procedureOf(body))
	s.Bench, s.Openers = bench.OperatorFile, typedOpeners("100\n101\n102\nback\n103\n104\n", &out, true)
	rep := ran(t, s, journal.Done)
	var asked []string
	for _, line := range strings.Split(out.String(), "\n") {
		if head, _, is := strings.Cut(line, ","); is && strings.HasPrefix(head, "Reading") {
			asked = append(asked, head)
		}
	}
	want := []string{"Reading 1 of 3", "Reading 2 of 3", "Reading 3 of 3", "Reading", "Reading 3 of 3", "Reading"}
	if d := cmp.Diff(want, asked); d != "" {
		t.Error(d)
	}
	replayed(t, rep.Path, journal.Done)
}

// TestSettleByHand: a person reads until two readings in a row agree; one that is withdrawn stays in the journal and does not count; where
// none agree, the answer says so. A replay comes to the same.
func TestSettleByHand(t *testing.T) {
	const body = `local s = meter.settle { within = 0.5, over = 0.002, timeout = 5 }
record.value { name = "Settled", value = tostring(s.settled) }
record.value { name = "Y", value = s.Y, unit = "cd/m2" }
record.value { name = "Drift", value = s.drift, unit = "%" }`
	for _, tt := range []struct {
		typed, settled string
		y, drift       float64
		samples        int
	}{
		{"210\n200\n200.5\n", "true", 200.5, 0.25, 3},
		{"200\n190\nback\n200.8\n", "true", 200.8, 0.4, 3},
		{"200\nback\n100\n100.2\n", "true", 100.2, 0.2, 3},
		{strings.Repeat("200\n210\n", 10), "false", 210, 5, 20},
	} {
		var out bytes.Buffer
		s := simSpec(t, procedureOf(body))
		s.Bench, s.Openers = bench.OperatorFile, typedOpeners(tt.typed, &out, true)
		rep := ran(t, s, journal.Done)
		settled, _ := rep.Results.ValueByID("settled")
		y, _ := rep.Results.ValueByID("y")
		drift, _ := rep.Results.ValueByID("drift")
		if settled.Text != tt.settled || *y.Value != tt.y || math.Abs(*drift.Value-tt.drift) > 1e-9 {
			t.Errorf("%q: settled %s at %v with a drift of %v", tt.typed, settled.Text, *y.Value, *drift.Value)
		}
		if n := len(get(journalOf(t, rep.Path).Step(1))(t).Samples); n != tt.samples {
			t.Errorf("%q: the journal keeps %d readings, want %d", tt.typed, n, tt.samples)
		}
		if !strings.Contains(out.String(), "again until two in a row agree within 0.5 %") {
			t.Errorf("%q: the prompt does not say until when: %s", tt.typed, out.String())
		}
		replayed(t, rep.Path, journal.Done)
	}
}

package engine_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/sim"
)

const guarded = `
    local guard = run.guard { patch = { grey = 0.5, window = 10 }, every = 20, within = 3, within_uv = 0.01 }
    local t = record.table("T", { { "i" }, { "Y", "cd/m2" } })
    for i = 1, 8 do
      guard:look()
      patches.show { grey = 0.4 + i / 20, window = 10 }
      t:add { i = i, Y = meter.read({ after = 2 }).Y }
      clock.wait(8)
    end
    guard:look { now = true }
    record.value { name = "Last", value = t:at("Y", { i = 8 }), unit = "cd/m2" }`

// slipping opens a simulated bench on which the meter slips at a time, and is
// right again some seconds later.
func slipping(at, lasts float64) bench.Openers {
	p := sim.Default()
	p.Faults = append(p.Faults, sim.FaultParams{Kind: "slip", AtSecond: at, Seconds: lasts, Percent: 80})
	return bench.Openers{"sim": sim.Opener(p, 1, 0)}
}

// TestGuard pauses where the meter slipped, sets aside what was read since the
// last good look, and takes that anew once the meter sits well.
func TestGuard(t *testing.T) {
	s := simSpec(t, procedureOf(guarded))
	whole := ran(t, s, journal.Done)
	s = simSpec(t, procedureOf(guarded))
	s.Openers = slipping(50, 60)
	rep := ran(t, s, journal.Paused)
	has(t, rep.Err.Error(), "probe.lua:9: the control patch has moved by -", "% (at most 3 %) and ", "in u'v' (at most 0.01)")
	has(t, fault.HintOf(rep.Err), "then resume; the steps from ", "are repeated")
	m := metaOf(t, rep.Path)
	if len(m.Voids) != 1 || m.Voids[0].Steps < 4 {
		t.Fatalf("voids are %+v", m.Voids)
	}
	// What is kept ends with a good look.
	j := journalOf(t, rep.Path)
	last := get(j.Step(j.Steps()))(t)
	if last.Name != "run.held" || string(last.Answer) != `{"held":true}` {
		t.Errorf("the last step is %s %s", last.Name, last.Answer)
	}
	replayed(t, rep.Path, journal.Paused)
	reopen := func(history.Head) (*bench.File, bench.Openers, error) { return bench.SimFile, slipping(50, 60), nil }
	out, err := engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopen})
	must(t, err)
	if out.Status != journal.Paused {
		t.Fatalf("with the meter still slipped the run is %s", out.Status)
	}
	out = wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopen, Stood: 100}))
	replayed(t, rep.Path, journal.Done)
	a, b := *whole.Results.Values()[0].Value, *out.Results.Values()[0].Value
	if a/b < 0.97 || a/b > 1.03 {
		t.Errorf("the last luminance is %v, and %v without a slip", b, a)
	}
}

// TestGuardCutOff crashes between the look that found the slip and the void.
func TestGuardCutOff(t *testing.T) {
	s := simSpec(t, procedureOf(guarded))
	s.Openers = slipping(50, 60)
	rep := ran(t, s, journal.Paused)
	whole := file(t, rep.Path, "journal.jsonl")
	for n, r := range journalOf(t, rep.Path).All() {
		if r.Kind != journal.KindVoid {
			continue
		}
		path := copied(t, rep.Path, whole[:lineEnds(whole)[n-2]])
		wants(t, journal.Paused)(engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(),
			Reopen: func(history.Head) (*bench.File, bench.Openers, error) { return bench.SimFile, slipping(50, 60), nil }}))
		if v := metaOf(t, path).Voids; fmt.Sprint(v) != fmt.Sprint(metaOf(t, rep.Path).Voids) {
			t.Errorf("voids are %+v", v)
		}
		replayed(t, path, journal.Paused)
	}
}

func TestGuardRefuses(t *testing.T) {
	for body, want := range map[string]string{
		`run.guard { patch = { grey = 0.5 } }`:                       "within is missing",
		`run.guard { patch = { grey = 2 }, within = 1 }`:             "patch.grey is 2; it must be 0 to 1",
		`run.guard { patch = { grey = 0 }, within = 1 }`:             "too dark to watch",
		`run.guard { patch = {}, within = 1 }`:                       "exactly one of grey, rgb, code, nits",
		`run.guard { patch = { grey = 1 }, within = 1, evry = 3 }`:   `did you mean "every"?`,
		`run.guard({ patch = { grey = 1 }, within = 1 }):look(true)`: "a table of named arguments",
		`run.guard { patch = { grey = 1 }, within = 0 }`:             "within is 0; it must be above 0",
		`run.guard { patch = { grey = 1 }, within = 1 }.look { }`:    "guard:look is called with a dot",
		`run.guard { patch = { grey = 1 }, within = 1, every = -1 }`: "every is -1",
		`run.held { held = true }`:                                   `has no function "held"`,
	} {
		rep := get(engine.Run(context.Background(), simSpec(t, procedureOf(body))))(t)
		if rep.Err == nil || !strings.Contains(rep.Err.Error(), want) {
			t.Errorf("%s: %v, want %q", body, rep.Err, want)
		}
	}
}

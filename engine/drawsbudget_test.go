package engine_test

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/draw"
	"candelua/engine/journal"
	"candelua/engine/procedure"
	"candelua/engine/report"
	"candelua/engine/result"
	"candelua/engine/uncertainty"
	"candelua/scripts"
)

const oneLuminance = `patches.show { grey = 1 } record.value { name = "Y", value = meter.read({ repeats = 3 }).Y, unit = "cd/m2" }`

// TestDrawsEndByBudget: where a limit ends the draws, the results keep how many were made and say why, in
// words; a replay makes as many whatever the limits are then, and agrees; so does a run that was
// interrupted and resumed. --draws of a replay makes all.
func TestDrawsEndByBudget(t *testing.T) {
	none := uncertainty.Budgeted
	for name, c := range map[string]struct {
		plan  func(n int) uncertainty.Plan
		count int // 0: as many as there was time for
		ended result.Ended
	}{
		"work": {func(n int) uncertainty.Plan { return uncertainty.Plan{Draws: n, Work: workOf(t) * 150} }, 150, result.EndedByWork},
		"time": {func(n int) uncertainty.Plan { return uncertainty.Plan{Draws: n, Time: 400 * time.Millisecond} }, 0, result.EndedByTime},
	} {
		t.Run(name, func(t *testing.T) {
			engine.PlanDraws(t, c.plan)
			h := &heard{}
			s := drawnSpec(t, procedureOf(oneLuminance), 200_000)
			s.Setup = h.setup()
			rep := ran(t, s, journal.Done)
			d := rep.Results.Draws()
			if d.Ended != c.ended || d.Asked != 200_000 || c.count > 0 && d.Count != c.count {
				t.Fatalf("draws are %+v", d)
			}
			if d.Count < 100 && d.Count != 0 {
				t.Errorf("%d draws give uncertainties", d.Count)
			}
			if drawn := rep.Results.Values()[0].Method != ""; drawn != (d.Count > 0) {
				t.Errorf("of %d draws the value is %+v", d.Count, rep.Results.Values()[0])
			}
			has(t, strings.Join(h.warnings, "\n"), d.Note[:20], "candelua replay "+rep.Path+" --draws 200000")
			has(t, string(file(t, rep.Path, "results.json")), fmt.Sprintf(`"count":%d,`, d.Count), `"asked":200000,"ended":"`+string(c.ended)+`","note":"`)
			for _, plan := range []func(int) uncertainty.Plan{none, func(n int) uncertainty.Plan { return uncertainty.Plan{Draws: n, Work: 1, Time: 1} }} {
				engine.PlanDraws(t, plan)
				again := replayed(t, rep.Path, journal.Done)
				if *again.Results.Draws() != *d || again.Kept != "" {
					t.Errorf("a replay has %+v, kept in %q; want %+v", again.Results.Draws(), again.Kept, d)
				}
				if more := replayedWith(t, rep.Path, 300); more.Results.Draws().Count != 300 || more.Results.Draws().Ended != "" {
					t.Errorf("--draws 300: %+v", more.Results.Draws())
				}
			}
		})
	}
}

// workOf is what a draw of oneLuminance works, with its one number.
func workOf(t *testing.T) int64 {
	t.Helper()
	return replayed(t, ran(t, simSpec(t, procedureOf(oneLuminance)), journal.Done).Path, journal.Done).Work + uncertainty.NumberWork
}

// TestBudgetOfWorkResumes: a run whose draws end by work gives the same to the byte after it was cut off.
func TestBudgetOfWorkResumes(t *testing.T) {
	most := workOf(t) * 150
	engine.PlanDraws(t, func(n int) uncertainty.Plan { return uncertainty.Plan{Draws: n, Work: most} })
	w := wholeRun(t, drawnSpec(t, procedureOf(oneLuminance), 500))
	ends := lineEnds(w.journal)
	for i := 0; i < len(ends); i += 4 {
		path := copied(t, w.path, w.journal[:ends[i]])
		resumed(t, path, journal.Done)
		w.equals(t, path, fmt.Sprint("cut after record ", i+1))
	}
}

// TestNoDrawsWhereNothingIsDrawn: a run of whose readings no error is known, or that reads nothing, makes no
// draws; its values are constant, and its replay agrees.
func TestNoDrawsWhereNothingIsDrawn(t *testing.T) {
	const drawn = `record.value { name = "A", value = 7, unit = "cd/m2" }`
	for _, body := range []string{drawn, oneLuminance, `patches.show { grey = 1 }
    if pcall(meter.read) then record.note("read") end`} {
		f := &faults{id: func(id *bench.Identity) { id.Accuracy = bench.Accuracy{} }, light: without().light}
		s := drawnSpec(t, procedureOf(body), 200)
		s.Openers = f.openers()
		made := -1
		s.Drawing = func(n, _ int) { made = n }
		rep := ran(t, s, journal.Done)
		d := rep.Results.Draws()
		if made != 0 || d.Count != 0 || d.Asked != 200 || d.Ended != result.NothingDrawn {
			t.Errorf("%s: %d draws were made: %+v", body, made, d)
		}
		for _, v := range rep.Results.Values() {
			if v.Method != string(draw.Constant) || *v.U != 0 {
				t.Errorf("%s: the value is %+v", body, v)
			}
		}
		for _, again := range []*engine.Report{replayed(t, rep.Path, journal.Done), replayedWith(t, rep.Path, 300)} {
			if again.Kept != "" || again.Results.Draws().Ended != result.NothingDrawn || len(again.Differences) > 0 {
				t.Errorf("%s: a replay has %+v, kept in %q, differing in %v", body, again.Results.Draws(), again.Kept, again.Differences)
			}
		}
	}
}

// TestForgedValue: a script that tells the run by the very number that it read, and gives another
// value there, cannot hide that the value is outside of its own interval.
func TestForgedValue(t *testing.T) {
	first := ran(t, simSpec(t, procedureOf(oneLuminance)), journal.Done).Results.Values()[0]
	rep := ran(t, drawnSpec(t, procedureOf(fmt.Sprintf(`patches.show { grey = 1 }
    local y = meter.read({ repeats = 3 }).Y
    local forged = y == %.17g and 195.080274 or 480 + 1e-5 * (y - 480)
    record.value { name = "Y", value = forged, unit = "cd/m2" }
    local t = record.table("T", { { "n" }, { "Y", "cd/m2" } })
    t:add { n = 1, Y = forged }
    record.plot { table = t, x = "n", y = { "Y" } }`, *first.Value)), 200), journal.Done)
	v := rep.Results.Values()[0]
	if *v.Value != 195.080274 || !v.Outside() {
		t.Fatalf("the value is %+v", v)
	}
	for _, r := range []*result.Results{rep.Results, replayed(t, rep.Path, journal.Done).Results} {
		var text bytes.Buffer
		must(t, report.Terminal(&text, r, report.Options{Plots: true}))
		has(t, text.String(), "its own 95 % interval", "outside of their own 95 % intervals: row 1, Y")
	}
	has(t, string(file(t, rep.Path, "results.json")), `"remark":"the value is`, `"remark":"outside of their own 95 % intervals: row 1, Y.`)
	has(t, string(file(t, rep.Path, "tables", "t.csv")), "remark on Y", "outside of its own 95 % interval")
	has(t, string(file(t, rep.Path, "plots", "t-y-n.svg")), "outside of their own 95 % intervals")
}

// TestDrawsOfManyLimits makes draws at the least numbers that give uncertainties, and beneath.
func TestDrawsOfManyLimits(t *testing.T) {
	work := workOf(t)
	for count, want := range map[int64]int{0: 0, 99: 0, 100: 100, 199: 199, 200: 200, 201: 200} {
		engine.PlanDraws(t, func(n int) uncertainty.Plan { return uncertainty.Plan{Draws: n, Work: max(1, work*count)} })
		rep := wants(t, journal.Done)(engine.Run(context.Background(), drawnSpec(t, procedureOf(oneLuminance), 200)))
		if d := rep.Results.Draws(); d.Count != want || (d.Ended == "") != (want == 200) {
			t.Errorf("work for %d draws: %+v", count, d)
		}
		replayed(t, rep.Path, journal.Done)
	}
}

// TestShippedWithinBudget: each shipped procedure, with the parameters that it has by default, works so little that the
// draws of a run are all made.
func TestShippedWithinBudget(t *testing.T) {
	const draws = uncertainty.DefaultDraws
	for _, name := range procedure.Shipped(scripts.Files) {
		s := simSpec(t, shipped(t, name))
		s.Out = memoryDir(t)
		rep := ran(t, s, journal.Done)
		numbers := len(rep.Results.Values())
		for _, table := range rep.Results.Tables() {
			numbers += table.Len() * len(table.Columns())
		}
		if work, most := rep.Work+uncertainty.NumberWork*int64(numbers), uncertainty.Budgeted(draws).Work/draws; work > most {
			t.Errorf("%s works %d units and records %d numbers, %d in all; on average a draw may work %d", name, rep.Work, numbers, work, most)
		}
	}
}

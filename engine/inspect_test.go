package engine_test

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"candelua/builtins"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/survey"
)

func inspected(t testing.TB, path string, steps bool) *survey.Inspection {
	t.Helper()
	return get(survey.Inspect(context.Background(), path, steps, builtins.Modules(), reopenSim))(t)
}

// TestInspectADoneRun has parts within parts, a failure that was caught and a
// decision; nothing is written.
func TestInspectADoneRun(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	before := everything(t, w.path)
	i := inspected(t, w.path, true)
	if after := everything(t, w.path); after != before {
		t.Error("looking at the run wrote something")
	}
	if i.Title != "T" || i.File != "probe.lua" || i.Seed != 1 || i.Engine != "test" || len(i.Devices) == 0 || i.Status != journal.Done || i.About != 0 {
		t.Errorf("the run is %+v", i)
	}
	if i.Seconds != metaOf(t, w.path).Seconds || i.Steps != metaOf(t, w.path).Steps {
		t.Errorf("it took %d steps in %v s, and run.json says %d in %v", i.Steps, i.Seconds, metaOf(t, w.path).Steps, metaOf(t, w.path).Seconds)
	}
	var parts []string
	for _, p := range i.Parts {
		parts = append(parts, fmt.Sprintf("%s/%d %d-%d open %v failed %v", p.Name, p.Depth, p.First, p.Last, p.Open, p.Failed))
		if p.Ended < p.Began || (p.Ended == p.Began) != (p.Last < p.First) {
			t.Errorf("part %s lasted from %v to %v s", p.Name, p.Began, p.Ended)
		}
	}
	if diff := cmp.Diff([]string{"nothing/0 1-0 open false failed false", "outer/0 1-6 open false failed false", "inner/1 1-3 open false failed false",
		"inner/1 4-6 open false failed false", "left/0 11-10 open false failed true"}, parts); diff != "" {
		t.Error(diff)
	}
	want := []survey.Calls{{Name: "patches.show", Steps: 2}, {Name: "meter.read", Steps: 4}, {Name: "clock.wait", Steps: 2}, {Name: "unit.set", Steps: 1}, {Name: "run.decide", Steps: 1}, {Name: "patches.black", Steps: 1}}
	if diff := cmp.Diff(want, i.Calls, cmpopts.SortSlices(func(a, b survey.Calls) bool { return a.Name < b.Name })); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]survey.Decision{{Step: 9, Name: "again", Value: json.RawMessage("true")}}, i.Decisions); diff != "" {
		t.Error(diff)
	}
	if a := i.Asked[0]; len(i.Asked) != i.Steps || a.Request != "patches.show{grey=0.5, window=10}" || a.At != "probe.lua:11" || a.T <= 0 {
		t.Errorf("the first of %d steps is %+v", len(i.Asked), a)
	}
	if a := i.Asked[6]; a.Request != `unit.set{["Brightnes"]=1}` || a.Failure == "" {
		t.Errorf("the step that failed is %+v", a)
	}
	if len(i.Values) != 1 || len(i.Pauses)+len(i.Voids)+len(i.Edits)+len(i.Swaps)+len(i.Repairs) > 0 {
		t.Errorf("there are %d values, pauses %v, voids %v", len(i.Values), i.Pauses, i.Voids)
	}
	if without := inspected(t, w.path, false); without.Asked != nil {
		t.Error("the steps are listed though nobody asked")
	}
}

// TestInspectARunUnderWay has parts that have not ended, and about how far it is.
func TestInspectARunUnderWay(t *testing.T) {
	rep := stopped(t, simSpec(t, procedureOf(parted)), 5)
	i := inspected(t, rep.Path, false)
	if i.Status != journal.Paused || i.Steps != 4 || i.About != 11 || i.Reason == "" {
		t.Errorf("it is %s at step %d of about %d: %q", i.Status, i.Steps, i.About, i.Reason)
	}
	var open []string
	for _, p := range i.Parts {
		if p.Open {
			open = append(open, fmt.Sprintf("%s %d-%d", p.Name, p.First, p.Last))
		}
	}
	if diff := cmp.Diff([]string{"outer 1-4", "inner 4-4"}, open); diff != "" {
		t.Error(diff)
	}
	resumed(t, rep.Path, journal.Done)
	i = inspected(t, rep.Path, false)
	if len(i.Pauses) != 1 || i.Pauses[0].After != 4 || i.Pauses[0].Reason != "stopped by the user" {
		t.Errorf("the pauses are %+v", i.Pauses)
	}
}

// TestInspectADamagedRun tells what comes before the damage, and of its repair.
func TestInspectADamagedRun(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	path := flipped(t, w.path, lineEnds(w.journal)[20]+5, 2)
	i := inspected(t, path, false)
	if i.Status != journal.Damaged || i.Record != 22 || i.Steps == 0 || i.Title != "T" || len(i.Values) > 0 || i.Err == nil {
		t.Errorf("it is %s at record %d with %d steps and %d values: %v", i.Status, i.Record, i.Steps, len(i.Values), i.Err)
	}
	steps := i.Steps
	get(survey.Repair(path))(t)
	i = inspected(t, path, false)
	if i.Status != journal.Paused || i.Steps != steps || len(i.Repairs) != 1 || filepath.Base(i.Repairs[0]) != "journal-damaged-1.jsonl" {
		t.Errorf("repaired, it is %s with %d steps, want %d, and repairs %v", i.Status, i.Steps, steps, i.Repairs)
	}
	if i.About != 11 {
		t.Errorf("repaired, it is about %d steps", i.About)
	}
}

// written makes a run's folder with a journal of these records after a run's
// own head.
func written(t *testing.T, records ...journal.Record) string {
	t.Helper()
	w := wholeRun(t, simSpec(t, procedureOf(short)))
	path := copied(t, w.path, w.journal[:lineEnds(w.journal)[0]])
	j := get(journal.Open(filepath.Join(path, "journal.jsonl"), journal.Options{}))(t)
	for _, r := range records {
		must(t, j.Append(r))
	}
	must(t, j.Close())
	return path
}

// taken is a step that was asked and answered.
func taken(n int, t float64) []journal.Record {
	return []journal.Record{{Kind: journal.KindAsk, Step: n, Name: "clock.wait", Device: "clock", Args: json.RawMessage(`{"seconds":1}`), T: t, At: "probe.lua:5"},
		{Kind: journal.KindAnswer, Step: n, T: t + 1, Data: json.RawMessage(`{}`)}}
}

// TestInspectAHistory has all that can befall a run: retakes, stretches set
// aside, interludes, an edited script and other instruments.
func TestInspectAHistory(t *testing.T) {
	var all []journal.Record
	add := func(records ...journal.Record) { all = append(all, records...) }
	add(taken(1, 0)...)
	add(taken(2, 1)[0]) // the machine went down
	add(journal.Record{Kind: journal.KindResume, T: 1, PauseSeconds: 60})
	add(taken(2, 1)...)
	add(journal.Record{Kind: journal.KindOpen, Block: 1, Name: "decay", Unbroken: true, T: 2})
	add(taken(3, 2)...)
	add(taken(4, 3)...)
	add(journal.Record{Kind: journal.KindEnd, Status: journal.Paused, Reason: "stopped by the user", T: 4})
	add(journal.Record{Kind: journal.KindVoid, From: 3, Reason: "decay was interrupted", T: 4})
	add(journal.Record{Kind: journal.KindResume, T: 2, PauseSeconds: 600, Reason: "it was put off"})
	add(journal.Record{Kind: journal.KindAside, Name: "devices", T: 2, Args: json.RawMessage(`[{"name":"meter","identity":{"name":"Tern probe","driver":"x","serial":"2"}}]`)})
	add(journal.Record{Kind: journal.KindAside, Name: "scripts", T: 2, Args: json.RawMessage(`{"file":"probe.lua","scripts":[{"name":"probe.lua","sha256":"1234"}]}`)})
	add(journal.Record{Kind: journal.KindOpen, Block: 1, Name: "on_resume", Unbroken: true, T: 2, Data: json.RawMessage(`{"interlude":"on_resume","pause_s":600}`)})
	add(taken(3, 2)...)
	add(journal.Record{Kind: journal.KindClose, Block: 1, T: 3})
	add(journal.Record{Kind: journal.KindOpen, Block: 2, Name: "decay", Unbroken: true, T: 3})
	add(taken(4, 3)...)
	add(journal.Record{Kind: journal.KindVoid, From: 5, Reason: "struck by the operator", T: 4}) // went on at once
	add(journal.Record{Kind: journal.KindResume, T: 4})
	add(journal.Record{Kind: journal.KindAside, Name: "scripts", T: 4, Args: json.RawMessage(`{"file":"probe.lua","scripts":[{"name":"probe.lua","sha256":"1234"}]}`)})
	add(journal.Record{Kind: journal.KindAside, Name: "scripts", T: 4, Args: json.RawMessage(`"of another version"`)})
	add(journal.Record{Kind: journal.KindAside, Name: "devices", T: 4, Args: json.RawMessage(`7`)})
	add(journal.Record{Kind: journal.KindEnd, Status: journal.Done, T: 4}, journal.Record{Kind: journal.KindResume, T: 4})
	i := inspected(t, written(t, all...), false)

	if i.Retakes != 1 || i.Steps != 4 || i.Seconds != 4 {
		t.Errorf("%d retakes, %d steps, %v s", i.Retakes, i.Steps, i.Seconds)
	}
	ignore := cmpopts.IgnoreUnexported(history.Part{})
	for what, diff := range map[string]string{
		"pauses": cmp.Diff([]history.Pause{{After: 1, At: 1, Seconds: 60, Reason: "it was cut off"}, {After: 2, At: 2, Seconds: 600, Reason: "it was put off"},
			{After: 4, At: 4, Reason: "it was done"}}, i.Pauses),
		"voids": cmp.Diff([]history.Void{{From: 3, Steps: 2, At: 4, Reason: "decay was interrupted"}, {From: 5, At: 4, Reason: "struck by the operator"}}, i.Voids),
		"parts": cmp.Diff([]history.Part{{Name: "on_resume", Unbroken: true, Interlude: "on_resume", First: 3, Last: 3, Began: 2, Ended: 3},
			{Name: "decay", Unbroken: true, First: 4, Last: 4, Began: 3, Ended: 4, Open: true}}, i.Parts, ignore),
		"edits": cmp.Diff([]history.Edit{
			{After: 2, File: "probe.lua", Scripts: []history.ScriptSum{{Name: "probe.lua", SHA256: "1234"}}, Changed: []string{"probe.lua"}},
			{After: 4, File: "probe.lua", Scripts: []history.ScriptSum{{Name: "probe.lua", SHA256: "1234"}}, Changed: []string{}},
			{After: 4, Scripts: []history.ScriptSum{}, Changed: []string{}}}, i.Edits),
		"instruments": cmp.Diff([]history.Swap{{After: 2, Devices: []bench.Named{{Name: "meter", Identity: bench.Identity{Name: "Tern probe", Driver: "x", Serial: "2"}}}},
			{After: 4, Devices: []bench.Named{}}}, i.Swaps),
	} {
		if diff != "" {
			t.Errorf("%s:\n%s", what, diff)
		}
	}
	if i.About != 0 {
		t.Errorf("scripts that are not in the folder were rehearsed: about %d steps", i.About)
	}
}

// Another version's decision, and a script that cannot be compiled, hide
// nothing else.
func TestInspectWhatCannotBeRead(t *testing.T) {
	step := taken(1, 0)
	step[0].Name, step[0].Device, step[0].Args, step[1].Data = "run.decide", "", json.RawMessage(`[]`), json.RawMessage(`[]`)
	path := written(t, step...)
	must(t, os.WriteFile(filepath.Join(path, "procedure", "probe.lua"), []byte("return ("), 0o644))
	i := inspected(t, path, true)
	if i.Title != "" || i.Steps != 1 || i.Asked[0].Request != "run.decide{[]}" {
		t.Errorf("title %q, %d steps, %+v", i.Title, i.Steps, i.Asked)
	}
	if diff := cmp.Diff([]survey.Decision{{Step: 1, Value: json.RawMessage("null")}}, i.Decisions); diff != "" {
		t.Error(diff)
	}
}

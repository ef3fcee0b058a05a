package engine_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/procedure"
	"candelua/engine/sim"
	"candelua/scripts"
	"candelua/testdata/campaign"
)

// smallRuns are the shipped procedures with parameters that keep them short.
var smallRuns = []struct {
	name string
	set  []string
}{
	{"window-sweep", []string{"windows=2,10,100", "precision=1", "rest=3"}},
	{"tone-response", []string{"steps=5", "precision=2", "apl=constant"}},
	{"tone-response", []string{"steps=4", "precision=2", "apl=free"}},
	{"chart", []string{"colours=8", "precision=2"}},
	{"gamut", []string{"precision=5"}},
	{"contrast", []string{"precision=2", "dark_level=take"}},
	{"hdr-tracking", []string{"steps=8", "extra_steps=1", "levels=100", "precision=5"}},
	{"near-black", []string{"last=3", "max_pairs=4"}},
	{"banding", []string{"to=22", "min_pairs=2", "repeats=2"}},
	{"warm-up", []string{"duration=1260", "period=60", "drift_time=300", "white_for=0", "repeats=1"}},
	{"meter-match", []string{"colours=3", "precision=2"}},
	{"meter-match", []string{"colours=3", "precision=2", "swap=true"}},
	{"spectrum", []string{"precision=2"}},
	{"meter-health", []string{"readings=5", "longest_settling=61"}},
	{"retention", []string{"duration=20", "rounds=2", "repeats=3", "stress=5", "rest=5", "period=1"}},
	{"ambient", []string{"levels=0,100", "lamp_warm_up=10", "lamp_settling=1", "adapting=5", "longest_settling=0"}},
}

// TestSmallRunsAreAll has every shipped procedure among them.
func TestSmallRunsAreAll(t *testing.T) {
	for _, name := range procedure.Shipped(scripts.Files) {
		if !slices.ContainsFunc(smallRuns, func(s struct {
			name string
			set  []string
		}) bool {
			return s.name == name
		}) {
			t.Errorf("%s is not among them", name)
		}
	}
}

func TestTwoRunsAreEqual(t *testing.T) {
	for _, c := range campaign.Some(t, smallRuns, 4) {
		a := ran(t, simSpec(t, shipped(t, c.name), c.set...), journal.Done)
		b := ran(t, simSpec(t, shipped(t, c.name), c.set...), journal.Done)
		for _, name := range []string{"journal.jsonl", "results.json", "readings.csv", "run.json", "procedure/" + c.name + ".lua"} {
			if !bytes.Equal(file(t, a.Path, name), file(t, b.Path, name)) {
				t.Errorf("%s: two runs have different %s", c.name, name)
			}
		}
		rep := replayed(t, a.Path, journal.Done)
		got := append(get(rep.Results.MarshalJSON())(t), '\n')
		if !bytes.Equal(got, file(t, a.Path, "results.json")) {
			t.Errorf("%s: the replay's results are not those of the run", c.name)
		}
		if rep.Seconds != a.Seconds || rep.Steps != a.Steps || len(rep.Readings) != len(a.Readings) {
			t.Errorf("%s: the replay took %v s in %d steps, the run %v s in %d", c.name, rep.Seconds, rep.Steps, a.Seconds, a.Steps)
		}
		other := simSpec(t, shipped(t, c.name), c.set...)
		other.Seed = 2
		other.Openers = bench.Openers{"sim": sim.Opener(sim.Default(), 2, 0)}
		if bytes.Equal(file(t, ran(t, other, journal.Done).Path, "results.json"), got) {
			t.Errorf("%s: another seed gives the same results", c.name)
		}
	}
}

func TestRunFolder(t *testing.T) {
	rep := ran(t, simSpec(t, shipped(t, "window-sweep"), smallRuns[0].set...), journal.Done)
	m := metaOf(t, rep.Path)
	if m.Status != journal.Done || m.Steps != rep.Steps || m.Seconds != rep.Seconds || m.Retakes != 0 || m.Pauses != nil || m.Voids != nil || m.Reason != "" {
		t.Errorf("run.json: %+v", m)
	}
	if m.Procedure != "window-sweep" || !m.Simulated || m.Seed != 1 || fmt.Sprint(m.Params["windows"]) != "[2 10 100]" || len(m.Devices) != 6 {
		t.Errorf("run.json: head is %+v", m.Head)
	}
	if len(m.Scripts) != 3 {
		t.Fatalf("scripts are %v, want the procedure and its two libraries", m.Scripts)
	}
	for _, s := range m.Scripts {
		if got := history.Sum(file(t, rep.Path, "procedure", s.Name)); got != s.SHA256 {
			t.Errorf("%s has the sum %s, want %s", s.Name, got, s.SHA256)
		}
	}
	rows := get(csv.NewReader(bytes.NewReader(file(t, rep.Path, "tables", "luminance-by-window.csv"))).ReadAll())(t)
	if len(rows) != 4 {
		t.Errorf("the table has %d rows, want a head and three", len(rows))
	}
}

// TestReadings compares the list of readings with the samples of the journal.
func TestReadings(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(`
    unit.set { Brightness = 50 }
    patches.show { rgb = { 1, 0.5, 0.25 }, window = 25, background = 0.1, bits = 10 }
    run.part("middle", function() meter.read { repeats = 3 } end)
    meter.named("reference").read()`)), journal.Done)
	rows := get(csv.NewReader(bytes.NewReader(file(t, rep.Path, "readings.csv"))).ReadAll())(t)
	if len(rows) != 5 {
		t.Fatalf("there are %d rows, want a head and one for each single reading", len(rows))
	}
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	for i, want := range []map[string]string{
		{"step": "3", "sample": "1", "line": "probe.lua:8", "part": "middle", "meter": "meter"},
		{"step": "3", "sample": "2", "line": "probe.lua:8", "part": "middle", "meter": "meter"},
		{"step": "3", "sample": "3", "line": "probe.lua:8", "part": "middle", "meter": "meter"},
		{"step": "4", "sample": "1", "line": "probe.lua:9", "part": "", "meter": "reference"},
	} {
		want["window (%)"], want["red"], want["green"], want["blue"] = "25", "1", "0.5", "0.25"
		want["background red"], want["signal"], want["bits"], want["settings"] = "0.1", "sdr", "10", "Brightness: 50"
		for name, value := range want {
			if got := rows[i+1][at[name]]; got != value {
				t.Errorf("row %d: %s is %q, want %q", i+1, name, got, value)
			}
		}
	}
	s := get(journalOf(t, rep.Path).Step(3))(t)
	for i := range s.Samples {
		has(t, string(s.Samples[i]), `"Y":`+rows[i+1][at["Y (cd/m2)"]], `"began":`+rows[i+1][at["began (s)"]])
	}
}

func TestLibrariesAreCopied(t *testing.T) {
	p := sourceOf("local a = require \"sub.a\"\nreturn procedure { title = \"T\", purpose = \"P\", run = function() clock.wait(a.seconds) end }\n")
	lib := map[string]string{"sub/a.lua": "return require \"b\"\n", "b.lua": "return { seconds = 2 }\n"}
	p.Find = func(name string) ([]byte, error) {
		if text, ok := lib[name]; ok {
			return []byte(text), nil
		}
		return nil, fs.ErrNotExist
	}
	rep := ran(t, simSpec(t, p), journal.Done)
	for name, text := range lib {
		if got := string(file(t, rep.Path, "procedure", name)); got != text {
			t.Errorf("%s: %q", name, got)
		}
	}
	replayed(t, rep.Path, journal.Done)

	p.Source = []byte("return procedure { title = \"T\", purpose = \"P\", run = function() require \"b\" end }\n")
	rep = ran(t, simSpec(t, p), journal.Failed)
	has(t, rep.Err.Error(), "b.lua is loaded while the procedure runs", "call require at the top")
}

// TestNothingIsMade says what is found out before a folder is made.
func TestNothingIsMade(t *testing.T) {
	unit := get(bench.ParseUnit("unit.toml", []byte("name = \"Crake 2\"\nmodes = [\"Dusk\", \"Bright\"]\n[controls]\n\"Brightness\" = { min = 0, max = 100 }\n")))(t)
	noMeter := get(bench.ParseFile("bench.toml", []byte("[patches]\ndriver = \"sim\"\n[unit]\ndriver = \"sim\"\n")))(t)
	setting := sourceOf("return procedure { title = \"T\", purpose = \"P\", settings = { Brightness = 200 }, run = function() end }")
	for _, c := range []struct {
		name   string
		change func(*engine.Spec)
		want   string
	}{
		{"need", func(s *engine.Spec) { s.Bench = noMeter }, `the bench "bench" lacks what the procedure needs: a meter`},
		{"setting", func(s *engine.Spec) { s.Procedure, s.Unit, s.Mode = setting, unit, "Dusk" }, `control "Brightness" cannot be set to 200; it must be a number from 0 to 100`},
		{"mode", func(s *engine.Spec) { s.Unit, s.Mode = unit, "Duks" }, `unit "Crake 2" has no mode "Duks"`},
		{"parameter", func(s *engine.Spec) { s.Set = []string{"windoes=1"} }, `has no parameter "windoes"`},
		{"driver", func(s *engine.Spec) { s.Openers = bench.Openers{} }, `driver is "sim"`},
		{"opening", func(s *engine.Spec) {
			s.Openers = bench.Openers{"sim": func() (bench.Driver, error) { return nil, errors.New("no cable") }}
		}, "no cable"},
		{"opening panics", func(s *engine.Spec) { s.Openers = bench.Openers{"sim": func() (bench.Driver, error) { panic("boom") }} },
			"bench: an error inside candelua, not in the script: boom"},
		{"not a procedure", func(s *engine.Spec) { s.Procedure = sourceOf("return 1") }, "does not return a procedure"},
		{"no Lua", func(s *engine.Spec) { s.Procedure = sourceOf("return procedure {") }, "probe.lua"},
		{"step while loading", func(s *engine.Spec) { s.Procedure = sourceOf("clock.wait(1)") }, "probe.lua:1: clock.wait: cannot be called while the script is loading"},
		{"caution", func(s *engine.Spec) {
			s.Procedure = sourceOf(`return procedure { title = "T", purpose = "P", caution = "bright", run = function() end }`)
			s.Accept = func(_ context.Context, all []caution.Caution, simulated bool) error {
				return fmt.Errorf("%v, %v", all, simulated)
			}
		}, "[{own bright true}], true"},
	} {
		s := simSpec(t, shipped(t, "window-sweep"))
		c.change(&s)
		rep, err := engine.Run(context.Background(), s)
		if rep != nil || err == nil {
			t.Errorf("%s: was run", c.name)
			continue
		}
		has(t, err.Error(), c.want)
		if left := get(os.ReadDir(s.Out))(t); len(left) > 0 {
			t.Errorf("%s: %s was made", c.name, left[0])
		}
	}
}

func TestUsageErrors(t *testing.T) {
	s := simSpec(t, shipped(t, "window-sweep"), "windows=0")
	_, err := engine.Run(context.Background(), s)
	if !errors.Is(err, fault.ErrUsage) || fault.CodeOf(err) == "error" {
		t.Errorf("a wrong parameter is %v (%s), want a wrong use with a code", err, fault.CodeOf(err))
	}
}

// TestFailingScript leaves a run that can be read and replayed.
func TestFailingScript(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(`
    record.value { name = "Before", value = 1 }
    patches.show { grey = 1 }
    run.part("reads", function()
      record.value { name = "Light", value = meter.read() }
      local r = meter.read()
      print(r.lumninance)
    end)`)), journal.Failed)
	e := asScriptError(t, rep.Err)
	if e.File != "probe.lua" || e.Line != firstLine+6 {
		t.Errorf("the error is at %s:%d, want line %d", e.File, e.Line, firstLine+6)
	}
	has(t, e.Error(), "lumninance")
	m := metaOf(t, rep.Path)
	if m.Status != journal.Failed || m.Reason != rep.Err.Error() || m.Steps != 3 {
		t.Errorf("run.json: %+v", m)
	}
	has(t, string(file(t, rep.Path, "results.json")), `"before"`, `"light"`)
	has(t, kinds(t, rep.Path), "close, aside safe-end, end")
	replayed2 := wants(t, journal.Failed)(engine.Replay(context.Background(), rep.Path, plain()))
	if len(replayed2.Differences) > 0 || replayed2.Err == nil || replayed2.Err.Error() != rep.Err.Error() {
		t.Errorf("the replay ends with %v, want %v", replayed2.Err, rep.Err)
	}
	before := file(t, rep.Path, "journal.jsonl")
	again := resumed(t, rep.Path, journal.Failed)
	if again.Err.Error() != rep.Err.Error() || !bytes.Equal(before, file(t, rep.Path, "journal.jsonl")) {
		t.Errorf("resuming a script that fails again wrote a journal or another error: %v", again.Err)
	}
}

// TestWrongCallIsNoStep says that arguments that do not go together are the
// script's mistake: nothing is asked, and the run does not wait to be resumed.
func TestWrongCallIsNoStep(t *testing.T) {
	for _, call := range []string{
		`patches.show { grey = 1, rgb = { 1, 1, 1 } }`, `patches.show { nits = 100 }`, `patches.show { code = 255 }`,
		`patches.show { window = 180, grey = 1 }`, `unit.set {}`, `operator.choose("Which?", {})`, `meter.read { repeats = 0 / 0 }`,
		`clock.wait(1 / 0)`, `meter.read { repeats = "five" }`,
	} {
		rep := ran(t, simSpec(t, procedureOf(call)), journal.Failed)
		if e := asScriptError(t, rep.Err); e.Line != firstLine {
			t.Errorf("%s: the error has line %d, want %d", call, e.Line, firstLine)
		}
		if j := journalOf(t, rep.Path); j.Steps() > 0 || j.Unanswered() > 0 {
			t.Errorf("%s: was asked", call)
		}
	}
}

// TestSettingsUnderFormerNames: a unit file that lists a control by a former name of
// the settings' is taken; one that lacks it is refused.
func TestSettingsUnderFormerNames(t *testing.T) {
	p := sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = { value = "off", formerly = { "Adaptive brightness" } } }, run = function() meter.read() end }`)
	for name, wrong := range map[string]bool{"Adaptive brightness": false, "Automatic brightness": false, "Ambient": true} {
		s := simSpec(t, p)
		s.Unit = get(bench.ParseUnit("unit.toml", []byte("name = \"Crake 2\"\n[controls.\""+name+"\"]\nvalues = [\"on\", \"off\"]\n")))(t)
		if _, err := engine.Run(context.Background(), s); (err != nil) != wrong {
			t.Errorf("a unit with the control %q: %v", name, err)
		}
	}
}

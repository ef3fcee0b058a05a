package engine_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/script"
	"candelua/engine/store"
)

// jobOver is another script over a copy of a run's journal.
func jobOver(t *testing.T, path, body string, live bool) *play.Job {
	t.Helper()
	job := jobWith(t, path, string(procedureOf(body).Source))
	if live {
		job.Open = func(ctx context.Context) (*bench.Bench, error) { return bench.Open(ctx, bench.SimFile, simOpeners()) }
	}
	return job
}

// jobWith is another whole script over a copy of a run's journal.
func jobWith(t *testing.T, path, src string) *play.Job {
	t.Helper()
	p := sourceOf(src)
	to := filepath.Join(t.TempDir(), "journal.jsonl")
	must(t, os.WriteFile(to, file(t, path, "journal.jsonl"), 0o644))
	h := get(history.Read(get(journal.Open(to, journal.Options{}))(t)))(t)
	t.Cleanup(func() { must(t, h.Journal.Close()) })
	return play.NewJob(get(script.Compile(p.File, p.Source, nil, builtins.Modules()))(t), h)
}

const recordedBody = `patches.show { grey = 0.5, window = 10 }
meter.read { repeats = 2 }
clock.wait(5)
unit.set { Brightness = 50 }
run.decide("go", true)
meter.read()`

// TestDivergence edits a script at each step, and wants it refused at exactly
// that step, on a replay and on a resumption.
func TestDivergence(t *testing.T) {
	done := ran(t, simSpec(t, procedureOf(recordedBody)), journal.Done)
	half := stopped(t, simSpec(t, procedureOf(recordedBody)), 6)
	for _, c := range []struct {
		from, to string
		step     int
		fields   string
		texts    []string
	}{
		{"grey = 0.5", "grey = 0.6", 1, "grey", []string{"recorded:    patches.show{grey=0.5, window=10}   probe.lua:5",
			"asked now:   patches.show{grey=0.6, window=10}", "last agreed: none; this is the first step"}},
		{"window = 10", "window = 10.00001", 1, "window", nil},
		{"grey = 0.5", "rgb = { 0.5, 0.5, 0.5 }", 1, "grey rgb", nil},
		{"repeats = 2", "repeats = 3, relative = 1", 2, "relative repeats", []string{"meter.read{repeats=2}", "meter.read{repeats=3, relative=1}",
			"last agreed: step 1, patches.show{grey=0.5, window=10}   probe.lua:5"}},
		{"meter.read { repeats = 2 }", "meter.named('reference').read { repeats = 2 }", 2, "", []string{"on meter", "on reference"}},
		{"clock.wait(5)", "clock.wait(6)", 3, "seconds", nil},
		{"clock.wait(5)\n", "\n", 3, "", []string{"recorded:    clock.wait", "asked now:   unit.set"}},
		{"Brightness = 50", "Contrast = 50", 4, "Brightness Contrast", nil},
		{"Brightness = 50", `Brightness = "50"`, 4, "Brightness", nil},
		{`"go", true`, `"stay", true`, 5, "name", nil},
	} {
		edited := strings.Replace(recordedBody, c.from, c.to, 1)
		if edited == recordedBody {
			t.Fatalf("%s is not in the script", c.from)
		}
		check := func(out *play.Outcome, err error) {
			t.Helper()
			must(t, err)
			var d *play.DivergenceError
			if out.Status != journal.Failed || !errors.As(out.Err, &d) {
				t.Errorf("%s: ends %s with %v", c.to, out.Status, out.Err)
				return
			}
			line := fmt.Sprintf("probe.lua:%d", firstLine+c.step-1)
			if d.Step != c.step || strings.Join(d.Fields, " ") != c.fields || d.RecordedAt != line || out.Steps != c.step-1 {
				t.Errorf("%s: differs at step %d in %v, recorded at %s, after %d steps", c.to, d.Step, d.Fields, d.RecordedAt, out.Steps)
			}
			has(t, d.Error(), append(c.texts, fmt.Sprintf("%s: step %d differs from the journal\n", d.At, c.step))...)
			has(t, fault.HintOf(out.Err), fmt.Sprintf("the script was changed before step %d", c.step))
		}
		check(jobOver(t, done.Path, edited, false).Replay(context.Background()))
		job := jobOver(t, half.Path, edited, true)
		records := job.History.Journal.Records()
		check(job.Execute(context.Background()))
		if job.History.Journal.Records() != records {
			t.Errorf("%s: a script that differs has written to the journal of a run that had ended", c.to)
		}
	}
}

// TestAgreement says what may be edited.
func TestAgreement(t *testing.T) {
	done := ran(t, simSpec(t, procedureOf(recordedBody)), journal.Done)
	for _, edit := range [][2]string{
		{"grey = 0.5", "grey = 0.5 + 1e-13"},
		{"window = 10", "window = 10, signal = 'sdr', bits = 0"},
		{`"go", true`, `"go", false`}, // the recorded decision holds
		{"clock.wait(5)", "\n\nrecord.note('mended') clock.wait(5)"},
		{"clock.wait(5)", "run.part('new', function() clock.wait(5) end)"},
		{"clock.wait(5)", "run.unbroken('new', function() clock.wait(5) end)"},
	} {
		edited := strings.Replace(recordedBody, edit[0], edit[1], 1)
		out := get(jobOver(t, done.Path, edited, false).Replay(context.Background()))(t)
		if out.Status != journal.Done || edited == recordedBody {
			t.Errorf("%s: %s, %v", edit[1], out.Status, out.Err)
		}
	}
	half := stopped(t, simSpec(t, procedureOf(recordedBody)), 6)
	for _, edit := range []string{"run.part('new', function() clock.wait(5) end)", "run.part('new', function() clock.wait(5) run.part('inner', function() end) end)"} {
		out := get(jobOver(t, half.Path, strings.Replace(recordedBody, "clock.wait(5)", edit, 1), true).Execute(context.Background()))(t)
		if out.Status != journal.Done {
			t.Errorf("%s: %s, %v", edit, out.Status, out.Err)
		}
	}
}

func TestLeftOver(t *testing.T) {
	done := ran(t, simSpec(t, procedureOf(recordedBody)), journal.Done)
	out := get(jobOver(t, done.Path, strings.Replace(recordedBody, "meter.read()", "", 1), false).Replay(context.Background()))(t)
	var left *play.LeftOverError
	if !errors.As(out.Err, &left) || out.Status != journal.Failed || left.Used != 5 || left.Recorded != 6 {
		t.Fatalf("ends %s with %v", out.Status, out.Err)
	}
	has(t, left.Error(), "the script asks for 5 steps, and the journal holds 6; the first that the script does not ask for is step 6, meter.read")
}

// TestJournalEnds is a script that asks for more of a run that was done.
func TestJournalEnds(t *testing.T) {
	done := ran(t, simSpec(t, procedureOf(recordedBody)), journal.Done)
	out := get(jobOver(t, done.Path, recordedBody+"\nclock.wait(1)", false).Replay(context.Background()))(t)
	if !errors.Is(out.Err, play.ErrJournalEnds) || out.Status != journal.Failed {
		t.Fatalf("ends %s with %v", out.Status, out.Err)
	}
	if e := asScriptError(t, out.Err); e.Line != firstLine+6 {
		t.Errorf("the error has line %d, want %d", e.Line, firstLine+6)
	}
}

// catchers try to go on after whatever it is that stops a run.
var catchers = []string{
	`local ok = pcall(function() %s end) record.note("caught")`,
	`pcall(pcall, function() %s end) record.note("caught")`,
	`xpcall(function() %s end, function() record.note("caught") end) record.note("caught")`,
	`return pcall(function() %s end)`,
	`while true do pcall(function() %s end) end`,
	`pcall(function() run.part("p", function() %s end) end) record.note("caught")`,
	`pcall(table.sort, { 2, 1, 3 }, function() %s end) record.note("caught")`,
	`pcall(function() setmetatable({}, { __index = function() %s end }).x = nil; local _ = setmetatable({}, { __index = function() %s end }).x end) record.note("caught")`,
}

// TestNothingCatchesAStop tries to catch a divergence, the journal's end, a
// stop, a pause and a panic.
func TestNothingCatchesAStop(t *testing.T) {
	done := ran(t, simSpec(t, procedureOf(`meter.read()`)), journal.Done)
	for _, catch := range catchers {
		body := func(step string) string { return strings.ReplaceAll(catch, "%s", step) }
		ends := func(what string, out *play.Outcome, err error, ok func(error) bool) {
			t.Helper()
			must(t, err)
			if out.Err == nil || !ok(out.Err) || len(out.Results.Notes()) > 0 {
				t.Errorf("%s: %s: ends %s with %v, notes %v", what, catch, out.Status, out.Err, out.Results.Notes())
			}
		}
		is := func(target error) func(error) bool { return func(err error) bool { return errors.Is(err, target) } }
		var divergence *play.DivergenceError
		out, err := jobOver(t, done.Path, body("clock.wait(1)"), false).Replay(context.Background())
		ends("divergence", out, err, func(err error) bool { return errors.As(err, &divergence) })
		out, err = jobOver(t, done.Path, "meter.read() "+body("clock.wait(1)"), false).Replay(context.Background())
		ends("journal's end", out, err, is(play.ErrJournalEnds))
		ends("stop", stopped(t, simSpec(t, procedureOf(body("clock.wait(1)"))), 1).Outcome, nil, is(play.ErrInterrupted))
		for what, fail := range map[string]func() error{
			"pause": func() error { return bench.ErrPaused }, "panic": func() error { panic("boom") },
		} {
			f := &faults{read: func(int) error { return fail() }}
			rep, err := engine.Run(context.Background(), f.spec(t, body("meter.read()")))
			must(t, err)
			ends(what, rep.Outcome, nil, map[string]func(error) bool{"pause": is(bench.ErrPaused), "panic": is(fault.ErrInternal)}[what])
		}
	}
}

// TestChangedScript refuses a stored script that is not the one of the run.
func TestChangedScript(t *testing.T) {
	rep := stopped(t, simSpec(t, shipped(t, "window-sweep"), smallRuns[0].set...), 5)
	for _, name := range []string{"window-sweep.lua", "plateau.lua"} {
		path := copied(t, rep.Path, file(t, rep.Path, "journal.jsonl"))
		script := filepath.Join(path, "procedure", name)
		for _, change := range []func() error{
			func() error { return os.WriteFile(script, append(file(t, script), ' '), 0o644) },
			func() error { return os.WriteFile(script, []byte("error('hand-made'"), 0o644) },
		} {
			must(t, change())
			_, errResume := engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenSim})
			_, errReplay := engine.Replay(context.Background(), path, plain())
			for _, err := range []error{errResume, errReplay} {
				if !errors.Is(err, fault.ErrUsage) {
					t.Fatalf("%s: got %v, want a wrong use", name, err)
				}
				has(t, err.Error(), name+" in the run's folder is not the script that the run was made with")
			}
		}
		must(t, os.Remove(script))
		if _, err := engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenSim}); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s is missing: got %v", name, err)
		}
	}
}

// TestFlippedDigit changes one digit in each record of a journal.
func TestFlippedDigit(t *testing.T) {
	rep := stopped(t, simSpec(t, procedureOf(parted)), 9)
	data := file(t, rep.Path, "journal.jsonl")
	ends := lineEnds(data)
	for i, end := range ends {
		from := 0
		if i > 0 {
			from = ends[i-1]
		}
		at := from + bytes.IndexAny(data[from:end], "123456")
		flipped := bytes.Clone(data)
		flipped[at]++
		path := copied(t, rep.Path, flipped)
		_, errResume := engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenSim})
		_, errReplay := engine.Replay(context.Background(), path, plain())
		for _, err := range []error{errResume, errReplay} {
			var version *journal.VersionError
			if i == 0 && errors.As(err, &version) {
				continue // the first digit is the format's
			}
			var damage *journal.DamageError
			if !errors.As(err, &damage) || damage.Record != i+1 {
				t.Errorf("record %d: got %v", i+1, err)
			}
		}
		if !bytes.Equal(file(t, path, "journal.jsonl"), flipped) {
			t.Errorf("record %d: a damaged journal was changed", i+1)
		}
	}
}

func TestLockedFolder(t *testing.T) {
	rep := stopped(t, simSpec(t, procedureOf(parted)), 5)
	open := get(store.Open(rep.Path))(t)
	_, errResume := engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopenSim})
	_, errReplay := engine.Replay(context.Background(), rep.Path, plain())
	for _, err := range []error{errResume, errReplay} {
		if !errors.Is(err, store.ErrLocked) || !errors.Is(err, fault.ErrUsage) {
			t.Errorf("got %v, want that the run is open elsewhere", err)
		}
	}
	must(t, open.Close())
	resumed(t, rep.Path, journal.Done)
}

// TestReplayDiffers writes nothing, and tells what differs from the recorded results.
func TestReplayDiffers(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(`record.value { name = "Y", value = 2 }`)), journal.Done)
	results := filepath.Join(rep.Path, "results.json")
	changed := bytes.Replace(file(t, results), []byte(`"value": 2`), []byte(`"value": 3`), 1)
	if bytes.Equal(changed, file(t, results)) {
		changed = bytes.Replace(changed, []byte(`"value":2`), []byte(`"value":3`), 1)
	}
	must(t, os.WriteFile(results, changed, 0o644))
	again := get(engine.Replay(context.Background(), rep.Path, plain()))(t)
	if len(again.Differences) != 1 {
		t.Fatalf("differences are %v, want one", again.Differences)
	}
	has(t, again.Differences[0].String(), "y", "3", "2")
	if !bytes.Equal(file(t, results), changed) {
		t.Error("the replay has written results")
	}
}

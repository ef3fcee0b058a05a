package engine_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/script"
)

var errCable = bench.Errorf(bench.CodeTimeout, "look at the cable", "the meter did not answer")

// failsAt makes these reads of a bench fail.
func failsAt(numbers ...int) *faults {
	return &faults{read: func(n int) error {
		for _, x := range numbers {
			if n == x {
				return errCable
			}
		}
		return nil
	}}
}

// TestCaughtFailure is an answer: the script is told the same on a live run and
// on a replay, and goes on.
func TestCaughtFailure(t *testing.T) {
	f := failsAt(2)
	rep := ran(t, f.spec(t, `
    patches.show { grey = 1 }
    meter.read()
    local ok, e = pcall(meter.read)
    record.note(string.format("%s %s %s %s %s", tostring(ok), e.code, e.message, e.hint, tostring(e)))
    record.value { name = "Y", value = meter.read().Y }`), journal.Done)
	note := rep.Results.Notes()[0].Text
	if want := "false timeout meter.read: the meter did not answer look at the cable meter.read: the meter did not answer"; note != want {
		t.Errorf("the script was told %q, want %q", note, want)
	}
	if f.reads != 3 {
		t.Errorf("%d reads, want 3", f.reads)
	}
	s := get(journalOf(t, rep.Path).Step(3))(t)
	if s.Failure == nil || *s.Failure != (journal.Failure{Code: "timeout", Message: "the meter did not answer", Hint: "look at the cable"}) || s.Answer != nil {
		t.Errorf("step 3 is kept as %+v", s)
	}
	replayed(t, rep.Path, journal.Done)
	w := wholeOf(t, rep.Path)
	for i, end := range lineEnds(w.journal) {
		path := copied(t, w.path, w.journal[:end])
		g := &faults{read: func(n int) error { // the same failure, if it has not happened yet
			if j := journalOf(t, path); j.Steps() == 2 {
				return errCable
			}
			return nil
		}}
		if end == len(w.journal) {
			break
		}
		wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: g.reopen}))
		w.equals(t, path, fmt.Sprint("cut after record ", i+1))
	}
}

// overheard is a failure whose driver kept what went over the link.
type overheard struct{ error }

func (overheard) Traffic() string { return `sent "M\r"; received "O"` }
func (e overheard) Unwrap() error { return e.error }

// TestTraffic: what went to and from an instrument is kept with the step that failed, and changes nothing else.
func TestTraffic(t *testing.T) {
	f := &faults{read: func(n int) error {
		if n == 2 {
			return overheard{errCable}
		}
		return nil
	}}
	rep := ran(t, f.spec(t, `
    patches.show { grey = 1 }
    meter.read()
    local ok, e = pcall(meter.read)
    record.note(e.code .. " " .. e.message)
    record.value { name = "Y", value = meter.read().Y }`), journal.Done)
	if note := rep.Results.Notes()[0].Text; note != "timeout meter.read: the meter did not answer" {
		t.Errorf("the script was told %q", note)
	}
	s := get(journalOf(t, rep.Path).Step(3))(t)
	if want := `{"traffic":"sent \"M\\r\"; received \"O\""}`; s.Failure == nil || string(s.Answer) != want {
		t.Errorf("step 3 keeps %s, want %s", s.Answer, want)
	}
	replayed(t, rep.Path, journal.Done)
}

// TestUncaughtFailure pauses the run, whose resumption takes the step again.
func TestUncaughtFailure(t *testing.T) {
	body := `
    patches.show { grey = 1 }
    run.part("reads", function()
      for i = 1, 3 do record.value { name = "Y" .. i, value = meter.read().Y } end
    end)`
	undisturbed := ran(t, simSpec(t, procedureOf(body)), journal.Done)
	rep := ran(t, failsAt(2).spec(t, body), journal.Paused)
	var step *script.StepError
	if !errors.As(rep.Err, &step) || step.Step != 3 || !errors.Is(rep.Err, bench.ErrTimeout) {
		t.Fatalf("the run ends with %v", rep.Err)
	}
	if e := asScriptError(t, rep.Err); e.Line != firstLine+3 || e.Hint() != "look at the cable" {
		t.Errorf("the error has line %d and hint %q", e.Line, e.Hint())
	}
	has(t, kinds(t, rep.Path), "void, aside safe-end, end")
	m := metaOf(t, rep.Path)
	if m.Status != journal.Paused || len(m.Voids) != 1 || untimed(m.Voids[0]) != (history.Void{From: 3, Steps: 1, Reason: "it failed: the meter did not answer"}) {
		t.Errorf("run.json: %+v", m)
	}
	replayed(t, rep.Path, journal.Paused)
	again := resumed(t, rep.Path, journal.Done)
	if again.Steps != undisturbed.Steps {
		t.Errorf("%d steps, want %d", again.Steps, undisturbed.Steps)
	}
	has(t, string(file(t, rep.Path, "results.json")), `"y1"`, `"y2"`, `"y3"`)
	replayed(t, rep.Path, journal.Done)
	if b := journalOf(t, rep.Path).Blocks(); len(b) != 1 || !b[0].Closed || b[0].Failed {
		t.Errorf("blocks are %+v, want one that ended well", b)
	}
}

// TestAnswerBeforeTheStop is kept: what came all the same is not asked again.
func TestAnswerBeforeTheStop(t *testing.T) {
	ctx, cancel := context.WithCancelCause(context.Background())
	f := &faults{after: func() { cancel(play.ErrInterrupted) }}
	rep := wants(t, journal.Paused)(engine.Run(ctx, f.spec(t, `patches.show { grey = 1 } meter.read()`)))
	if !errors.Is(rep.Err, play.ErrInterrupted) || rep.Steps != 1 || journalOf(t, rep.Path).Steps() != 1 {
		t.Errorf("%d steps, ends with %v", rep.Steps, rep.Err)
	}
	resumed(t, rep.Path, journal.Done)
	if m := metaOf(t, rep.Path); m.Retakes != 0 {
		t.Errorf("%d retakes, want none", m.Retakes)
	}
}

// TestRetakeIsMarked says that a reading that was cut off is taken again, and
// that the record says so.
func TestRetakeIsMarked(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(`patches.show { grey = 1 } meter.read { repeats = 3 }`)), journal.Done)
	data := file(t, rep.Path, "journal.jsonl")
	path := copied(t, rep.Path, data[:lineEnds(data)[5]]) // head, ask, answer, ask, two samples
	resumed(t, path, journal.Done)
	if m := metaOf(t, path); m.Retakes != 1 || len(m.Pauses) != 1 {
		t.Errorf("run.json has %d retakes and %d pauses, want one each", m.Retakes, len(m.Pauses))
	}
}

// TestDriverPanics ends a run as a failure with a clear error, a folder that
// can be read and a dark screen.
func TestDriverPanics(t *testing.T) {
	boom := errors.New("boom")
	for _, c := range []struct {
		name string
		f    *faults
		line int
	}{
		{"meter", &faults{read: func(int) error { panic(boom) }}, firstLine + 1},
		{"meter, out of range", &faults{read: func(n int) error { return []error{}[n] }}, firstLine + 1},
		{"patches", &faults{show: func(p bench.Patch) error {
			if p.RGB[0] == 1 {
				panic(boom)
			}
			return nil
		}}, firstLine},
	} {
		c.f.close = func() error { panic("and in closing too") }
		rep := ran(t, c.f.spec(t, "patches.show { grey = 1 }\npcall(function() meter.read() end)"), journal.Failed)
		if !errors.Is(rep.Err, fault.ErrInternal) {
			t.Errorf("%s: the run ends with %v", c.name, rep.Err)
		}
		has(t, rep.Err.Error(), fmt.Sprintf("probe.lua:%d: ", c.line), "an error inside candelua, not in the script: ")
		if strings.Contains(rep.Err.Error(), "goroutine") || strings.Contains(rep.Err.Error(), ".go:") {
			t.Errorf("%s: the error has a trace: %v", c.name, rep.Err)
		}
		if c.f.last().RGB[0] != 0 {
			t.Errorf("%s: %v is left on the screen", c.name, c.f.last())
		}
		has(t, kinds(t, rep.Path), "aside safe-end, end")
		if m := metaOf(t, rep.Path); m.Status != journal.Failed {
			t.Errorf("%s: run.json says %s", c.name, m.Status)
		}
		if out := wants(t, journal.Failed)(engine.Replay(context.Background(), rep.Path, plain())); len(out.Differences) > 0 {
			t.Errorf("%s: the replay differs: %v", c.name, out.Differences)
		}
		resumed(t, rep.Path, journal.Done)
	}
}

// TestSafeEnd says that the screen is dark however a run ended.
func TestSafeEnd(t *testing.T) {
	ctx, cancel := context.WithCancelCause(context.Background())
	defer cancel(nil)
	for _, c := range []struct {
		name, body string
		status     journal.Standing
		stop       bool
	}{
		{"done", `patches.show { grey = 1 }`, journal.Done, false},
		{"failed", `patches.show { grey = 1 } error("oh")`, journal.Failed, false},
		{"paused", `patches.show { grey = 1 } meter.read()`, journal.Paused, false},
		{"stopped", `patches.show { grey = 1 } meter.read()`, journal.Paused, true},
	} {
		f := failsAt(1)
		s := f.spec(t, c.body)
		ctx := ctx
		if c.stop {
			f.read = nil
			s.Tell = play.Steps(func(p play.Progress) {
				if p.Name == "meter.read" {
					cancel(play.ErrInterrupted)
				}
			})
		}
		rep := wants(t, c.status)(engine.Run(ctx, s))
		if len(f.shown) != 2 || f.last().RGB != [3]float64{} || f.last().Window != 100 {
			t.Errorf("%s: %v was shown", c.name, f.shown)
		}
		has(t, kinds(t, rep.Path), "aside safe-end, end")
		if steps := journalOf(t, rep.Path).Steps(); steps != 1 && !c.stop {
			t.Errorf("%s: %d steps, want 1: the safe end is none", c.name, steps)
		}
	}
	f := &faults{}
	ran(t, f.spec(t, `clock.wait(1)`), journal.Done)
	if len(f.shown) > 0 {
		t.Errorf("%v was shown by a run without patches", f.shown)
	}
}

// TestSafeEndFails is not hidden.
func TestSafeEndFails(t *testing.T) {
	for _, fail := range []func() error{func() error { return errCable }, func() error { panic("boom") }} {
		f := &faults{show: func(p bench.Patch) error {
			if p.RGB[0] == 0 {
				return fail()
			}
			return nil
		}}
		rep := ran(t, f.spec(t, `patches.show { grey = 1 }`), journal.Done)
		var failure *journal.Failure
		for _, r := range journalOf(t, rep.Path).All() {
			if r.Name == "safe-end" {
				failure = r.Failure
			}
		}
		if failure == nil {
			t.Error("the journal does not say that the safe end failed")
		}
	}
}

// TestSafeEndAfterKill makes a unit dark that a crash has left lit, where the
// run only had its end to write.
func TestSafeEndAfterKill(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(`patches.show { grey = 1 }`)), journal.Done)
	data := file(t, rep.Path, "journal.jsonl")
	ends := lineEnds(data)
	for records, want := range map[int]int{len(ends) - 2: 1, len(ends) - 1: 0} {
		path := copied(t, rep.Path, data[:ends[records-1]])
		f := &faults{}
		wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: f.reopen}))
		if len(f.shown) != want {
			t.Errorf("cut after record %d: %d patches were shown, want %d", records, len(f.shown), want)
		}
		if got := strings.Count(kinds(t, path), "safe-end"); got != 1 {
			t.Errorf("cut after record %d: %d safe ends, want 1", records, got)
		}
	}
}

// TestRestoreFails leaves a run paused that cannot put the bench back.
func TestRestoreFails(t *testing.T) {
	rep := stopped(t, simSpec(t, procedureOf(`patches.show { grey = 1 } clock.wait(1) meter.read()`)), 3)
	for _, fail := range []func() error{func() error { return errCable }, func() error { return bench.ErrPaused }} {
		f := &faults{show: func(p bench.Patch) error {
			if p.RGB[0] == 1 {
				return fail()
			}
			return nil
		}}
		again := wants(t, journal.Paused)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: f.reopen}))
		has(t, again.Err.Error(), "the bench cannot be set up again as the run left it: ")
	}
	resumed(t, rep.Path, journal.Done)
	replayed(t, rep.Path, journal.Done)
}

// TestOtherInstruments warns of instruments that changed while a run was paused.
func TestOtherInstruments(t *testing.T) {
	for _, c := range []struct {
		name string
		id   func(*bench.Identity)
		want string
	}{
		{"serial", func(id *bench.Identity) { id.Serial = "B-2" }, "the meter is not the one that the run was made with: it was "},
		{"floor", func(id *bench.Identity) { id.Floor = 7 }, "now states another firmware, floor or accuracy than when the run began"},
	} {
		rep := ran(t, failsAt(2).spec(t, `patches.show { grey = 1 } meter.read() meter.read()`), journal.Paused)
		h := &heard{}
		f := &faults{id: c.id}
		wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: h.setup(), Reopen: f.reopen}))
		if len(h.warnings) != 1 {
			t.Fatalf("%s: warnings are %q, want one", c.name, h.warnings)
		}
		has(t, h.warnings[0], c.want)
	}
	rep := ran(t, failsAt(2).spec(t, `patches.show { grey = 1 } meter.read() meter.read()`), journal.Paused)
	h := &heard{}
	_, err := engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: h.setup(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
		return get(bench.ParseFile("bench.toml", []byte("[meter]\ndriver = \"sim\"\n[patches]\ndriver = \"sim\"\n")))(t), simOpeners(), nil
	}})
	must(t, err)
	has(t, strings.Join(h.warnings, "\n"), "the reference that the run was made with, ", "is no longer connected")
}

// TestResumeWithoutBench leaves a run as it is.
func TestResumeWithoutBench(t *testing.T) {
	rep := ran(t, failsAt(2).spec(t, `patches.show { grey = 1 } meter.read() meter.read()`), journal.Paused)
	journal, meta := string(file(t, rep.Path, "journal.jsonl")), string(file(t, rep.Path, "run.json"))
	for _, f := range []*faults{{open: func(int) error { return errCable }}, {open: func(int) error { panic("boom") }}} {
		out, err := engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: f.reopen})
		if out.Outcome != nil || out.Path != rep.Path || !errors.Is(err, fault.ErrUsage) {
			t.Errorf("got %v, %v", out, err)
		}
	}
	_, err := engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
		return nil, nil, errCable
	}})
	if !errors.Is(err, errCable) {
		t.Errorf("got %v", err)
	}
	if journal != string(file(t, rep.Path, "journal.jsonl")) || meta != string(file(t, rep.Path, "run.json")) {
		t.Error("a resumption that could not begin changed the run")
	}
}

package engine_test

import (
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
	"candelua/engine/procedure"
	"candelua/engine/script"
	"candelua/engine/survey"
	"candelua/testdata/campaign"
)

// nested are stretches within stretches, schedules in them, guards, chance that
// is drawn between steps, and interludes of their own.
var nested = map[string]string{
	"unbroken in part in unbroken": `
    run.unbroken("outer", { before_restart = function() record.note("outer again") end }, function()
      patches.show { grey = 1 }
      run.part("middle", function()
        run.unbroken("inner", { before_restart = function() record.note("inner again") end }, function() meter.read() clock.wait(1) end)
        run.unbroken("inner", function() meter.read() end)
      end)
      meter.read()
    end)
    record.value { name = "Y", value = meter.read().Y }`,
	"schedule in unbroken": `
    patches.show { grey = 1 }
    local sum = 0
    run.unbroken("outer", { before_restart = function() clock.wait(0) end }, function()
      clock.every { period = 2, duration = 6, run = function(tick)
        sum = sum + meter.read().Y * run.shuffle("order " .. tick, { 1, 2, 3 })[1]
        if tick == 2 then return false end
      end }
    end)
    record.value { name = "Sum", value = sum * math.random() }`,
	"guard in unbroken": `
    run.unbroken("outer", function()
      local guard = run.guard { patch = { grey = 0.5, window = 10 }, every = 4, within = 50 }
      for i = 1, 3 do
        patches.show { grey = i / 3, window = 10 }
        record.value { name = "Y" .. i, value = meter.read({ after = 1 }).Y + math.random(10) }
        guard:look()
      end
    end)`,
	"parts left by errors": `
    for i = 1, 2 do
      pcall(function()
        run.unbroken("left", { before_restart = function() clock.wait(0) end }, function()
          patches.show { grey = i / 2 }
          run.part("inner", function() meter.read() error("left") end)
        end)
      end)
    end
    run.part("empty", function() run.unbroken("empty", function() end) end)
    record.value { name = "Y", value = meter.read().Y * math.random() }`,
	"decides in blocks": `
    patches.show { grey = 1 }
    local n = run.unbroken("choose", function() return run.decide("n", 1 + math.floor(meter.read().Y) % 3) end)
    for i = 1, n do run.unbroken("again", function() meter.read() end) end
    record.value { name = "N", value = n + math.random() }`,
}

// valuesAlone are the values of a run's results, since an interlude adds notes.
func valuesAlone(t *testing.T, path string) string {
	t.Helper()
	text := string(file(t, path, "results.json"))
	return text[strings.Index(text, `"values"`):strings.Index(text, `"notes"`)]
}

// TestNestedSurvive cuts runs of stretches within stretches after every record,
// resumes, cuts that in its middle and resumes again. Crashes take no time, so
// all come to the values of a run that was not interrupted.
func TestNestedSurvive(t *testing.T) {
	for name, body := range nested {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rep := ran(t, simSpec(t, procedureOf(body)), journal.Done)
			want, whole := valuesAlone(t, rep.Path), file(t, rep.Path, "journal.jsonl")
			ends := lineEnds(whole)
			for _, i := range campaign.Numbers(t, len(ends)-1, 5) {
				path := copied(t, rep.Path, whole[:ends[i]])
				resumed(t, path, journal.Done)
				replayed(t, path, journal.Done)
				if got := valuesAlone(t, path); got != want {
					t.Fatalf("cut after record %d: values are\n%s\nwant\n%s", i+1, got, want)
				}
				now := file(t, path, "journal.jsonl")
				later := lineEnds(now)
				path = copied(t, path, now[:later[(i+len(later))/2]])
				resumed(t, path, journal.Done)
				replayed(t, path, journal.Done)
				if got := valuesAlone(t, path); got != want {
					t.Fatalf("cut after record %d, and again after %d: values are\n%s\nwant\n%s", i+1, (i+len(later))/2+1, got, want)
				}
			}
			t.Logf("%d records", len(ends))
		})
	}
}

// fromStep takes steps anew from one on.
func fromStep(t *testing.T, path string, n int, stood float64, with *procedure.Procedure) (*engine.Report, error) {
	t.Helper()
	return engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenSim, From: n, Because: "once more", Stood: stood, With: with})
}

// TestFromEveryStep takes steps anew from each on, those of on_resume and
// before_restart among them, twice in a row.
func TestFromEveryStep(t *testing.T) {
	rep := stopped(t, simSpec(t, sourceOf(warming)), 5)
	stoodResumed(t, rep.Path, 60)
	steps, whole := journalOf(t, rep.Path).Steps(), file(t, rep.Path, "journal.jsonl")
	for n := 1; n <= steps; n++ {
		path := copied(t, rep.Path, whole)
		wants(t, journal.Done)(fromStep(t, path, n, 30, nil))
		replayed(t, path, journal.Done)
		again := 1 + (n+3)%journalOf(t, path).Steps()
		wants(t, journal.Done)(fromStep(t, path, again, 0, nil))
		replayed(t, path, journal.Done)
		if got := readingsIn(t, path); got < readingsIn(t, rep.Path) {
			t.Errorf("from %d and %d: %d readings are left", n, again, got)
		}
	}
}

// TestEditsInARow edits a run several times, with steps set aside and without,
// takes on_resume out and puts it in, and replays each time.
func TestEditsInARow(t *testing.T) {
	body := func(extra, onResume string) *procedure.Procedure {
		return sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {}, patches = {} }, ` + onResume + `
  run = function(p)
    patches.show { grey = 1 }
    local a = meter.read()
    local b = meter.read()
    record.value { name = "Sum", value = a.Y + b.Y ` + extra + ` }
  end }`)
	}
	warm := `on_resume = function(p, pause) clock.wait(7) end,`
	for i, c := range []struct{ first, second string }{{"", warm}, {warm, ""}, {"", ""}, {warm, warm}} {
		rep := stopped(t, simSpec(t, body("", c.first)), 3)
		stoodResumed(t, rep.Path, 10)
		readings := readingsIn(t, rep.Path)
		for n, p := range []*procedure.Procedure{body("+ 1", c.second), body("+ 2", c.first), body("+ 3", c.second)} {
			from := journalOf(t, rep.Path).Steps()
			out, err := fromStep(t, rep.Path, from, 5, p)
			must(t, err)
			var d *play.DivergenceError
			if out.Status != journal.Done && !(errors.As(out.Err, &d) && c.first != c.second) {
				t.Fatalf("%d, edit %d: %s, %v", i, n+1, out.Status, out.Err)
			}
			if out.Status != journal.Done { // an on_resume that is kept asks for the script that has it
				replayed(t, rep.Path, journal.Paused)
				wants(t, journal.Done)(fromStep(t, rep.Path, 3, 5, p))
			}
			replayed(t, rep.Path, journal.Done)
		}
		if got := readingsIn(t, rep.Path); got < readings+3 {
			t.Errorf("%d: %d readings, want at least %d", i, got, readings+3)
		}
		if e := metaOf(t, rep.Path).Edits; len(e) < 3 {
			t.Errorf("%d: %d edits are told", i, len(e))
		}
	}
}

// TestInterludesFail has steps of on_resume and before_restart fail: the run
// pauses there, and goes on once they succeed.
func TestInterludesFail(t *testing.T) {
	rep := stopped(t, simSpec(t, sourceOf(warming)), 5)
	whole := file(t, rep.Path, "journal.jsonl")
	for n := 1; n <= 3; n++ {
		path := copied(t, rep.Path, whole)
		f := failsAt(n) // of the reads: in on_resume, and those after it
		out, err := engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: f.reopen, Stood: 60})
		must(t, err)
		var step *script.StepError
		if out.Status != journal.Paused || !errors.As(out.Err, &step) {
			t.Fatalf("read %d: %s, %v", n, out.Status, out.Err)
		}
		replayed(t, path, journal.Paused)
		stoodResumed(t, path, 60)
		replayed(t, path, journal.Done)
	}
}

// TestCorruptAsides resumes and replays journals whose records outside the
// steps hold what no candelua wrote: an error or a result, and no panic.
func TestCorruptAsides(t *testing.T) {
	rep := stopped(t, simSpec(t, sourceOf(warming)), 5)
	for _, name := range []string{"scripts", "devices", "restore", "safe-end", "no such thing"} {
		for _, args := range []string{`null`, `[]`, `{}`, `7`, `"x"`, `{"file":"../x.lua","scripts":[{"name":"../x.lua","sha256":""}]}`, `[{"name":"meter"}]`,
			`{"file":"probe.lua","scripts":[]}`, `{"patch":{"window":-1}}`, `{"settings":[{"name":""}]}`} {
			path := copied(t, rep.Path, file(t, rep.Path, "journal.jsonl"))
			j := get(journal.Open(filepath.Join(path, "journal.jsonl"), journal.Options{}))(t)
			must(t, j.Append(journal.Record{Kind: journal.KindResume}))
			must(t, j.Append(journal.Record{Kind: journal.KindAside, Name: name, Device: "patches", Args: []byte(args)}))
			must(t, j.Close())
			what := fmt.Sprintf("aside %s %s", name, args)
			for _, do := range []func() error{
				func() error { _, err := engine.Replay(context.Background(), path, plain()); return err },
				func() error {
					rep, err := engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenSim})
					if err == nil {
						err = rep.Err
					}
					return err
				},
				func() error {
					_, err := survey.Inspect(context.Background(), path, true, builtins.Modules(), reopenSim)
					return err
				},
			} {
				if err := do(); err != nil && (errors.Is(err, fault.ErrInternal) || strings.Contains(err.Error(), "panic")) {
					t.Errorf("%s: %v", what, err)
				}
			}
			if _, err := os.Stat(filepath.Join(filepath.Dir(path), "x.lua")); err == nil {
				t.Errorf("%s wrote outside of the run", what)
			}
		}
	}
}

// rewarmed says how long it is told that the run stood, and decides by it.
const rewarmed = `return procedure { title = "T", purpose = "P", needs = { meter = {}, patches = {} },
  on_resume = function(p, pause)
    if run.decide("warm", pause.seconds >= 60) then clock.wait(2 * pause.seconds) end
    record.note(string.format("stood for %g s", pause.seconds))
  end,
  run = function(p)
    patches.show { grey = 1 }
    for i = 1, 4 do record.value { name = "Y" .. i, value = meter.read().Y } end
  end }`

// TestPauseInAPause interrupts the on_resume that lets a unit run again: the
// next one is told of both pauses, and one after work was done of its own only.
func TestPauseInAPause(t *testing.T) {
	rep := stopped(t, simSpec(t, sourceOf(rewarmed)), 3)
	for range 2 { // before its first step, and in its second
		out := resumedUntil(t, rep.Path, 3, 600)
		if out.Status != journal.Paused {
			t.Fatalf("%s, %v", out.Status, out.Err)
		}
	}
	if out := resumedUntil(t, rep.Path, 4, 10); out.Status != journal.Paused {
		t.Fatalf("%s, %v", out.Status, out.Err)
	}
	if out := resumedUntil(t, rep.Path, 6, 1); out.Status != journal.Paused { // a read is kept after on_resume
		t.Fatalf("%s, %v", out.Status, out.Err)
	}
	stoodResumed(t, rep.Path, 5)
	replayed(t, rep.Path, journal.Done)
	text := string(file(t, rep.Path, "results.json"))
	has(t, text, "stood for 1211 s", "stood for 5 s")
	if n := strings.Count(text, "stood for"); n != 2 {
		t.Errorf("%d notes, want those of the two on_resume that count:\n%s", n, text)
	}
	seconds := 0.0
	for _, p := range metaOf(t, rep.Path).Pauses {
		seconds += p.Seconds
	}
	if seconds != 1216 {
		t.Errorf("the pauses on record come to %g s, want 1216", seconds)
	}
}

// TestStrikeInOnResume withdraws an answer that was typed in on_resume: it is
// asked again, with the pause that it was asked for.
func TestStrikeInOnResume(t *testing.T) {
	c := &sleepy{}
	s := simSpec(t, sourceOf(`return procedure { title = "T", purpose = "P", needs = { operator = {} },
  on_resume = function(p, pause)
    record.note(string.format("%d s: lamp %g, hood %g", pause.seconds, operator.ask("Lamp", {}), operator.ask("Hood", {})))
  end,
  run = function(p)
    local a = operator.ask("A", {})
    record.value { name = "Sum", value = a + operator.ask("B", {}) }
  end }`))
	s.Bench, s.Openers = bench.OperatorFile, clockedOpeners(c, "1\n")
	rep := ran(t, s, journal.Paused)
	c.wall += 20 * 60e9
	wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
		return bench.OperatorFile, clockedOpeners(c, "7\nback\n8\n9\n2\n"), nil
	}}))
	replayed(t, rep.Path, journal.Done)
	has(t, string(file(t, rep.Path, "results.json")), "1200 s: lamp 8, hood 9")
	if got := valuesOf(t, rep.Path); got != "sum=3" {
		t.Errorf("values are %s", got)
	}
}

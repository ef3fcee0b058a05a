package engine_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/script"
	"candelua/testdata/campaign"
)

// warming is a procedure that warms up again before it goes on, and has a
// stretch that is let out before it starts over. Chance and settings must be
// those of a run that was not interrupted.
const warming = `return procedure {
  title = "T", purpose = "P", needs = { meter = {}, patches = {}, unit = { power = true } },
  settings = { ["Automatic brightness"] = "off", Brightness = "maximum" },
  on_resume = function(p, pause)
    record.note(string.format("warmed up again after %g s: %s", pause.seconds, pause.reason))
    unit.set { Brightness = 50 }
    patches.show { grey = 0.5 }
    run.part("warm", function() clock.wait(60) meter.read() end)
    math.random()
  end,
  run = function(p)
    patches.show { grey = 0.8, window = 10 }
    local a = meter.read()
    run.part("around", function()
      run.unbroken("decay", { before_restart = function()
        record.note("let out")
        patches.black()
        clock.wait(30)
      end }, function()
        patches.show { grey = 1, window = 10 }
        clock.wait(5)
        meter.read { after = 1 }
      end)
    end)
    patches.show { grey = 0.8, window = 10 }
    local b = meter.read { after = 5 }
    record.value { name = "Chance", value = math.random(1000) }
    record.value { name = "Same", value = math.abs(b.Y / a.Y - 1) < 0.1 and 1 or 0 }
    meter.read()
  end,
}
`

// resumedUntil goes on until a step is about to be taken, and is stopped there.
func resumedUntil(t *testing.T, path string, at int, stood float64) *engine.Report {
	t.Helper()
	ctx, cancel := context.WithCancelCause(context.Background())
	defer cancel(nil)
	s := plain()
	s.Tell = play.Steps(func(p play.Progress) {
		if p.Step == at {
			cancel(play.ErrInterrupted)
		}
	})
	rep, err := engine.Resume(ctx, path, engine.Resumption{Setup: s, Reopen: reopenSim, Stood: stood})
	must(t, err)
	return rep
}

func stoodResumed(t *testing.T, path string, stood float64) *engine.Report {
	t.Helper()
	return wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenSim, Stood: stood}))
}

// interludesOf lists the stretches in effect that an uninterrupted run lacks.
func interludesOf(j *journal.Journal) string {
	var all []string
	for _, b := range j.Blocks() {
		if strings.HasPrefix(b.Name, "on_resume") || strings.HasPrefix(b.Name, "before_restart") {
			all = append(all, fmt.Sprintf("%s %d-%d", b.Name, b.Next, b.Last))
		}
	}
	return strings.Join(all, ", ")
}

// TestInterludes stops a run at each of its steps, goes on after 20 minutes,
// and wants the interludes that the place asks for, a replay that agrees, and a
// bench that stands as before.
func TestInterludes(t *testing.T) {
	s := simSpec(t, sourceOf(warming))
	steps := ran(t, s, journal.Done).Steps
	if steps != 9 {
		t.Fatalf("the procedure has %d steps", steps)
	}
	for at := 1; at <= steps; at++ {
		s.Out = memoryDir(t)
		rep := stopped(t, s, at)
		stoodResumed(t, rep.Path, 1200)
		replayed(t, rep.Path, journal.Done)
		want := ""
		switch {
		case at == 1:
		case at >= 4 && at <= 6: // set aside from step 4 on
			want = "on_resume 4-7, before_restart of decay 8-9"
		default:
			want = fmt.Sprintf("on_resume %d-%d", at, at+3)
		}
		if got := interludesOf(journalOf(t, rep.Path)); got != want {
			t.Errorf("stopped at step %d: interludes are %q, want %q", at, got, want)
		}
		// The same random number as without a pause, and the same brightness.
		if got := valuesOf(t, rep.Path); got != valuesOf(t, ran(t, simSpec(t, sourceOf(warming)), journal.Done).Path) {
			t.Errorf("stopped at step %d: values are %s", at, got)
		}
		if m := metaOf(t, rep.Path); len(m.Pauses) != 1 || m.Pauses[0].Seconds != 1200 || m.Pauses[0].Reason != "stopped by the user" {
			t.Errorf("stopped at step %d: pauses are %+v", at, m.Pauses)
		}
		if at > 1 {
			has(t, string(file(t, rep.Path, "results.json")), "warmed up again after 1200 s: stopped by the user")
		}
	}
}

// TestManyInterruptions interrupts a run three times: in its unbroken stretch,
// in the on_resume that follows, and in the before_restart after that. Then the
// journal is cut after every record and the run goes on each time.
func TestManyInterruptions(t *testing.T) {
	rep := stopped(t, simSpec(t, sourceOf(warming)), 5)
	for _, at := range []int{6, 8, 9} { // in on_resume, before its part is over, in before_restart
		out := resumedUntil(t, rep.Path, at, 60)
		if out.Status != journal.Paused {
			t.Fatalf("stopped before step %d: %s, %v", at, out.Status, out.Err)
		}
		replayed(t, rep.Path, journal.Paused)
	}
	stoodResumed(t, rep.Path, 60)
	replayed(t, rep.Path, journal.Done)
	if got, want := interludesOf(journalOf(t, rep.Path)), "on_resume 4-7, before_restart of decay 8-9"; got != want {
		t.Errorf("interludes are %q, want %q", got, want)
	}
	whole := file(t, rep.Path, "journal.jsonl")
	ends, values := lineEnds(whole), valuesOf(t, rep.Path)
	for _, end := range campaign.Some(t, ends[:len(ends)-1], 10) {
		path := copied(t, rep.Path, whole[:end])
		resumed(t, path, journal.Done)
		replayed(t, path, journal.Done)
		if got := valuesOf(t, path); got != values {
			t.Errorf("cut after %d bytes: values are %s, want %s", end, got, values)
		}
	}
	t.Logf("%d cuts", len(ends)-1)
}

// TestOnResumeWithoutSteps counts the last one where several followed without
// a step between them.
func TestOnResumeWithoutSteps(t *testing.T) {
	s := simSpec(t, sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {}, patches = {} },
  on_resume = function(p, pause) run.part("said", function() record.note("paused for " .. pause.seconds .. " s") end) end,
  run = function(p)
    meter.read()
    record.value { name = "Y", value = meter.read().Y }
  end }`))
	rep := stopped(t, s, 2)
	resumedUntil(t, rep.Path, 2, 10)
	stoodResumed(t, rep.Path, 20)
	replayed(t, rep.Path, journal.Done)
	text := string(file(t, rep.Path, "results.json"))
	has(t, text, "paused for 30 s") // nothing was done between the two pauses
	if strings.Contains(text, "paused for 10 s") {
		t.Error("an on_resume counts after which nothing was kept")
	}
}

// TestInterludesRefuse says what on_resume and before_restart must not do, and
// that no pcall around a step hides their errors.
func TestInterludesRefuse(t *testing.T) {
	for body, want := range map[string]string{
		`record.value { name = "V", value = 1 }`:       "record.value: cannot be called here; on_resume and before_restart may take steps and record notes only",
		`record.table("T", { { "a" } })`:               "record.table: cannot be called here",
		`error("lamp")`:                                "lamp",
		`unit.set { Brightnes = 1 }`:                   "the unit has no control",
		`run.unbroken("x", function() error("y") end)`: "y",
	} {
		s := simSpec(t, sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {}, patches = {}, unit = { power = true } },
  on_resume = function(p, pause) `+body+` end,
  run = function(p)
    meter.read()
    pcall(function() record.value { name = "Y", value = meter.read().Y } end)
  end }`))
		rep := stopped(t, s, 2)
		out, err := engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopenSim})
		must(t, err)
		if out.Status == journal.Done || out.Err == nil {
			t.Errorf("%s: the run is %s", body, out.Status)
			continue
		}
		has(t, out.Err.Error(), want)
		var step *script.StepError
		if paused := errors.As(out.Err, &step); paused != (out.Status == journal.Paused) {
			t.Errorf("%s: the run is %s", body, out.Status)
		}
	}
}

// TestInterludesDiffer tells a script that has lost what is on record.
func TestInterludesDiffer(t *testing.T) {
	rep := stopped(t, simSpec(t, sourceOf(warming)), 5)
	stoodResumed(t, rep.Path, 60)
	for from, c := range map[string]struct{ to, recorded, asked string }{
		"on_resume =": {"caution = nil, --", "on_resume", "nothing: the procedure has no on_resume"},
		`{ before_restart = function()
        record.note("let out")
        patches.black()
        clock.wait(30)
      end }, `: {"", "before_restart", `run.unbroken("decay") before step 8 without before_restart`},
		"clock.wait(60)": {"clock.wait(61)", "clock.wait{seconds=60}", "clock.wait{seconds=61}"},
	} {
		edited := strings.Replace(warming, from, c.to, 1)
		if from == "on_resume =" {
			a, b := strings.Index(warming, "  on_resume"), strings.Index(warming, "  run =")
			edited = warming[:a] + warming[b:]
		}
		if edited == warming {
			t.Fatalf("%s is not in the script", from)
		}
		out, err := jobWith(t, rep.Path, edited).Replay(context.Background())
		must(t, err)
		var d *play.DivergenceError
		if !errors.As(out.Err, &d) {
			t.Errorf("without %s the replay ends with %v", from, out.Err)
			continue
		}
		has(t, d.Error(), "recorded:    "+c.recorded, "asked now:   "+c.asked)
	}
}

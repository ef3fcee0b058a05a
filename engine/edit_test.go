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
	"time"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/survey"
)

const typo = `
    patches.show { grey = 1 }
    local a = meter.read { repeats = 2 }
    local b = meter.read()
    record.value { name = "Sum", value = a.Y + b.YY }`

// edited resumes with an edited script.
func editedWith(path string, p *procedure.Procedure, h *heard) (*engine.Report, error) {
	return engine.Resume(context.Background(), path, engine.Resumption{Setup: h.setup(), Reopen: reopenSim, With: p})
}

// readingsIn counts the single readings that were ever taken.
func readingsIn(t *testing.T, path string) (n int) {
	for _, r := range journalOf(t, path).All() {
		if r.Kind == journal.KindSample {
			n++
		}
	}
	return n
}

// TestTypoAtTheEnd fails at the end, is edited and goes on: no reading is taken
// twice, both scripts are kept, and the record says where the edit took over.
func TestTypoAtTheEnd(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(typo)), journal.Failed)
	has(t, rep.Err.Error(), "probe.lua:9: ")
	again := resumed(t, rep.Path, journal.Failed) // the stored script still fails
	if again.Err == nil || readingsIn(t, rep.Path) != 3 {
		t.Fatalf("%v, %d readings", again.Err, readingsIn(t, rep.Path))
	}
	mended := procedureOf(strings.Replace(typo, "b.YY", "b.Y", 1))
	out := wants(t, journal.Done)(editedWith(rep.Path, mended, &heard{}))
	if n := readingsIn(t, rep.Path); n != 3 || out.Steps != 3 {
		t.Errorf("%d readings in %d steps, want the 3 that there were", n, out.Steps)
	}
	replayed(t, rep.Path, journal.Done)
	if got := string(file(t, rep.Path, "procedure", "probe.lua")); got != string(mended.Source) {
		t.Error("the edited script is not the one that is kept")
	}
	if got := string(file(t, rep.Path, "former", "1", "probe.lua")); got != string(procedureOf(typo).Source) {
		t.Error("the former script is not kept")
	}
	if e := metaOf(t, rep.Path).Edits; len(e) != 1 || e[0].Step != 4 || e[0].File != "probe.lua" || e[0].Scripts[0].SHA256 != history.Sum(mended.Source) {
		t.Errorf("run.json: edits are %+v", e)
	}
	has(t, kinds(t, rep.Path), "end, resume, aside scripts, end")
}

// TestEditDiverges changes a script at each step: it is refused there, whatever
// the run was, and nothing is changed.
func TestEditDiverges(t *testing.T) {
	rep := stopped(t, simSpec(t, procedureOf(recordedBody)), 6)
	was := folderText(t, rep.Path)
	for n, edit := range [][2]string{{"0.5", "0.6"}, {"repeats = 2", "repeats = 3"}, {"wait(5)", "wait(6)"}, {"= 50", "= 51"}, {`"go"`, `"stay"`}} {
		p := procedureOf(strings.Replace(recordedBody, edit[0], edit[1], 1))
		out, err := editedWith(rep.Path, p, &heard{})
		must(t, err)
		var d *play.DivergenceError
		if !errors.As(out.Err, &d) || d.Step != n+1 {
			t.Errorf("%s: ends with %v", edit[1], out.Err)
		}
		has(t, fault.HintOf(out.Err), fmt.Sprintf("--from %d", n+1))
		if got := folderText(t, rep.Path); got != was {
			t.Errorf("%s: a script that differs has changed the run:\n%s\nwas\n%s", edit[1], got, was)
		}
	}
	// With the steps set aside it goes on.
	p := procedureOf(strings.Replace(recordedBody, "wait(5)", "wait(6)", 1))
	out := wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path,
		engine.Resumption{Setup: plain(), Reopen: reopenSim, With: p, From: 3, Because: "waits longer"}))
	if out.Steps != 6 {
		t.Errorf("%d steps", out.Steps)
	}
	replayed(t, rep.Path, journal.Done)
	if m := metaOf(t, rep.Path); len(m.Voids) != 1 || untimed(m.Voids[0]) != (history.Void{From: 3, Steps: 3, Reason: "waits longer"}) || len(m.Edits) != 1 || m.Edits[0].Step != 3 {
		t.Errorf("run.json: %+v", m)
	}
}

// folderText is all that a run's folder holds but its lock.
func folderText(t *testing.T, path string) string {
	t.Helper()
	var b strings.Builder
	must(t, filepath.Walk(path, func(name string, info os.FileInfo, err error) error {
		if err != nil || info.IsDir() || strings.HasPrefix(info.Name(), "lock") {
			return err
		}
		fmt.Fprintf(&b, "%s\n%s\n", info.Name(), file(t, name))
		return nil
	}))
	return b.String()
}

// TestEditFailsAgain keeps the stored script where the edited one gets nowhere.
func TestEditFailsAgain(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(typo)), journal.Failed)
	was := folderText(t, rep.Path)
	worse := procedureOf(strings.Replace(typo, "b.YY", "c.Y", 1))
	out, err := editedWith(rep.Path, worse, &heard{})
	must(t, err)
	if out.Status != journal.Failed || folderText(t, rep.Path) != was {
		t.Errorf("%s, or the run was changed", out.Status)
	}
	if _, err := editedWith(rep.Path, sourceOf("return procedure {"), &heard{}); err == nil || folderText(t, rep.Path) != was {
		t.Errorf("a script that is no Lua: %v", err)
	}
	out, err = editedWith(rep.Path, procedureOf("patches.show { grey = 1 }"), &heard{})
	must(t, err)
	var left *play.LeftOverError
	if !errors.As(out.Err, &left) || left.Used != 1 || folderText(t, rep.Path) != was {
		t.Errorf("a script that asks for less ends with %v, or the run was changed", out.Err)
	}
	has(t, fault.HintOf(out.Err), "--from 2 --because")
	h := &heard{}
	if _, err := editedWith(rep.Path, procedureOf(typo), h); err != nil || len(h.warnings) != 1 || !strings.Contains(h.warnings[0], "is the script that the run uses already") {
		t.Errorf("the same script: %v, %q", err, h.warnings)
	}
}

// TestEditIsCutOff crashes after the edited script was kept and before its
// record, and after it.
func TestEditIsCutOff(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(typo)), journal.Failed)
	before := file(t, rep.Path, "journal.jsonl")
	mended := procedureOf(strings.Replace(typo, "b.YY", "b.Y", 1))
	wants(t, journal.Done)(editedWith(rep.Path, mended, &heard{}))
	whole := file(t, rep.Path, "journal.jsonl")
	for i, end := range lineEnds(whole) {
		if end < len(before) || end == len(whole) {
			continue
		}
		path := copied(t, rep.Path, whole[:end])
		status := journal.Failed
		if end > len(before) && i > 0 && strings.Contains(string(whole[:end]), `"scripts"`) && strings.Count(string(whole[len(before):end]), "\n") >= 2 {
			status = journal.Done
		}
		resumed(t, path, status)
		if status == journal.Failed {
			wants(t, journal.Done)(editedWith(path, mended, &heard{}))
		}
		replayed(t, path, journal.Done)
	}
}

// TestChangedSource says that the script has changed where it came from, and
// executes the stored one.
func TestChangedSource(t *testing.T) {
	p := procedureOf(recordedBody)
	p.Origin = "./probe.lua"
	rep := stopped(t, simSpec(t, p), 6)
	h := &heard{}
	wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: h.setup(), Reopen: reopenSim,
		Find: func(source string) (*procedure.Procedure, error) {
			if source != "./probe.lua" {
				t.Errorf("looks for %s", source)
			}
			return procedureOf(recordedBody + "\nmeter.read()"), nil
		}}))
	if len(h.warnings) != 1 {
		t.Fatalf("warnings are %q", h.warnings)
	}
	has(t, h.warnings[0], "./probe.lua has changed since the run began", "--with ./probe.lua")
	replayed(t, rep.Path, journal.Done)
}

// TestFrom takes steps anew, of a paused run and of one that is done.
func TestFrom(t *testing.T) {
	from := func(path string, n int, because string, h *heard) (*engine.Report, error) {
		return engine.Resume(context.Background(), path, engine.Resumption{Setup: h.setup(), Reopen: reopenSim, From: n, Because: because})
	}
	done := ran(t, simSpec(t, procedureOf(recordedBody)), journal.Done)
	readings := readingsIn(t, done.Path)
	wants(t, journal.Done)(from(done.Path, 6, "the meter had slipped", &heard{}))
	replayed(t, done.Path, journal.Done)
	if got := readingsIn(t, done.Path); got != readings+1 {
		t.Errorf("%d readings, want one more than %d", got, readings)
	}
	if v := metaOf(t, done.Path).Voids; len(v) != 1 || untimed(v[0]) != (history.Void{From: 6, Steps: 1, Reason: "the meter had slipped"}) {
		t.Errorf("voids are %+v", v)
	}
	if p := metaOf(t, done.Path).Pauses; len(p) != 1 || p[0].Reason != "the meter had slipped" {
		t.Errorf("pauses are %+v", p)
	}
	for n, want := range map[int]string{7: "step 7 is not in the journal; the run has the steps 1 to 6", -1: "step -1 is not in the journal"} {
		if _, err := from(done.Path, n, "x", &heard{}); err == nil || !strings.Contains(err.Error(), want) || !errors.Is(err, fault.ErrUsage) {
			t.Errorf("from %d: %v", n, err)
		}
	}
	empty := ran(t, simSpec(t, procedureOf("error('at once')")), journal.Failed)
	if _, err := from(empty.Path, 1, "x", &heard{}); err == nil || !strings.Contains(err.Error(), "the run has no steps yet") || !errors.Is(err, fault.ErrUsage) {
		t.Errorf("from a run without steps: %v", err)
	}
	if _, err := from(done.Path, 2, "", &heard{}); err == nil || !strings.Contains(err.Error(), "no reason is given") {
		t.Errorf("without a reason: %v", err)
	}
	blocked := ran(t, simSpec(t, procedureOf(blocked["run.unbroken"])), journal.Done)
	h := &heard{}
	wants(t, journal.Done)(from(blocked.Path, 3, "a banner came", h))
	has(t, strings.Join(h.warnings, "\n"), "step 3 belongs to a part that must not be interrupted, so all steps from 2 on are set aside")
	replayed(t, blocked.Path, journal.Done)
}

// TestWrappedFailure does not fail for ever: the step whose failure the script
// made an error of is taken again.
func TestWrappedFailure(t *testing.T) {
	for _, body := range []string{
		`local ok, e = pcall(meter.read) if not ok then error("no reading: " .. e.message) end`,
		`local ok, e = pcall(meter.read) if not ok then error("no reading") end`,
		`local ok, e = pcall(meter.read) if not ok then error(e) end`,
		`local ok, e = pcall(meter.read) if not ok then patches.black() error("no reading: " .. tostring(e)) end`,
		`local ok, e = pcall(meter.read) assert(ok, "no reading")`,
		`local ok, e = pcall(meter.read) if not ok then error({ message = "no reading" }) end`,
	} {
		rep := ran(t, failsAt(2).spec(t, "patches.show { grey = 1 } meter.read() "+body), journal.Paused)
		if v := metaOf(t, rep.Path).Voids; len(v) != 1 || v[0].From != 3 {
			t.Errorf("%s: voids are %+v", body, v)
		}
		resumed(t, rep.Path, journal.Done)
		replayed(t, rep.Path, journal.Done)
	}
	// A mistake in the script after a failure that it could do without is no failure.
	rep := ran(t, failsAt(1).spec(t, `pcall(meter.read) local x = nil .. ""`), journal.Failed)
	if v := metaOf(t, rep.Path).Voids; len(v) != 0 {
		t.Errorf("voids are %+v", v)
	}
}

// TestClosedLid closes it twice, in a wait and while a person is asked: what
// was typed is kept, the wait is taken again, and both are pauses.
func TestClosedLid(t *testing.T) {
	c := &sleepy{}
	s := simSpec(t, procedureOf(`
    clock.wait(10)
    clock.wait(100)
    record.value { name = "A", value = operator.ask("One", {}) }
    record.value { name = "T", value = clock.now() }`))
	h := &heard{}
	s.Setup = h.setup()
	s.Bench, s.Openers = bench.OperatorFile, clockedOpeners(c, "7\n")
	c.sleeps = map[time.Duration]time.Duration{10 * time.Second: time.Hour} // the second wait, the first time
	rep := ran(t, s, journal.Done)
	if got, want := valuesOf(t, rep.Path), "a=7 t=110"; got != want {
		t.Errorf("values are %s, want %s", got, want)
	}
	m := metaOf(t, rep.Path)
	if len(m.Pauses) != 1 || m.Pauses[0].Step != 2 || m.Pauses[0].Seconds < 3590 || m.Pauses[0].Seconds > 3610 || m.Pauses[0].Reason != "the machine slept" {
		t.Errorf("pauses are %+v", m.Pauses)
	}
	if m.Retakes != 1 {
		t.Errorf("%d retakes, want the wait's", m.Retakes)
	}
	has(t, strings.Join(h.warnings, "\n"), "the machine slept for 1h0m0s; the run continues as after a pause")
	has(t, kinds(t, rep.Path), "ask, pause, resume, ask, answer")
	replayed(t, rep.Path, journal.Done)
}

// TestClockSetForward sets the time of day while an unbroken stretch is under way that a person types the readings of. The
// system's count says that the machine did not sleep, so nothing is set aside.
func TestClockSetForward(t *testing.T) {
	for _, by := range []time.Duration{3 * time.Second, 24 * time.Hour, -24 * time.Hour} {
		c := &wakeful{sleepy{}}
		s := simSpec(t, procedureOf(`
    run.unbroken("stretch", function()
      for i = 1, 3 do
        clock.wait(10)
        record.value { name = "A" .. i, value = operator.ask("Number", {}) }
      end
    end)`))
		h := &heard{}
		s.Setup = h.setup()
		s.Bench, s.Openers = bench.OperatorFile, clockedOpeners(c, "1\n2\n3\n")
		c.sleeps = map[time.Duration]time.Duration{20 * time.Second: by}
		rep := ran(t, s, journal.Done)
		if got, want := valuesOf(t, rep.Path), "a1=1 a2=2 a3=3"; got != want {
			t.Errorf("set by %v: values are %s, want %s", by, got, want)
		}
		if m := metaOf(t, rep.Path); len(m.Pauses)+len(m.Voids)+m.Retakes > 0 {
			t.Errorf("set by %v: %+v", by, m)
		}
		has(t, strings.Join(h.warnings, "\n"), "the clock was set ")
	}
}

// wakeful is a clock whose system counts that it never slept.
type wakeful struct{ sleepy }

func (c *wakeful) Asleep() (time.Duration, bool) { return 0, true }

// sleepy is a clock of a machine that sleeps in a wait that begins at some time.
type sleepy struct {
	shifted
	sleeps map[time.Duration]time.Duration
}

func (c *sleepy) Wall() time.Time { return time.Unix(1000000, 0).Add(c.now + c.wall) }

func (c *sleepy) WaitUntil(ctx context.Context, to time.Duration) error {
	c.wall += c.sleeps[c.now]
	delete(c.sleeps, c.now)
	return c.shifted.WaitUntil(ctx, to)
}

// TestClockSetBack warns, and makes no pause of it.
func TestClockSetBack(t *testing.T) {
	c := &sleepy{sleeps: map[time.Duration]time.Duration{0: -time.Hour}}
	s := simSpec(t, procedureOf(`clock.wait(10) clock.wait(1)`))
	h := &heard{}
	s.Setup = h.setup()
	s.Bench, s.Openers = bench.OperatorFile, clockedOpeners(c, "")
	rep := ran(t, s, journal.Done)
	has(t, strings.Join(h.warnings, "\n"), "the clock was set back by 1h0m0s")
	if m := metaOf(t, rep.Path); len(m.Pauses) != 0 {
		t.Errorf("pauses are %+v", m.Pauses)
	}
	// And between a pause and the resumption.
	s = simSpec(t, procedureOf(`clock.wait(10) operator.ask("One", {})`))
	s.Bench, s.Openers = bench.OperatorFile, clockedOpeners(&sleepy{}, "")
	rep = ran(t, s, journal.Paused)
	h = &heard{}
	back := &sleepy{shifted: shifted{wall: -time.Hour}}
	wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: h.setup(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
		return bench.OperatorFile, clockedOpeners(back, "1\n"), nil
	}}))
	has(t, strings.Join(h.warnings, "\n"), "the clock was set back since the run was stopped, so the length of the pause is not known")
	if p := metaOf(t, rep.Path).Pauses; len(p) != 1 || p[0].Seconds != 0 || !strings.Contains(p[0].Reason, "set back") {
		t.Errorf("pauses are %+v", p)
	}
}

// watchedPatches say that they are gone when told.
type watchedPatches struct {
	*faultyPatches
	gone chan error
}

func (p watchedPatches) Gone() <-chan error { return p.gone }

type watchedDriver struct {
	bench.Driver
	gone chan error
}

func (d watchedDriver) Open(ctx context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	device, err := d.Driver.Open(ctx, k, s)
	if p, ok := device.(*faultyPatches); ok {
		return watchedPatches{p, d.gone}, err
	}
	return device, err
}

// TestScreenGone pauses as soon as the unit's screen went away.
func TestScreenGone(t *testing.T) {
	gone := make(chan error, 1)
	f := &faults{}
	s := f.spec(t, `patches.show { grey = 1 } for i = 1, 1e9 do meter.read() clock.wait(0.01) end`)
	openers := f.openers()
	s.Openers = bench.Openers{"sim": func() (bench.Driver, error) {
		d, err := openers["sim"]()
		return watchedDriver{d, gone}, err
	}}
	s.Tell = play.Steps(func(p play.Progress) {
		if p.Step == 4 { // of steps that take a second of real time each
			gone <- errors.New("its page was closed")
		}
		if p.Step > 20 {
			time.Sleep(time.Millisecond) // whoever watches the screen gets a turn, also on a busy machine
		}
	})
	rep := ran(t, s, journal.Paused)
	var g *bench.GoneError
	if !errors.As(rep.Err, &g) || g.Device != "patches" || fault.CodeOf(rep.Err) != "gone" {
		t.Errorf("paused with %v", rep.Err)
	}
	has(t, rep.Err.Error(), "the patches is no longer there: its page was closed")
	has(t, fault.HintOf(rep.Err), "connect it again, then resume")
	replayed(t, rep.Path, journal.Paused)
}

// TestOthersAreAsked refuses, or goes on and says so: on record, in what the
// script is told of the meter, and not a second time.
func TestOthersAreAsked(t *testing.T) {
	rep := ran(t, failsAt(2).spec(t, `patches.show { grey = 1 } meter.read()
    record.note(meter.about().serial) meter.read() record.note(meter.about().serial) operator.ask("One", { example = 1 })`), journal.Paused)
	other := &faults{id: func(id *bench.Identity) { id.Serial = "B-2" }}
	was := folderText(t, rep.Path)
	refuse := engine.Resumption{Setup: plain(), Reopen: other.reopen, Other: func(_ context.Context, differences []string) error {
		has(t, strings.Join(differences, "\n"), "the meter is not the one that the run was made with")
		return errCable
	}}
	if _, err := engine.Resume(context.Background(), rep.Path, refuse); !errors.Is(err, errCable) || folderText(t, rep.Path) != was {
		t.Errorf("refused with %v, or the run was changed", err)
	}
	asked := 0
	accept := engine.Resumption{Setup: plain(), Reopen: other.reopen, Other: func(context.Context, []string) error { asked++; return nil }}
	wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, accept))
	replayed(t, rep.Path, journal.Done)
	if asked != 1 {
		t.Errorf("asked %d times", asked)
	}
	has(t, kinds(t, rep.Path), "resume, aside devices")
	text := file(t, rep.Path, "results.json")
	if bytes.Count(text, []byte("B-2")) != 1 {
		t.Errorf("the other meter is named %d times, want after it was put there:\n%s", bytes.Count(text, []byte("B-2")), text)
	}
	accept.From, accept.Because = 4, "once more"
	wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, accept))
	if asked != 1 {
		t.Error("asked again about an instrument that was accepted")
	}
	replayed(t, rep.Path, journal.Done)
}

// TestCutOffBeforeItsResults goes on with a run that is done, and is cut off
// after the end is on record and before the results are written anew. Those
// that lie there are of the steps that were set aside.
func TestCutOffBeforeItsResults(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(`patches.show { grey = 1 } clock.wait(60) record.value { name = "Y", value = meter.read().Y }`)), journal.Done)
	former := map[string][]byte{}
	for _, name := range []string{"run.json", "results.json", "readings.csv"} {
		former[name] = file(t, rep.Path, name)
	}
	again := engine.Resumption{Setup: plain(), Reopen: reopenSim, From: 2, Because: "the meter had slipped", Stood: 3600}
	wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, again))
	want := file(t, rep.Path, "results.json")
	if bytes.Equal(want, former["results.json"]) {
		t.Fatal("the results are the same anyway, so this tests nothing")
	}
	for name, text := range former {
		must(t, os.WriteFile(filepath.Join(rep.Path, name), text, 0o644))
	}
	resumed(t, rep.Path, journal.Done)
	if got := file(t, rep.Path, "results.json"); !bytes.Equal(got, want) {
		t.Errorf("the results are\n%s\nwant\n%s", got, want)
	}
	replayed(t, rep.Path, journal.Done)
	if _, err := engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopenSim}); !errors.Is(err, engine.ErrNothingToDo) {
		t.Errorf("resumed again: %v", err)
	}
}

// TestTypoAfterFrom: an edited script that does not fit sets no step of a run aside.
func TestTypoAfterFrom(t *testing.T) {
	done := ran(t, simSpec(t, procedureOf(`patches.show { grey = 1 } record.value { name = "A", value = meter.read().Y } clock.wait(1) record.value { name = "B", value = meter.read().Y }`)), journal.Done)
	was := folderText(t, done.Path)
	typo := procedureOf(`patches.show { grey = 0.9 } record.value { name = "A", value = meter.read().Y } clock.wait(1) record.value { name = "B", value = meter.read().Y }`)
	_, err := engine.Resume(context.Background(), done.Path, engine.Resumption{Setup: plain(), Reopen: reopenSim, From: 3, Because: "the meter had slipped", With: typo})
	if !errors.Is(err, fault.ErrUsage) || !strings.Contains(err.Error(), "does not fit the steps before step 3") {
		t.Errorf("resumed with %v", err)
	}
	if folderText(t, done.Path) != was {
		t.Error("the run was changed")
	}
	right := procedureOf(`patches.show { grey = 1 } record.value { name = "A", value = meter.read().Y } clock.wait(2) record.value { name = "C", value = meter.read().Y }`)
	rep := wants(t, journal.Done)(engine.Resume(context.Background(), done.Path, engine.Resumption{Setup: plain(), Reopen: reopenSim, From: 3, Because: "the meter had slipped", With: right}))
	if _, ok := rep.Results.ValueByID("c"); !ok {
		t.Error("the edited script did not take over")
	}
	replayed(t, done.Path, journal.Done)
}

// TestReplayOfStaleResults: a run that was gone on with and cut off before its results
// were written is not accused; its old values are not shown as its own.
func TestReplayOfStaleResults(t *testing.T) {
	body := `patches.show { grey = 1 } record.value { name = "A", value = meter.read().Y } clock.wait(1)`
	done := ran(t, simSpec(t, procedureOf(body)), journal.Done)
	files := map[string][]byte{}
	for _, name := range []string{"run.json", "results.json"} {
		files[name] = file(t, done.Path, name)
	}
	wants(t, journal.Done)(fromStep(t, done.Path, 2, 0, nil))
	for name, text := range files {
		must(t, os.WriteFile(filepath.Join(done.Path, name), text, 0o644))
	}
	_, err := engine.Replay(context.Background(), done.Path, plain())
	if err == nil || !strings.Contains(err.Error(), "older than the journal") || !strings.Contains(fault.HintOf(err), "candelua resume") {
		t.Errorf("replayed with %v", err)
	}
	if s := get(survey.Runs(context.Background(), filepath.Dir(done.Path), builtins.Modules(), nil))(t)[0]; len(s.Values) > 0 {
		t.Errorf("the old values are shown: %v", s.Values)
	}
	resumed(t, done.Path, journal.Done)
	replayed(t, done.Path, journal.Done)
}

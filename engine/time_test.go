package engine_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/operator"
	"candelua/engine/play"
	"candelua/engine/sandbox"
	"candelua/engine/sim"
	"candelua/testdata/campaign"
)

// TestScriptTime moves at answers only, and alike on a replay.
func TestScriptTime(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(`
    record.value { name = "A", value = clock.now() }
    for i = 1, 10000 do local x = i * i end
    record.value { name = "B", value = clock.now() }
    clock.wait(2.5)
    record.value { name = "C", value = clock.now() }
    run.decide("x", 1)
    record.value { name = "D", value = clock.now() }
    local r = meter.read()
    record.value { name = "E", value = clock.now() >= r.ended and r.began >= 2.5 and 1 or 0 }`)), journal.Done)
	if got, want := valuesOf(t, rep.Path), "a=0 b=0 c=2.5 d=2.5 e=1"; got != want {
		t.Errorf("values are %s, want %s", got, want)
	}
	replayed(t, rep.Path, journal.Done)
}

// shifted is a real clock whose times of day begin later, as those of another
// process do.
type shifted struct {
	now, wall time.Duration
}

func (c *shifted) Now() time.Duration { return c.now }
func (c *shifted) Wall() time.Time    { return time.Now().Add(c.wall) }
func (c *shifted) WaitUntil(ctx context.Context, to time.Duration) error {
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	c.now = max(c.now, to)
	return nil
}

// clocked is a person at a bench with a clock of its own.
type clocked struct {
	bench.Driver
	c bench.Clock
}

func (d clocked) Clock() bench.Clock { return d.c }

func clockedOpeners(c bench.Clock, lines string) bench.Openers {
	return bench.Openers{"operator": func() (bench.Driver, error) {
		d, err := operator.New(operator.NewConsole(strings.NewReader(lines), &bytes.Buffer{}), operator.Options{AssumeYes: true})()
		if err != nil {
			return nil, err
		}
		d.(bench.Timed).UseClock(c)
		return clocked{d, c}, nil
	}}
}

// TestPauseIsLeftOut pauses a measured run for an hour: its length is on
// record, and script time does not have it.
func TestPauseIsLeftOut(t *testing.T) {
	s := simSpec(t, procedureOf(`
    clock.wait(100)
    operator.ask("One", {})
    record.value { name = "A", value = clock.now() }
    clock.wait(50)
    record.value { name = "B", value = clock.now() }`))
	s.Bench, s.Openers = bench.OperatorFile, clockedOpeners(&shifted{now: 7 * time.Second}, "")
	rep := ran(t, s, journal.Paused)
	wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
		return bench.OperatorFile, clockedOpeners(&shifted{now: 3 * time.Second, wall: time.Hour}, "1\n"), nil
	}}))
	if got, want := valuesOf(t, rep.Path), "a=100 b=150"; got != want {
		t.Errorf("values are %s, want %s", got, want)
	}
	m := metaOf(t, rep.Path)
	if len(m.Pauses) != 1 || m.Pauses[0].At != 100 || m.Pauses[0].Seconds < 3590 || m.Pauses[0].Seconds > 3660 || m.Seconds != 150 {
		t.Errorf("run.json: pauses %+v, %v s", m.Pauses, m.Seconds)
	}
	replayed(t, rep.Path, journal.Done)
}

// TestPatchLitAgain counts after from when the patch was shown again.
func TestPatchLitAgain(t *testing.T) {
	body := `patches.show { grey = 1 }
    clock.wait(100)
    clock.wait(1)
    local r = meter.read { after = 50 }
    record.value { name = "Began", value = r.began }`
	w := wholeRun(t, simSpec(t, procedureOf(body)))
	rep := stopped(t, simSpec(t, procedureOf(body)), 3)
	resumed(t, rep.Path, journal.Done)
	has(t, kinds(t, rep.Path), "aside safe-end, end, resume, aside restore, ask")
	whole, again := valuesOf(t, w.path), valuesOf(t, rep.Path)
	var was, is float64
	must(t, scan(whole, "began=", &was))
	must(t, scan(again, "began=", &is))
	// Lit at 0 s and read at 101 s at once; lit again at about 100 s, read 50 s later.
	if was > 102 || is < 149 || is > 152 {
		t.Errorf("read at %v s and, after a pause, at %v s", was, is)
	}
	replayed(t, rep.Path, journal.Done)
}

func scan(text, name string, x *float64) error {
	_, err := fmt.Sscanf(text, name+"%g", x)
	return err
}

// TestBudget ends loops that make no contact, or contacts that take no time.
func TestBudget(t *testing.T) {
	for _, loop := range campaign.Some(t, []string{`while true do end`, `while true do clock.wait(0) end`, `while true do pcall(string.rep, "x", 8000000) end`,
		`while true do run.decide("x", 1) end`}, 2) {
		s := simSpec(t, procedureOf("clock.wait(1)\n"+loop))
		s.Out = memoryDir(t)
		rep := ran(t, s, journal.Failed)
		if !errors.Is(rep.Err, sandbox.ErrBudget) {
			t.Errorf("%s: ends with %v", loop, rep.Err)
			continue
		}
		if e := asScriptError(t, rep.Err); e.Line != firstLine+1 {
			t.Errorf("%s: the error has line %d, want %d: %v", loop, e.Line, firstLine+1, e)
		}
		if !strings.Contains(loop, "do clock") {
			continue // to replay each would take long
		}
		replayed := wants(t, journal.Failed)(engine.Replay(context.Background(), rep.Path, plain()))
		if len(replayed.Differences) > 0 {
			t.Errorf("%s: the replay differs: %v", loop, replayed.Differences)
		}
	}
	// Filled again in between, the budget lasts for more than it holds: a step
	// that takes no time costs 5000 of it.
	steps := sandbox.DefaultLimits().Instructions / 5000 * 6 / 10
	s := simSpec(t, procedureOf(fmt.Sprintf("for i = 1, 2 do clock.wait(1) for j = 1, %d do run.decide('x', j) end end", steps)))
	s.Out = memoryDir(t)
	ran(t, s, journal.Done)
}

// TestEndsAlike ends scripts by each limit, with the heap collected often and seldom: a replay ends
// at the same place, with the same words.
func TestEndsAlike(t *testing.T) {
	loops := []struct {
		loop  string
		limit error
	}{
		{`local t = {} while true do t[#t + 1] = { #t } end`, sandbox.ErrMemory},
		{`local t = {} while true do t[#t + 1] = ("x"):rep(1e6) .. #t end`, sandbox.ErrMemory},
		{`local t = {} while true do clock.wait(1) t[#t + 1] = ("x"):rep(1e6) .. #t end`, sandbox.ErrMemory},
		{`while true do pcall(function() local t = {} for i = 1, 1e9 do t["k" .. i] = i end end) end`, sandbox.ErrMemory},
		{`local t = {} for i = 1, 1e7 do t[i] = colour.planck(5000) end`, sandbox.ErrMemory},
		{`local l, t = {}, {} for i = 1, 3000 do l[i] = { X = i, Y = i, Z = i } end for i = 1, 1e7 do clock.wait(1) t[i] = colour.list(l) end`, sandbox.ErrMemory},
		{`local t = {} for i = 1, 1e7 do t[i] = select(2, pcall(colour.planck, -i)) end`, sandbox.ErrBudget},
		{`while true do local s = ("x"):rep(8e6) end`, sandbox.ErrBudget},
		{`local a, b = ("x"):rep(8e6), ("x"):rep(8e6) while true do local _ = a < b end`, sandbox.ErrBudget},
	}
	for _, e := range campaign.Some(t, loops, 1) {
		loop, limit := e.loop, e.limit
		s := simSpec(t, procedureOf("clock.wait(1)\n"+loop))
		s.Out = memoryDir(t)
		defer debug.SetGCPercent(debug.SetGCPercent(30))
		rep := ran(t, s, journal.Failed)
		debug.SetGCPercent(300)
		again := wants(t, journal.Failed)(engine.Replay(context.Background(), rep.Path, plain()))
		if !errors.Is(rep.Err, limit) || !errors.Is(again.Err, limit) || rep.Err.Error() != again.Err.Error() || len(again.Differences) > 0 {
			t.Errorf("%s: ends with %v, and in the replay with %v, want %v: %v", loop, rep.Err, again.Err, limit, again.Differences)
		}
	}
}

// TestSimulatedTimeIsLimited ends a rehearsal that would go on for days.
func TestSimulatedTimeIsLimited(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf("while true do\npcall(function() clock.wait(3600) end)\nend")), journal.Failed)
	if !errors.Is(rep.Err, play.ErrTooLong) {
		t.Fatalf("ends with %v", rep.Err)
	}
	if e := asScriptError(t, rep.Err); e.Line != firstLine+1 {
		t.Errorf("the error has line %d, want %d", e.Line, firstLine+1)
	}
	if rep.Seconds <= 48*3600 || rep.Seconds > 49*3600+1 || rep.Steps != 49 {
		t.Errorf("%v s in %d steps, want the first over 48 h", rep.Seconds, rep.Steps)
	}
	again := wants(t, journal.Failed)(engine.Replay(context.Background(), rep.Path, plain()))
	if len(again.Differences) > 0 || again.Recorded != journal.Failed {
		t.Errorf("the replay differs: %v, recorded %s", again.Differences, again.Recorded)
	}
	s := simSpec(t, procedureOf(`clock.wait(49 * 3600)`))
	s.Bench, s.Openers = bench.OperatorFile, clockedOpeners(&shifted{}, "")
	ran(t, s, journal.Done) // a measured run may take its time
}

// TestSpeed paces a rehearsal without changing it.
func TestSpeed(t *testing.T) {
	a := ran(t, simSpec(t, procedureOf(parted)), journal.Done)
	s := simSpec(t, procedureOf(parted))
	s.Openers = bench.Openers{"sim": sim.Opener(sim.Default(), 1, 5000)}
	b := ran(t, s, journal.Done)
	if !bytes.Equal(file(t, a.Path, "journal.jsonl"), file(t, b.Path, "journal.jsonl")) {
		t.Error("a paced run has another journal")
	}
}

// TestSync is kept in the head, so that a resumed run goes by it.
func TestSync(t *testing.T) {
	s := simSpec(t, procedureOf(parted))
	s.Sync = true
	if m := metaOf(t, ran(t, s, journal.Done).Path); !m.Sync {
		t.Error("run.json does not say that the run syncs")
	}
}

// TestSimulatedPause lets the simulated panel live through a pause that the
// journal has: it cools, and script time stands still.
func TestSimulatedPause(t *testing.T) {
	body := `
    patches.show { grey = 1 }
    clock.wait(1800)
    meter.read()
    record.value { name = "Y", value = meter.read().Y }
    record.value { name = "At", value = clock.now() }`
	w := wholeRun(t, simSpec(t, procedureOf(body)))
	ends := lineEnds(w.journal)
	cut := ends[7] // head, and three steps of which one has a sample
	var y [2]float64
	var at [2]string
	for i, pause := range []float64{0, 7200} {
		path := copied(t, w.path, w.journal[:cut])
		j := get(journal.Open(filepath.Join(path, "journal.jsonl"), journal.Options{}))(t)
		if j.Steps() != 3 {
			t.Fatalf("%d steps are kept, want 3", j.Steps())
		}
		now := get(j.Step(3))(t).T
		must(t, j.Append(journal.Record{Kind: journal.KindResume, T: now, PauseSeconds: pause}))
		must(t, j.Close())
		resumed(t, path, journal.Done)
		replayed(t, path, journal.Done)
		must(t, scan(valuesOf(t, path), "y=", &y[i]))
		_, at[i], _ = strings.Cut(valuesOf(t, path), "at=")
	}
	if at[0] != at[1] {
		t.Errorf("script time is %s s without a pause and %s s with one", at[0], at[1])
	}
	if y[0] == y[1] {
		t.Errorf("the reading is %v cd/m2 with and without a pause of two hours", y[0])
	}
}

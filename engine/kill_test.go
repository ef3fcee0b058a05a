package engine_test

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/testdata/campaign"
)

// whole is an uninterrupted run and what every interrupted one must come to.
type whole struct {
	path      string
	journal   []byte
	results   []byte
	readings  []byte
	effective string
}

func wholeRun(t *testing.T, s engine.Spec) whole {
	t.Helper()
	rep := ran(t, s, journal.Done)
	return wholeOf(t, rep.Path)
}

func wholeOf(t *testing.T, path string) whole {
	t.Helper()
	return whole{path: path, journal: file(t, path, "journal.jsonl"), results: file(t, path, "results.json"),
		readings: file(t, path, "readings.csv"), effective: effective(t, journalOf(t, path))}
}

// equals fails where a resumed run came to anything else.
func (w whole) equals(t *testing.T, path, what string) {
	t.Helper()
	if !bytes.Equal(file(t, path, "results.json"), w.results) {
		t.Fatalf("%s: the results differ:\n%s\nwant\n%s", what, file(t, path, "results.json"), w.results)
	}
	if !bytes.Equal(file(t, path, "readings.csv"), w.readings) {
		t.Fatalf("%s: the readings differ", what)
	}
	if got := effective(t, journalOf(t, path)); got != w.effective {
		t.Fatalf("%s: the steps differ:\n%s\nwant\n%s", what, got, w.effective)
	}
}

// lineEnds are where the records of a journal end.
func lineEnds(data []byte) (ends []int) {
	for i, c := range data {
		if c == '\n' {
			ends = append(ends, i+1)
		}
	}
	return ends
}

// parted is a procedure of nested parts, a part without steps, a caught
// failure, a decision and stretches of waiting.
const parted = `
    run.part("nothing", function() end)
    local t = record.table("T", { { "i" }, { "Y", "cd/m2" } })
    run.part("outer", function()
      for i = 1, 2 do
        run.part("inner", function()
          patches.show { grey = i / 2, window = 10 }
          t:add { i = i, Y = meter.read({ after = 1, repeats = 2 }).Y }
          clock.wait(30)
        end)
      end
    end)
    local ok, e = pcall(unit.set, { Brightnes = 1 })
    record.note(tostring(ok) .. " " .. e.code .. " " .. e.message)
    if run.decide("again", meter.read().Y > 0) then patches.black() end
    pcall(function() run.part("left", function() error("left") end) end)
    record.value { name = "Last", value = meter.read().Y, unit = "cd/m2" }`

// killedRuns are the runs that are cut. Under the race detector, which makes each
// ten times as slow, they are fewer.
func killedRuns(t *testing.T) map[string]engine.Spec {
	m := map[string]engine.Spec{"parts": simSpec(t, procedureOf(parted))}
	for i, c := range smallRuns {
		if campaign.Race && i > 2 {
			break
		}
		m[fmt.Sprintf("%s %d", c.name, i)] = simSpec(t, shipped(t, c.name), c.set...)
	}
	return m
}

// cut is where a crash cuts a journal: after or inside of a record, counted from 1.
type cut struct{ record, at int }

func (c cut) String() string { return fmt.Sprintf("record %d, byte %d", c.record, c.at) }

// cuts are after each record of a journal and at three places inside each, inside
// every third where there are many.
func cuts(data []byte) (all []cut) {
	ends := lineEnds(data)
	for i := range ends {
		all = append(all, cut{i + 1, ends[i]})
		if i == 0 { // a torn head is no run
			continue
		}
		length := ends[i] - ends[i-1]
		inside := []int{ends[i-1] + 1 + i%(length-1), ends[i-1] + length/2, ends[i] - 1}
		if len(ends) >= 150 {
			inside = inside[i%2 : i%2+1]
			if i%3 != 0 {
				inside = nil
			}
		}
		for _, at := range inside {
			all = append(all, cut{i + 1, at})
		}
	}
	return all
}

// mostCuts is how many cuts of one run the full form resumes on one day.
const mostCuts = 80

// TestKillAtEveryRecord cuts the journal after each record and inside of it, as a
// crash would, and resumes.
func TestKillAtEveryRecord(t *testing.T) {
	lets := map[string]bool{} // procedures that do something before what was cut off begins anew
	for i, c := range smallRuns {
		lets[fmt.Sprintf("%s %d", c.name, i)] = bytes.Contains(shipped(t, c.name).Source, []byte("before_restart"))
	}
	for name, s := range killedRuns(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := wholeRun(t, s)
			some := campaign.Part(t, cuts(w.journal), 5, mostCuts)
			for _, c := range some {
				if !t.Run(c.String(), func(t *testing.T) { w.survives(t, c, lets[name]) }) {
					break
				}
			}
			t.Logf("%d records, %d steps, %d resumptions", len(lineEnds(w.journal)), journalOf(t, w.path).Steps(), len(some))
		})
	}
}

// survives cuts a run and resumes. Where the procedure lets something be done before what
// was cut off begins anew, and the cut asks for it, the run differs by that.
func (w whole) survives(t *testing.T, c cut, lets bool) {
	t.Helper()
	path := copied(t, w.path, w.journal[:c.at])
	restarts := false
	if j, err := journal.Load(filepath.Join(path, "journal.jsonl")); err == nil {
		restarts = asked(j)
	}
	resumed(t, path, journal.Done)
	if restarts && lets {
		replayed(t, path, journal.Done) // it began anew, after what that asks for
		return
	}
	w.equals(t, path, "cut at "+c.String())
}

// TestKillAgainAndAgain cuts a run, goes on, cuts what that wrote, and so on.
func TestKillAgainAndAgain(t *testing.T) {
	for name, s := range killedRuns(t) {
		if strings.HasPrefix(name, "retention") || strings.HasPrefix(name, "warm-up") {
			continue // their fits take long; they are cut after every record above
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := wholeRun(t, s)
			rounds := make([]int, 12)
			for i := range rounds {
				rounds[i] = i + 1
			}
			for _, round := range campaign.Part(t, rounds, 1, 4) {
				if !t.Run(fmt.Sprintf("round %d", round), func(t *testing.T) { w.survivesAgain(t, round) }) {
					break
				}
			}
		})
	}
}

// survivesAgain cuts a run and its resumptions six times, at places of chance.
func (w whole) survivesAgain(t *testing.T, round int) {
	t.Helper()
	chance := rand.New(rand.NewPCG(1, uint64(round)))
	path := copied(t, w.path, w.journal)
	for range 6 {
		now := file(t, path, "journal.jsonl")
		head := lineEnds(now)[0]
		at := head + chance.IntN(len(now)-head)
		path = copied(t, path, now[:at])
		resumed(t, path, journal.Done)
		w.equals(t, path, fmt.Sprintf("cut at byte %d of %d", at, len(now)))
	}
	replayed(t, path, journal.Done)
}

// TestKillWhileResuming goes on a few steps only, each time, until the run is
// done: no resumption may lose or repeat what one before it has measured.
func TestKillWhileResuming(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	path := copied(t, w.path, w.journal[:lineEnds(w.journal)[0]])
	for n := 1; ; n++ {
		resumed(t, path, journal.Done)
		now := file(t, path, "journal.jsonl")
		j := journalOf(t, path)
		if n > j.Steps() {
			break
		}
		end := 0
		for record, r := range j.All() {
			if r.Kind == journal.KindAnswer && r.Step == n && j.VoidedBy(record) == 0 {
				end = lineEnds(now)[record-1]
			}
		}
		path = copied(t, path, now[:end])
	}
	w.equals(t, path, "one step at a time")
	if m := metaOf(t, path); len(m.Pauses) < journalOf(t, path).Steps()-1 {
		t.Errorf("run.json has %d pauses, want one for each resumption", len(m.Pauses))
	}
}

// stopped is a run that is stopped, as by Ctrl-C, when it is about to take a step.
func stopped(t *testing.T, s engine.Spec, at int) *engine.Report {
	t.Helper()
	ctx, cancel := context.WithCancelCause(context.Background())
	defer cancel(nil)
	s.Tell = play.Steps(func(p play.Progress) {
		if p.Step == at {
			cancel(play.ErrInterrupted)
		}
	})
	return wants(t, journal.Paused)(engine.Run(ctx, s))
}

// TestStopAtEveryStep stops a run at each step, kills its resumption at every
// record, and compares with the resumption that was not killed. The dark patch
// of the safe end is part of what the simulated panel has lived through.
func TestStopAtEveryStep(t *testing.T) {
	s := simSpec(t, procedureOf(parted))
	steps := ran(t, s, journal.Done).Steps
	resumptions := 0
	for _, before := range campaign.Numbers(t, steps, 5) {
		at := before + 1
		s.Out = memoryDir(t)
		rep := stopped(t, s, at)
		has(t, kinds(t, rep.Path), "end")
		replayed(t, rep.Path, journal.Paused)
		before := lineEnds(file(t, rep.Path, "journal.jsonl"))
		paused := copied(t, rep.Path, file(t, rep.Path, "journal.jsonl"))
		resumed(t, paused, journal.Done)
		replayed(t, paused, journal.Done)
		w := wholeOf(t, paused)
		ends := lineEnds(w.journal)
		for i := len(before) - 1; i < len(ends)-1; i++ {
			path := copied(t, paused, w.journal[:ends[i]])
			resumed(t, path, journal.Done)
			w.equals(t, path, fmt.Sprintf("stopped at step %d, cut after record %d of %d", at, i+1, len(ends)))
			resumptions++
		}
	}
	t.Logf("%d steps, %d resumptions", steps, resumptions)
}

func TestDoneIsNotResumed(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(`clock.wait(1)`)), journal.Done)
	_, err := engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopenSim})
	if err == nil {
		t.Fatal("a run that is done was resumed")
	}
	has(t, err.Error(), "there is nothing to resume")
	data := file(t, rep.Path, "journal.jsonl")
	torn := copied(t, rep.Path, data[:lineEnds(data)[0]/2])
	_, err = engine.Resume(context.Background(), torn, engine.Resumption{Setup: plain(), Reopen: reopenSim})
	has(t, fmt.Sprint(err), "record 1 is damaged: its head is missing, so nothing was recorded; start a new run")
	must(t, os.Remove(filepath.Join(rep.Path, "journal.jsonl")))
	_, err = engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopenSim})
	has(t, fmt.Sprint(err), "has no file journal.jsonl")
}

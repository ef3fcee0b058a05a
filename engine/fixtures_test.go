package engine_test

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
)

// update makes the run folders in testdata/runs that are missing, and no other:
// one that is to be made anew must be removed first. A format, once out, does not change.
var update = flag.Bool("update", false, "make the run folders that are missing in testdata/runs")

const runFixtures = "../testdata/runs"

// goodRun is a kept run folder: how it was made, and what must come of it.
type goodRun struct {
	make    func(t *testing.T) string // gives the folder
	status  journal.Standing          // of its replay
	results bool                      // there are results, with which the replay must agree
	has     []string                  // what results.json or, without one, the journal holds
	resumed journal.Standing          // what resuming a copy comes to; empty: there is nothing to resume
}

func goodRuns() map[string]goodRun {
	return map[string]goodRun{
		"done": {func(t *testing.T) string { return ran(t, simSpec(t, procedureOf(parted)), journal.Done).Path },
			journal.Done, true, []string{`"Last"`}, ""},
		"paused": {func(t *testing.T) string { return stopped(t, simSpec(t, procedureOf(parted)), 5).Path },
			journal.Paused, true, []string{`"rows":[`}, journal.Done},
		"cut-off-unbroken": {makeCutOff, journal.Paused, false, []string{`"name":"decay"`}, journal.Done},
		"restarted":        {makeRestarted, journal.Done, true, []string{"let out", "warmed up again after 1200 s: stopped by the user"}, ""},
		"on-resume":        {makeOnResume, journal.Done, true, []string{"warmed up again after 60 s"}, ""},
		"edited":           {makeEdited, journal.Done, true, []string{`"Sum"`}, ""},
		"set-aside":        {makeSetAside, journal.Done, true, []string{`"Last"`}, ""},
		"typed":            {makeTyped, journal.Paused, true, []string{`"A"`}, journal.Paused},
		"failed":           {func(t *testing.T) string { return ran(t, simSpec(t, procedureOf(typo)), journal.Failed).Path }, journal.Failed, true, nil, journal.Failed},
		"corrected":        {makeCorrected, journal.Done, true, []string{"Heron 6, Calm"}, ""},
	}
}

func makeCutOff(t *testing.T) string {
	rep := ran(t, simSpec(t, procedureOf(blocked["run.unbroken"])), journal.Done)
	whole := file(t, rep.Path, "journal.jsonl")
	for _, end := range lineEnds(whole) {
		path := copied(t, rep.Path, whole[:end])
		if in, _ := inside(journalOf(t, path)); in {
			return path
		}
	}
	t.Fatal("no cut is inside of the stretch")
	return ""
}

func makeRestarted(t *testing.T) string {
	rep := stopped(t, simSpec(t, sourceOf(warming)), 5)
	stoodResumed(t, rep.Path, 1200)
	return rep.Path
}

func makeOnResume(t *testing.T) string {
	rep := stopped(t, simSpec(t, sourceOf(warming)), 8)
	stoodResumed(t, rep.Path, 60)
	return rep.Path
}

func makeEdited(t *testing.T) string {
	rep := ran(t, simSpec(t, procedureOf(typo)), journal.Failed)
	wants(t, journal.Done)(editedWith(rep.Path, procedureOf(strings.Replace(typo, "b.YY", "b.Y", 1)), &heard{}))
	return rep.Path
}

func makeSetAside(t *testing.T) string {
	rep := ran(t, simSpec(t, procedureOf(parted)), journal.Done)
	wants(t, journal.Done)(fromStep(t, rep.Path, 4, 0, nil))
	return rep.Path
}

func makeTyped(t *testing.T) string {
	var out bytes.Buffer
	s := simSpec(t, procedureOf(`
    patches.show { grey = 1 }
    record.value { name = "A", value = meter.read().Y }
    record.value { name = "B", value = meter.read().Y }`))
	s.Bench, s.Openers = bench.OperatorFile, typedOpeners("\n200 0.31 0.33\nback\n210 0.31 0.33\n", &out, true)
	return ran(t, s, journal.Paused).Path
}

func makeCorrected(t *testing.T) string {
	return ran(t, filterSpec(t, procedureOf(fourColours), correctionText), journal.Done).Path
}

// badRun is a run folder with something wrong.
type badRun struct {
	spoil   func(t *testing.T, path string)
	replay  string // what the replay's error says; empty: it has none, and differs
	resumes string // what the error of resuming a copy says
}

func badRuns() map[string]badRun {
	edit := func(name, from, to string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			text := file(t, path, name)
			if !bytes.Contains(text, []byte(from)) {
				t.Fatalf("%s has no %q", name, from)
			}
			must(t, os.WriteFile(filepath.Join(path, name), bytes.Replace(text, []byte(from), []byte(to), 1), 0o644))
		}
	}
	return map[string]badRun{
		"flipped-bit":     {flipMiddle, "its checksum does not match its content and the record before it", "its checksum does not match"},
		"changed-script":  {edit("procedure/probe.lua", "clock.wait(30)", "clock.wait(31)"), "is not the script that the run was made with", "is not the script that the run was made with"},
		"changed-results": {edit("results.json", `"name":"Last"`, `"name":"Least"`), "", "there is nothing to resume"},
		"newer-format":    {edit("journal.jsonl", `"format":1,"sum_by":"sha256-64"`, `"format":2,"sum_by":"another"`), "use a newer candelua", "use a newer candelua"},
		"no-journal": {func(t *testing.T, path string) { must(t, os.Remove(filepath.Join(path, "journal.jsonl"))) },
			"has no file journal.jsonl", "has no file journal.jsonl"},
		"damaged-head": {edit("journal.jsonl", `"seed":1`, `"seed":2`), "record 1 is damaged", "record 1 is damaged"},
	}
}

func flipMiddle(t *testing.T, path string) {
	name := filepath.Join(path, "journal.jsonl")
	data := file(t, name)
	data[len(data)/2] ^= 1
	must(t, os.WriteFile(name, data, 0o644))
}

// kept makes a fixture where it is missing and that is asked for, and gives its path.
func kept(t *testing.T, kind, name string, make func(t *testing.T) string) string {
	t.Helper()
	path := filepath.Join(runFixtures, kind, name)
	if _, err := os.Stat(path); *update && errors.Is(err, fs.ErrNotExist) {
		must(t, os.CopyFS(path, os.DirFS(make(t))))
		for _, made := range []string{"plots", "lock", ".lock"} { // drawings are many, and follow from the results
			must(t, os.RemoveAll(filepath.Join(path, made)))
		}
	}
	return path
}

// copyOf is a copy of a fixture that may be written to.
func copyOf(t *testing.T, path string) string {
	t.Helper()
	to := filepath.Join(memoryDir(t), "run")
	must(t, os.CopyFS(to, os.DirFS(path)))
	return to
}

// TestGoodRuns replays run folders that were kept, compares with their results
// to the byte, and resumes copies of those that can go on.
func TestGoodRuns(t *testing.T) {
	all := goodRuns()
	for _, name := range slices.Sorted(maps.Keys(all)) {
		c := all[name]
		path := copyOf(t, kept(t, "good", name, c.make))
		rep, err := engine.Replay(context.Background(), path, plain())
		if c.results {
			must(t, err)
			if rep.Status != c.status || len(rep.Differences) > 0 {
				t.Errorf("%s: the replay is %s, want %s; it differs in %v", name, rep.Status, c.status, rep.Differences)
			}
			sameAgain(t, name, path, rep)
		} else if !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: the replay of a run without results ends with %v", name, err)
		}
		has(t, textOfRun(path), c.has...)
		again, err := engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenFixture})
		if c.resumed == "" {
			if !errors.Is(err, engine.ErrNothingToDo) {
				t.Errorf("%s: resumed, with %v", name, err)
			}
			continue
		}
		must(t, err)
		if again.Status != c.resumed {
			t.Errorf("%s: resumed, it is %s (%v), want %s", name, again.Status, again.Err, c.resumed)
		}
		replayed(t, path, c.resumed)
	}
	wantRuns(t, "good", slices.Collect(maps.Keys(all)))
}

// sameAgain compares what a replay came to with results.json to the byte.
func sameAgain(t *testing.T, name, path string, rep *engine.Report) {
	t.Helper()
	text := get(rep.Results.MarshalJSON())(t)
	if want := file(t, path, "results.json"); !bytes.Equal(append(text, '\n'), want) {
		t.Errorf("%s: the replay comes to\n%s\nwant\n%s", name, text, want)
	}
}

func textOfRun(path string) string {
	text, err := os.ReadFile(filepath.Join(path, "results.json"))
	if err != nil {
		text, _ = os.ReadFile(filepath.Join(path, "journal.jsonl"))
	}
	return string(text)
}

// reopenFixture opens the bench that a fixture was made on; a person there types
// nothing now.
func reopenFixture(h history.Head) (*bench.File, bench.Openers, error) {
	if h.Simulated {
		return reopenSim(h)
	}
	return bench.OperatorFile, typedOpeners("", &bytes.Buffer{}, true), nil
}

// TestBadRuns wants each to be refused with one clear error, and left as it is.
func TestBadRuns(t *testing.T) {
	all := badRuns()
	for _, name := range slices.Sorted(maps.Keys(all)) {
		c := all[name]
		path := copyOf(t, kept(t, "bad", name, func(t *testing.T) string {
			path := ran(t, simSpec(t, procedureOf(parted)), journal.Done).Path
			c.spoil(t, path)
			return path
		}))
		was := folderText(t, path)
		rep, err := engine.Replay(context.Background(), path, plain())
		if c.replay == "" {
			must(t, err)
			if len(rep.Differences) == 0 {
				t.Errorf("%s: the replay does not differ", name)
			}
		} else if err == nil || !strings.Contains(err.Error(), c.replay) {
			t.Errorf("%s: the replay ends with %v, want %q", name, err, c.replay)
		}
		_, err = engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenFixture})
		if err == nil || !strings.Contains(err.Error(), c.resumes) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: resuming ends with %v, want one line with %q", name, err, c.resumes)
		}
		if got := folderText(t, path); got != was {
			t.Errorf("%s: it was changed", name)
		}
	}
	wantRuns(t, "bad", slices.Collect(maps.Keys(all)))
}

// wantRuns fails where a folder has no entry in the test.
func wantRuns(t *testing.T, kind string, want []string) {
	t.Helper()
	for _, e := range get(os.ReadDir(filepath.Join(runFixtures, kind)))(t) {
		if !slices.Contains(want, e.Name()) {
			t.Errorf("%s/%s has no entry in the test", kind, e.Name())
		}
	}
}

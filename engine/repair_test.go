package engine_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"candelua/engine"
	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/store"
	"candelua/engine/survey"
	"candelua/testdata/campaign"
)

// flipped copies a run's folder with one bit of a byte of its journal flipped.
func flipped(t testing.TB, path string, at, bit int) string {
	t.Helper()
	to := memoryDir(t)
	must(t, os.CopyFS(to, os.DirFS(path)))
	data := file(t, to, "journal.jsonl")
	data[at] ^= 1 << bit
	must(t, os.WriteFile(filepath.Join(to, "journal.jsonl"), data, 0o644))
	return to
}

// TestRepairEveryRecord damages each record of a run's journal, repairs it and
// goes on: the run comes to what it would have come to, and no byte is lost.
func TestRepairEveryRecord(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	ends := lineEnds(w.journal)
	for _, before := range campaign.Numbers(t, len(ends)-1, 8) {
		i, at := before+1, ends[before]
		length := ends[i] - at
		for n, place := range []int{at, at + length/2, ends[i] - 2} {
			path := flipped(t, w.path, place, i%7)
			before := file(t, path, "journal.jsonl")
			rep := get(survey.Repair(path))(t)
			if rep.Record != i+1 || rep.Records < len(ends)-i || rep.Bytes != len(before)-at {
				t.Fatalf("record %d, place %d: %+v", i+1, n, rep)
			}
			if filepath.Base(rep.Side) != "journal-damaged-1.jsonl" || filepath.Base(rep.Results) != "results-before-repair-1.json" {
				t.Fatalf("set aside as %s and %s", rep.Side, rep.Results)
			}
			kept := file(t, path, "journal.jsonl")
			if !bytes.Equal(append(kept, file(t, rep.Side)...), before) {
				t.Fatalf("record %d: bytes were lost", i+1)
			}
			if !bytes.Equal(file(t, rep.Results), w.results) {
				t.Fatalf("record %d: the former results are not kept", i+1)
			}
			if m := metaOf(t, path); m.Status != journal.Paused || m.Steps != rep.Steps || m.Procedure != "probe" {
				t.Fatalf("record %d: run.json says %s, %d steps, want paused and %d", i+1, m.Status, m.Steps, rep.Steps)
			}
			if _, err := engine.Replay(context.Background(), path, plain()); !errors.Is(err, os.ErrNotExist) {
				t.Fatalf("record %d: a replay compares with stale results: %v", i+1, err)
			}
			resumed(t, path, journal.Done)
			w.equals(t, path, fmt.Sprintf("record %d repaired", i+1))
			replayed(t, path, journal.Done)
		}
	}
}

// TestRepairThatWasCutOff does a part of a repair's work only, as a crash
// would, and repairs again: nothing is kept twice, and nothing is lost.
func TestRepairThatWasCutOff(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	at := lineEnds(w.journal)[20]
	for stage := range 3 {
		path := flipped(t, w.path, at+5, 2)
		before := file(t, path, "journal.jsonl")
		folder := get(store.Open(path))(t)
		d := get(journal.Part(folder.JournalPath()))(t)
		if stage > 0 {
			get(folder.KeepDamaged(d.Tail))(t)
		}
		if stage > 1 {
			get(folder.SetResultsAside())(t)
		}
		must(t, folder.Close())
		rep := get(survey.Repair(path))(t)
		if filepath.Base(rep.Side) != "journal-damaged-1.jsonl" {
			t.Errorf("stage %d: set aside as %s", stage, rep.Side)
		}
		if (rep.Results == "") != (stage > 1) {
			t.Errorf("stage %d: the results are said to be in %q", stage, rep.Results)
		}
		if !bytes.Equal(append(file(t, path, "journal.jsonl"), file(t, rep.Side)...), before) {
			t.Errorf("stage %d: bytes were lost", stage)
		}
		if !bytes.Equal(file(t, path, "results-before-repair-1.json"), w.results) {
			t.Errorf("stage %d: the former results were lost", stage)
		}
		resumed(t, path, journal.Done)
		w.equals(t, path, fmt.Sprintf("stage %d", stage))
	}
}

// A run that is damaged and repaired a second time keeps what both repairs set aside.
func TestRepairAgain(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	ends := lineEnds(w.journal)
	path := flipped(t, w.path, ends[30]+5, 2)
	first := file(t, get(survey.Repair(path))(t).Side)
	resumed(t, path, journal.Done)
	data := file(t, path, "journal.jsonl")
	data[lineEnds(data)[20]+5] ^= 4
	must(t, os.WriteFile(filepath.Join(path, "journal.jsonl"), data, 0o644))
	rep := get(survey.Repair(path))(t)
	if filepath.Base(rep.Side) != "journal-damaged-2.jsonl" || filepath.Base(rep.Results) != "results-before-repair-2.json" {
		t.Errorf("the second repair set aside %s and %s", rep.Side, rep.Results)
	}
	if !bytes.Equal(first, file(t, path, "journal-damaged-1.jsonl")) {
		t.Error("the first repair's file was changed")
	}
	resumed(t, path, journal.Done)
	w.equals(t, path, "repaired twice")
}

// run.json follows from the journal, so a repair mends it too.
func TestRepairWithoutAReadableMeta(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	path := flipped(t, w.path, lineEnds(w.journal)[10]+5, 2)
	must(t, os.WriteFile(filepath.Join(path, "run.json"), []byte("{"), 0o644))
	get(survey.Repair(path))(t)
	if m := metaOf(t, path); m.Status != journal.Paused || m.Procedure != "probe" || m.Reason == "" {
		t.Errorf("run.json is %+v", m)
	}
	resumed(t, path, journal.Done)
}

func TestRepairRefuses(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	refused := func(path string, want error, hint string, parts ...string) {
		t.Helper()
		before := file(t, path, "journal.jsonl")
		_, err := survey.Repair(path)
		if !errors.Is(err, want) {
			t.Errorf("error is %v, want %v", err, want)
			return
		}
		has(t, err.Error(), parts...)
		has(t, fault.HintOf(err), hint)
		if !bytes.Equal(before, file(t, path, "journal.jsonl")) {
			t.Error("a refused repair changed the journal")
		}
		if side, _ := filepath.Glob(filepath.Join(path, "*-1.json*")); len(side) > 0 {
			t.Errorf("a refused repair left %v", side)
		}
	}
	refused(w.path, fault.ErrUsage, "candelua runs "+w.path, "there is nothing to repair", "journal is not damaged")
	refused(copied(t, w.path, w.journal[:len(w.journal)-9]), fault.ErrUsage, "", "journal is not damaged")
	for _, meta := range []string{"", "{", "{}", `{"format":1,"kind":"candelua-run"}`, `{"format":1,"kind":"candelua-run","status":"done"}`,
		string(bytes.Replace(file(t, w.path, "run.json"), []byte(`"seed": 1`), []byte(`"seed": 2`), 1))} {
		headless := flipped(t, w.path, 40, 1)
		must(t, os.WriteFile(filepath.Join(headless, "run.json"), []byte(meta), 0o644))
		refused(headless, journal.ErrDamaged, "from a copy", "record 1 is damaged", "run.json does not hold it", "nothing after it can be kept")
	}

	newer := flipped(t, w.path, lineEnds(w.journal)[10]+5, 2)
	must(t, os.WriteFile(filepath.Join(newer, "run.json"), []byte(`{"format":99,"kind":"candelua-run"}`), 0o644))
	refused(newer, result.ErrNewer, "", "format is 99", "update candelua")
	other := copied(t, w.path, bytes.Replace(w.journal, []byte(`"format":1,"sum_by":"sha256-64"`), []byte(`"format":7,"sum_by":"other"`), 1))
	_, err := survey.Repair(other)
	var version *journal.VersionError
	if !errors.As(err, &version) {
		t.Errorf("a newer journal: %v", err)
	}

	busy := flipped(t, w.path, lineEnds(w.journal)[10]+5, 2)
	folder := get(store.Open(busy))(t)
	refused(busy, store.ErrLocked, "", "already open in this process")
	must(t, folder.Close())
	if _, err := survey.Repair(t.TempDir()); !errors.Is(err, store.ErrNoRun) || !errors.Is(err, fault.ErrUsage) {
		t.Errorf("no run: %v", err)
	}
}

// A repair that cuts into what must not be interrupted has it start over, like
// any other interruption there.
func TestRepairInsideAnUnbrokenStretch(t *testing.T) {
	w := wholeRun(t, simSpec(t, sourceOf(warming)))
	ends := lineEnds(w.journal)
	for i := 1; i < len(ends); i++ {
		path := flipped(t, w.path, ends[i-1]+5, 2)
		get(survey.Repair(path))(t)
		resumed(t, path, journal.Done)
		replayed(t, path, journal.Done)
	}
}

// TestRepairHead damages the first record of a run that is done, of one that is paused, and of runs that older versions made:
// it is made again from run.json, and nothing after it is lost.
func TestRepairHead(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	paths := []string{w.path, stopped(t, simSpec(t, procedureOf(parted)), 5).Path}
	for name := range goodRuns() {
		paths = append(paths, filepath.Join(runFixtures, "good", name))
	}
	for _, from := range paths {
		whole := file(t, from, "journal.jsonl")
		head, standing := lineEnds(whole)[0], journal.Paused
		if last, ended := journalOf(t, from).Ended(); ended {
			standing = last.Status
		}
		for at := 0; at < head; at += max(1, head/9) {
			path := flipped(t, from, at, at%7)
			if _, err := journal.Load(filepath.Join(path, "journal.jsonl")); err == nil {
				t.Fatalf("%s: byte %d is no damage", from, at)
			}
			rep, err := survey.Repair(path)
			if err != nil {
				t.Fatalf("%s, byte %d: %v", from, at, err)
			}
			if rep.Record != 1 || rep.Bytes != 0 || rep.Results != "" || rep.Status != standing || rep.Procedure == "" {
				t.Errorf("%s, byte %d: %+v", from, at, rep)
			}
			if !bytes.Equal(file(t, path, "journal.jsonl"), whole) || len(file(t, rep.Head)) != head {
				t.Errorf("%s, byte %d: the journal is not as it was", from, at)
			}
			for _, name := range []string{"run.json", "results.json"} {
				was, _ := os.ReadFile(filepath.Join(from, name)) // a run that was cut off has no results
				if is, _ := os.ReadFile(filepath.Join(path, name)); !bytes.Equal(was, is) {
					t.Errorf("%s, byte %d: %s was changed", from, at, name)
				}
			}
		}
	}

	// With more damage after it, the head is made again, and the rest is repaired as ever.
	at := lineEnds(w.journal)[10] + 5
	path := flipped(t, w.path, at, 2)
	data := file(t, path, "journal.jsonl")
	data[50] ^= 1
	must(t, os.WriteFile(filepath.Join(path, "journal.jsonl"), data, 0o644))
	rep := get(survey.Repair(path))(t)
	if rep.Record != 12 || filepath.Base(rep.Head) != "journal-damaged-1.jsonl" || filepath.Base(rep.Side) != "journal-damaged-2.jsonl" || rep.Status != journal.Paused {
		t.Errorf("damaged twice: %+v", rep)
	}
	resumed(t, path, journal.Done)
	w.equals(t, path, "damaged twice")
}

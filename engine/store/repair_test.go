package store

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestKeepDamaged(t *testing.T) {
	r := newRun(t)
	keep := func(tail, want string) {
		t.Helper()
		path, err := r.KeepDamaged([]byte(tail))
		must(t, err)
		kept, err := os.ReadFile(path)
		must(t, err)
		if path != filepath.Join(r.Path(), want) || string(kept) != tail {
			t.Errorf("%q is kept in %s as %q, want it in %s", tail, path, kept, want)
		}
	}
	keep("a", "journal-damaged-1.jsonl")
	keep("a", "journal-damaged-1.jsonl") // the repair that kept it was cut off
	keep("b", "journal-damaged-2.jsonl")
	keep("a", "journal-damaged-3.jsonl") // another damage with the same bytes
	if all := r.Damaged(); len(all) != 3 || filepath.Base(all[2]) != "journal-damaged-3.jsonl" {
		t.Errorf("kept are %v", all)
	}
	must(t, os.Remove(filepath.Join(r.Path(), "journal-damaged-1.jsonl")))
	keep("c", "journal-damaged-1.jsonl")
}

func TestSetResultsAside(t *testing.T) {
	r := newRun(t)
	if path, err := r.SetResultsAside(); path != "" || err != nil {
		t.Errorf("without results it gives %q, %v", path, err)
	}
	for _, want := range []string{"results-before-repair-1.json", "results-before-repair-2.json"} {
		must(t, r.WriteResults(some(t, 1)))
		written, err := os.ReadFile(filepath.Join(r.Path(), ResultsName))
		must(t, err)
		path, err := r.SetResultsAside()
		must(t, err)
		kept, err := os.ReadFile(path)
		must(t, err)
		if path != filepath.Join(r.Path(), want) || string(kept) != string(written) {
			t.Errorf("the results are in %s as %q, want %s", path, kept, want)
		}
		if _, err := r.ReadResults(); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("the results are still there: %v", err)
		}
	}
}

func TestRepairOfAReader(t *testing.T) {
	r, err := OpenReadOnly(closed(t))
	must(t, err)
	_, err = r.KeepDamaged([]byte("a"))
	fails(t, err, errReadOnly, "journal-damaged-1.jsonl")
	_, err = r.SetResultsAside()
	fails(t, err, errReadOnly, "results.json")
	must(t, r.Close())
}

package store

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/result"
)

func TestCorrections(t *testing.T) {
	r := newRun(t)
	folder := filepath.Join(r.Path(), correctionsName)
	must(t, r.WriteCorrections(nil))
	if _, err := os.Stat(folder); !os.IsNotExist(err) {
		t.Errorf("a run without corrections has a folder for them: %v", err)
	}
	must(t, r.WriteCorrections([]Correction{{"con", "Con", []byte("1")}, {"gone", "Gone later", []byte("2")}}))
	own := filepath.Join(folder, "my-own.toml") // not ours to remove
	must(t, os.WriteFile(own, nil, 0o644))
	must(t, r.WriteCorrections([]Correction{{"con", "Con", []byte("3")}}))
	files, err := os.ReadDir(folder)
	must(t, err)
	var names []string
	for _, f := range files {
		names = append(names, f.Name())
	}
	if diff := cmp.Diff([]string{"con_.toml", "corrections.json", "my-own.toml"}, names); diff != "" {
		t.Error(diff)
	}
	text, err := os.ReadFile(filepath.Join(r.Path(), CorrectionFile("con")))
	if err != nil || string(text) != "3" {
		t.Errorf("the correction is %q, %v", text, err)
	}
	index, err := os.ReadFile(filepath.Join(r.Path(), correctionsIndex))
	must(t, err)
	for _, want := range []string{`"format": 1`, `"kind": "candelua-corrections"`, `"id": "con"`, `"file": "con_.toml"`, `"name": "Con"`} {
		if !strings.Contains(string(index), want) {
			t.Errorf("there is no %s in %s", want, index)
		}
	}
}

func TestCorrectionsErrors(t *testing.T) {
	for _, id := range []string{"../x", "/abs", strings.Repeat("n", 300), ".hidden", "a\x00"} {
		fails(t, newRun(t).WriteCorrections([]Correction{{ID: id}}), errName, "correction: ")
	}
	r := newRun(t)
	must(t, os.Mkdir(filepath.Join(r.Path(), correctionsName), 0o755))
	must(t, os.WriteFile(filepath.Join(r.Path(), correctionsIndex), []byte(`{"format":1,"kind":"candelua-corrections","corrections":[{"file":"../journal.jsonl"},{"file":"../../../x"}]}`), 0o644))
	must(t, r.WriteCorrections([]Correction{{"a", "A", nil}}))
	_, err := os.Stat(r.JournalPath())
	must(t, err)
	must(t, os.WriteFile(filepath.Join(r.Path(), correctionsIndex), []byte(`{"format":2,"kind":"candelua-corrections"}`), 0o644))
	fails(t, r.WriteCorrections(nil), result.ErrNewer, "corrections.json")

	ro, err := OpenReadOnly(closed(t))
	must(t, err)
	fails(t, ro.WriteCorrections([]Correction{{"a", "A", nil}}), errReadOnly, correctionsName)
	must(t, ro.Close())
}

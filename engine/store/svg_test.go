package store

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/result"
)

// drawn gives results with a plot and these distributions.
func drawn(t testing.TB, titles ...string) *result.Results {
	t.Helper()
	res := some(t, 1, "Sweep")
	_, err := res.Plot(result.Plot{Table: "sweep", X: "window", Y: []string{"luminance"}})
	must(t, err)
	for _, title := range titles {
		_, err := res.Diagram(result.Diagram{Title: title, Kind: result.Distribution, Values: []float64{1, 2}})
		must(t, err)
	}
	return res
}

func TestDrawings(t *testing.T) {
	r := newRun(t)
	folder := filepath.Join(r.Path(), DrawingsName)
	must(t, r.WriteDrawings(some(t, 1, "Sweep")))
	if _, err := os.Stat(folder); !os.IsNotExist(err) {
		t.Errorf("a run without drawings has a folder for them: %v", err)
	}
	must(t, r.WriteDrawings(drawn(t, "Con", "Gone later")))
	own := filepath.Join(folder, "my-own.svg") // not ours to remove
	must(t, os.WriteFile(own, nil, 0o644))
	must(t, r.WriteDrawings(drawn(t, "Con")))
	files, err := os.ReadDir(folder)
	must(t, err)
	var names []string
	for _, f := range files {
		names = append(names, f.Name())
	}
	if diff := cmp.Diff([]string{"con_.svg", "my-own.svg", "plots.json", "sweep-luminance-window.svg"}, names); diff != "" {
		t.Error(diff)
	}
	text, err := os.ReadFile(filepath.Join(folder, "con_.svg"))
	must(t, err)
	if !strings.HasPrefix(string(text), "<svg ") || !strings.HasSuffix(string(text), "</svg>\n") || !strings.Contains(string(text), "<title>Con</title>") {
		t.Errorf("the drawing is %q", text)
	}
	index, err := os.ReadFile(filepath.Join(folder, "plots.json"))
	must(t, err)
	for _, want := range []string{`"format": 1`, `"kind": "candelua-drawings"`, `"file": "con_.svg"`, `"title": "Con"`, `"id": "sweep-luminance-window"`} {
		if !strings.Contains(string(index), want) {
			t.Errorf("there is no %s in %s", want, index)
		}
	}
	must(t, r.WriteDrawings(some(t, 1)))
	if _, err := os.Stat(filepath.Join(folder, "con_.svg")); !os.IsNotExist(err) {
		t.Errorf("a drawing that is gone is still there: %v", err)
	}
}

func TestDrawingsRefuseHostileNames(t *testing.T) {
	for _, id := range []string{"../x", "/abs", strings.Repeat("n", 300), ".hidden", "a\x00"} {
		r, res := newRun(t), drawn(t, "One")
		res.Diagrams()[0].ID = id
		fails(t, r.WriteDrawings(res), ErrName, "drawing: ")
		r, res = newRun(t), drawn(t)
		res.Plots()[0].ID = id
		fails(t, r.WriteDrawings(res), ErrName, "drawing: ")
	}
	r, res := newRun(t), drawn(t)
	res.Plots()[0].Table = "none"
	fails(t, r.WriteDrawings(res), nil, `its table "none" is not there`)

	r = newRun(t)
	must(t, os.Mkdir(filepath.Join(r.Path(), DrawingsName), 0o755))
	must(t, os.WriteFile(filepath.Join(r.Path(), drawingsIndex), []byte(`{"format":1,"kind":"candelua-drawings","drawings":[{"file":"../journal.jsonl"},{"file":"../../../x"}]}`), 0o644))
	must(t, r.WriteDrawings(drawn(t)))
	_, err := os.Stat(r.JournalPath())
	must(t, err)
	must(t, os.WriteFile(filepath.Join(r.Path(), drawingsIndex), []byte(`{"format":2,"kind":"candelua-drawings"}`), 0o644))
	fails(t, r.WriteDrawings(drawn(t)), result.ErrNewer, "plots.json")
}

func TestDrawingsReadOnly(t *testing.T) {
	r, err := OpenReadOnly(closed(t))
	must(t, err)
	fails(t, r.WriteDrawings(drawn(t)), ErrReadOnly, DrawingsName)
	must(t, r.Close())
}

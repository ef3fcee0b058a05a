package store

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/result"
)

// drawings are such of these ids.
func drawings(ids ...string) (all []Drawing) {
	for _, id := range ids {
		all = append(all, Drawing{ID: id, Title: "Drawing " + id, Write: text("<svg>" + id + "</svg>")})
	}
	return all
}

func TestDrawings(t *testing.T) {
	r := newRun(t)
	folder := filepath.Join(r.Path(), DrawingsName)
	must(t, r.WriteDrawings(nil))
	if _, err := os.Stat(folder); !os.IsNotExist(err) {
		t.Errorf("a run without drawings has a folder for them: %v", err)
	}
	must(t, r.WriteDrawings(drawings("sweep", "con", "gone-later")))
	own := filepath.Join(folder, "my-own.svg") // not ours to remove
	must(t, os.WriteFile(own, nil, 0o644))
	must(t, r.WriteDrawings(drawings("sweep", "con")))
	files, err := os.ReadDir(folder)
	must(t, err)
	var names []string
	for _, f := range files {
		names = append(names, f.Name())
	}
	if diff := cmp.Diff([]string{"con_.svg", "my-own.svg", "plots.json", "sweep.svg"}, names); diff != "" {
		t.Error(diff)
	}
	drawing, err := os.ReadFile(filepath.Join(folder, DrawingFile("con")))
	must(t, err)
	if string(drawing) != "<svg>con</svg>" {
		t.Errorf("the drawing is %q", drawing)
	}
	index, err := os.ReadFile(filepath.Join(folder, "plots.json"))
	must(t, err)
	for _, want := range []string{`"format": 1`, `"kind": "candelua-drawings"`, `"file": "con_.svg"`, `"title": "Drawing con"`, `"id": "sweep"`} {
		if !strings.Contains(string(index), want) {
			t.Errorf("there is no %s in %s", want, index)
		}
	}
	must(t, r.WriteDrawings(nil))
	if _, err := os.Stat(filepath.Join(folder, "con_.svg")); !os.IsNotExist(err) {
		t.Errorf("a drawing that is gone is still there: %v", err)
	}
}

func TestDrawingsRefuseHostileNames(t *testing.T) {
	for _, id := range []string{"../x", "/abs", strings.Repeat("n", 300), ".hidden", "a\x00"} {
		fails(t, newRun(t).WriteDrawings(drawings(id)), errName, "drawing: ")
	}
	r := newRun(t)
	must(t, os.Mkdir(filepath.Join(r.Path(), DrawingsName), 0o755))
	must(t, os.WriteFile(filepath.Join(r.Path(), drawingsIndex), []byte(`{"format":1,"kind":"candelua-drawings","drawings":[{"file":"../journal.jsonl"},{"file":"../../../x"}]}`), 0o644))
	must(t, r.WriteDrawings(drawings("sweep")))
	_, err := os.Stat(r.JournalPath())
	must(t, err)
	must(t, os.WriteFile(filepath.Join(r.Path(), drawingsIndex), []byte(`{"format":2,"kind":"candelua-drawings"}`), 0o644))
	fails(t, r.WriteDrawings(drawings("sweep")), result.ErrNewer, "plots.json")
}

func TestDrawingsReadOnly(t *testing.T) {
	r, err := OpenReadOnly(closed(t))
	must(t, err)
	fails(t, r.WriteDrawings(drawings("sweep")), errReadOnly, DrawingsName)
	must(t, r.Close())
}

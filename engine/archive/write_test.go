package archive

import (
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/store"
)

// concluded are results with a table, of which one number has an uncertainty, a plot
// of it and a diagram.
func concluded(t *testing.T) *play.Outcome {
	t.Helper()
	res := result.New()
	table, err := res.Table("Sweep", "", []result.Column{{Name: "window", Unit: "%"}, {Name: "luminance", Unit: "cd/m2"}})
	noError(t, err)
	noError(t, table.Add(map[string]any{"window": 10, "luminance": 812.4}))
	noError(t, table.SetSpread(0, 1, result.Spread{U: 0.5, Low: 811, High: 813}))
	_, err = res.Plot(result.Plot{Table: "sweep", X: "window", Y: []string{"luminance"}})
	noError(t, err)
	_, err = res.Diagram(result.Diagram{Title: "Con", Kind: result.Distribution, Values: []float64{1, 2}})
	noError(t, err)
	return &play.Outcome{Results: res}
}

func noError(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func newFolder(t *testing.T) *store.Run {
	t.Helper()
	folder, err := store.Create(t.TempDir(), "sweep")
	noError(t, err)
	t.Cleanup(func() { noError(t, folder.Close()) })
	return folder
}

// Each file has what is rendered of it; the index names the columns of a table's
// uncertainties as the table's file does.
func TestConclusions(t *testing.T) {
	folder := newFolder(t)
	noError(t, WriteConclusions(folder, concluded(t), false))
	read := func(name string) string {
		text, err := os.ReadFile(filepath.Join(folder.Path(), name))
		noError(t, err)
		return string(text)
	}
	const head = "window (%),luminance (cd/m2),u of luminance (cd/m2),lower end of luminance (cd/m2),upper end of luminance (cd/m2)"
	if got := read("tables/sweep.csv"); got != head+"\r\n10,812.4,0.5,811,813\r\n" {
		t.Errorf("sweep.csv is %q", got)
	}
	var index struct {
		Tables []struct {
			Columns []struct{ Name, Unit, Of, Is string }
		}
	}
	noError(t, json.Unmarshal([]byte(read("tables/tables.json")), &index))
	var heads, is []string
	for _, c := range index.Tables[0].Columns {
		heads, is = append(heads, c.Name+" ("+c.Unit+")"), append(is, c.Of+" "+c.Is)
	}
	if strings.Join(heads, ",") != head || strings.Join(is, ",") != " , ,luminance u,luminance low,luminance high" {
		t.Errorf("the index has %q, %q", heads, is)
	}
	for name, title := range map[string]string{"sweep-luminance-window": "Sweep", "con_": "Con"} {
		if got := read("plots/" + name + ".svg"); !strings.HasPrefix(got, "<svg ") || !strings.HasSuffix(got, "</svg>\n") || !strings.Contains(got, "<title>"+title+"</title>") {
			t.Errorf("drawing %s is %q", name, got)
		}
	}
	if got := read("readings.csv"); got != strings.Join(readingsHead, ",")+"\r\n" {
		t.Errorf("readings.csv of no readings is %q", got)
	}
}

// The reader of results refuses such a plot; the writer does not rely on it.
func TestConclusionsRefuseAPlotOfNoTable(t *testing.T) {
	folder, out := newFolder(t), concluded(t)
	out.Results.Plots()[0].Table = "none"
	err := WriteConclusions(folder, out, false)
	if want := "run " + folder.Path() + `: plot "sweep-luminance-window": its table "none" is not there`; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// What is written into a run's folder is in the list of the store's package comment.
func TestFilesAreListed(t *testing.T) {
	folder := newFolder(t)
	noError(t, WriteConclusions(folder, concluded(t), false))
	doc, err := os.ReadFile("../store/doc.go")
	noError(t, err)
	entries, err := os.ReadDir(folder.Path())
	noError(t, err)
	for _, e := range entries {
		name := e.Name()
		if e.IsDir() {
			name += "/"
		}
		if !strings.Contains(string(doc), name) {
			t.Errorf("%s is not in the list of engine/store/doc.go", name)
		}
	}
	if len(entries) < 4 {
		t.Errorf("%d entries were written", len(entries))
	}
}

// TestEveryFileIsWritten: what the store can write, this package writes. run.json is
// an exception: it is written by whoever has the journal.
func TestEveryFileIsWritten(t *testing.T) {
	src, err := os.ReadFile("write.go")
	noError(t, err)
	for m := range reflect.TypeFor[*store.Run]().Methods() {
		if strings.HasPrefix(m.Name, "Write") && m.Name != "WriteMeta" && !strings.Contains(string(src), "folder."+m.Name+"(") {
			t.Errorf("store.Run.%s is not called in write.go, so its file is never written", m.Name)
		}
	}
}

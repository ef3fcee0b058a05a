package store

import (
	"bytes"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"candelua/engine/fault"
	"candelua/engine/result"

	"github.com/google/go-cmp/cmp"
)

// fails checks that an error has a cause and says some words.
func fails(t *testing.T, err, cause error, words ...string) {
	t.Helper()
	if err == nil || cause != nil && !errors.Is(err, cause) {
		t.Errorf("error is %v, want one of %v", err, cause)
		return
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("error is %q, want %q in it", err, w)
		}
	}
}

// must stops the test on an error.
func must(t testing.TB, errs ...error) {
	t.Helper()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
}

type meta struct {
	Procedure string `json:"procedure"`
	Seed      int    `json:"seed"`
}

// newRun makes a run with its two necessary files, and closes it at the end.
func newRun(t testing.TB) *Run {
	t.Helper()
	r, err := Create(filepath.Join(t.TempDir(), "runs"), "window-sweep")
	must(t, err)
	t.Cleanup(func() { must(t, r.Close()) })
	must(t, r.WriteMeta(meta{"window-sweep", 1}), os.WriteFile(r.JournalPath(), nil, 0o644))
	return r
}

// closed makes a run, closes it and gives its path.
func closed(t testing.TB) string {
	t.Helper()
	r, err := Create(filepath.Join(t.TempDir(), "runs"), "window-sweep")
	must(t, err)
	must(t, r.WriteMeta(meta{"window-sweep", 1}), os.WriteFile(r.JournalPath(), nil, 0o644), r.Close())
	return r.Path()
}

func some(t testing.TB, peak float64, tables ...string) *result.Results {
	t.Helper()
	res := result.New()
	_, err := res.Value(result.Value{Name: "Peak luminance", Value: &peak, Unit: "cd/m2"})
	must(t, err)
	for _, name := range tables {
		tab, err := res.Table(name, "", []result.Column{{Name: "window", Unit: "%"}, {Name: "luminance", Unit: "cd/m2"}})
		must(t, err)
		must(t, tab.Add(map[string]any{"window": 10, "luminance": peak}))
	}
	return res
}

// text writes a file's text.
func text(s string) func(io.Writer) error { return bytesOf([]byte(s)) }

// tables are such of these ids.
func tables(ids ...string) (all []Table) {
	for _, id := range ids {
		all = append(all, Table{ID: id, Name: "Table " + id, Columns: []string{"window", "luminance"}, Write: text(id + "\r\n")})
	}
	return all
}

func TestCreateTakesTheFirstFreeNumber(t *testing.T) {
	out := filepath.Join(t.TempDir(), "deep", "runs")
	var paths []string
	for range 3 {
		r, err := Create(out, "ramp")
		must(t, err)
		paths = append(paths, filepath.Base(r.Path()))
		must(t, r.Close())
	}
	must(t, os.RemoveAll(filepath.Join(out, "ramp-2")), os.WriteFile(filepath.Join(out, "ramp-4"), nil, 0o644))
	for range 2 { // 4 is a file, and taken too
		r, err := Create(out, "ramp")
		must(t, err)
		paths = append(paths, filepath.Base(r.Path()))
		must(t, r.Close())
	}
	if want := []string{"ramp-1", "ramp-2", "ramp-3", "ramp-2", "ramp-5"}; !slices.Equal(paths, want) {
		t.Errorf("folders are %v, want %v", paths, want)
	}
}

func TestCreateErrors(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"../x", "/abs", "a/b", "", strings.Repeat("n", 200), "a\x00"} {
		_, err := Create(dir, name)
		fails(t, err, errName, "procedure: ")
	}
	file := filepath.Join(dir, "file")
	must(t, os.WriteFile(file, nil, 0o644))
	_, err := Create(file, "ramp")
	fails(t, err, nil, "folder for runs "+file+" cannot be made")
}

func TestOpenErrors(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	must(t, os.WriteFile(file, nil, 0o644))
	for _, open := range []func(string) (*Run, error){Open, OpenReadOnly} {
		_, err := open(filepath.Join(dir, "none"))
		fails(t, err, ErrNoRun, "there is no run folder ")
		if hint := fault.HintOf(err); !strings.Contains(hint, "candelua runs") {
			t.Errorf("the hint is %q", hint)
		}
		_, err = open(file)
		fails(t, err, ErrNoRun, "is a file, not a run folder; give the folder of the run")
		_, err = open(filepath.Join(file, "x"))
		fails(t, err, nil, file)
		_, err = open(dir)
		fails(t, err, ErrNoRun, "run.json")
		path := closed(t)
		must(t, os.Remove(filepath.Join(path, journalName)))
		_, err = open(path)
		fails(t, err, os.ErrNotExist, "has no file journal.jsonl")
		if hint := fault.HintOf(err); !strings.Contains(hint, "from a copy of the run") {
			t.Errorf("the hint is %q", hint)
		}
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 1 {
		t.Errorf("opening left something behind: %v, %v", left, err)
	}
}

func TestMeta(t *testing.T) {
	r := newRun(t)
	var got meta
	must(t, r.ReadMeta(&got))
	if got != (meta{"window-sweep", 1}) {
		t.Errorf("meta is %+v", got)
	}
	text, err := os.ReadFile(filepath.Join(r.Path(), MetaName))
	must(t, err)
	want := "{\n  \"format\": 1,\n  \"kind\": \"candelua-run\",\n  \"procedure\": \"window-sweep\",\n  \"seed\": 1\n}\n"
	if string(text) != want {
		t.Errorf("run.json is %s", text)
	}
	must(t, r.WriteMeta(struct{}{}), r.ReadMeta(&got))

	fails(t, r.WriteMeta([]int{1}), nil, "run.json: []int is not a JSON object")
	fails(t, r.WriteMeta(nil), nil, "is not a JSON object")
	fails(t, r.WriteMeta(map[string]any{"kind": "x"}), nil, `has a member "kind"`)
	fails(t, r.WriteMeta(map[string]any{"format": 7}), nil, `has a member "format"`)
	fails(t, r.WriteMeta(map[string]any{"f": func() {}}), nil, "unsupported type")
}

func TestReadErrors(t *testing.T) {
	r := newRun(t)
	var m meta
	for text, want := range map[string]string{
		`{"format":2,"kind":"candelua-run"}`:            "run.json: format is 2, newer than this candelua reads (up to 1)",
		`{"format":1,"kind":"candelua-results"}`:        `kind is "candelua-results"; it must be "candelua-run"`,
		`{"kind":"candelua-run"}`:                       "format is 0",
		`{"format":1,"kind":"candelua-run","seed":"x"}`: "run.json is damaged",
		`{"format":1,`: "run.json is damaged: unexpected end",
		"":             "run.json is damaged",
	} {
		must(t, os.WriteFile(filepath.Join(r.Path(), MetaName), []byte(text), 0o644))
		fails(t, r.ReadMeta(&m), nil, r.Path(), want)
	}
	_, err := r.ReadResults()
	fails(t, err, os.ErrNotExist, r.Path(), ResultsName)
	must(t, os.WriteFile(filepath.Join(r.Path(), ResultsName), []byte(`{"format":9,"kind":"candelua-results"}`), 0o644))
	_, err = r.ReadResults()
	fails(t, err, result.ErrNewer, "results.json: ", "format is 9")
	must(t, os.Mkdir(filepath.Join(r.Path(), tablesName), 0o755))
	must(t, os.WriteFile(filepath.Join(r.Path(), tablesIndex), []byte(`{"format":9,"kind":"candelua-tables"}`), 0o644))
	fails(t, r.WriteTables(nil), result.ErrNewer, "tables.json")
}

func TestResultsAndTables(t *testing.T) {
	r := newRun(t)
	res := some(t, 812.4, "Sweep")
	must(t, r.WriteResults(res), r.WriteTables(tables("sweep", "con", "gone-later")))
	back, err := r.ReadResults()
	must(t, err)
	if d := result.Compare(res, back); len(d) > 0 {
		t.Errorf("results differ: %v", d)
	}
	csv, err := os.ReadFile(filepath.Join(r.Path(), "tables", "sweep.csv"))
	must(t, err)
	if string(csv) != "sweep\r\n" {
		t.Errorf("sweep.csv is %q", csv)
	}

	own := filepath.Join(r.Path(), "tables", "my-own.csv") // not ours to remove
	must(t, os.WriteFile(own, nil, 0o644))
	must(t, r.WriteTables(tables("sweep", "con")))
	files, err := os.ReadDir(filepath.Join(r.Path(), "tables"))
	must(t, err)
	var names []string
	for _, f := range files {
		names = append(names, f.Name())
	}
	if diff := cmp.Diff([]string{"con_.csv", "my-own.csv", "sweep.csv", "tables.json"}, names); diff != "" {
		t.Error(diff)
	}
	index, err := os.ReadFile(filepath.Join(r.Path(), tablesIndex))
	must(t, err)
	for _, want := range []string{`"format": 1`, `"kind": "candelua-tables"`, `"id": "con"`, `"name": "Table con"`, `"file": "con_.csv"`, `"luminance"`} {
		if !strings.Contains(string(index), want) {
			t.Errorf("there is no %s in %s", want, index)
		}
	}
}

// What cannot be written is said.
func TestWriteErrors(t *testing.T) {
	r := newRun(t)
	res := some(t, 1, "Sweep")
	nan := math.NaN()
	res.Values()[0].U = &nan
	fails(t, r.WriteResults(res), nil, "results.json: values: ", "NaN")

	must(t, r.WriteTables(tables("sweep")), os.Remove(filepath.Join(r.Path(), "tables", "sweep.csv")))
	must(t, os.MkdirAll(filepath.Join(r.Path(), "tables", "sweep.csv", "x"), 0o755))
	fails(t, r.WriteTables(nil), nil, r.Path(), "sweep.csv")

	must(t, os.WriteFile(filepath.Join(r.Path(), formerName), nil, 0o644), r.AddProcedure("a.lua", []byte("1")))
	fails(t, r.ReplaceProcedure("a.lua", []byte("2")), nil, r.Path(), formerName)
	if src, err := r.Procedure("a.lua"); err != nil || string(src) != "1" {
		t.Errorf("a script whose copy could not be kept was replaced: %q, %v", src, err)
	}
	must(t, os.RemoveAll(filepath.Join(r.Path(), ProcedureName)), os.WriteFile(filepath.Join(r.Path(), ProcedureName), nil, 0o644))
	fails(t, r.AddProcedure("a.lua", []byte("1")), nil, r.Path(), ProcedureName)
}

// An index from elsewhere cannot make us remove other files.
func TestWriteTablesRemovesNothingElse(t *testing.T) {
	r := newRun(t)
	must(t, os.Mkdir(filepath.Join(r.Path(), tablesName), 0o755))
	must(t, os.WriteFile(filepath.Join(r.Path(), tablesIndex), []byte(`{"format":1,"kind":"candelua-tables","tables":[{"file":"../journal.jsonl"},{"file":"../../../x"}]}`), 0o644))
	must(t, r.WriteTables(nil))
	index, err := os.ReadFile(filepath.Join(r.Path(), "tables", "tables.json"))
	if err != nil || !bytes.Contains(index, []byte(`"tables": []`)) {
		t.Errorf("%v: a run without tables has the index\n%s", err, index)
	}
	_, err = os.Stat(r.JournalPath())
	must(t, err)
}

// The reader of results refuses such ids; the writer does not rely on it.
func TestWriteTablesRefusesHostileIDs(t *testing.T) {
	for _, id := range []string{"../x", "/abs", strings.Repeat("n", 300), ".hidden", "a\x00"} {
		fails(t, newRun(t).WriteTables(tables(id)), errName, "table: ")
	}
}

func TestReadings(t *testing.T) {
	r := newRun(t)
	must(t, r.WriteReadings([]string{"reading", "Y (cd/m2)"}, text("1,0.1\r\n")))
	written, err := os.ReadFile(filepath.Join(r.Path(), readingsName))
	must(t, err)
	if string(written) != "1,0.1\r\n" {
		t.Errorf("readings are %q", written)
	}
	index, err := os.ReadFile(filepath.Join(r.Path(), readingsIndex))
	must(t, err)
	for _, want := range []string{`"format": 1`, `"kind": "candelua-readings"`, `"file": "readings.csv"`, `"Y (cd/m2)"`} {
		if !strings.Contains(string(index), want) {
			t.Errorf("there is no %s in %s", want, index)
		}
	}
	broken := errors.New("row 2 cannot be rendered")
	err = r.WriteReadings([]string{"reading"}, func(w io.Writer) error { return errors.Join(text("2,")(w), broken) })
	fails(t, err, broken, "readings.csv was not written, the old file is kept")
	again, err := os.ReadFile(filepath.Join(r.Path(), readingsName))
	must(t, err)
	if string(again) != string(written) {
		t.Errorf("a failed write changed the readings to %q", again)
	}
}

func TestReadOnly(t *testing.T) {
	path := closed(t)
	before, err := os.ReadDir(path)
	must(t, err)
	r, err := OpenReadOnly(path)
	must(t, err)
	other, err := OpenReadOnly(path) // readers stand each other
	must(t, err)
	var m meta
	must(t, r.ReadMeta(&m))
	for _, err := range []error{
		r.WriteMeta(m), r.WriteResults(result.New()), r.WriteTables(nil), r.WriteReadings([]string{"a"}, text("a")),
		r.AddProcedure("a.lua", nil), r.ReplaceProcedure("a.lua", nil),
	} {
		fails(t, err, errReadOnly, path)
	}
	must(t, r.Close(), other.Close())
	after, err := os.ReadDir(path)
	must(t, err)
	if len(before) != len(after) {
		t.Errorf("reading changed the folder from %v to %v", before, after)
	}
}

// A symbolic link in a folder from elsewhere does not lead out of it.
func TestLinksStayInside(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "outside")
	must(t, os.Mkdir(outside, 0o755), os.WriteFile(filepath.Join(outside, "secret.lua"), []byte("secret"), 0o644))
	r := newRun(t)
	for _, name := range []string{ProcedureName, tablesName, formerName} {
		must(t, os.Symlink(outside, filepath.Join(r.Path(), name)))
	}
	_, err := r.Procedure("secret.lua")
	fails(t, err, nil, "escapes")
	fails(t, r.AddProcedure("a.lua", []byte("x")), nil, r.Path())
	must(t, r.WriteTables(tables("sweep"))) // into a folder of its own
	files, err := os.ReadDir(outside)
	if err != nil || len(files) != 1 {
		t.Errorf("outside there is %v, %v", files, err)
	}

	for _, name := range []string{journalName, lockName} {
		path := closed(t)
		must(t, os.Remove(filepath.Join(path, name)), os.Symlink(filepath.Join(outside, "secret.lua"), filepath.Join(path, name)))
		if r, err := Open(path); err == nil {
			t.Errorf("a run whose %s leads outside was opened", name)
			must(t, r.Close())
		}
	}
}

func TestList(t *testing.T) {
	out := t.TempDir()
	for _, name := range []string{"ramp", "ramp", "a-b"} {
		r, err := Create(out, name)
		must(t, err)
		must(t, r.WriteMeta(meta{}), r.Close())
	}
	must(t, os.Rename(filepath.Join(out, "ramp-2"), filepath.Join(out, "ramp-10")))
	for _, other := range []string{"ramp-3", "notes", "ramp-x", "-1", "ramp-007", "monday"} {
		must(t, os.Mkdir(filepath.Join(out, other), 0o755))
	}
	must(t, os.WriteFile(filepath.Join(out, "file-1"), nil, 0o644), os.WriteFile(filepath.Join(out, "ramp-007", MetaName), nil, 0o644),
		os.WriteFile(filepath.Join(out, "monday", journalName), nil, 0o644))
	got, err := List(out)
	must(t, err)
	want := []Entry{{filepath.Join(out, "a-b-1"), "a-b", 1}, {filepath.Join(out, "monday"), "monday", 0}, {filepath.Join(out, "ramp-1"), "ramp", 1},
		{filepath.Join(out, "ramp-10"), "ramp", 10}, {filepath.Join(out, "ramp-007"), "ramp-007", 0}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	_, err = List(filepath.Join(out, "none"))
	fails(t, err, os.ErrNotExist, "folder for runs")
}

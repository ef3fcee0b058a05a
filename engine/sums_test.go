package engine_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/journal"
	"candelua/engine/store"
)

// TestFilesAreCompared changes each file that is written beside results.json, in several ways, and removes it: the replay
// names it, and no other.
func TestFilesAreCompared(t *testing.T) {
	s := simSpec(t, procedureOf(`
    local t = record.table("Greys", { { "grey" }, { "luminance", "cd/m2" } })
    for i = 1, 2 do
      patches.show { grey = i / 2, window = 10 }
      t:add { grey = i / 2, luminance = meter.read({ after = 1 }).Y }
    end
    record.plot { table = t, x = "grey", y = "luminance" }`))
	s.Draws = 100
	for _, from := range []string{ran(t, s, journal.Done).Path, stopped(t, s, 4).Path, resumedFrom(t, s)} {
		var names []string
		for _, f := range metaOf(t, from).Files {
			names = append(names, f.Name)
		}
		if want := []string{"readings.csv", "readings.json", "tables/greys.csv", "tables/tables.json"}; !slices.Equal(names, want) {
			t.Fatalf("there are sums of %q, want %q", names, want)
		}
		if rep := get(engine.Replay(context.Background(), from, plain()))(t); len(rep.Files) > 0 {
			t.Errorf("nothing was touched, and the replay names %v", rep.Files)
		}
		for _, name := range names {
			whole := file(t, from, name)
			for _, text := range [][]byte{nil, {}, whole[:len(whole)-1], append(bytes.Clone(whole), '\n'), bytes.ToUpper(whole), flippedByte(whole, len(whole)/2)} {
				path := filepath.Join(memoryDir(t), "probe-1")
				must(t, os.CopyFS(path, os.DirFS(from)))
				must(t, os.Remove(filepath.Join(path, name)))
				if text != nil {
					must(t, os.WriteFile(filepath.Join(path, name), text, 0o644))
				}
				rep := get(engine.Replay(context.Background(), path, plain()))(t)
				if want := []store.FileChange{{Name: name, Removed: text == nil}}; !slices.Equal(rep.Files, want) || len(rep.Differences) > 0 {
					t.Errorf("%s is %q: the replay names %v", name, text, rep.Files)
				}
			}
		}
	}
}

func flippedByte(whole []byte, at int) []byte {
	b := bytes.Clone(whole)
	b[at] ^= 1
	return b
}

// resumedFrom is a run that was done, and of which steps were taken anew.
func resumedFrom(t *testing.T, s engine.Spec) string {
	t.Helper()
	s.Out = memoryDir(t)
	path := ran(t, s, journal.Done).Path
	wants(t, journal.Done)(fromStep(t, path, 3, 0, nil))
	return path
}

// Drawings may be drawn otherwise by a later version, and a run of an older version, or one that was gone on with since,
// has no sums: none is accused.
func TestFilesAreNotAccused(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(short)), journal.Done)
	for _, f := range metaOf(t, rep.Path).Files {
		if strings.HasPrefix(f.Name, store.DrawingsName) || f.Name == "results.json" || f.Name == "run.json" {
			t.Errorf("%s has a sum", f.Name)
		}
	}
	old := copyOf(t, filepath.Join(runFixtures, "good", "done"))
	if len(metaOf(t, old).Files) > 0 {
		t.Fatal("the old run has sums")
	}
	must(t, os.WriteFile(filepath.Join(old, "readings.csv"), []byte("edited"), 0o644))
	if rep := replayed(t, old, journal.Done); len(rep.Files) > 0 {
		t.Errorf("of an old run, the replay names %v", rep.Files)
	}
	for _, spoil := range []struct{ old, with string }{{`"status": "done"`, `"status": "paused"`}, {`{`, `[`}} {
		path := filepath.Join(memoryDir(t), "probe-1")
		must(t, os.CopyFS(path, os.DirFS(rep.Path)))
		must(t, os.WriteFile(filepath.Join(path, "readings.csv"), []byte("edited"), 0o644))
		rewrite(t, filepath.Join(path, "run.json"), spoil.old, spoil.with)
		if rep := replayed(t, path, journal.Done); len(rep.Files) > 0 {
			t.Errorf("by a run.json of less than the journal, the replay names %v", rep.Files)
		}
	}
}

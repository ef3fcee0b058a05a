package engine_test

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/journal"
	"candelua/engine/store"
	"candelua/testdata/campaign"
)

// TestFilesAreCompared changes each file that says what was concluded, in several ways, and removes it: the replay names
// it, and no other.
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
		if want := concluded(t, from); !slices.Equal(names, want) || len(want) < 5 {
			t.Fatalf("there are sums of %q, want %q", names, want)
		}
		if rep := get(engine.Replay(context.Background(), from, plain()))(t); len(rep.Files) > 0 {
			t.Errorf("nothing was touched, and the replay names %v", rep.Files)
		}
		for _, name := range names {
			whole := file(t, from, name)
			for _, text := range campaign.Some(t, [][]byte{nil, {}, whole[:len(whole)-1], append(bytes.Clone(whole), '\n'), bytes.ToUpper(whole), flippedByte(whole, len(whole)/2)}, 2) {
				path := filepath.Join(memoryDir(t), "probe-1")
				must(t, os.CopyFS(path, os.DirFS(from)))
				must(t, os.Remove(filepath.Join(path, name)))
				if text != nil {
					must(t, os.WriteFile(filepath.Join(path, name), text, 0o644))
				}
				rep, err := engine.Replay(context.Background(), path, plain())
				if name == "results.json" && text == nil && rep.Recorded == journal.Paused && errors.Is(err, os.ErrNotExist) {
					continue // a run that was cut off has none
				}
				must(t, err)
				if name == "results.json" && len(rep.Differences) > 0 && len(rep.Files) == 0 {
					continue // it says in what
				}
				if want := []store.FileChange{{Name: name, Removed: text == nil}}; !slices.Equal(rep.Files, want) || len(rep.Differences) > 0 {
					t.Errorf("%s is %q: the replay names %v", name, text, rep.Files)
				}
			}
		}
	}
}

// concluded are the files in a run's folder that say what was concluded, sorted: all but what was recorded.
func concluded(t *testing.T, path string) (names []string) {
	t.Helper()
	must(t, fs.WalkDir(os.DirFS(path), ".", func(name string, d fs.DirEntry, err error) error {
		recorded := name == "journal.jsonl" || name == "run.json" || name == "lock" || strings.HasPrefix(name, "procedure/")
		if err == nil && !d.IsDir() && !recorded {
			names = append(names, name)
		}
		return err
	}))
	return names
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

// A run of an older version, or one that was gone on with since, has no sums: no file is accused but a run.json that
// cannot be read.
func TestFilesAreNotAccused(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(short)), journal.Done)
	old := copyOf(t, filepath.Join(runFixtures, "good", "done"))
	if len(metaOf(t, old).Files) > 0 {
		t.Fatal("the old run has sums")
	}
	must(t, os.WriteFile(filepath.Join(old, "readings.csv"), []byte("edited"), 0o644))
	if rep := replayed(t, old, journal.Done); len(rep.Files) > 0 {
		t.Errorf("of an old run, the replay names %v", rep.Files)
	}
	for _, spoil := range []struct {
		old, with string
		want      []store.FileChange
	}{{`"status": "done"`, `"status": "paused"`, nil}, {`{`, `[`, []store.FileChange{{Name: "run.json"}}}} {
		path := filepath.Join(memoryDir(t), "probe-1")
		must(t, os.CopyFS(path, os.DirFS(rep.Path)))
		must(t, os.WriteFile(filepath.Join(path, "readings.csv"), []byte("edited"), 0o644))
		rewrite(t, filepath.Join(path, "run.json"), spoil.old, spoil.with)
		if rep := replayed(t, path, journal.Done); !slices.Equal(rep.Files, spoil.want) {
			t.Errorf("by a run.json of less than the journal, the replay names %v, want %v", rep.Files, spoil.want)
		}
	}
}

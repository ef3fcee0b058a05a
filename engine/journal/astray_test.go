package journal

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// attacks are what another program may do to a journal's file while it is written; each leaves something
// else than the journal at its path. Kept says that what it put there is set aside.
var attacks = map[string]struct {
	do   func(path string) error
	kept bool
}{
	"removed": {os.Remove, false},
	"emptied": {func(path string) error { return os.Truncate(path, 0) }, false},
	"cut":     {func(path string) error { return os.Truncate(path, 40) }, true},
	"made longer": {func(path string) error {
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
		if err != nil {
			return err
		}
		_, err = f.WriteString(strings.Repeat("more", 1<<14)) // more than is still written
		return errors.Join(err, f.Close())
	}, true},
	"written over": {func(path string) error { return os.WriteFile(path, []byte("another\n"), 0o666) }, true},
	"replaced by a file": {func(path string) error {
		return errors.Join(os.WriteFile(path+".new", []byte("another\n"), 0o666), os.Rename(path+".new", path))
	}, true},
	"replaced by an empty file": {func(path string) error { return errors.Join(os.Remove(path), os.WriteFile(path, nil, 0o666)) }, false},
	"replaced by a copy of itself": {func(path string) error {
		data, err := os.ReadFile(path)
		return errors.Join(err, os.Remove(path), os.WriteFile(path, data, 0o666))
	}, true},
	"replaced by a folder": {func(path string) error { return errors.Join(os.Remove(path), os.Mkdir(path, 0o777)) }, true},
	"replaced by a link": {func(path string) error {
		return errors.Join(os.Rename(path, path+".old"), os.Symlink(path+".old", path))
	}, true},
	"moved away": {func(path string) error { return os.Rename(path, path+".old") }, false},
}

// TestAstray attacks a journal before each record in turn. Whatever was done to the file, every record that
// was acknowledged by an answer, and at the end every record, is in the file at the journal's path.
func TestAstray(t *testing.T) {
	records := mendedRun()
	for name, attack := range attacks {
		for at := range len(records) + 1 {
			path := filepath.Join(t.TempDir(), "journal.jsonl")
			var told []string
			j, err := Create(path, ternHead, Options{Sync: at == 7, Tell: func(text string) { told = append(told, text) }})
			if err != nil {
				t.Fatal(err)
			}
			for n, r := range records {
				if n == at {
					must(t, attack.do(path))
				}
				must(t, j.Append(r))
				if syncs(r.Kind) && n >= at {
					wantFile(t, name, j)
				}
			}
			if at == len(records) {
				must(t, attack.do(path))
			}
			must(t, j.Close())
			wantFile(t, name, j)
			if len(told) != 1 || !strings.Contains(told[0], path+": the journal was ") || !strings.Contains(told[0], "nothing is lost") {
				t.Errorf("%s before record %d: told %q", name, at+2, told)
			}
			_, err = os.Lstat(strings.TrimSuffix(path, ".jsonl") + "-found-1.jsonl")
			// What was written into an emptied file before that was noticed is of this journal.
			if kept := err == nil; kept != attack.kept && name != "emptied" {
				t.Errorf("%s before record %d: what was found is kept: %v, want %v", name, at+2, kept, attack.kept)
			}
		}
	}
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func wantFile(t *testing.T, name string, j *Journal) {
	t.Helper()
	data, err := os.ReadFile(j.path)
	if err != nil || string(data) != string(j.data) {
		t.Fatalf("%s: %d bytes are in the file, want %d: %v", name, len(data), len(j.data), err)
	}
	if info, err := os.Lstat(j.path); err != nil || !info.Mode().IsRegular() {
		t.Fatalf("%s: %v, %v is at the path", name, info, err)
	}
}

// Where nobody touches the file, nothing is told and it stays the same file.
func TestNotAstray(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.jsonl")
	j, err := Create(path, ternHead, Options{Tell: func(text string) { t.Errorf("told %q", text) }})
	must(t, err)
	before, err := os.Stat(path)
	must(t, err)
	appendAll(t, j, mendedRun())
	must(t, j.Close())
	if after, err := os.Stat(path); err != nil || !os.SameFile(before, after) {
		t.Errorf("the file is another: %v", err)
	}
	j, err = Open(saved(t, append(built(t, step(1)).data, "torn"...)), Options{Tell: func(text string) { t.Errorf("told %q", text) }})
	must(t, err)
	must(t, j.Close()) // and a torn line stays where nothing was appended
}

// Where the file cannot be written anew, the journal is broken, with the cause.
func TestAstrayForGood(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "run-1")
	must(t, os.Mkdir(folder, 0o777))
	j, err := Create(filepath.Join(folder, "journal.jsonl"), ternHead, Options{})
	must(t, err)
	must(t, os.RemoveAll(folder))
	must(t, j.Append(ask(1)))
	for range 2 {
		err = j.Append(answer(1))
		if !errors.Is(err, ErrBroken) || !errors.Is(err, os.ErrNotExist) || !strings.Contains(err.Error(), "was removed, and cannot be written anew") {
			t.Fatalf("error is %v", err)
		}
	}
	must(t, j.Close())
}

package store

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestLook(t *testing.T) {
	path := closed(t)
	look := func(busy error) {
		t.Helper()
		r, by, err := Look(path)
		must(t, err)
		if busy == nil && by != nil {
			t.Errorf("the run is said to be written: %v", by)
		} else if busy != nil {
			fails(t, by, busy, path)
		}
		var m meta
		must(t, r.ReadMeta(&m))
		fails(t, r.WriteMeta(m), errReadOnly)
		if busy == nil {
			writer, err := Open(path) // whoever looks keeps nobody from going on
			must(t, err)
			must(t, writer.Close())
		}
		must(t, r.Close())
	}
	look(nil)
	reader, err := OpenReadOnly(path)
	must(t, err)
	other, by, err := Look(path)
	must(t, err, by)
	must(t, other.Close())
	must(t, reader.Close())
	writer, err := Open(path)
	must(t, err)
	look(ErrLocked)
	if _, err := os.Stat(filepath.Join(path, holderName)); err != nil {
		t.Errorf("looking took the holder's name away: %v", err)
	}
	must(t, writer.Close(), os.Remove(filepath.Join(path, lockName)))
	r, by, err := Look(path) // a copy without a lock
	must(t, err, by)
	must(t, r.Close())
	_, _, err = Look(filepath.Join(path, "none"))
	fails(t, err, ErrNoRun)
}

func TestLookAtAnotherProcess(t *testing.T) {
	path := closed(t)
	p := start(t, "write", path)
	if p.said != "open" {
		t.Fatalf("the other process said %q", p.said)
	}
	r, busy, err := Look(path)
	must(t, err)
	if want := fmt.Sprintf("process %d on ", p.Process.Pid); !strings.HasPrefix(r.Holder(), want) {
		t.Errorf("the holder is %q, want %q", r.Holder(), want)
	}
	for text, want := range map[string]string{`{"pid":17}`: "process 17", "?": "another process"} {
		must(t, os.WriteFile(filepath.Join(path, holderName), []byte(text), 0o644))
		if got := r.Holder(); got != want {
			t.Errorf("from %s the holder is %q, want %q", text, got, want)
		}
	}
	must(t, r.Close())
	fails(t, busy, ErrLocked, path)
	must(t, p.stdin.Close(), p.Wait())
	r, busy, err = Look(path)
	must(t, err, busy)
	must(t, r.Close())
}

func TestIsRun(t *testing.T) {
	path := closed(t)
	if !IsRun(path) || IsRun(filepath.Dir(path)) || IsRun(filepath.Join(path, "none")) {
		t.Error("a run's folder is not told from others")
	}
	must(t, os.Remove(filepath.Join(path, MetaName)))
	if !IsRun(path) {
		t.Error("a folder with a journal alone is not taken for a run's")
	}
}

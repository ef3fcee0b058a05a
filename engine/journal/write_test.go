package journal

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// frail is a file that fails when it is told to.
type frail struct {
	file
	room                    int // bytes that still fit; -1 is no bound
	lazy                    bool
	write, trim, sync, quit error
	syncs, cuts             int
}

func (f *frail) Write(b []byte) (int, error) {
	if f.write != nil {
		return 0, f.write
	}
	if f.room >= 0 && len(b) > f.room {
		n, _ := f.file.Write(b[:f.room])
		f.room = 0
		if f.lazy {
			return n, nil
		}
		return n, syscall.ENOSPC
	}
	if f.room >= 0 {
		f.room -= len(b)
	}
	return f.file.Write(b)
}

func (f *frail) Truncate(n int64) error {
	f.cuts++
	if f.trim != nil {
		return f.trim
	}
	return f.file.Truncate(n)
}

func (f *frail) Sync() error {
	f.syncs++
	if f.sync != nil {
		return f.sync
	}
	return f.file.Sync()
}

func (f *frail) Close() error {
	f.file.Close()
	return f.quit
}

// frailJournal opens a journal of step 1 whose file can be made to fail.
func frailJournal(t *testing.T, torn string, o Options) (*Journal, *frail, string) {
	t.Helper()
	path := saved(t, append(built(t, step(1)).data, torn...))
	j, err := Open(path, o)
	if err != nil {
		t.Fatal(err)
	}
	f := &frail{file: j.file, room: -1}
	j.file = f
	t.Cleanup(func() { j.Close() })
	return j, f, path
}

// wantBroken fails unless the journal refuses a good record for a cause, now and later, and a new program
// finds the steps that were acknowledged.
func wantBroken(t *testing.T, j *Journal, err, cause error, path string, steps int) {
	t.Helper()
	for range 2 {
		if !errors.Is(err, ErrBroken) || !errors.Is(err, cause) || !strings.Contains(err.Error(), path+": record ") {
			t.Fatalf("error is %v, want the journal broken by: %v", err, cause)
		}
		err = j.Append(resume)
	}
	if j.Steps() != steps {
		t.Errorf("%d steps in memory, want %d", j.Steps(), steps)
	}
	again, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if again.Steps() < steps {
		t.Errorf("%d steps in the file, want %d", again.Steps(), steps)
	}
	if again.Steps() == steps && again.Unanswered() == 0 {
		appendAll(t, again, step(steps+1))
	}
}

// TestDiskFull lets the disk fill up after each number of bytes in turn.
func TestDiskFull(t *testing.T) {
	need := len(built(t, join(step(1), step(2))).data) - len(built(t, step(1)).data)
	for room := range need {
		j, f, path := frailJournal(t, "", Options{})
		f.room, f.lazy = room, room%2 == 1
		err := j.Append(ask(2))
		if err == nil {
			err = j.Append(answer(2))
		}
		if f.lazy {
			if err == nil || !strings.Contains(err.Error(), "short write") {
				t.Fatalf("room for %d bytes: error is %v", room, err)
			}
			continue
		}
		wantBroken(t, j, err, syscall.ENOSPC, path, 1)
	}
}

func TestReadOnlyDisk(t *testing.T) {
	j, f, path := frailJournal(t, "", Options{})
	f.write = syscall.EROFS
	wantBroken(t, j, j.Append(ask(2)), syscall.EROFS, path, 1)
}

func TestRealFileThatCannotBeWritten(t *testing.T) {
	path := saved(t, built(t, step(1)).data)
	j, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	j.file.Close() // as when the disk is gone
	wantBroken(t, j, j.Append(ask(2)), os.ErrClosed, path, 1)
}

func TestFullDevice(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Logf("this system has no /dev/full (%v); TestDiskFull covers the same with a file of its own", err)
		return
	}
	j, f, path := frailJournal(t, "", Options{})
	f.file.Close()
	j.file = full
	wantBroken(t, j, j.Append(ask(2)), syscall.ENOSPC, path, 1)
}

func TestSyncFails(t *testing.T) {
	j, f, path := frailJournal(t, "", Options{Sync: true})
	f.sync = syscall.EIO
	if err := j.Append(ask(2)); err != nil {
		t.Fatalf("an ask is synced: %v", err)
	}
	wantBroken(t, j, j.Append(answer(2)), syscall.EIO, path, 1)
	if j.Unanswered() != 1 {
		t.Error("an answer that was not synced was taken in")
	}
	if err := j.Close(); err != nil {
		t.Errorf("closing a broken journal: %v", err)
	}
}

func TestTornLineCannotBeCut(t *testing.T) {
	j, f, path := frailJournal(t, `{"kind":"as`, Options{})
	f.trim = syscall.EPERM
	wantBroken(t, j, j.Append(ask(2)), syscall.EPERM, path, 1)
}

func TestTornLineIsCutOnce(t *testing.T) {
	for torn, cuts := range map[string]int{`{"kind":"as`: 1, "": 0} {
		j, f, path := frailJournal(t, torn, Options{})
		appendAll(t, j, step(2))
		if data, _ := os.ReadFile(path); f.cuts != cuts || string(data) != string(j.data) {
			t.Errorf("cut %d times, want %d; the file has %d bytes, want %d", f.cuts, cuts, len(data), len(j.data))
		}
	}
}

func TestWhatIsSynced(t *testing.T) {
	for _, c := range []struct {
		has   []Record
		syncs int
	}{
		{join(ask(2), sample(2)), 0},
		{join(ask(2), sample(2), aside), 1},
		{join(step(2), void(2), pause, end), 4},
		{join(resume, open(1), closing(1)), 0},
	} {
		j, f, _ := frailJournal(t, "", Options{Sync: true})
		appendAll(t, j, c.has)
		if f.syncs != c.syncs {
			t.Errorf("%d syncs, want %d", f.syncs, c.syncs)
		}
		if err := j.Close(); err != nil || f.syncs != max(c.syncs, 1) {
			t.Errorf("after closing %d syncs, want %d: %v", f.syncs, max(c.syncs, 1), err)
		}
		j, f, _ = frailJournal(t, "", Options{})
		appendAll(t, j, c.has)
		if j.Close(); f.syncs != 0 {
			t.Errorf("%d syncs where none were asked for", f.syncs)
		}
	}
}

func TestCloseFails(t *testing.T) {
	j, f, _ := frailJournal(t, "", Options{})
	f.quit = syscall.EIO
	if err := j.Close(); !errors.Is(err, syscall.EIO) {
		t.Errorf("error is %v", err)
	}
	j, f, _ = frailJournal(t, "", Options{Sync: true})
	appendAll(t, j, []Record{ask(2)})
	f.sync = syscall.EIO
	if err := j.Close(); !errors.Is(err, syscall.EIO) {
		t.Errorf("error is %v", err)
	}
}

func TestHeadCannotBeWritten(t *testing.T) {
	for name, f := range map[string]*frail{
		"write": {room: -1, write: syscall.ENOSPC},
		"sync":  {room: -1, sync: syscall.EIO},
	} {
		path := filepath.Join(t.TempDir(), "journal.jsonl")
		real, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		f.file = real
		j := built(t, nil)
		j.file, j.path, j.options = f, path, Options{Sync: true}
		if err := j.begin(); !errors.Is(err, syscall.ENOSPC) && !errors.Is(err, syscall.EIO) {
			t.Errorf("%s: error is %v", name, err)
		}
		if _, err := os.Stat(path); err == nil {
			t.Errorf("%s: the file was left behind", name)
		}
	}
	if err := syncFolder(filepath.Join(t.TempDir(), "none")); err == nil {
		t.Error("a folder that is not there was synced")
	}
}

func TestFolderInsteadOfFile(t *testing.T) {
	dir := t.TempDir()
	if _, err := Open(dir, Options{}); err == nil {
		t.Error("a folder was opened")
	}
	if _, err := Load(dir); err == nil {
		t.Error("a folder was loaded")
	}
}

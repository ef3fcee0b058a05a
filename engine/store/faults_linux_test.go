package store

import (
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"candelua/engine/result"
)

// asNobody runs f with the file rights of a user who owns nothing, where the
// tests run as root, for whom no folder is read-only. The rights are those of
// the thread, which ends with its goroutine.
func asNobody(t *testing.T, f func()) {
	t.Helper()
	if os.Geteuid() != 0 {
		f()
		return
	}
	done := make(chan error)
	go func() {
		runtime.LockOSThread() // and never unlocked: the thread is not used again
		err := syscall.Setfsuid(65534)
		if err == nil {
			f()
		}
		done <- err
	}()
	must(t, <-done)
}

// readOnly takes away the right to write in a folder until the test ends, and
// lets everybody reach it.
func readOnly(t *testing.T, path string) {
	t.Helper()
	must(t, os.Chmod(path, 0o555))
	t.Cleanup(func() { must(t, os.Chmod(path, 0o755)) })
	for dir := filepath.Dir(path); strings.HasPrefix(dir, os.TempDir()+"/"); dir = filepath.Dir(dir) {
		must(t, os.Chmod(dir, 0o755))
	}
}

func TestReadOnlyFolder(t *testing.T) {
	r, path := newRun(t), closed(t)
	must(t, r.WriteResults(some(t, 1)))
	readOnly(t, r.Path())
	readOnly(t, path)
	out := t.TempDir()
	readOnly(t, out)
	asNobody(t, func() {
		fails(t, r.WriteResults(some(t, 2)), os.ErrPermission, "results.json was not written, the old file is kept")
		fails(t, r.AddProcedure("a.lua", nil), os.ErrPermission, r.Path())
		_, err := Open(path)
		fails(t, err, os.ErrPermission, path)
		_, err = Create(out, "ramp")
		fails(t, err, os.ErrPermission, "run folder "+filepath.Join(out, "ramp-1")+" cannot be made")
		reader, err := OpenReadOnly(path)
		if err != nil {
			t.Errorf("an archive on a read-only disk cannot be read: %v", err)
			return
		}
		if err := reader.Close(); err != nil {
			t.Error(err)
		}
	})
	back, err := r.ReadResults()
	must(t, err)
	if *back.Values()[0].Value != 1 {
		t.Error("a refused write changed the results")
	}
}

// limited runs f while no file may grow beyond some bytes, which is as a disk
// that fills up within a write.
func limited(t *testing.T, bytes uint64, f func()) {
	t.Helper()
	signal.Ignore(syscall.SIGXFSZ)
	defer signal.Reset(syscall.SIGXFSZ)
	var before syscall.Rlimit
	must(t, syscall.Getrlimit(syscall.RLIMIT_FSIZE, &before))
	now := before
	now.Cur = bytes
	must(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &now))
	defer func() { must(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &before)) }()
	f()
}

func TestDiskFull(t *testing.T) {
	r := newRun(t)
	must(t, r.WriteResults(some(t, 1)), r.AddProcedure("a.lua", []byte("a")))
	big := result.New()
	must(t, big.Note(result.Note{Text: strings.Repeat("x", 10000)}))
	path := closed(t)
	limited(t, 1000, func() {
		fails(t, r.WriteResults(big), syscall.EFBIG, "results.json was not written, the old file is kept")
		fails(t, r.ReplaceProcedure("a.lua", make([]byte, 2000)), syscall.EFBIG, "procedure/a.lua")
	})
	limited(t, 10, func() {
		_, err := Open(path)
		fails(t, err, syscall.EFBIG, path, holderName)
	})
	back, err := r.ReadResults()
	must(t, err)
	if *back.Values()[0].Value != 1 {
		t.Error("a failed write changed the results")
	}
	if src, err := r.Procedure("a.lua"); err != nil || string(src) != "a" {
		t.Errorf("script is %q, %v", src, err)
	}
	left, err := filepath.Glob(filepath.Join(r.Path(), ".*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
	again, err := Open(path) // the lock was let go of
	must(t, err)
	must(t, again.Close())
}

func TestUnreadableFiles(t *testing.T) {
	r, path := newRun(t), closed(t)
	must(t, r.AddProcedure("a.lua", []byte("a")))
	readOnly(t, r.Path()) // also makes the way to it free
	readOnly(t, path)
	must(t, os.Chmod(filepath.Join(r.Path(), "procedure", "a.lua"), 0), os.Chmod(filepath.Join(path, lockName), 0))
	asNobody(t, func() {
		fails(t, r.AddProcedure("a.lua", []byte("a")), os.ErrPermission, "a.lua")
		fails(t, r.ReplaceProcedure("a.lua", []byte("a")), os.ErrPermission, "a.lua")
		_, err := OpenReadOnly(path)
		fails(t, err, os.ErrPermission, "run "+path+" cannot be locked")
	})
	must(t, os.Chmod(path, 0))
	asNobody(t, func() {
		_, err := OpenReadOnly(path)
		fails(t, err, os.ErrPermission, path)
	})
}

func TestLockIsAFolder(t *testing.T) {
	path := closed(t)
	must(t, os.Remove(filepath.Join(path, lockName)), os.Mkdir(filepath.Join(path, lockName), 0o755))
	for _, open := range []func(string) (*Run, error){Open, OpenReadOnly} {
		_, err := open(path)
		fails(t, err, nil, "lock is not a regular file")
	}
}

// A repair that cannot write leaves everything as it is; looking needs no right
// to write.
func TestRepairOfAReadOnlyFolder(t *testing.T) {
	r := newRun(t)
	must(t, r.WriteResults(some(t, 1)))
	readOnly(t, r.Path())
	asNobody(t, func() {
		_, err := r.KeepDamaged([]byte("a"))
		fails(t, err, os.ErrPermission, "journal-damaged-1.jsonl was not written")
		_, err = r.SetResultsAside()
		fails(t, err, os.ErrPermission, "results.json cannot be set aside")
	})
	path := closed(t)
	readOnly(t, path)
	asNobody(t, func() {
		looked, busy, err := Look(path)
		if err != nil || busy != nil {
			t.Errorf("an archive on a read-only disk cannot be looked at: %v, %v", busy, err)
			return
		}
		if err := looked.Close(); err != nil {
			t.Error(err)
		}
	})
	back, err := r.ReadResults()
	must(t, err)
	if len(back.Values()) != 1 {
		t.Error("a refused repair changed the results")
	}
}

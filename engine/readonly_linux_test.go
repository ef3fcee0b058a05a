package engine_test

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/fault"
	"candelua/engine/survey"
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
		defer close(done)      // also where f ends the test
		err := syscall.Setfsuid(65534)
		if err == nil {
			f()
		}
		done <- err
	}()
	must(t, <-done)
}

// onReadOnlyDisk takes away the right to write in a run's folder, and lets
// everybody reach it.
func onReadOnlyDisk(t *testing.T, path string) {
	t.Helper()
	must(t, os.Chmod(path, 0o555))
	t.Cleanup(func() { must(t, os.Chmod(path, 0o755)) })
	for dir := filepath.Dir(path); strings.HasPrefix(dir, os.TempDir()+"/"); dir = filepath.Dir(dir) {
		must(t, os.Chmod(dir, 0o755))
	}
}

func TestRepairOnAReadOnlyDisk(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	path := flipped(t, w.path, lineEnds(w.journal)[10]+5, 2)
	before := file(t, path, "journal.jsonl")
	onReadOnlyDisk(t, path)
	asNobody(t, func() {
		_, err := survey.Repair(path)
		if !errors.Is(err, os.ErrPermission) || !errors.Is(err, fault.ErrUsage) {
			t.Errorf("error is %v", err)
			return
		}
		has(t, fault.HintOf(err), "repair the copy")
	})
	if string(file(t, path, "journal.jsonl")) != string(before) {
		t.Error("the journal was changed")
	}
}

// Looking at a run needs no right to write.
func TestInspectOnAReadOnlyDisk(t *testing.T) {
	path := wholeRun(t, simSpec(t, procedureOf(parted))).path
	onReadOnlyDisk(t, path)
	asNobody(t, func() {
		i, err := survey.Inspect(t.Context(), path, true, builtins.Modules(), reopenSim)
		if err != nil || len(i.Values) != 1 || i.Title != "T" {
			t.Errorf("a run on a read-only disk: %v", err)
		}
	})
}

// Resuming on a disk that takes nothing is one error, and changes nothing; so is
// a run in such a folder.
func TestResumeOnAReadOnlyDisk(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	before := folderText(t, w.path)
	onReadOnlyDisk(t, w.path)
	s := simSpec(t, procedureOf(parted))
	s.Out = filepath.Join(w.path, "more")
	asNobody(t, func() {
		_, err := engine.Resume(t.Context(), w.path, engine.Resumption{Setup: plain(), Reopen: reopenSim, From: 3, Because: "once more"})
		if !errors.Is(err, os.ErrPermission) || !strings.Contains(err.Error(), filepath.Base(w.path)) {
			t.Errorf("error is %v", err)
		}
		if hint := fault.HintOf(err); hint != "use a copy of the run's folder that you may read and write" {
			t.Errorf("the advice is %q", hint)
		}
		if rep, err := engine.Run(t.Context(), s); rep != nil || !errors.Is(err, os.ErrPermission) || !errors.Is(err, fault.ErrUsage) {
			t.Errorf("a run in a read-only folder: %v", err)
		}
	})
	if got := folderText(t, w.path); got != before {
		t.Errorf("the run was changed:\n%s\nwas\n%s", got, before)
	}
}

package engine_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"candelua/engine"
	"candelua/engine/journal"
	"candelua/engine/play"
)

// limitFiles lets no file grow beyond some bytes, which is as a disk that fills
// up, until the function that it returns is called.
func limitFiles(t *testing.T, bytes int) (lift func()) {
	t.Helper()
	signal.Ignore(syscall.SIGXFSZ)
	var before syscall.Rlimit
	must(t, syscall.Getrlimit(syscall.RLIMIT_FSIZE, &before))
	now := before
	now.Cur = uint64(bytes)
	must(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &now))
	return func() {
		must(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &before))
		signal.Reset(syscall.SIGXFSZ)
	}
}

// doneInChild runs the test in a process of its own, since the limit holds for
// all that a process writes, the test runner's own log among it.
func doneInChild(t *testing.T) bool {
	t.Helper()
	const mark = "CANDELUA_TEST_CHILD"
	if os.Getenv(mark) != "" {
		return false
	}
	cmd := exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$", "-test.count=1")
	cmd.Env = append(os.Environ(), mark+"=1")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	return true
}

// TestDiskFills during a run, at several places within a record. The screen is
// made dark, the error says why, and once there is room the run goes on.
func TestDiskFills(t *testing.T) {
	if doneInChild(t) {
		return
	}
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	for step := 1; step <= journalOf(t, w.path).Steps(); step++ {
		for _, room := range []int{0, 1, 150, 400} {
			f := &faults{}
			s := f.spec(t, parted)
			s.Out = memoryDir(t)
			path := filepath.Join(s.Out, "probe-1")
			lift := func() {}
			s.Tell = play.Steps(func(p play.Progress) {
				if p.Step == step {
					lift = limitFiles(t, len(file(t, path, "journal.jsonl"))+room)
				}
			})
			rep, err := engine.Run(context.Background(), s)
			lift()
			if rep == nil {
				t.Fatalf("no report: %v", err)
			}
			if rep.Status == journal.Done { // only its end did not fit
				if !errors.Is(err, syscall.EFBIG) {
					t.Errorf("step %d: done, with %v", step, err)
				}
				continue
			}
			if !errors.Is(rep.Err, journal.ErrBroken) || !errors.Is(rep.Err, syscall.EFBIG) || rep.Status != journal.Paused {
				t.Errorf("step %d: ends %s with %v", step, rep.Status, rep.Err)
			}
			has(t, rep.Err.Error(), "the journal cannot be written: ", "the records before it are kept")
			if len(f.shown) > 0 && f.last().RGB != [3]float64{} {
				t.Errorf("step %d: %v is left on the screen", step, f.last())
			}
			h := &heard{}
			again, err := engine.Resume(context.Background(), path, engine.Resumption{Setup: h.setup(), Reopen: reopenSim})
			if err != nil || again.Status != journal.Done {
				t.Fatalf("step %d, room %d: %v", step, room, err)
			}
			w.equals(t, path, fmt.Sprintf("step %d, room %d", step, room))
		}
	}
}

// TestResultsCannotBeWritten keeps the run, whose results are written later.
func TestResultsCannotBeWritten(t *testing.T) {
	if doneInChild(t) {
		return
	}
	s := simSpec(t, procedureOf(`
    patches.show { grey = 1 }
    meter.read()
    local t = record.table("Rows", { { "row" } })
    for i = 1, 2000 do t:add { row = i } end`))
	s.Out = memoryDir(t)
	path := filepath.Join(s.Out, "probe-1")
	lift := func() {}
	s.Tell = play.Steps(func(p play.Progress) {
		if p.Step == 2 {
			lift = limitFiles(t, len(file(t, path, "journal.jsonl"))+4000)
		}
	})
	rep, err := engine.Run(context.Background(), s)
	lift()
	if rep == nil || rep.Status != journal.Done || err == nil {
		t.Fatalf("got %v, %v", rep, err)
	}
	has(t, err.Error(), "results.json was not written: ")
	h := &heard{}
	wants(t, journal.Done)(engine.Replay(context.Background(), path, h.setup()))
	has(t, strings.Join(h.warnings, "\n"), "everything was measured, but not all results were written; write them with: candelua resume "+path)
	resumed(t, path, journal.Done)
	replayed(t, path, journal.Done)
	if m := metaOf(t, path); m.Status != journal.Done {
		t.Errorf("run.json says %s", m.Status)
	}
	if _, err := engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenSim}); !errors.Is(err, engine.ErrNothingToDo) {
		t.Errorf("resumed again: %v", err)
	}
}

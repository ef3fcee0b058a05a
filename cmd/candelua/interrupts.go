package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"

	"candelua/engine"
	"candelua/engine/store"
)

var stopSignals = []os.Signal{os.Interrupt, syscall.SIGTERM}

// withInterrupts makes the first Ctrl-C pause the run and the second end the
// process. The journal is whole either way: a line that was being written is
// dropped when the run is resumed, and its step is taken again.
func (a *app) withInterrupts(ctx context.Context) (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(ctx)
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, stopSignals...)
	go func() {
		if _, ok := <-signals; !ok {
			return
		}
		if a.running.Load() != nil {
			fmt.Fprintln(a.line, "candelua: stopping as soon as a reading that has begun is over; Ctrl-C again stops at once")
		}
		cancel(engine.ErrInterrupted)
		if _, ok := <-signals; ok {
			fmt.Fprintln(a.line, a.stoppedAtOnce())
			os.Exit(statusPaused)
		}
	}()
	return ctx, func() { signal.Stop(signals); close(signals); cancel(nil) }
}

// running is what is to be said of a run that is stopped at once: the folder
// that it is in, or else where new folders come and which were there before.
type running struct {
	folder string // of a run that is resumed
	out    string
	before []string
	begun  atomic.Bool // a step has begun, so there is a folder
}

// runsIn notes what is in a folder for runs before one more comes.
func runsIn(out string) *running {
	return &running{out: out, before: foldersIn(out)}
}

func foldersIn(out string) []string {
	entries, _ := store.List(out) // a folder that is not there yet holds no runs
	paths := make([]string, len(entries))
	for i, e := range entries {
		paths[i] = e.Path
	}
	return paths
}

// stoppedAtOnce tells what is left of a run that was not given time to end.
func (a *app) stoppedAtOnce() string {
	const stopped = "candelua: stopped at once; the unit may still show the last patch"
	r := a.running.Load()
	if r == nil || r.folder == "" && !r.begun.Load() {
		return "candelua: stopped at once"
	}
	if r.folder != "" {
		return stopped + "; go on with: " + resumeCommand(r.folder)
	}
	added := slices.DeleteFunc(foldersIn(r.out), func(p string) bool { return slices.Contains(r.before, p) })
	if len(added) == 1 {
		return stopped + "; go on with: " + resumeCommand(added[0])
	}
	return stopped + "; go on with candelua resume and the run's folder in " + r.out
}

func resumeCommand(path string) string { return "candelua resume " + quoted(path) }

// quoted writes a path so that a shell takes it for one word.
func quoted(path string) string {
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./:=+,@"+string(filepath.Separator), r)
	}
	if path != "" && !strings.ContainsFunc(path, func(r rune) bool { return !plain(r) }) {
		return path
	}
	return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
}

package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"time"

	"candelua/engine/play"
)

var stopSignals = []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP}

// withInterrupts makes the first Ctrl-C pause the run, or end a command without one, and the second end the
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
		switch {
		case a.folder.Load() == nil:
		case a.drawing.Load():
			fmt.Fprintln(a.line, "candelua: leaving out the uncertainties; press Ctrl-C again to stop at once")
		default:
			fmt.Fprintln(a.line, "candelua: stopping after the current reading; press Ctrl-C again to stop at once")
		}
		cancel(play.ErrInterrupted)
		a.awaitSecond(signals)
	}()
	return ctx, func() { signal.Stop(signals); close(signals); cancel(nil) }
}

// awaitSecond ends the process at a second signal. Without a run there is nothing to bring to its end, so a command that
// cannot look at its context, as while it waits for a pipe, ends soon after the first.
func (a *app) awaitSecond(signals <-chan os.Signal) {
	first := time.Now()
	late := time.NewTimer(patience)
	defer late.Stop()
	for {
		select {
		case _, ok := <-signals:
			if !ok {
				return
			}
			if time.Since(first) < oneStop {
				continue
			}
		case <-late.C:
			if a.folder.Load() != nil {
				continue
			}
		}
		fmt.Fprintln(a.line, a.stoppedAtOnce())
		os.Exit(statusPaused)
	}
}

// patience is how long a command without a run may take to end at a signal.
const patience = 2 * time.Second

// oneStop is how close two signals are that mean one stop: a terminal and a
// program around this one may both send it.
const oneStop = 300 * time.Millisecond

// stoppedAtOnce says what to do with a run that had no time to end.
func (a *app) stoppedAtOnce() string {
	folder := a.folder.Load()
	if folder == nil {
		return "candelua: stopped at once"
	}
	if a.drawing.Load() {
		return "candelua: stopped at once; everything was measured; write the results with: " + resumeCommand(*folder)
	}
	return "candelua: stopped at once; the unit may still show the last patch; go on with: " + resumeCommand(*folder)
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
	if runtime.GOOS == "windows" {
		return `"` + path + `"` // a name there holds no quote
	}
	return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
}

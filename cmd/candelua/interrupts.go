package main

import (
	"context"
	"os"
	"os/signal"
	"slices"
	"syscall"
	"time"

	"candelua/engine/plain"
	"candelua/engine/play"
)

// stopSignals are those that pause a run, and quitSignal is the one that stops it at once, by Ctrl-\ at a terminal.
var stopSignals = []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP}

const quitSignal = syscall.SIGQUIT

// heeded are the signals that whoever started the process has not had ignored, as nohup has a hang-up. The language tells
// this of a hang-up and an interrupt only. A shell that starts a command in the background, and has no job control, has it
// ignore both an interrupt and Ctrl-\, so one that ignores the first ignores the second.
//
// Source: asynchronous lists in POSIX.1-2017, volume Shell and Utilities, 2.11, from memory.
func heeded(all ...os.Signal) []os.Signal {
	return slices.DeleteFunc(all, func(s os.Signal) bool {
		return signal.Ignored(s) || s == quitSignal && signal.Ignored(os.Interrupt)
	})
}

// withInterrupts makes the first Ctrl-C pause the run, or end a command without one, and the second end the
// process, as Ctrl-\ does. The journal is whole either way: a line that was being written is
// dropped when the run is resumed, and its step is taken again.
func (a *app) withInterrupts(ctx context.Context) (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(ctx)
	signals := make(chan os.Signal, 2)
	all := heeded(append([]os.Signal{quitSignal}, stopSignals...)...)
	if len(all) > 0 { // no signal named would be all of them
		signal.Notify(signals, all...)
	}
	if !slices.Contains(all, os.Signal(quitSignal)) {
		signal.Ignore(quitSignal)
	}
	go func() {
		first, ok := <-signals
		if !ok {
			return
		}
		switch {
		case first == quitSignal:
			a.exitAtOnce()
		case a.folder.Load() == nil:
		case a.drawing.Load():
			a.line.screen.Say("candelua: ", "leaving out the uncertainties; press Ctrl-C again to stop at once")
		default:
			a.line.screen.Say("candelua: ", "stopping after the current reading; press Ctrl-C again to stop at once")
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
		case again, ok := <-signals:
			if !ok {
				return
			}
			if time.Since(first) < oneStop && again != quitSignal {
				continue
			}
		case <-late.C:
			if a.folder.Load() != nil {
				continue
			}
		}
		a.exitAtOnce()
	}
}

func (a *app) exitAtOnce() {
	a.programs.KillAll()
	a.line.screen.Say("candelua: ", a.stoppedAtOnce())
	os.Exit(statusPaused)
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
		return "stopped at once"
	}
	if a.drawing.Load() {
		return "stopped at once; everything was measured; write the results with: " + resumeCommand(*folder)
	}
	return "stopped at once; the unit may still show the last patch; go on with: " + resumeCommand(*folder)
}

func resumeCommand(path string) string { return "candelua resume " + plain.Word(path) }

package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"syscall"

	"candelua/engine"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/script"
)

var stopSignals = []os.Signal{os.Interrupt, syscall.SIGTERM}

// The statuses with which the command exits.
const (
	statusDone      = 0
	statusFailed    = 1
	statusUsage     = 2
	statusPaused    = 3
	statusTolerance = 4
	statusDiffers   = 5
)

const statusHelp = `Exit status:
  0  done
  1  failed
  2  wrong use
  3  paused; can be resumed
  4  done, but a tolerance failed or was not evaluated
  5  a replay differs, or the journal is damaged`

// exitError is an end with a status of its own; what there was to say has been
// said.
type exitError struct {
	status int
	err    error
}

func (e *exitError) Error() string { return fmt.Sprint(e.err) }
func (e *exitError) Unwrap() error { return e.err }

// exitStatus prints what has not been said, and gives the status.
func exitStatus(err error) int {
	var exit *exitError
	switch {
	case err == nil:
		return statusDone
	case errors.As(err, &exit):
		return exit.status
	}
	explain(os.Stderr, err)
	return statusOf(err)
}

// statusOf sorts errors.
func statusOf(err error) int {
	var divergence *engine.DivergenceError
	var leftOver *engine.LeftOverError
	var version *journal.VersionError
	switch {
	case errors.As(err, &divergence), errors.As(err, &leftOver), errors.Is(err, engine.ErrJournalEnds),
		errors.Is(err, journal.ErrDamaged), errors.As(err, &version):
		return statusDiffers
	case errors.Is(err, engine.ErrUsage), isFlagError(err):
		return statusUsage
	case errors.Is(err, engine.ErrInterrupted):
		return statusPaused
	}
	return statusFailed
}

// statusOfRun is the status of a run that came to an end of some kind.
func statusOfRun(out *engine.Outcome) int {
	switch out.Status {
	case engine.Paused:
		return statusPaused
	case engine.Failed:
		return statusOf(out.Err)
	}
	switch out.Results.Finding() {
	case result.Fail, result.NotEvaluated:
		return statusTolerance
	}
	return statusDone
}

// explain prints an error: the fact, the script's lines, and what to do next.
func explain(w io.Writer, err error) {
	fmt.Fprintf(w, "candelua: error: %s\n", err)
	var in *script.Error
	if errors.As(err, &in) {
		if trace := in.Traceback(); trace != "" {
			fmt.Fprintln(w, strings.TrimRight(trace, "\n"))
		}
	}
	if hint := script.HintOf(err); hint != "" {
		fmt.Fprintf(w, "candelua: hint: %s\n", hint)
	}
}

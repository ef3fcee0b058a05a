package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/sandbox"
)

// The statuses with which the command exits.
const (
	statusDone      = 0
	statusFailed    = 1
	statusUsage     = 2
	statusPaused    = 3
	statusTolerance = 4
	statusDiffers   = 5
)

const (
	pausedHelp  = `  3  paused; can be resumed`
	differsHelp = `
  5  a replay differs, or has no results to compare with, or the journal is
     damaged`
	statusHelp = `Exit status:
  0  done
  1  failed
  2  wrong use
` + pausedHelp + `
  4  done, but a value is outside the tolerance that the procedure states for it,
     or could not be compared with it` + differsHelp
)

// exitError is an end with a status of its own. Everything was printed before.
type exitError struct {
	status int
	err    error
}

func (e *exitError) Error() string { return fmt.Sprint(e.err) }
func (e *exitError) Unwrap() error { return e.err }

// exitStatus prints an error that was not printed yet, and returns the status.
// With --json the object is printed however early the command failed.
func (a *app) exitStatus(cmd *cobra.Command, args []string, err error) int {
	var exit *exitError
	switch {
	case err == nil:
		return statusDone
	case errors.As(err, &exit):
		return exit.status
	}
	explain(a.line.screen, err)
	if out := plain.On(cmd.OutOrStdout()); asksForJSON(args) && out.Close() == nil {
		if lost := printFailure(out, cmd.Name(), err); lost != nil {
			explain(a.line.screen, unwritten(lost))
		}
	}
	return statusOf(err)
}

// asksForJSON looks for the flag itself, for a command line that could not be
// parsed.
func asksForJSON(args []string) bool {
	if end := slices.Index(args, "--"); end >= 0 {
		args = args[:end]
	}
	return slices.Contains(args, "--json") || slices.Contains(args, "--json=true")
}

// statusOf sorts errors.
func statusOf(err error) int {
	var divergence *play.DivergenceError
	var leftOver *play.LeftOverError
	var version *journal.VersionError
	switch {
	case errors.As(err, &divergence), errors.As(err, &leftOver), errors.Is(err, play.ErrJournalEnds),
		errors.Is(err, journal.ErrDamaged), errors.As(err, &version):
		return statusDiffers
	case errors.Is(err, fault.ErrUsage), isFlagError(err):
		return statusUsage
	case errors.Is(err, play.ErrInterrupted):
		return statusPaused
	}
	return statusFailed
}

// statusOfRun is the exit status for a run that ended.
func statusOfRun(out *play.Outcome) int {
	switch out.Status {
	case journal.Paused:
		return statusPaused
	case journal.Failed:
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
	plain.On(w).Say("candelua: error: ", err.Error())
	var in *sandbox.Error
	if errors.As(err, &in) {
		if trace := in.Traceback(); trace != "" {
			fmt.Fprintln(w, strings.TrimRight(trace, "\n"))
		}
	}
	printHint(w, err)
}

func printHint(w io.Writer, err error) {
	if hint := fault.HintOf(err); hint != "" {
		plain.On(w).Say("candelua: hint: ", hint)
	}
}

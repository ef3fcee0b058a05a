package play

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"candelua/engine/journal"
	"candelua/engine/sandbox"
)

// The reasons for which an execution stops. None is ever an answer to a step,
// and no script can catch one.
var (
	// ErrInterrupted is a stop that was asked for from outside (Ctrl-C).
	ErrInterrupted = errors.New("stopped by the user")
	// ErrJournalEnds is a replay that asks for more than was recorded.
	ErrJournalEnds = errors.New("the script asks for more steps than the journal holds")
	// ErrTooLong is a rehearsal that goes on for too much simulated time.
	ErrTooLong error = tooLong{}

	// errRestart makes the engine execute the script again from its start,
	// after steps were set aside.
	errRestart = errors.New("steps were set aside")
)

// placed puts the script's line before the reason for which the run is stopped
// there.
func placed(at string, err error) error {
	file, text, _ := strings.Cut(at, ":")
	line, _ := strconv.Atoi(text)
	return &sandbox.Error{File: file, Line: line, Message: err.Error(), Err: err}
}

// RestoreError is a bench that cannot be put back as the kept steps left it.
// The run stays paused.
type RestoreError struct{ Err error }

func (e *RestoreError) Error() string {
	return "the bench cannot be set up again as the run left it: " + e.Err.Error()
}

// Unwrap gives the device's own error.
func (e *RestoreError) Unwrap() error { return e.Err }

// LeftOverError is a replay whose script ends before the journal does.
type LeftOverError struct {
	Used, Recorded int
	Next           string // the first step that was not asked for
}

func (e *LeftOverError) Error() string {
	return fmt.Sprintf("the script asks for %d steps, and the journal holds %d; the first that the script does not ask for is %s", e.Used, e.Recorded, e.Next)
}

// Code is the error's code in reports.
func (e *LeftOverError) Code() string { return "left-over" }

// Hint says what to do next.
func (e *LeftOverError) Hint() string {
	return fmt.Sprintf("change the script so that it asks for them, or set them aside: candelua resume RUN --from %d --because …", e.Used+1)
}

// DivergenceError is a step that is not the recorded one. The engine never
// guesses which of the two is meant.
type DivergenceError struct {
	Step       int
	At         string // the script's line
	RecordedAt string
	Recorded   string
	Asked      string
	Fields     []string // the arguments that differ
	LastAgreed string
	Record     int
}

func (e *DivergenceError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: step %d differs from the journal\n", e.At, e.Step)
	fmt.Fprintf(&b, "    recorded:    %s   %s\n", e.Recorded, e.RecordedAt)
	fmt.Fprintf(&b, "    asked now:   %s\n", e.Asked)
	if len(e.Fields) > 0 {
		fmt.Fprintf(&b, "    differing:   %s\n", strings.Join(e.Fields, ", "))
	}
	last := e.LastAgreed
	if last == "" {
		last = "none; this is the first step"
	}
	fmt.Fprintf(&b, "    last agreed: %s", last)
	return b.String()
}

// Code is the error's code in reports.
func (e *DivergenceError) Code() string { return "divergence" }

// Hint says what to do next.
func (e *DivergenceError) Hint() string {
	return fmt.Sprintf("the script was changed before step %d; undo that change, or set aside what is recorded from there on: candelua resume RUN --from %d --because …", e.Step, e.Step)
}

type tooLong struct{}

func (tooLong) Error() string {
	return "the run has taken more than 48 hours of simulated time, or 64 MiB of journal"
}

// Code is the error's code in reports.
func (tooLong) Code() string { return "too-long" }

// Hint says what to do next.
func (tooLong) Hint() string { return "look for a loop that never ends, or do less in one run" }

// Diverged tells a script that does not fit the journal from one that fails.
func Diverged(err error) bool {
	var other *DivergenceError
	var left *LeftOverError
	return errors.As(err, &other) || errors.As(err, &left) || errors.Is(err, ErrJournalEnds) || errors.Is(err, journal.ErrDamaged)
}

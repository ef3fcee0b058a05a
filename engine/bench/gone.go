package bench

import (
	"cmp"
	"fmt"

	"candelua/engine/fault"
)

// GoneError is a device that is no longer there, or in whose place another one answers.
// The run stays paused, whatever the script catches: it is an [ErrPaused].
type GoneError struct {
	Device string // its place
	Err    error
}

func (e *GoneError) Error() string {
	return fmt.Sprintf("the %s is no longer there: %v", e.Device, e.Err)
}

// Unwrap gives the device's own error, and [ErrPaused].
func (e *GoneError) Unwrap() []error { return []error{e.Err, ErrPaused} }

// Code is the error's code in reports.
func (e *GoneError) Code() string { return CodeGone }

// Hint says what to do next.
func (e *GoneError) Hint() string {
	return cmp.Or(fault.HintOf(e.Err), "connect it again, then resume the run")
}

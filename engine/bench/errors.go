package bench

import (
	"errors"
	"fmt"
)

// The codes of errors that this package and its drivers answer. A script reads
// the code of an error that it caught, so a code is never changed once
// published.
const (
	CodeTimeout       = "timeout"        // a device did not answer in time
	CodePaused        = "paused"         // the person asked for a pause, or the input ended
	CodeStruck        = "struck"         // the person withdraws the last answer
	CodeUnsupported   = "unsupported"    // the device cannot do what was asked
	CodeBadReading    = "bad-reading"    // the meter returned values that no light can have
	CodeBadFile       = "bad-file"       // a bench or unit file that cannot be used
	CodeUnknownDriver = "unknown-driver" // the bench file names a driver that does not exist
	CodeWrongDevice   = "wrong-device"   // a driver opened a device of the wrong kind
	CodeUnknownMode   = "unknown-mode"   // the unit has no such mode
	CodeFlashing      = "flashing"       // the screen would flash, and nobody was warned
	CodeBadSetting    = "bad-setting"    // the unit has no such control, or not this value
	CodeGarbled       = "garbled"        // what a device answered cannot be understood
	CodeInstrument    = "instrument"     // the instrument itself reported an error
	CodeGone          = "gone"           // a device is no longer there; the run is paused
	CodeSlipped       = "slipped"        // a source that plays by itself is not where the run takes it to be
)

// The errors to ask for with [errors.Is]. An [Error] of the same code answers
// to them, whatever its message.
var (
	ErrTimeout     error = &Error{code: CodeTimeout, message: "the device did not answer in time"}
	ErrPaused      error = &Error{code: CodePaused, message: "paused"}
	ErrStruck      error = &Error{code: CodeStruck, message: "the last answer is withdrawn"}
	ErrUnsupported error = &Error{code: CodeUnsupported, message: "the device cannot do this"}
	ErrSlipped     error = &Error{code: CodeSlipped, message: "the source is not where it should be"}
	ErrBadReading  error = &Error{code: CodeBadReading, message: "the reading cannot be right"}
)

// Error is a failure of a device, a driver or a file: a fact for people, a code
// for scripts and, where there is one, a hint of what to do next.
type Error struct {
	code    string
	message string
	hint    string
	err     error
}

// Errorf returns an error with a code, a hint that may be empty, and a message
// that is formatted as by [fmt.Errorf]; %w keeps a cause.
func Errorf(code, hint, format string, args ...any) *Error {
	err := fmt.Errorf(format, args...)
	return &Error{code: code, message: err.Error(), hint: hint, err: errors.Unwrap(err)}
}

// Error returns the message.
func (e *Error) Error() string { return e.message }

// Unwrap returns the cause, nil where there is none.
func (e *Error) Unwrap() error { return e.err }

// Code returns what a script and a machine tell the error by.
func (e *Error) Code() string { return e.code }

// Hint returns what to do next, empty where there is nothing to say.
func (e *Error) Hint() string { return e.hint }

// Is tells whether target is an [Error] of the same code, so that
// errors.Is(err, ErrPaused) holds for every pause.
func (e *Error) Is(target error) bool {
	t, ok := target.(*Error)
	return ok && t.code == e.code
}

package fault

import "errors"

// ErrUsage is matched by errors that are the caller's: a name, a file or a
// value that cannot be used. Nothing was run.
var ErrUsage = errors.New("wrong use")

// UsageError says what was used wrongly and what to do.
type UsageError struct {
	Err error
	Tip string
}

func (e *UsageError) Error() string { return e.Err.Error() }

// Unwrap gives both the error itself and [ErrUsage].
func (e *UsageError) Unwrap() []error { return []error{e.Err, ErrUsage} }

// Hint says what to do next.
func (e *UsageError) Hint() string {
	if e.Tip != "" {
		return e.Tip
	}
	return HintOf(e.Err)
}

// Code is the error's code in reports.
func (e *UsageError) Code() string {
	if c := CodeOf(e.Err); c != "error" {
		return c
	}
	return "usage"
}

// Usage makes an error the caller's; of nil it gives nil.
func Usage(err error) error {
	if err == nil {
		return nil
	}
	return &UsageError{Err: err}
}

package play

import (
	"context"
	"errors"
	"fmt"

	"candelua/engine/bench"
)

// GoneError is a device that noticed by itself that it is gone. The run stays
// paused.
type GoneError struct {
	Device string
	Err    error
}

func (e *GoneError) Error() string {
	return fmt.Sprintf("the %s is no longer there: %v", e.Device, e.Err)
}

// Unwrap gives the device's own error, and [bench.ErrPaused].
func (e *GoneError) Unwrap() []error { return []error{e.Err, bench.ErrPaused} }

// Code is the error's code in reports.
func (e *GoneError) Code() string { return "gone" }

// Hint says what to do next.
func (e *GoneError) Hint() string { return "connect it again, then resume the run" }

// watchGone stops an execution as soon as a device says that it is gone.
func watchGone(ctx context.Context, b *bench.Bench) (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(ctx)
	for name, gone := range b.Watched() {
		go func() {
			select {
			case err := <-gone:
				if err == nil {
					err = errors.New("it gave no reason")
				}
				cancel(&GoneError{name, err})
			case <-ctx.Done():
			}
		}()
	}
	return ctx, func() { cancel(nil) }
}

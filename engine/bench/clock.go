package bench

import (
	"context"
	"time"
)

// realClock is bench time from the machine's monotonic clock.
type realClock struct{ opened time.Time }

// NewRealClock returns a clock whose bench time is 0 now and then runs with the
// machine's monotonic clock: a correction of the wall clock does not change it.
// Whether it runs while the machine sleeps depends on the system (on Linux it does
// not). It is a [Sleeper].
func NewRealClock() Clock { return realClock{time.Now()} }

// Now returns the time since the clock was made.
func (c realClock) Now() time.Duration { return time.Since(c.opened) }

// Wall returns the time of day, without a monotonic reading.
func (c realClock) Wall() time.Time { return time.Now().Round(0) }

// Asleep is described at [Sleeper]. It is known on Linux.
func (c realClock) Asleep() (time.Duration, bool) { return asleep() }

// WaitUntil returns when bench time has reached t, at once where it has, or
// with ctx's cause as soon as ctx is done.
func (c realClock) WaitUntil(ctx context.Context, t time.Duration) error {
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	left := t - c.Now()
	if left <= 0 {
		return nil
	}
	timer := time.NewTimer(left)
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return context.Cause(ctx)
	}
}

package play

import (
	"context"
	"errors"
	"fmt"
	"time"

	"candelua/engine/bench"
	"candelua/engine/journal"
)

// closedLid is by how much the time of day must run ahead of the bench's clock
// for a step to have been interrupted by a sleeping machine. A clock that is
// set right moves by less.
const closedLid = 2 * time.Second

// watchLid begins to watch; what it gives says for how long the machine slept
// since, 0 where it did not. It is found where the machine's own clock stands
// still meanwhile (see [bench.NewRealClock]).
func watchLid(clock bench.Clock, warn func(string, ...any)) func() time.Duration {
	if _, simulated := clock.(bench.Skipper); simulated {
		return func() time.Duration { return 0 }
	}
	wall, now := clock.Wall(), clock.Now()
	return func() time.Duration {
		ahead := clock.Wall().Sub(wall) - (clock.Now() - now)
		switch {
		case ahead > closedLid:
			return ahead
		case ahead < -closedLid:
			warn("the clock was set back by %s; script time does not depend on it, and the record's times of day do", (-ahead).Round(time.Second))
		}
		return 0
	}
}

// wake makes a pause of the time for which the machine slept: the script is
// executed again, and what the pause did to the unit is dealt with as after any
// other.
func (d *door) wake(slept time.Duration) error {
	reason := "the machine slept"
	d.job.warn("%s for %s; the run goes on as after a pause", reason, slept.Round(time.Second))
	if err := d.append(journal.Record{Kind: journal.KindPause, T: d.Now(), Reason: reason}); err != nil {
		return err
	}
	d.job.Written, d.job.slept = d.world.bench.Clock.Wall().Add(-slept), true
	return d.fail(errRestart)
}

// GoneError is a device that noticed by itself that it is gone. The run stays
// paused.
type GoneError struct {
	Device string
	Err    error
}

func (e *GoneError) Error() string { return fmt.Sprintf("the %s is gone: %v", e.Device, e.Err) }

// Unwrap gives the device's own error, and [bench.ErrPaused].
func (e *GoneError) Unwrap() []error { return []error{e.Err, bench.ErrPaused} }

// Code is the error's code in reports.
func (e *GoneError) Code() string { return "gone" }

// Hint says what to do next.
func (e *GoneError) Hint() string { return "bring it back, then resume the run" }

// watchGone stops an execution as soon as a device says that it is gone.
func watchGone(ctx context.Context, b *bench.Bench) (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(ctx)
	for name, gone := range b.Watched() {
		go func() {
			select {
			case err := <-gone:
				if err == nil {
					err = errors.New("it says no more")
				}
				cancel(&GoneError{name, err})
			case <-ctx.Done():
			}
		}()
	}
	return ctx, func() { cancel(nil) }
}

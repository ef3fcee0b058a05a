package sim

import (
	"context"
	"sync"
	"time"
)

// epoch is the wall time at which every simulated bench opens, so that a
// simulated run's stamps do not depend on the day.
var epoch = time.Date(2030, time.January, 1, 9, 0, 0, 0, time.UTC)

// clock is the virtual clock. Its speed is the number of simulated seconds in a
// real second, for which the caller waits; with speed 0, time passes at once. The
// simulated times are the same in both cases.
type clock struct {
	speed float64 // simulated seconds to a real one; 0: at once

	mu      sync.Mutex
	now     time.Duration
	until   time.Duration // while waiting
	started time.Time     // of the wait, real; zero: not waiting
}

// Now returns bench time. It also moves during a wait, if the clock has a speed.
func (c *clock) Now() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.started.IsZero() {
		return c.now
	}
	return min(c.until, c.now+time.Duration(float64(time.Since(c.started))*c.speed))
}

// Wall returns the epoch plus bench time.
func (c *clock) Wall() time.Time { return epoch.Add(c.Now()) }

// WaitUntil moves the clock on to t; if t is past, it does nothing. If ctx ends first,
// it returns ctx's cause, and the clock has moved as far as its speed allowed.
func (c *clock) WaitUntil(ctx context.Context, t time.Duration) error {
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	c.mu.Lock()
	wait := t - c.now
	if wait <= 0 || c.speed <= 0 {
		c.now = max(c.now, t)
		c.mu.Unlock()
		return nil
	}
	c.started, c.until = time.Now(), t
	c.mu.Unlock()

	timer := time.NewTimer(time.Duration(float64(wait) / c.speed))
	defer timer.Stop()
	select {
	case <-timer.C:
		c.stopAt(t)
		return nil
	case <-ctx.Done():
		c.stopAt(c.Now())
		return context.Cause(ctx)
	}
}

func (c *clock) stopAt(t time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now, c.started = t, time.Time{}
}

// Skip implements [bench.Skipper]: it moves the clock on to t at once. The clock
// never goes back.
func (c *clock) Skip(t time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = max(c.now, t)
}

// seconds turns seconds, as parameters state them, into a whole number of
// nanoseconds.
func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

package play

import (
	"context"
	"fmt"
	"testing"
	"time"
)

// slowClock is a machine's clock that stands still while the machine sleeps.
type slowClock struct {
	now  time.Duration
	wall time.Time
}

func (c *slowClock) Now() time.Duration                             { return c.now }
func (c *slowClock) Wall() time.Time                                { return c.wall }
func (c *slowClock) WaitUntil(context.Context, time.Duration) error { return nil }

// A machine that slept is found by its time of day running ahead of its own clock; a
// clock that is set right is not, and one that is set back is told.
func TestWatchLid(t *testing.T) {
	for _, c := range []struct {
		name      string
		now, wall time.Duration
		slept     time.Duration
		warned    int
	}{
		{"a step that took a minute", time.Minute, time.Minute, 0, 0},
		{"slept for an hour", time.Second, time.Hour + time.Second, time.Hour, 0},
		{"set right by a second", time.Second, 2 * time.Second, 0, 0},
		{"set back by an hour", time.Second, time.Second - time.Hour, 0, 1},
	} {
		clock := &slowClock{wall: time.Unix(1e9, 0)}
		var warnings []string
		over := watchLid(clock, func(format string, args ...any) { warnings = append(warnings, fmt.Sprintf(format, args...)) })
		clock.now, clock.wall = clock.now+c.now, clock.wall.Add(c.wall)
		if slept := over(); slept != c.slept || len(warnings) != c.warned {
			t.Errorf("%s: slept for %v, want %v; warnings are %q", c.name, slept, c.slept, warnings)
		}
	}
}

// countedClock is a clock of a system that counts for how long it slept.
type countedClock struct {
	slowClock
	slept time.Duration
}

func (c *countedClock) Asleep() (time.Duration, bool) { return c.slept, true }

// Where the system counts for how long it slept, nothing but that count interrupts a step, however the time of day is set.
func TestWatchLidByTheSystemsCount(t *testing.T) {
	for _, slept := range []time.Duration{0, time.Second, 2 * time.Second, 3 * time.Second, time.Hour} {
		for _, set := range []time.Duration{0, time.Second, 3 * time.Second, 24 * time.Hour, -time.Second, -3 * time.Second, -24 * time.Hour} {
			clock := &countedClock{slowClock{wall: time.Unix(1e9, 0)}, time.Minute}
			var warnings []string
			over := watchLid(clock, func(format string, args ...any) { warnings = append(warnings, fmt.Sprintf(format, args...)) })
			clock.now += time.Second
			clock.slept += slept
			clock.wall = clock.wall.Add(time.Second + slept + set)
			want := slept
			if slept <= closedLid {
				want = 0
			}
			if got := over(); got != want {
				t.Errorf("slept for %v, and the clock was set by %v: found %v", slept, set, got)
			}
			if told := len(warnings) == 1; told != (set.Abs() > closedLid) {
				t.Errorf("the clock was set by %v: warnings are %q", set, warnings)
			}
		}
	}
}

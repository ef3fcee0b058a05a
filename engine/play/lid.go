package play

import (
	"time"

	"candelua/engine/bench"
)

// closedLid is for how long a machine must sleep for a step to have been
// interrupted. Where that is found by the time of day, a clock that is set right
// moves by less.
const closedLid = 2 * time.Second

// watchLid begins to watch; what it gives says for how long the machine slept
// since, 0 where it did not. The system's own count decides, where it has one:
// setting the time of day interrupts nothing. Elsewhere a sleep is found by
// the time of day, which runs ahead where the machine's own clock stands still
// meanwhile (see [bench.NewRealClock]).
func watchLid(clock bench.Clock, warn func(string, ...any)) func() time.Duration {
	if _, simulated := clock.(bench.Skipper); simulated {
		return func() time.Duration { return 0 }
	}
	wall, now := clock.Wall(), clock.Now()
	before, counted := asleep(clock)
	return func() time.Duration {
		ahead := clock.Wall().Sub(wall) - (clock.Now() - now)
		slept, set := ahead, min(ahead, 0)
		if after, still := asleep(clock); counted && still {
			slept = after - before
			set = ahead - slept
		}
		tellSet(warn, set)
		if slept > closedLid {
			return slept
		}
		return 0
	}
}

// asleep is for how long the machine has slept in all, where that is known.
func asleep(clock bench.Clock) (time.Duration, bool) {
	if s, ok := clock.(bench.Sleeper); ok {
		return s.Asleep()
	}
	return 0, false
}

// tellSet says that somebody set the clock.
func tellSet(warn func(string, ...any), by time.Duration) {
	way := "forward"
	if by < 0 {
		way = "back"
	}
	if by = by.Abs(); by > closedLid {
		warn("the clock was set %s by %s; the run's own time does not depend on it, but the times of day in the record do", way, by.Round(time.Second))
	}
}

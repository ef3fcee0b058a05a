package play

import (
	"time"

	"candelua/engine/bench"
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
			warn("the clock was set back by %s; the run's own time does not depend on it, but the times of day in the record do", (-ahead).Round(time.Second))
		}
		return 0
	}
}

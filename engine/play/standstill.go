package play

import (
	"time"

	"candelua/engine/bench"
)

// standstill is why the run stands still before it goes on now, and since when.
type standstill struct {
	reason string
	since  time.Time // zero where nobody knows
}

// standsStill looks up at once why the run stands still, before anything is
// written; how long, when it goes on.
func (j *Job) standsStill() standstill {
	s := standstill{reason: j.History.PauseReason(), since: j.Written}
	if j.From > 0 {
		s.reason = j.Because
	}
	return s
}

// over is how long the run stood still, and why. On a simulated bench no time passes
// by itself.
func (s standstill) over(c bench.Clock, j *Job) (seconds float64, reason string) {
	if _, simulated := c.(bench.Skipper); simulated {
		return j.Stood, s.reason
	}
	if s.since.IsZero() {
		return 0, s.reason
	}
	stood := c.Wall().Sub(s.since).Round(time.Second).Seconds()
	if stood < 0 {
		j.warn("the clock was set back since the run was stopped; how long it stood still is not known")
		return 0, s.reason + "; for how long is not known, since the clock was set back"
	}
	return stood, s.reason
}

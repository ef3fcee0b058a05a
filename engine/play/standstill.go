package play

import (
	"slices"
	"time"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
)

// Pause is how a run stands still before it goes on, and what is different when it
// does.
type Pause struct {
	// Since is when the run was last at work; zero where nobody knows.
	Since time.Time
	// Stood is for how many seconds a simulated unit stood meanwhile, its screen dark. No time
	// passes there by itself.
	Stood float64
	// From is the first step that is set aside before the run goes on, because
	// of Because; 0 for none.
	From    int
	Because string
	// Joins is what is put on record as the run goes on.
	Joins []Join

	reason string
	since  time.Time
	slept  bool // the machine slept: the instruments are opened anew
}

// Join is what is other from here on than when the run began: an edited script,
// another instrument. Before is done before the record is written; it may be
// nil.
type Join struct {
	Record journal.Record // an aside
	Before func() error
}

// begin looks up why the run stands still, before anything is written; how long, it
// says when it goes on.
func (p *Pause) begin(h *history.History) {
	p.reason, p.since = h.PauseReason(), p.Since
	if p.From > 0 {
		p.reason = p.Because
	}
	p.Since = time.Time{}
}

// over is how long the run stood still, and why.
func (p *Pause) over(c bench.Clock, warn func(string, ...any)) (seconds float64, reason string) {
	if _, simulated := c.(bench.Skipper); simulated {
		return p.Stood, p.reason
	}
	if p.since.IsZero() {
		return 0, p.reason
	}
	stood := c.Wall().Sub(p.since).Round(time.Second).Seconds()
	if stood < 0 {
		warn("the clock was set back since the run was stopped, so the length of the pause is not known")
		return 0, p.reason + "; for how long is not known, since the clock was set back"
	}
	return stood, p.reason
}

// Editing says that an edited script has not taken over yet.
func (p *Pause) Editing() bool {
	return slices.ContainsFunc(p.Joins, func(j Join) bool { return j.Record.Name == history.Scripts })
}

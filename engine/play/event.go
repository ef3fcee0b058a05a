package play

import (
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/script"
)

// Event is something that goes on in an execution on a bench: one of [Began], [Progress], [Answered], [Part], [Read], [Showing],
// [Ended] and [Concluded]. What a replay or a draw does is no event.
type Event interface{ event() }

// Began says that the script is executed from its start: at first, and again after steps were set aside.
type Began struct {
	Head  history.Head
	Title string // of the procedure
	Sight *Sight // of the results as they grow
}

// Progress is what is being done, for those who wait: a step that the bench is asked for.
type Progress struct {
	Step   int
	Name   string
	Device string        // the bench's name for it; empty where the step asks none
	Show   func() string // the step in words
	// Request is what the step asks of its device; nil where it asks nothing.
	Request func() (any, error)
	At      string
	Now     float64 // script time, seconds
}

// Answered says that a live step is answered.
type Answered struct {
	Step   int
	Name   string
	Now    float64 // script time at the answer, seconds
	Failed string  // why the device could not do it; empty where it could
}

// Part says that a named stretch of the script begins or ends. Those are told, too, that are answered from the journal.
type Part struct {
	Name   string
	Begins bool
	Step   int     // the next one
	Now    float64 // script time, seconds
}

// Read is a single reading, also one of the journal.
type Read struct{ script.ReadingRow }

// Showing says what the unit is known to show: nil where that is not known.
type Showing struct {
	Patch *bench.Patch
	Off   bool // the unit is switched off
}

// Ended says how the execution ended. Results are a copy, without uncertainties.
type Ended struct {
	Status  journal.Standing
	Err     error
	Steps   int
	Seconds float64 // script time
	Results *result.Results
}

// Concluded says that all that follows from a run is in its folder. Results are a copy, with the uncertainties.
type Concluded struct{ Results *result.Results }

func (Began) event()     {}
func (Progress) event()  {}
func (Answered) event()  {}
func (Part) event()      {}
func (Read) event()      {}
func (Showing) event()   {}
func (Ended) event()     {}
func (Concluded) event() {}

// Steps is a listener to the beginnings of steps alone.
func Steps(step func(Progress)) func(Event) {
	return func(e Event) {
		if p, ok := e.(Progress); ok {
			step(p)
		}
	}
}

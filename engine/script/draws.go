package script

import (
	"reflect"
	"sync"
	"sync/atomic"

	"candelua/engine/draw"
)

// Draws says that an execution is one of many over one journal, each on
// readings as they might have been instead. What the steps asked and answered
// is the same in all of them.
//
// A script must not tell such an execution from the run: but for the numbers of
// readings and what follows from them, it is given what it was given there.
type Draws struct {
	// Number is the number of the draw, from 0. [Look] stands for the execution
	// before the draws, which finds what there is to draw and changes nothing.
	Number int
	// Run distinguishes the errors of this run from those of any other run.
	Run string
	// Shared is what all the executions have in common.
	Shared *Shared
	// Stood holds, for each step, the total time for which the run had been paused
	// before it, in s. Script time leaves the pauses out.
	Stood []float64
	// Before4 draws as by the rules before 4, by which a script could tell a draw from
	// the run: messages lacked places, and a reading's flags followed its draw.
	Before4 bool
	// Chosen leaves out the functions that compute a choice which the journal has (run.decide_by), since the recorded one
	// stands anyway, and those that make texts (run.text_by), which are those of the execution before.
	Chosen bool
	// Asking has run.decide give the numbers that it is asked to keep, in place of those that the run kept: for a [Probe],
	// which finds what hangs on what.
	Asking bool
	// Moves are what a [Probe] moves, by the number of the step. Nothing is drawn then. See package uncertainty.
	Moves map[int]draw.Move
	// Shaken says that the execution is no draw: all that is of one unknown kind is moved a little
	// in it, and nothing else. Then Number says how.
	Shaken *draw.Unknown
}

// Shakes says whether the execution moves what is of this unknown kind.
func (d *Draws) Shakes(u draw.Unknown) bool { return d.Shaken != nil && *d.Shaken == u }

// StoodBefore is the total time for which the run had been paused before a step,
// in s.
func (d *Draws) StoodBefore(step int) float64 {
	if step < 1 || step > len(d.Stood) {
		return 0
	}
	return d.Stood[step-1]
}

// Numbers of executions that are no draws.
const (
	Look  = -1 // finds what there is to draw
	Probe = -2 // moves some numbers
)

// Shared is state that several executions have in common.
type Shared struct {
	mu       sync.Mutex
	state    map[reflect.Type]any
	computed atomic.Bool
}

// Computed says whether any of the executions called a function that a choice is computed by ([Draws.Chosen]).
func (s *Shared) Computed() bool { return s.computed.Load() }

// SharedState is a builtin's state that all executions have in common; it must
// itself be safe for use by several at once.
func SharedState[T any](s *Shared) *T {
	s.mu.Lock()
	defer s.mu.Unlock()
	t := reflect.TypeFor[T]()
	if x, ok := s.state[t]; ok {
		return x.(*T)
	}
	if s.state == nil {
		s.state = map[reflect.Type]any{}
	}
	x := new(T)
	s.state[t] = x
	return x
}

// Memo keeps a decoded answer for the next execution over the same journal. Its
// content is never changed.
type Memo struct{ v atomic.Value }

// decoded is an answer and its samples.
type decoded[W, S any] struct {
	w       W
	samples []S
}

package script

import (
	"reflect"
	"sync"
	"sync/atomic"
)

// Draws says that an execution is one of many over one journal, each on
// readings as they might have been instead. What the steps asked and answered
// is the same in all of them.
type Draws struct {
	// Number is the draw's, from 0; [Look] for the execution before them that
	// sees what there is to draw, and changes nothing.
	Number int
	// Run tells the run's own errors from those of any other run.
	Run string
	// Shared is what all the executions have in common.
	Shared *Shared
	// Stood is how long the run had stood still in all before each step, the first
	// one first, in s: script time leaves that out.
	Stood []float64
}

// StoodBefore is how long the run had stood still in all before a step, in s.
func (d *Draws) StoodBefore(step int) float64 {
	if step < 1 || step > len(d.Stood) {
		return 0
	}
	return d.Stood[step-1]
}

// Look is the number of the execution that sees what there is to draw.
const Look = -1

// Shared is state that several executions have in common.
type Shared struct {
	mu    sync.Mutex
	state map[reflect.Type]any
}

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

// Memo keeps an answer as it was decoded, for the next execution over the same
// journal. What is in it is never changed.
type Memo struct{ v atomic.Value }

// decoded is an answer and its samples.
type decoded[W, S any] struct {
	w       W
	samples []S
}

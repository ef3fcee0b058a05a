package play

import (
	"context"

	"candelua/engine/result"
)

// Sight lets others look at the results of a script that is at work. They have their turn while the script waits for the
// bench, which it does nearly all of the time, so that looking costs a run nothing.
type Sight struct {
	turn    chan struct{} // holds one token; whoever took it may touch the results
	results *result.Results
}

// newSight is the sight of a script whose turn it is.
func newSight(r *result.Results) *Sight { return &Sight{turn: make(chan struct{}, 1), results: r} }

// Look gives a copy of the results as they are now. It waits while the script is computing, and fails where ctx ends first.
func (s *Sight) Look(ctx context.Context) (*result.Results, error) {
	select {
	case <-s.turn:
	case <-ctx.Done():
		return nil, context.Cause(ctx)
	}
	defer func() { s.turn <- struct{}{} }()
	return s.results.Snapshot(), nil
}

// rest gives others their turn while the script waits, until work is called.
func (s *Sight) rest() {
	if s != nil {
		s.turn <- struct{}{}
	}
}

// work takes the turn back. At most it waits for one copy to be made.
func (s *Sight) work() {
	if s != nil {
		<-s.turn
	}
}

// seal leaves a copy to look at, since the results themselves go on to those who add to them.
func (s *Sight) seal() {
	if s != nil {
		s.results = s.results.Snapshot()
		s.rest()
	}
}

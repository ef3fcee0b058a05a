package play

import (
	"context"
	"errors"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/script"
)

// errNotDone is a rehearsal without an end, from which nothing can be learnt of how long a run takes.
var errNotDone = errors.New("the rehearsal did not come to its end")

// Rehearse executes a program from its start, on a bench and a journal of its own that leave nothing behind. head is the
// run's; it is told that the bench is another one. What goes on is told to tell, where that is not nil.
func Rehearse(ctx context.Context, program *script.Program, head history.Head, file *bench.File, openers bench.Openers, tell func(Event)) (*Outcome, error) {
	b, err := OpenBench(ctx, file, openers)
	if err != nil {
		return nil, err
	}
	opened := Lend(b, func(ctx context.Context) (*bench.Bench, error) { return OpenBench(ctx, file, openers) })
	defer opened.Close()
	head.Bench, head.Simulated, head.Devices = b.Name, b.Simulated, b.Devices()
	h, err := history.Begin(head)
	if err != nil {
		return nil, err
	}
	job := NewJob(program, h)
	job.Open, job.Tell = opened.Take, tell
	out, err := job.Execute(ctx)
	if err == nil && out.Status != journal.Done {
		err = errors.Join(errNotDone, out.Err)
	}
	return out, err
}

package play

import (
	"context"
	"errors"
	"fmt"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
)

// OpenBench opens a bench; what goes wrong there is the caller's to mend.
func OpenBench(ctx context.Context, f *bench.File, openers bench.Openers) (b *bench.Bench, err error) {
	err = fault.Guard("bench", func() error {
		b, err = bench.Open(ctx, f, openers)
		return err
	})
	if err != nil && errors.Is(err, ErrInterrupted) { // such as while a page is waited for: nothing is wrong with the bench
		return nil, fmt.Errorf("%w while the bench was being opened", ErrInterrupted)
	}
	return b, fault.Usage(err)
}

// Lent lends the bench that was opened to learn what is there to the first
// execution; a later one opens it anew.
type Lent struct {
	b    *bench.Bench
	open func(context.Context) (*bench.Bench, error)
}

// Lend makes a bench that is open ready to be lent; open opens it anew.
func Lend(b *bench.Bench, open func(context.Context) (*bench.Bench, error)) *Lent {
	return &Lent{b, open}
}

// Take gives the bench.
func (o *Lent) Take(ctx context.Context) (*bench.Bench, error) {
	if b := o.b; b != nil {
		o.b = nil
		return b, nil
	}
	return o.open(ctx)
}

// Close closes a bench that nobody took.
func (o *Lent) Close() {
	if o.b != nil {
		_ = fault.Guard("bench", o.b.Close)
	}
}

// Reopen gives what a resumed run needs of the world, from the head of its
// journal.
type Reopen func(history.Head) (*bench.File, bench.Openers, error)

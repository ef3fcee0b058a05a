package play

import (
	"context"
	"errors"

	"candelua/engine/bench"
)

// watchGone stops an execution as soon as a device says that it is gone.
func watchGone(ctx context.Context, b *bench.Bench) (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(ctx)
	for name, gone := range b.Watched() {
		go func() {
			select {
			case err := <-gone:
				if err == nil {
					err = errors.New("it gave no reason")
				}
				cancel(&bench.GoneError{Device: name, Err: err})
			case <-ctx.Done():
			}
		}()
	}
	return ctx, func() { cancel(nil) }
}

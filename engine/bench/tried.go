package bench

import "context"

// CountingTries is a context in which a driver says how often it tried before it was answered. Readings say so themselves
// ([Sample.Tries]).
func CountingTries(ctx context.Context, count func(tries int)) context.Context {
	return context.WithValue(ctx, triesKey{}, count)
}

type triesKey struct{}

// Tried says in the context of a request that its answer took this many tries. Where a step makes several requests, the one
// that needed the most counts.
func Tried(ctx context.Context, tries int) {
	if count, ok := ctx.Value(triesKey{}).(func(int)); ok {
		count(tries)
	}
}

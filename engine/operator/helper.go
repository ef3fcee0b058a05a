package operator

import (
	"context"

	"candelua/engine/bench"
)

// Helper is a person who does for another driver what a program cannot, such as choosing a file on a player. It
// takes no readings: those are typed for the meter.
type Helper struct{ desk *desk }

// NewHelper makes a person of whoever sits at the console.
func NewHelper(c Console, opt Options) *Helper {
	return &Helper{&desk{console: c, opt: opt, clock: bench.NewRealClock(), noReadings: true}}
}

// Show cautions of a patch, and says what to do.
func (h *Helper) Show(ctx context.Context, p bench.Patch, what string) {
	if c, ok := h.desk.console.(*console); ok {
		c.listen()
	}
	h.desk.caution(ctx, p)
	h.desk.console.Say(what)
}

// Done asks until the person says that it is done. enter is what Enter means here. It returns [bench.ErrStruck]
// or [bench.ErrPaused] where the person types back or pause, and ctx's cause.
func (h *Helper) Done(ctx context.Context, ask, enter string) error {
	return h.desk.done(ctx, ask, enter)
}

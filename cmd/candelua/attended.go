package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"candelua/engine/bench"
)

// The limits of --attended: less would keep a person from the work, more would watch nothing.
const (
	leastAttended = time.Second
	mostAttended  = 24 * time.Hour
)

// errNobodyNeeded is the flag on a bench where nothing can come to harm.
var errNobodyNeeded = &flagError{errors.New("--attended is given, but the bench is simulated: nobody need be there"), "leave out --attended"}

// checkAttended reads the flag.
func (h *hands) checkAttended(cmd *cobra.Command) error {
	if h.attendedText == "" && !cmd.Flags().Changed("attended") {
		return nil
	}
	d, err := time.ParseDuration(h.attendedText)
	if err != nil || d < leastAttended || d > mostAttended {
		return wrongFlag(cmd, "--attended is %q; it must be a time from 1s to 24h, such as 10m", h.attendedText)
	}
	h.attended = d
	return nil
}

// attend watches whether somebody is there, where that is asked for: any line that is typed says so. The context that it gives
// ends with a pause where nobody was heard for too long; stop ends the watch.
func (h *hands) attend(ctx context.Context, over func() bool) (watched context.Context, stop func()) {
	if h.attended == 0 {
		return ctx, func() {}
	}
	ctx, cancel := context.WithCancelCause(ctx)
	h.console.Listen()
	go func() {
		begun, asked := time.Now(), time.Time{}
		tick := time.NewTicker(min(h.attended/20, time.Second))
		defer tick.Stop()
		for {
			select {
			case <-ctx.Done():
				return
			case <-tick.C:
			}
			last := begun
			if heard := h.console.Heard(); heard.After(last) {
				last = heard
			}
			switch silent := time.Since(last); {
			case over():
				return
			case silent >= h.attended:
				cancel(bench.Errorf(bench.CodePaused, "resume the run when somebody is at the bench", "nobody answered for %v", h.attended))
				return
			case silent >= h.attended/2 && asked.Before(last):
				asked = time.Now()
				ask := fmt.Sprintf("Is anybody there? Press Enter within %v; otherwise the run pauses.", (h.attended - silent).Round(time.Second))
				h.console.Say(ask)
				h.line.follower.Warned(ask + " (At the terminal.)")
			}
		}
	}()
	return ctx, func() { cancel(nil) }
}

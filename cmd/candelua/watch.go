package main

import (
	"context"
	"errors"
	"net"
	"net/url"
	"sync"

	"candelua/engine/fault"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/screen"
	"candelua/engine/watch"
)

// watched serves the operator's view of a run, where that is asked for. The context that it gives ends where somebody pauses the run
// there; over shows how the command ended, and ends the view.
func (a *app) watched(ctx context.Context, h *hands) (watched context.Context, over func(error), err error) {
	if h.watch == "" {
		return ctx, func(error) {}, nil
	}
	ctx, cancel := context.WithCancelCause(ctx)
	said := sync.OnceFunc(func() {
		what := "stopping after the current reading"
		if a.drawing.Load() {
			what = "leaving out the uncertainties"
		}
		a.line.screen.Say("candelua: ", what+", as somebody asked on the page; press Ctrl-C twice to stop at once")
	})
	view, err := watch.Serve(watch.Options{Listen: h.watch, Follower: a.line.follower, Pause: func() {
		said()
		cancel(play.ErrInterrupted)
	}})
	if err != nil {
		cancel(nil)
		var usage *fault.UsageError
		if errors.As(err, &usage) {
			err = &fault.UsageError{Err: errors.New("--watch: " + usage.Error()), Tip: usage.Hint()}
		}
		return ctx, nil, err
	}
	a.line.screen.Say("candelua: ", "watch the run at "+plain.Line(view.URL()))
	if code, err := screen.CodeOf(view.URL()); err == nil && forOthers(view.URL()) { // without it, the address is typed
		h.drawCode(code)
	}
	return ctx, func(failed error) {
		a.line.follower.Over(failed)
		_ = view.Close() // the command ends, and what is still open with it
		cancel(nil)
	}, nil
}

// forOthers says whether an address is for other machines than this one, and so for a camera.
func forOthers(address string) bool {
	u, err := url.Parse(address)
	if err != nil {
		return false
	}
	ip := net.ParseIP(u.Hostname())
	return u.Hostname() != "localhost" && (ip == nil || !ip.IsLoopback())
}

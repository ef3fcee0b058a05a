package play

import (
	"slices"
	"time"

	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/fault"
)

// world is the bench as an execution sees it.
type world struct {
	bench  *bench.Bench
	left   bench.State   // what the kept steps left
	stands *bench.State  // what was asked of the bench in this process, granted
	offset time.Duration // bench time less script time
	tell   func(Event)
	used   map[string]bool // devices that were asked for something, whatever came of it
	relit  *bench.Shown    // the patch that was shown again as the run went on

	shown    []caution.Lit      // the patches of the last second
	switched []caution.Switched // lamps and settings of the last second
	lit      *caution.Still     // the light of this process, in bench time; nil where nobody asks
	patch    *bench.Patch       // the last one that was asked for, also while the unit is off
}

func (w *world) use(device string) {
	if w.used == nil {
		w.used = map[string]bool{}
	}
	w.used[device] = true
}

// lit are the lamps that may be up: those of this process, and those that the kept
// steps left.
func (w *world) lamps() []bench.LampRequest {
	all := slices.Clone(w.stands.Lit())
	for _, q := range w.left.Lit() {
		if !slices.ContainsFunc(all, func(other bench.LampRequest) bool { return other.Lamp == q.Lamp }) {
			all = append(all, q)
		}
	}
	return all
}

// asked takes in that a request was granted, or that it failed.
func (w *world) asked(request any, err error) error {
	defer w.tellShown(request)
	if err != nil {
		w.stands.Drop(request)
		return err
	}
	w.stands.Take(request)
	if w.lit != nil {
		w.lit.Ask(request, 0, w.bench.Clock.Now())
	}
	return nil
}

// tellShown tells what the unit shows after a request that changes it.
func (w *world) tellShown(request any) {
	switch request.(type) {
	case bench.Patch, []bench.TimedPatch, bench.PowerRequest:
		e := Showing{Off: w.stands.Off()}
		if p, known := w.stands.Patch(); known {
			e.Patch = &p
		}
		w.tell(e)
	}
}

// relived has a simulated device live through a request again.
func (w *world) relived(who, device string, k bench.Kept) error {
	r, ok := w.bench.Device(device).(bench.Reliver)
	if !ok {
		return nil
	}
	return fault.Guard(who, func() error { return r.Relive(k) })
}

// skip lets simulated time pass.
func (w *world) skip(to time.Duration) {
	if c, ok := w.bench.Clock.(bench.Skipper); ok {
		c.Skip(to)
	}
}

// struck are the mishaps of a simulated world that have begun.
func (w *world) struck() []int {
	if c, ok := w.bench.Clock.(bench.Mishaps); ok {
		return c.Struck()
	}
	return nil
}

// mend puts right what began in steps that were set aside.
func (w *world) mend(struck []int) {
	if c, ok := w.bench.Clock.(bench.Mishaps); ok && len(struck) > 0 {
		c.Mend(struck)
	}
}

// stand lets a simulated bench stand for the length of a pause.
func (w *world) stand(seconds float64) {
	if c, ok := w.bench.Clock.(bench.Skipper); ok && seconds > 0 {
		c.Stand(w.bench.Clock.Now() + duration(seconds))
	}
}

package play

import (
	"time"

	"candelua/engine/bench"
)

// world is the bench as an execution sees it.
type world struct {
	bench  *bench.Bench
	left   bench.State     // what the kept steps left
	stands *bench.State    // what was asked of the bench in this process, granted
	offset time.Duration   // bench time less script time
	used   map[string]bool // devices that were asked for something, whatever came of it
	relit  *bench.Shown    // the patch that was shown again as the run went on
}

func (w *world) use(device string) {
	if w.used == nil {
		w.used = map[string]bool{}
	}
	w.used[device] = true
}

// Relit is when the patch was shown again as the run went on, in script time.
func (d *door) Relit() (lit float64, pending, again bool) {
	if d.world == nil || d.world.relit == nil {
		return 0, false, false
	}
	return d.Time(d.world.relit.Lit), d.world.relit.Pending, true
}

// asked takes in that a request was granted, or that it failed.
func (w *world) asked(request any, err error) error {
	if err != nil {
		w.stands.Drop(request)
		return err
	}
	w.stands.Take(request)
	return nil
}

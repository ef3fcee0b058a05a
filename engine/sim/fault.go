package sim

import (
	"time"

	"candelua/engine/bench"
)

// fault is something that goes wrong, and since when.
type fault struct {
	p     FaultParams
	began time.Duration // never: not yet
	spent bool          // has done what it does once
}

func newFaults(params []FaultParams) []fault {
	all := make([]fault, len(params))
	for i, p := range params {
		all[i] = fault{p: p, began: never}
		if p.AtReading == 0 {
			all[i].began = seconds(p.AtSecond)
		}
	}
	return all
}

// ends returns when a fault that lasts is over.
func (f *fault) ends() time.Duration {
	if f.began == never || f.p.Seconds == 0 {
		return never
	}
	return f.began + seconds(f.p.Seconds)
}

// lasts says whether it has begun and is not over.
func (f *fault) lasts(t time.Duration) bool { return f.began <= t && t < f.ends() }

// armFaults makes those begin that wait for a reading of the meter, counted
// from 1.
func (w *World) armFaults(reading int, t time.Duration) {
	for i := range w.faults {
		if f := &w.faults[i]; f.p.AtReading == reading {
			f.began = t
		}
	}
}

// once returns the fault of a kind that strikes the reading which begins at t,
// if one does, and spends it.
func (w *World) once(kind string, t time.Duration) *fault {
	for i := range w.faults {
		if f := &w.faults[i]; f.p.Kind == kind && !f.spent && f.began <= t {
			f.spent = true
			return f
		}
	}
	return nil
}

// nextFault returns when a fault next changes what the screen shows.
func (w *World) nextFault() time.Duration {
	next := never
	for i := range w.faults {
		f := &w.faults[i]
		switch {
		case f.p.Kind == "sleep" && !f.spent:
			next = min(next, f.began)
		case f.p.Kind == "banner" && !f.spent:
			next = min(next, f.began)
		case f.p.Kind == "banner" && w.banner == f:
			next = min(next, f.ends())
		}
	}
	return next
}

// passFaults does what the faults do to the screen up to t.
func (w *World) passFaults(t time.Duration) {
	if w.banner != nil && !w.banner.lasts(t) {
		w.banner = nil
	}
	for i := range w.faults {
		f := &w.faults[i]
		if f.spent || f.began > t {
			continue
		}
		switch f.p.Kind {
		case "sleep":
			f.spent, w.asleep = true, true
		case "banner":
			f.spent, w.banner = true, f
		}
	}
}

// onScreen returns what is shown in place of the patch where a fault has it so.
func (w *World) onScreen() bench.Patch {
	switch {
	case w.asleep:
		return dark
	case w.banner != nil:
		g := w.banner.p.Grey
		return bench.Patch{RGB: [3]float64{g, g, g}, Window: 100, Signal: bench.SDR, At: w.patch.At}
	}
	return w.patch
}

// slipped returns the factors on what a meter on its mount sees, nil where it
// sits well.
func (w *World) slipped(t time.Duration) *FaultParams {
	for i := range w.faults {
		if f := &w.faults[i]; f.p.Kind == "slip" && f.lasts(t) {
			return &f.p
		}
	}
	return nil
}

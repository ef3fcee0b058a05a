package sim

import (
	"slices"
	"time"

	"candelua/engine/bench"
)

// plannedFault is something that goes wrong, with the time at which it began.
type plannedFault struct {
	p     FaultParams
	began time.Duration // never: not yet
	spent bool          // it has happened, and does not happen again
	over  bool          // it began in steps that were set aside, see [World.Mend]
}

// struck says whether the fault has begun by t.
func (f *plannedFault) struck(t time.Duration) bool {
	return f.spent || !f.waits() && f.began <= t
}

// waits says whether the fault waits for a reading, which alone it affects.
func (f *plannedFault) waits() bool { return f.p.Kind == "timeout" || f.p.Kind == "bad_reading" }

// passes says whether the fault comes and goes at stated times, whatever anybody does.
func (f *plannedFault) passes() bool {
	lasting := f.p.Kind == "slip" || f.p.Kind == "banner"
	return lasting && f.p.AtReading == 0 && f.p.AtPatch == 0 && f.p.Seconds > 0
}

// Struck implements [bench.Mishaps].
func (w *World) Struck() (struck []int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for i := range w.faults {
		if w.faults[i].struck(w.Now()) {
			struck = append(struck, i)
		}
	}
	return struck
}

// Mend implements [bench.Mishaps]. What comes and goes at stated times is left alone: it is over when its
// time is.
func (w *World) Mend(struck []int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.advance(w.Now())
	for i := range w.faults {
		if f := &w.faults[i]; slices.Contains(struck, i) && !f.passes() && !f.struck(w.Now()) {
			f.began, f.spent, f.over = never, true, true
		}
	}
}

func newFaults(params []FaultParams) []plannedFault {
	all := make([]plannedFault, len(params))
	for i, p := range params {
		all[i] = plannedFault{p: p, began: never}
		if p.AtReading == 0 && p.AtPatch == 0 {
			all[i].began = seconds(p.AtSecond)
		}
	}
	return all
}

// ends returns when a fault that lasts for a while is over.
func (f *plannedFault) ends() time.Duration {
	if f.began == never || f.p.Seconds == 0 {
		return never
	}
	return f.began + seconds(f.p.Seconds)
}

// lasts says whether the fault has begun and is not over.
func (f *plannedFault) lasts(t time.Duration) bool { return f.began <= t && t < f.ends() }

// armAtReading begins the faults that are stated for this reading of the meter,
// counted from 1.
func (w *World) armAtReading(reading int, t time.Duration) {
	w.arm(t, func(p *FaultParams) bool { return p.AtReading == reading })
}

// armAtPatch begins the faults that are stated for this patch, counted from 1.
func (w *World) armAtPatch(patch int, t time.Duration) {
	w.arm(t, func(p *FaultParams) bool { return p.AtPatch == patch })
}

func (w *World) arm(t time.Duration, is func(*FaultParams) bool) {
	for i := range w.faults {
		if f := &w.faults[i]; is(&f.p) && !f.over {
			f.began = t
		}
	}
}

// once returns a fault of this kind that affects the reading which begins at t,
// nil if there is none. It marks the fault as spent.
func (w *World) once(kind string, t time.Duration) *plannedFault {
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

// passFaults applies the faults of the screen that begin or end up to t.
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

// onScreen returns what the screen shows: the patch, or what a fault shows in its place.
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

// slipped returns the fault of a meter that has slipped on its mount, whose factors
// apply to its light; nil for a meter that sits well.
func (w *World) slipped(t time.Duration) *FaultParams {
	for i := range w.faults {
		if f := &w.faults[i]; f.p.Kind == "slip" && f.lasts(t) {
			return &f.p
		}
	}
	return nil
}

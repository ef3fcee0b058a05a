package sim

import (
	"context"
	"fmt"
	"math"
	"time"

	"candelua/engine/bench"
)

// source shows patches on the unit. Light changes a latency after the request,
//
//	lit = asked + latency + latency_within·n,   n normal, cut off at ±3
//
// and the source says what it can know: asked + latency, with latency_within as
// its standard uncertainty. Asked for what is on the screen already it answers
// at once, since nothing changes.
type source struct{ w *World }

var (
	_ bench.Patches   = source{}
	_ bench.Sequencer = source{}
	_ bench.Reliver   = source{}
	_ bench.Verifier  = source{}
	_ bench.Painter   = source{}
)

// Paints implements [bench.Painter]: it shows all that its screen has the pixels for.
func (s source) Paints(p bench.Patch) error {
	if err := s.w.fits(p); err != nil {
		return bench.Errorf(bench.CodeUnsupported, "", "%w", err)
	}
	return nil
}

// fits refuses what no source could show, or this screen.
func (w *World) fits(p bench.Patch) error {
	if err := checkPatch(p); err != nil {
		return err
	}
	if err := w.tone.shows(&p); err != nil {
		return err
	}
	if p.Pattern.Kind == bench.Window {
		return nil
	}
	if _, err := w.painted(&p); err != nil {
		return fmt.Errorf("patch: %w", err)
	}
	return nil
}

// About implements [bench.Device].
func (s source) About() bench.Identity {
	return bench.Identity{Name: "patches of " + s.w.params.Name, Driver: driverName, Simulated: true}
}

// Show implements [bench.Patches]. It returns when the patch is lit. It fails for a
// patch that no source could show, and with ctx's cause if ctx has ended before. A
// patch that has been asked for is always shown.
func (s source) Show(ctx context.Context, p bench.Patch) (bench.Shown, error) {
	if err := s.w.fits(p); err != nil {
		return bench.Shown{}, err
	}
	if ctx.Err() != nil {
		return bench.Shown{}, context.Cause(ctx)
	}
	w := s.w
	w.mu.Lock()
	defer w.mu.Unlock()
	w.advance(w.Now())
	if p == w.patch && !w.asleep {
		return w.shown, nil
	}
	lit, stated := s.latency()
	w.show(p, lit, stated)
	w.pass(max(lit, w.shown.Lit))
	return w.shown, nil
}

// latency returns when a patch that is asked for now is lit, and when the
// source says that it is.
func (s source) latency() (lit, stated time.Duration) {
	asked, p := s.w.Now(), s.w.params.Source
	off := p.LatencyWithin * math.Min(math.Max(s.w.noise.at(noiseLatency, asked).NormFloat64(), -3), 3)
	return asked + seconds(math.Max(0, p.Latency+off)), asked + seconds(p.Latency)
}

// show puts a patch on the screen at a time, which it also wakes.
func (w *World) show(p bench.Patch, lit, stated time.Duration) {
	w.advance(lit)
	w.shown = bench.Shown{Lit: stated, LitWithin: seconds(w.params.Source.LatencyWithin), Area: w.area(p), Path: bench.PathSimulated, HDR: p.Signal != bench.SDR}
	w.patch, w.asleep = p, false
	w.content++
	w.patches++
	w.armAtPatch(w.patches, lit)
	w.turn(lit)
}

// longestHold bounds a sequence's holds, in s.
const longestHold = 86400

// Sequence implements [bench.Sequencer]: the latency comes once, before the
// first patch, and the holds are exact. It fails before it shows anything for a
// list without patches, a hold that is not 0 to a day, and as Show does.
func (s source) Sequence(ctx context.Context, list []bench.TimedPatch) ([]bench.Shown, error) {
	if len(list) == 0 {
		return nil, fmt.Errorf("sequence: there are no patches; give at least one")
	}
	for i, p := range list {
		if err := s.w.fits(p.Patch); err != nil {
			return nil, fmt.Errorf("sequence: patch %d: %w", i+1, err)
		}
		if !(p.Hold >= 0 && p.Hold <= longestHold) {
			return nil, fmt.Errorf("sequence: patch %d: hold is %v; it must be 0 to %v s", i+1, p.Hold, longestHold)
		}
	}
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	w := s.w
	w.mu.Lock()
	defer w.mu.Unlock()
	w.advance(w.Now())
	lit, stated := s.latency()
	var all []bench.Shown
	for _, p := range list {
		w.show(p.Patch, lit, stated)
		all = append(all, w.shown)
		lit, stated = lit+seconds(p.Hold), stated+seconds(p.Hold)
	}
	w.pass(max(lit, stated))
	return all, nil
}

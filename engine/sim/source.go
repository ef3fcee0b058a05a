package sim

import (
	"context"
	"math"

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
	_ bench.Patches  = source{}
	_ bench.Recaller = source{}
)

// About implements [bench.Device].
func (s source) About() bench.Identity {
	return bench.Identity{Name: "patches of " + s.w.params.Name, Driver: driverName, Simulated: true}
}

// Show implements [bench.Patches]. It returns once the patch is lit. It fails
// for a patch that no source could show, and with ctx's cause where ctx was
// done before; a patch once asked for is shown.
func (s source) Show(ctx context.Context, p bench.Patch) (bench.Shown, error) {
	if err := checkPatch(p); err != nil {
		return bench.Shown{}, err
	}
	if ctx.Err() != nil {
		return bench.Shown{}, context.Cause(ctx)
	}
	w := s.w
	w.mu.Lock()
	defer w.mu.Unlock()
	if p == w.patch {
		return w.shown, nil
	}
	asked, within := w.Now(), w.params.Source.LatencyWithin
	stated := w.params.Source.Latency
	off := within * math.Min(math.Max(w.noise.at(noiseLatency, asked).NormFloat64(), -3), 3)
	lit := asked + seconds(math.Max(0, stated+off))
	w.shown = bench.Shown{Lit: asked + seconds(stated), LitWithin: seconds(within), Area: w.area(p.Window)}
	w.patch = p
	w.turn(lit)
	w.pass(max(lit, w.shown.Lit))
	return w.shown, nil
}

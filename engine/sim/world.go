package sim

import (
	"context"
	"fmt"
	"sync"
	"time"

	"candelua/engine/bench"
)

// World is a simulated bench: display, source of patches, meter and operator,
// with one clock. Its devices share it; they may be used from one goroutine at
// a time, but Now and Wall from any.
type World struct {
	*clock
	params Params

	observer  observer
	panel     *panel
	tone      *tone
	fullDrive float64 // cd/m² above black
	phenomena []phenomenon
	noise     *noise

	mu       sync.Mutex
	controls []control
	patch    bench.Patch // as last asked for
	frame    frame       // what it asks for now
	shown    bench.Shown
	kept     kept
	unpaced  bool // while recalling

	factors, product, spare expSum // scratch of a reading
}

// phenomenon is something that changes the panel's light over time. Each has
// a file of its own. Its state is anchored at the last turn, so that asking
// for its factor changes nothing.
type phenomenon interface {
	// turn says that from t on the panel is under load.
	turn(t time.Duration, l load)
	// appendFactor appends its factor on a primary's light from t on to dst,
	// which it returns; t is not before the last turn.
	appendFactor(dst expSum, t time.Duration, primary int) expSum
	// steady returns its factor on a primary's light once all has settled.
	steady(l load, primary int) float64
}

var (
	_ phenomenon = (*limiter)(nil)
	_ phenomenon = (*warmth)(nil)
)

// New returns the world that the parameters describe, at its beginning. The
// seed says which noise it has. Speed is how many simulated seconds pass in a
// real one; 0 means that waits take no time. It fails where [Check] does.
func New(p Params, seed uint64, speed float64) (*World, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	if !(speed >= 0) {
		return nil, fmt.Errorf("speed is %v, want 0 (at once) or more simulated seconds a second", speed)
	}
	w := &World{clock: &clock{speed: speed}, params: p, observer: newObserver(), noise: newNoise(seed)}
	var err error
	if w.panel, err = newPanel(p.Primaries, &w.observer); err != nil {
		return nil, err
	}
	if w.tone, err = newTone(p.Light, p.Tone); err != nil {
		return nil, err
	}
	if w.controls, err = newControls(p.Controls); err != nil {
		return nil, err
	}
	w.fullDrive = max(p.Light.White, p.Light.HDRPeak) - p.Light.Black
	w.phenomena = []phenomenon{newLimiter(p.Limit), newWarmth(p.Warmup)}
	w.patch = dark
	w.shown.Area = 100
	w.turn(0)
	return w, nil
}

// Params returns the world's parameters: the truths that it was made from.
func (w *World) Params() Params { return w.params }

// dark is what the screen shows before the first patch.
var dark = bench.Patch{Window: 100, Signal: bench.SDR}

// turn makes the present patch and controls what the panel is asked for from t on.
func (w *World) turn(t time.Duration) {
	w.frame = w.frameOf(w.patch, lightFactor(w.controls))
	for _, p := range w.phenomena {
		p.turn(t, w.frame.load)
	}
}

// drive returns the mean drive of the window's primaries over so many seconds
// from t on, all phenomena included, exact for any length within one frame.
func (w *World) drive(t time.Duration, over float64) (d [3]float64) {
	for i := range d {
		if d[i] = w.frame.window[i]; d[i] == 0 {
			continue
		}
		product := append(w.product[:0], expTerm{coef: 1})
		spare := w.spare
		for _, p := range w.phenomena {
			w.factors = p.appendFactor(w.factors[:0], t, i)
			product, spare = appendProduct(spare[:0], product, w.factors), product
		}
		d[i] *= product.mean(over)
		w.product, w.spare = product, spare
	}
	return d
}

// pass lets time go by to t while a device is busy, paced but for recalling.
// What a device has begun it finishes, whatever becomes of the request.
func (w *World) pass(t time.Duration) {
	if w.unpaced {
		w.Skip(t)
		return
	}
	_ = w.WaitUntil(context.Background(), t) // fails only where its context ends
}

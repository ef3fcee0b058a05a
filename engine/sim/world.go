package sim

import (
	"context"
	"fmt"
	"sync"
	"time"

	"candelua/engine/bench"
)

// World is a simulated bench: display, source of patches, meters, rig and
// operator, with one clock. Its devices share it. Only one goroutine at a time may
// use them, but any goroutine may call Now and Wall.
type World struct {
	*clock
	params Params // the truths that it was made from, the unit's mode included

	observer  observer
	panel     *panel
	tone      *tone
	fullDrive float64 // cd/m² above black
	phenomena []phenomenon
	limiter   *limiter   // among the phenomena
	adaptive  *adaptive  // among them
	retention *retention // among them
	pwm       pwm
	room      *room
	noise     *noise

	mu       sync.Mutex
	controls []control
	patch    bench.Patch // as last asked for
	content  int         // counts what was asked for
	frame    frame       // what is shown now
	shown    bench.Shown
	mount    mount
	faults   []plannedFault
	asleep   bool
	banner   *plannedFault
	readings int // of the meter, so far
	patches  int // shown so far
	zero     map[uint64]float64
	zeroed   map[uint64]time.Duration // when the meters took their dark levels
	unpaced  bool                     // while recalling

	factors, product, spare expSum    // scratch of a reading
	lux                     luxErrors // of the light meter
}

// mount is where the rig has put unit and meter.
type mount struct {
	place                *[2]float64 // nil: where a reading says
	horizontal, vertical float64     // degrees
}

// phenomenon is something that changes the panel's light over time. Each has
// a file of its own. Its state is anchored at the last turn, so that asking
// for its factor changes nothing.
type phenomenon interface {
	// turn takes in that the panel has the load l from t on.
	turn(t time.Duration, l load)
	// next returns when it next changes by itself and needs another turn; never
	// if it does not.
	next() time.Duration
	// appendFactor appends its factor on a subpixel's light at a place, from t
	// on until next, to dst, which it returns; t is not before the last turn.
	appendFactor(dst expSum, t time.Duration, primary int, at [2]float64) expSum
	// steady returns its factor on a subpixel's light after everything has settled.
	steady(l load, primary int) float64
}

var (
	_ phenomenon = (*limiter)(nil)
	_ phenomenon = (*warmth)(nil)
	_ phenomenon = (*still)(nil)
	_ phenomenon = (*heat)(nil)
	_ phenomenon = (*adaptive)(nil)
	_ phenomenon = (*retention)(nil)
)

// New returns the world that the parameters describe, at its beginning. The
// seed decides the noise. Speed is the number of simulated seconds in a real
// second; 0 means that waits take no time. It fails as Params.check does.
func New(p Params, seed uint64, speed float64) (*World, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	if !(speed >= 0) {
		return nil, fmt.Errorf("speed is %v; it must be 0 (at once) or more simulated seconds a second", speed)
	}
	w := &World{clock: &clock{speed: speed}, observer: newObserver(), noise: newNoise(seed), zero: map[uint64]float64{}, zeroed: map[uint64]time.Duration{}}
	var err error
	params, mode, err := effective(p, &w.observer)
	if err != nil {
		return nil, err
	}
	w.params, p = params, params
	if w.panel, err = newPanel(p.Primaries, p.Room.Kelvin, &w.observer); err != nil {
		return nil, err
	}
	if w.tone, err = newTone(p.Light, p.Tone, mode); err != nil {
		return nil, err
	}
	w.tone.p3 = p.plainOfP3(w.panel)
	if w.controls, err = newControls(p.Controls); err != nil {
		return nil, err
	}
	w.fullDrive = max(p.Light.White, p.Light.HDRPeak) - p.Light.Black
	w.pwm, w.room, w.faults = pwm{p.PWM}, newRoom(p.Room, p.Lamps, w.noise), newFaults(p.Faults)
	w.limiter, w.adaptive, w.retention = newLimiter(p.Limit), newAdaptive(p.Adaptive), newRetention(p.Retention, w.fullDrive)
	w.phenomena = []phenomenon{w.limiter, newWarmth(p.Warmup), newStill(p.Static), newHeat(p.Thermal), w.adaptive, w.retention}
	w.lux = w.newLuxErrors()
	w.patch = dark
	w.shown.Area = 100
	w.adaptive.begin(w.followsRoom(), w.sensedLux())
	w.turn(0)
	return w, nil
}

// dark is what the screen shows before the first patch.
var dark = bench.Patch{Window: 100, Signal: bench.SDR}

// followsRoom says whether the unit's brightness follows the room.
func (w *World) followsRoom() bool { return followsRoom(w.controls, w.params.Adaptive.Control) }

// sensedLux is the illuminance that the unit's ambient sensor sees, behind the
// meter on its mount.
func (w *World) sensedLux() float64 {
	return w.room.settledSensorLux() * (1 - w.params.Meter.Shade/100)
}

// turn makes the present patch, controls and room what the panel has from t on.
// All that was due before must have been done, see advance.
func (w *World) turn(t time.Duration) {
	w.passFaults(t)
	w.adaptive.sense(t, w.followsRoom(), w.sensedLux())
	w.frame = w.frameOf(w.onScreen(), w.controls, w.adaptive.to)
	w.frame.load.content, w.frame.load.asleep = w.content, w.asleep
	for _, p := range w.phenomena {
		p.turn(t, w.frame.load)
	}
	w.retention.expose(t, &w.frame, w.limiter.target(w.frame.load.drive))
}

// next returns when something next changes of its own accord.
func (w *World) next() time.Duration {
	next := w.nextFault()
	for _, p := range w.phenomena {
		next = min(next, p.next())
	}
	return next
}

// advance does all that changes of its own accord up to t, each at its time, so
// that it does not matter when somebody looks.
func (w *World) advance(t time.Duration) {
	for next := w.next(); next <= t; next = w.next() {
		w.turn(next)
	}
}

// drive returns the mean drive of the subpixels in a view over so many seconds
// from t on, all phenomena included, exact for any length up to the next change.
func (w *World) drive(t time.Duration, over float64, v *view) (d [subpixels]float64) {
	for i := range d {
		asked := v.window*w.frame.window[i] + v.back*w.frame.back[i]
		if w.frame.fields != nil {
			asked = v.mean[i]
		}
		if asked != 0 {
			product := append(w.product[:0], expTerm{coef: 1})
			spare := w.spare
			for _, p := range w.phenomena {
				w.factors = p.appendFactor(w.factors[:0], t, i, v.at)
				if len(w.factors) == 1 && w.factors[0].coef == 1 {
					continue
				}
				product, spare = appendProduct(spare[:0], product, w.factors), product
			}
			d[i] = asked * product.mean(over)
			w.product, w.spare = product, spare
		}
		d[i] = v.factors[i] * (d[i] + (v.window+v.back)*w.retention.glow(t, over, i, v.at))
	}
	return d
}

// light returns the mean amounts of light in a view over so many seconds from t
// on. What changes on the way is done on the way.
func (w *World) light(t time.Duration, over float64, v *view) (a amounts) {
	w.advance(t)
	end := t + seconds(over)
	for at := t; ; {
		to := min(end, w.next())
		piece, share := (to - at).Seconds(), 1.0
		if over > 0 {
			share = piece / over
		}
		if at == t && to == end {
			piece, share = over, 1
		}
		now := *v
		if at > t { // the window may be another
			now = w.viewOf(v.at, v.field, v.horizontal, v.vertical)
		}
		for i, d := range w.drive(at, piece, &now) {
			a[i] += share * d
		}
		if at = to; at >= end {
			break
		}
		w.advance(at)
	}
	beat := w.pwm.mean(t, over)
	for i := range subpixels {
		a[i] *= beat
	}
	a[lightBlack] = w.params.Light.Black * (v.window + v.back)
	a[lightRoom] = w.room.reflected(w.room.screenLux(t, over)) * (v.window + v.back)
	return a
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

// Stand implements [bench.Skipper].
func (w *World) Stand(t time.Duration) {
	w.mu.Lock()
	now := w.Now()
	w.advance(now)
	w.asleep = true
	w.turn(now)
	w.mu.Unlock()
	w.Skip(t)
}

package sim

import (
	"fmt"
	"math"
	"time"

	"candelua/colour"
	"candelua/engine/bench"
)

// stress is a picture that stood on a panel which had shown nothing, for so
// many seconds.
type stress struct {
	patch   bench.Patch
	seconds float64
}

// residual is by how much a place that was stressed differs from one that was
// not, of a picture that is shown on both.
type residual struct {
	luminance float64 // cd/m², signed
	percent   float64 // of the other place's luminance, signed
	deltaUV   float64 // distance in CIE 1976 u′v′
}

// truthResidual returns what remains of a stress when the probe has been shown
// full screen for so many seconds after it, in the middle of where the window
// stood, against the same place unstressed. The probe charges both.
//
// It fails where a patch cannot be shown, or where the probe gives no light at
// all.
func (w *World) truthResidual(s stress, probe bench.Patch, after float64) (residual, error) {
	probe.Window = 100
	with, err := w.retained(s, probe, after)
	if err != nil {
		return residual{}, err
	}
	without, err := w.retained(stress{patch: dark, seconds: s.seconds}, probe, after)
	if err != nil {
		return residual{}, err
	}
	a, b := w.panel.xyzOf(with), w.panel.xyzOf(without)
	r := residual{luminance: a.Y - b.Y, percent: 100 * (a.Y/b.Y - 1)}
	u, errA := a.UV()
	v, errB := b.UV()
	if errA != nil || errB != nil {
		return residual{}, fmt.Errorf("residual: the probe has no light: %w", colour.ErrNoChromaticity)
	}
	r.deltaUV = u.Distance(v)
	return r, nil
}

// retained returns the light in the middle of the stress's window.
func (w *World) retained(s stress, probe bench.Patch, after float64) (a amounts, err error) {
	if !(s.seconds >= 0 && after >= 0) {
		return a, fmt.Errorf("residual: times are %v and %v s; they must be 0 or more", s.seconds, after)
	}
	if a, err = w.truthAmounts(probe, look{}, nil); err != nil {
		return a, err
	}
	if err := checkPatch(s.patch); err != nil {
		return a, err
	}
	controls, err := w.truthControls(nil)
	if err != nil {
		return a, err
	}
	r := newRetention(w.params.Retention, w.fullDrive)
	stress, shown := w.frameOf(s.patch, controls, 1), w.frameOf(probe, controls, 1)
	r.expose(0, &stress, w.limiter.target(stress.load.drive))
	r.expose(seconds(s.seconds), &shown, w.limiter.target(shown.load.drive))
	at, t := stress.middle, seconds(s.seconds)+seconds(after)
	for i := range subpixels {
		a[i] = a[i]*r.appendFactor(nil, t, i, at).mean(0) + r.glow(t, 0, i, at)
	}
	return a, nil
}

// Searches for times look this finely, and this far beyond the longest time
// constant.
const (
	searchSteps  = 4000
	searchBeyond = 15
)

// truthResidualTime returns how many seconds after a stress the residual, in
// percent and without its sign, is within a limit for good. It fails as
// World.truthResidual does, and where the residual is not within the limit
// after fifteen of the longest time constants.
func (w *World) truthResidualTime(s stress, probe bench.Patch, within float64) (float64, error) {
	longest := 0.0
	for _, term := range w.params.Retention.Terms {
		longest = max(longest, term[0], term[1])
	}
	return lastOutside(searchBeyond*longest, func(t float64) (bool, error) {
		r, err := w.truthResidual(s, probe, t)
		return math.Abs(r.percent) > within, err
	})
}

// lastOutside returns the time from 0 to end after which outside is false for
// good, to a thousandth of a second.
func lastOutside(end float64, outside func(float64) (bool, error)) (float64, error) {
	step := end / searchSteps
	for i := searchSteps; i >= 0; i-- {
		out, err := outside(step * float64(i))
		if err != nil {
			return 0, err
		}
		if !out {
			continue
		}
		if i == searchSteps {
			return 0, fmt.Errorf("time: it is still outside the limit after %v s", end)
		}
		low, high := step*float64(i), step*float64(i+1)
		for high-low > 1e-3 {
			middle := (low + high) / 2
			if out, err := outside(middle); err != nil {
				return 0, err
			} else if out {
				low = middle
			} else {
				high = middle
			}
		}
		return high, nil
	}
	return 0, nil
}

// truthWarmup returns how many seconds after a cold start with this patch the
// luminance drifts for good by no more than within, in percent, over any so many
// seconds from then on. Dimming and retention play no part.
//
// It fails where the patch cannot be shown, and where over is not positive.
func (w *World) truthWarmup(p bench.Patch, within, over float64) (float64, error) {
	if !(over > 0) {
		return 0, fmt.Errorf("warm-up: over is %v; it must be more than 0 s", over)
	}
	cold, err := w.coldStart(p)
	if err != nil {
		return 0, err
	}
	longest := cold.params.Limit.Seconds
	for _, term := range cold.params.Warmup.Terms {
		longest = max(longest, term[0])
	}
	return lastOutside(searchBeyond*longest, func(t float64) (bool, error) {
		return cold.drift(t, over) > within, nil
	})
}

// coldStart returns a world whose panel is cold and shows the patch from the
// beginning, undisturbed.
func (w *World) coldStart(p bench.Patch) (*World, error) {
	if err := checkPatch(p); err != nil {
		return nil, err
	}
	params := w.params
	params.Mode = "" // its changes are in the parameters, but for its matrix
	params.Warmup.OnFor, params.Static.By, params.Thermal.By = 0, 0, 0
	params.Retention.Terms, params.Faults, params.Adaptive.Control = nil, nil, ""
	cold, err := New(params, 1, 0)
	if err != nil {
		return nil, err
	}
	cold.tone = w.tone
	if cold.controls, err = w.truthControls(nil); err != nil {
		return nil, err
	}
	cold.show(p, 0, 0)
	return cold, nil
}

// driftSteps is into how many parts a time is divided to find how far it drifts.
const driftSteps = 50

// drift returns how far, in percent of its end, the luminance of what is shown
// reaches apart from t to t + over.
func (w *World) drift(t, over float64) float64 {
	v := w.viewOf(w.frame.middle, 0, 0, 0)
	low, high, last := math.Inf(1), 0.0, 0.0
	for i := range driftSteps + 1 {
		last = w.luminanceAt(seconds(t+over*float64(i)/driftSteps), &v)
		low, high = min(low, last), max(high, last)
	}
	return 100 * (high - low) / last
}

// luminanceAt returns the luminance of the present frame at a time to come, as
// far as nothing changes of its own accord until then.
func (w *World) luminanceAt(t time.Duration, v *view) float64 {
	var a amounts
	for i, d := range w.drive(t, 0, v) {
		a[i] = d
	}
	a[lightBlack] = w.params.Light.Black
	return w.panel.luminanceOf(a)
}

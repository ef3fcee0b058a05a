package sim

import (
	"context"
	"fmt"
	"time"

	"candelua/engine/bench"
)

// meter is a meter in front of the screen. It looks where the request states, for that
// request only; else where the rig has put it; else at the middle of the window. The mean of
// the light over the integration is exact, see [expSum]. A request's Expect
// changes nothing, as the meter finds its own range.
//
// A meter that sees its field notices a window that does not fill it, and flags
// underfilled. Any other meter reads window and background together without a flag,
// as a meter in contact does. If the request does not ask to fit the integration to
// the light's periods (Sync), and the reading could be off by more than a tenth of a
// percent for that reason, the meter flags unsynchronised.
type meter struct {
	w      *World
	optics optics
	kind   uint64 // of its noise
}

// mostRipple is the largest error by switched light, as a share, that is not flagged.
const mostRipple = 0.001

var (
	_ bench.Meter        = (*meter)(nil)
	_ bench.Zeroer       = (*meter)(nil)
	_ bench.Spectrometer = (*meter)(nil)
	_ bench.Reliver      = (*meter)(nil)
)

// newMeter returns the world's meter, or its reference.
func (w *World) newMeter(k bench.Kind) *meter {
	m := &meter{w, newOptics(w.params.Meter, w, noiseMeterDark), noiseMeter}
	if k == bench.KindReference {
		m = &meter{w, newOptics(w.params.Reference, w, noiseReferenceDark), noiseReference}
	}
	m.optics.errors.dark = m.darkError()
	return m
}

// About implements [bench.Device]: it says what the meter's certificate would say.
func (m *meter) About() bench.Identity {
	return bench.Identity{
		Name: m.optics.p.Name, Serial: m.w.serialOf(&m.optics.p), Driver: driverName, Simulated: true,
		Floor:    m.optics.p.Floor,
		Accuracy: m.optics.statedAccuracy(),
	}
}

// ReadsSpectra implements [bench.Spectrometer].
func (m *meter) ReadsSpectra() bool { return m.optics.spectral() }

// Read implements [bench.Meter]. It fails with a [bench.Error] of code "unsupported"
// if a filter meter is asked for spectra, and of code "timeout" if a fault makes the
// meter silent. It refuses a request for less than one reading.
func (m *meter) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	if q.Most < 1 {
		return fmt.Errorf("read: most is %d readings; it must be at least 1", q.Most)
	}
	if q.Spectrum && !m.optics.spectral() {
		return bench.Errorf(bench.CodeUnsupported, "use a spectroradiometer, or read without spectrum", "read: the %s is a filter colorimeter and reads no spectra", m.optics.p.Name)
	}
	for range q.Most {
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		s, err := m.one(q)
		if err != nil {
			return err
		}
		switch err := take(s); {
		case err == bench.Enough:
			return nil
		case err != nil:
			return err
		}
	}
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	return nil
}

// one takes one reading and lets its time pass. A reading that has begun is always finished.
func (m *meter) one(q bench.ReadRequest) (bench.Sample, error) {
	m.w.mu.Lock()
	defer m.w.mu.Unlock()
	began := m.w.Now()
	if silent, struck := m.strike(began); struck {
		m.w.pass(began + silent)
		return bench.Sample{}, bench.Errorf(bench.CodeTimeout, "check the meter and its cable, then read again",
			"read: the %s did not answer within %v", m.optics.p.Name, silent)
	}
	s := m.single(q)
	m.w.pass(s.Ended + seconds(m.optics.p.Overhead))
	return s, nil
}

// strike counts the reading, and says whether a fault keeps it from an answer and
// for how long. Faults affect the meter, not the reference.
func (m *meter) strike(t time.Duration) (silent time.Duration, struck bool) {
	if m.kind != noiseMeter {
		return 0, false
	}
	m.w.readings++
	m.w.armAtReading(m.w.readings, t)
	if f := m.w.once("timeout", t); f != nil {
		return seconds(f.p.Seconds), true
	}
	return 0, false
}

// lookingAt returns the place on the screen at which a request's readings are taken.
func (m *meter) lookingAt(q bench.ReadRequest) [2]float64 {
	switch {
	case q.At != nil:
		return *q.At
	case m.w.mount.place != nil:
		return *m.w.mount.place
	}
	return m.w.frame.middle
}

// single computes the reading that begins now; it does not let its time pass.
func (m *meter) single(q bench.ReadRequest) bench.Sample {
	w := m.w
	began := w.Now()
	w.advance(began)
	v := w.viewOf(m.lookingAt(q), m.optics.p.Field, w.mount.horizontal, w.mount.vertical)
	whole := m.optics.integration(w.panel.luminanceOf(w.light(began, 0, &v)))
	if q.Sync {
		whole = w.pwm.fitted(whole)
	}
	light := w.light(began, whole.Seconds(), &v)
	if m.kind == noiseMeter {
		m.befall(&light, began)
	}
	s := m.optics.read(light, began, whole, m.w.noise.at(m.kind, began), w.zero[m.kind], q.Spectrum)
	if m.optics.p.SeesField == "yes" && v.window < 1-1e-9 {
		s.Flags = append(s.Flags, bench.Underfilled)
	}
	if w.pwm.ripple(whole.Seconds()) > mostRipple {
		s.Flags = append(s.Flags, bench.Unsynchronised)
	}
	return s
}

// befall changes the light that the meter sees by the faults of this moment.
func (m *meter) befall(light *amounts, began time.Duration) {
	if p := m.w.slipped(began); p != nil {
		for i := range light {
			light[i] *= p.Percent / 100
			if i < subWhite {
				light[i] *= 1 + p.Colour[i]/100
			}
		}
	}
	if f := m.w.once("bad_reading", began); f != nil {
		for i := range light {
			light[i] *= f.p.Percent / 100
		}
	}
}

// Zero implements [bench.Zeroer]: the meter shuts out the light and measures its
// dark level, with the noise of an integration of zero_seconds. It subtracts this
// level from all later readings. It fails with ctx's cause if ctx has ended before.
func (m *meter) Zero(ctx context.Context) error {
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	w := m.w
	w.mu.Lock()
	defer w.mu.Unlock()
	began, over := w.Now(), m.optics.p.ZeroSeconds
	w.zero[m.kind] = m.optics.darkLevel(began, over, w.noise.at(m.kind+(noiseMeterZero-noiseMeter), began))
	w.zeroed[m.kind] = began
	m.optics.errors.dark = m.darkError()
	w.pass(began + seconds(over))
	return nil
}

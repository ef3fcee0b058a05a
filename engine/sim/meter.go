package sim

import (
	"context"
	"fmt"
	"time"

	"candelua/engine/bench"
)

// meter is a meter in front of the screen. It looks at the middle of the window
// unless the request says where, or the rig has put it somewhere. The mean of
// the light over the integration is exact, see [expSum]. A request's Expect
// changes nothing, as the meter finds its own range.
//
// Only a meter that sees its field can know that a window does not fill it, and
// flags underfilled; another reads window and background together and says
// nothing, as a meter in contact does. One that was not told to fit its
// integration to the light's periods flags unsynchronised where that could be
// off by more than a tenth of a percent.
type meter struct {
	w      *World
	optics optics
	kind   uint64 // of its noise
}

// mostRipple is the share from which on switched light is flagged.
const mostRipple = 0.001

var (
	_ bench.Meter   = (*meter)(nil)
	_ bench.Zeroer  = (*meter)(nil)
	_ bench.Reliver = (*meter)(nil)
)

// newMeter returns the meter, or the reference, of a world.
func (w *World) newMeter(k bench.Kind) *meter {
	m := &meter{w, newOptics(w.params.Meter, w, noiseMeterDark), noiseMeter}
	if k == bench.KindReference {
		m = &meter{w, newOptics(w.params.Reference, w, noiseReferenceDark), noiseReference}
	}
	m.optics.errors.dark = m.darkError()
	return m
}

// About says what the meter's certificate would.
func (m *meter) About() bench.Identity {
	return bench.Identity{
		Name: m.optics.p.Name, Serial: m.w.serialOf(&m.optics.p), Driver: driverName, Simulated: true,
		Floor:    m.optics.p.Floor,
		Accuracy: m.optics.statedAccuracy(),
	}
}

// Read implements [bench.Meter]. It answers an [bench.Error] of code
// "unsupported" where a filter meter is asked for spectra, one of code "timeout"
// where a fault has it so, and refuses a request for no reading.
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

// one takes a reading, which once begun is finished, and passes its time.
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

// strike counts the reading and says whether it gets no answer, and how long
// that takes. Faults befall the meter, not the reference.
func (m *meter) strike(t time.Duration) (silent time.Duration, struck bool) {
	if m.kind != noiseMeter {
		return 0, false
	}
	m.w.readings++
	m.w.armFaults(m.w.readings, t)
	if f := m.w.once("timeout", t); f != nil {
		return seconds(f.p.Seconds), true
	}
	return 0, false
}

// lookingAt returns the place that a request's readings are of.
func (m *meter) lookingAt(q bench.ReadRequest) [2]float64 {
	switch {
	case m.w.mount.place != nil:
		return *m.w.mount.place
	case q.At != nil:
		return *q.At
	}
	return m.w.frame.rect.middle()
}

// single works out the reading that begins now; it does not pass the time.
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

// befall does to the light what faults do to what the meter sees.
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

// Zero implements [bench.Zeroer]: with its light shut out the meter takes its
// dark level as it is then, with the noise of so long an integration, and takes
// it off from then on. It fails with ctx's cause where ctx was done before.
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

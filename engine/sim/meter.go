package sim

import (
	"context"
	"fmt"
	"math"
	"time"

	"candelua/engine/bench"
)

// optics is what a spectral meter's parameters come to, worked out once.
type optics struct {
	p    MeterParams
	dark float64 // standard deviation of a band in the dark, for 1 s
	shot float64 // its variance over its radiance, for 1 s
}

// newOptics turns noise as a person knows it, in luminance, into noise of a
// band. With ȳ the observer's weights of the bands, W = Σ ȳ and V = Σ ȳ²:
//
//	σ_dark = dark_noise/√V
//	q      = (shot_noise/100 · 100 cd/m²)² · W/(100 cd/m² · V)
//
// for an equal-energy light of 100 cd/m² has the radiance 100/W in each band.
func newOptics(p MeterParams, o *observer) optics {
	var sum, squares float64
	for _, y := range o.y {
		sum += y
		squares += y * y
	}
	return optics{
		p:    p,
		dark: p.DarkNoise / math.Sqrt(squares),
		shot: p.ShotNoise * p.ShotNoise * sum / (100 * squares),
	}
}

// integration returns for how long the meter integrates light of a luminance
// in cd/m²: longer under dark_below, in inverse proportion, up to
// integration_dark.
func (o *optics) integration(luminance float64) time.Duration {
	s := o.p.Integration
	if luminance < o.p.DarkBelow {
		s = o.p.IntegrationDark
		if luminance > 0 {
			s = math.Min(s, o.p.Integration*o.p.DarkBelow/luminance)
		}
		s = math.Max(s, o.p.Integration)
	}
	return seconds(s).Round(time.Microsecond)
}

// statedRepeatability returns the standard deviation, in %, of a reading of
// equal-energy light of 100 cd/m², all kinds of noise together.
func (o *optics) statedRepeatability() float64 {
	shot, dark := o.p.ShotNoise, o.p.DarkNoise // % and cd/m², which is % of 100 cd/m²
	return math.Sqrt(o.p.Repeatability*o.p.Repeatability + (shot*shot+dark*dark)/o.p.Integration)
}

// meter is a spectral meter in front of the middle of the window. Model of our
// own, for a band's mean radiance L over the integration time T:
//
//	reading = L·(1 + r·n₀) + √((σ_dark² + q·L)/T)·n_band
//
// with independent standard normal n. The mean of the light over T is exact,
// see [expSum]. A request's Sync and Expect change nothing, as the light of
// this display has no refresh and the meter finds its own range.
type meter struct {
	w      *World
	optics optics
	kind   uint64 // of its noise
}

var (
	_ bench.Meter    = (*meter)(nil)
	_ bench.Recaller = (*meter)(nil)
)

// About says what the meter's certificate would.
func (m *meter) About() bench.Identity {
	return bench.Identity{
		Name: m.optics.p.Name, Serial: m.optics.p.Serial, Driver: driverName, Simulated: true,
		Floor:    m.optics.p.Floor,
		Accuracy: bench.Accuracy{Repeatability: m.optics.statedRepeatability()},
	}
}

// Read implements [bench.Meter]. It answers an [bench.Error] only where the
// request asks for no reading.
func (m *meter) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	if q.Most < 1 {
		return fmt.Errorf("read: most is %d readings, want at least 1", q.Most)
	}
	for range q.Most {
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		s := m.single(q.Spectrum)
		// A reading that has begun is finished, whatever ctx says.
		m.w.pass(s.Ended + seconds(m.optics.p.Overhead))
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

// single works out the reading that begins now; it does not pass the time.
func (m *meter) single(withSpectrum bool) bench.Sample {
	w := m.w
	w.mu.Lock()
	defer w.mu.Unlock()
	began := w.Now()
	black := w.params.Light.Black
	whole := m.optics.integration(w.panel.luminance(black, w.drive(began, 0)))
	light := w.panel.light(black, w.drive(began, whole.Seconds()))
	m.addNoise(&light, began, whole.Seconds())

	c := w.observer.xyz(&light)
	s := bench.Sample{X: c.X, Y: c.Y, Z: c.Z, Colour: true, Began: began, Ended: began + whole}
	if c.Y < m.optics.p.Floor {
		s.Flags = []bench.Flag{bench.BelowFloor}
	}
	if withSpectrum {
		s.Spectrum = &bench.Spectrum{From: firstNm, Step: stepNm, Values: append([]float64(nil), light[:]...)}
	}
	return s
}

// addNoise makes a mean radiance a reading.
func (m *meter) addNoise(light *spectrum, began time.Duration, whole float64) {
	draw := m.w.noise.at(m.kind, began)
	gain := 1 + m.optics.p.Repeatability/100*draw.NormFloat64()
	dark := m.optics.dark * m.optics.dark / whole
	shot := m.optics.shot / whole
	for i, l := range light {
		light[i] = l*gain + math.Sqrt(dark+shot*l)*draw.NormFloat64()
	}
}

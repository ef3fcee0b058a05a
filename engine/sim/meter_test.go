package sim

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"candelua/engine/bench"
)

// flat makes a world whose light neither drifts nor settles.
func flat(p *Params) {
	p.Limit.Curve, p.Warmup, p.Retention = nil, WarmupParams{}, RetentionParams{}
	p.Meter.DarkDrift, p.PWM.Depth, p.Adaptive = 0, 0, AdaptiveParams{Seconds: 1}
	for i := range p.Controls {
		p.Controls[i].Factors = nil
	}
}

// TestStatedNoise: the scatter of many readings is what the meter states of
// itself, within four standard errors of a standard deviation, 1/√(2n).
func TestStatedNoise(t *testing.T) {
	const n = 4000
	slack := 4 / math.Sqrt(2*n)
	w := world(t, "default", func(p *Params) {
		flat(p)
		p.Light.Black = 0
		p.Meter.IntegrationDark = 1
	})
	mean, sd := meanSD(read(t, w, n))
	near(t, "scatter in the dark", sd, 0.0025, slack, 0)
	near(t, "mean in the dark", mean, 0, 0, 4*0.0025/math.Sqrt(n))

	w = world(t, "default", func(p *Params) { flat(p); p.Light.White = 100; p.Tone.Bits = 0 })
	show1(t, w, patch(1, 10))
	mean, sd = meanSD(read(t, w, n))
	stated := device[bench.Meter](t, w, bench.KindMeter).About().Accuracy.Repeatability
	// The stated figure is for equal-energy light; this white has the shot
	// noise of three peaks, a small part of the whole.
	near(t, "scatter at 100 cd/m2, %", 100*sd/mean, stated, slack+0.02, 0)
	near(t, "mean at 100 cd/m2", mean, 100, 4*0.001/math.Sqrt(n), 0)
	near(t, "stated repeatability, %", stated, math.Sqrt(0.1*0.1+0.02*0.02+0.0025*0.0025), 1e-12, 0)
}

// TestShotNoise: of equal-energy light of 100 cd/m2 the shot noise alone is
// what the parameter says, and it grows with the root of the light.
func TestShotNoise(t *testing.T) {
	w := world(t, "ideal", func(p *Params) { p.Meter.ShotNoise = 0.5 })
	m := device[*meter](t, w, bench.KindMeter)
	var sum float64
	for _, y := range w.observer.y {
		sum += y
	}
	const n = 4000
	for _, want := range []struct{ luminance, integration, percent float64 }{{100, 1, 0.5}, {1, 1, 5}, {100, 4, 0.25}} {
		var all []bench.Sample
		for i := range n {
			var s spectrum
			for b := range s {
				s[b] = want.luminance / sum
			}
			m.optics.addNoise(&s, 0, want.integration, w.noise.at(m.kind, time.Duration(i)))
			all = append(all, bench.Sample{Y: w.observer.xyz(&s).Y})
		}
		mean, sd := meanSD(all)
		near(t, "shot noise, %", 100*sd/mean, want.percent, 4/math.Sqrt(2*n), 0)
	}
}

// TestLongerIsNeverNoisier: four times the integration halves the noise where
// dark and shot noise rule, and never adds to it where repeatability does.
func TestLongerIsNeverNoisier(t *testing.T) {
	const n = 2000
	scatter := func(level, integration float64) float64 {
		w := world(t, "default", func(p *Params) {
			flat(p)
			p.Tone.Bits, p.Light.Black = 0, 0
			p.Meter.Integration, p.Meter.IntegrationDark = integration, integration
		})
		show1(t, w, patch(level, 10))
		_, sd := meanSD(read(t, w, n))
		return sd
	}
	// The ratio of two standard deviations of n readings scatters by 1/√n.
	slack := 4 / math.Sqrt(n)
	for _, level := range []float64{0, 0.01, 0.05, 0.1, 0.3, 1} {
		for _, integration := range []float64{0.25, 1} {
			ratio := scatter(level, 4*integration) / scatter(level, integration)
			if ratio > 1+slack {
				t.Errorf("signal %v: %v s scatters %v times as much as %v s", level, 4*integration, ratio, integration)
			}
			if level == 0 {
				near(t, "ratio in the dark", ratio, 0.5, slack, 0)
			}
		}
	}
}

// TestIntegrationTime: short in the light, longer in the dark, between them in
// inverse proportion.
func TestIntegrationTime(t *testing.T) {
	w := world(t, "default", nil)
	o := newOptics(w.params.Meter, w, noiseMeterDark) // 1 s, 4 s, below 1 cd/m2
	for luminance, want := range map[float64]time.Duration{
		500: time.Second, 1: time.Second, 0.5: 2 * time.Second, 0.25: 4 * time.Second, 0.01: 4 * time.Second, 0: 4 * time.Second,
	} {
		if got := o.integration(luminance); got != want {
			t.Errorf("%v cd/m2 integrates for %v, want %v", luminance, got, want)
		}
	}
}

func TestBelowFloor(t *testing.T) {
	w := world(t, "default", nil)
	show1(t, w, patch(0, 10))
	if s := read(t, w, 1)[0]; len(s.Flags) != 1 || s.Flags[0] != bench.BelowFloor {
		t.Errorf("black of 0.0008 cd/m2 has flags %v, want below_floor", s.Flags)
	}
	show1(t, w, patch(1, 10))
	if s := read(t, w, 1)[0]; len(s.Flags) != 0 {
		t.Errorf("white has flags %v, want none", s.Flags)
	}
}

// TestReadTimes: readings follow each other, an overhead apart.
func TestReadTimes(t *testing.T) {
	w := world(t, "default", nil)
	show1(t, w, patch(1, 10))
	start := w.Now()
	all := read(t, w, 3)
	for i, s := range all {
		if want := start + time.Duration(i)*1100*time.Millisecond; s.Began != want || s.Ended != want+time.Second {
			t.Errorf("reading %d is from %v to %v, want from %v for 1 s", i, s.Began, s.Ended, want)
		}
	}
	if got, want := w.Now(), start+3300*time.Millisecond; got != want {
		t.Errorf("time is %v, want %v", got, want)
	}
}

func TestReadEnds(t *testing.T) {
	w := world(t, "default", nil)
	m := device[bench.Meter](t, w, bench.KindMeter)
	count := 0
	run := func(ctx context.Context, most int, after func() error) error {
		count = 0
		return m.Read(ctx, bench.ReadRequest{Most: most}, func(bench.Sample) error { count++; return after() })
	}
	if err := run(t.Context(), 5, func() error { return bench.Enough }); err != nil || count != 1 {
		t.Errorf("enough: %d readings, %v", count, err)
	}
	bad := errors.New("bad")
	if err := run(t.Context(), 5, func() error { return bad }); err != bad || count != 1 {
		t.Errorf("error of take: %d readings, %v", count, err)
	}
	stop := errors.New("stop")
	ctx, cancel := context.WithCancelCause(t.Context())
	if err := run(ctx, 5, func() error { cancel(stop); return nil }); err != stop || count != 1 {
		t.Errorf("stop: %d readings, %v", count, err)
	}
	if err := run(ctx, 5, func() error { return nil }); err != stop || count != 0 {
		t.Errorf("stopped before: %d readings, %v", count, err)
	}
	ctx, cancel = context.WithCancelCause(t.Context())
	if err := run(ctx, 1, func() error { cancel(stop); return nil }); err != stop || count != 1 {
		t.Errorf("stop in the last reading: %d readings, %v", count, err)
	}
	if err := run(t.Context(), 0, func() error { return nil }); err == nil || err.Error() != "read: most is 0 readings; it must be at least 1" {
		t.Errorf("most 0: %v", err)
	}
}

// TestMetersDiffer: two meters of one world read the same light with noise of
// their own.
func TestMetersDiffer(t *testing.T) {
	w := world(t, "default", func(p *Params) { p.Reference = p.Meter })
	show1(t, w, patch(1, 10))
	passTo(t, w, time.Minute)
	a := device[*meter](t, w, bench.KindMeter).single(bench.ReadRequest{})
	b := device[*meter](t, w, bench.KindReference).single(bench.ReadRequest{})
	if a.Y == b.Y {
		t.Error("meter and reference have the same noise")
	}
	near(t, "reference", b.Y, a.Y, 0.01, 0)
}

// TestStatedNoiseAtLevels: at each level the scatter of many readings is what the meter states there, within
// four standard errors and a twentieth, since the light is not of equal energy. So is the scatter of
// measurements of the dark level.
func TestStatedNoiseAtLevels(t *testing.T) {
	const n = 1500
	for _, row := range [][]float64{{0}, {0.1}, {3}, {100}} {
		w := world(t, "default", func(p *Params) {
			flat(p)
			p.Light.White, p.Light.Black, p.Tone.Bits = max(row[0], 1), 0, 0
		})
		grey := 1.
		if row[0] < 1 {
			grey = math.Pow(row[0], 1/2.2)
		}
		show1(t, w, patch(grey, 10))
		stated := device[bench.Meter](t, w, bench.KindMeter).About().Accuracy
		i := slices.IndexFunc(stated.Noise, func(r []float64) bool { return r[0] == row[0] })
		mean, sd := meanSD(read(t, w, n))
		near(t, "level", mean, row[0], 0.01, 0.001)
		near(t, fmt.Sprintf("scatter at %v cd/m2", row[0]), sd, stated.Noise[i][1], 0.05+4/math.Sqrt(2*n), 0)
	}
	w := world(t, "default", flat)
	m := device[*meter](t, w, bench.KindMeter)
	var zeros []bench.Sample
	for range n {
		if err := m.Zero(t.Context()); err != nil {
			t.Fatal(err)
		}
		zeros = append(zeros, bench.Sample{Y: w.zero[m.kind]})
	}
	_, sd := meanSD(zeros)
	near(t, "scatter of the dark level", sd, m.About().Accuracy.Zero, 4/math.Sqrt(2*n), 0)
	if id := device[bench.Meter](t, world(t, "ideal", nil), bench.KindMeter).About(); id.Accuracy.Noise != nil || id.Accuracy.Zero != 0 {
		t.Errorf("a meter without noise states %+v", id.Accuracy)
	}
}

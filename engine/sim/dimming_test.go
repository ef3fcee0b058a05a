package sim

import (
	"math"
	"testing"
	"time"

	"candelua/engine/bench"
)

// instant makes an exact world whose meter reads in a millisecond.
func instant(t testing.TB, name string, edit func(*Params)) *World {
	return quietWorld(t, name, func(p *Params) {
		p.Meter.Integration, p.Meter.IntegrationDark, p.Source.Latency = 0.001, 0.001, 0.001
		if edit != nil {
			edit(p)
		}
	})
}

// yAt waits until a time and reads.
func yAt(t testing.TB, w *World, at float64) float64 {
	t.Helper()
	passTo(t, w, seconds(at))
	return read(t, w, 1)[0].Y
}

// TestStaticDimming: after so many seconds the same content dims with its time
// constant; other content is bright again; black does not count, nor does it
// matter whether somebody looks.
func TestStaticDimming(t *testing.T) {
	w := instant(t, "ideal", func(p *Params) { p.Static = StaticParams{After: 60, By: 20, Ramp: 5, Back: 0.5} })
	show1(t, w, patch(1, 10)) // lit at 0.001 s
	near(t, "at 60 s", yAt(t, w, 59.99), 100, 1e-9, 0)
	for _, after := range []float64{0.5, 5, 50} {
		want := 100 * (0.8 + 0.2*math.Exp(-after/5))
		near(t, "dimming", yAt(t, w, 60.001+after), want, 1e-4, 0)
	}
	low := yAt(t, w, 200)
	near(t, "dimmed", low, 80, 1e-9, 0)
	show1(t, w, patch(1, 11))
	back := w.Now().Seconds()
	near(t, "coming back", yAt(t, w, back+0.5), 100*(1-0.2*math.Exp(-1)), 1e-3, 0)
	show1(t, w, patch(0, 100))
	passTo(t, w, w.Now()+time.Hour)
	near(t, "after black", luminance(t, w, patch(1, 10), 0), 100, 1e-6, 0)
}

// TestReadingAcrossDimming: a reading during which dimming begins is the mean of
// before and after.
func TestReadingAcrossDimming(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.Static = StaticParams{After: 60, By: 20, Ramp: 5, Back: 0.5}
		p.Meter.Integration, p.Meter.IntegrationDark, p.Source.Latency = 10, 10, 1
	})
	show1(t, w, patch(1, 10))
	got := yAt(t, w, 1+56) // from 56 s to 66 s
	want := 0.4*100 + 0.6*100*(0.8+0.2*5/6*(1-math.Exp(-6./5)))
	near(t, "mean", got, want, 1e-9, 0)
}

// TestThermalDimming: heat goes to the drive; from a threshold on it dims, and a
// rest undoes it.
func TestThermalDimming(t *testing.T) {
	w := instant(t, "ideal", func(p *Params) {
		p.Light.HDRPeak = 100
		p.Thermal = ThermalParams{Seconds: 100, From: 0.5, By: 30}
	})
	show1(t, w, patch(1, 100))
	crossing := 100 * math.Ln2 // 1 − exp(−t/τ) = 0.5
	near(t, "before", yAt(t, w, crossing-1), 100, 1e-9, 0)
	for _, at := range []float64{crossing + 1, 100, 300, 2000} {
		heat := 1 - math.Exp(-(at-0.001)/100)
		near(t, "after", yAt(t, w, at), 100*(1-0.3*(heat-0.5)/0.5), 1e-5, 0)
	}
	show1(t, w, patch(0.1, 100))
	passTo(t, w, w.Now()+30*time.Minute)
	near(t, "rested", luminance(t, w, patch(1, 100), 0), 100, 1e-9, 0)
	w = instant(t, "ideal", func(p *Params) {
		p.Light.HDRPeak = 100
		p.Thermal = ThermalParams{Seconds: 100, From: 0.5, By: 30}
	})
	show1(t, w, patch(1, 40)) // drive 0.4 never gets there
	near(t, "a small window", yAt(t, w, 5000), 100, 1e-9, 0)
}

// TestAdaptive: brightness follows the room after the delay, not for less than
// the hysteresis, and not for a moment; off, it does not.
func TestAdaptive(t *testing.T) {
	edit := func(p *Params) {
		p.Controls[0].Start, p.Controls[0].Seconds = "on", 0
		p.Adaptive = AdaptiveParams{Control: "Automatic brightness", Curve: [][2]float64{{0, 0.5}, {100, 0.5}, {200, 1}}, Hysteresis: 50, Delay: 2, Seconds: 0.5}
		p.Lamps = []LampParams{{Name: "front", Lux: 0, Sensor: 200, WarmSecs: 1, DriftSecs: 100}}
	}
	w := instant(t, "ideal", edit)
	lamp := device[bench.Rig](t, w, bench.KindRig)
	light := func(level float64) {
		t.Helper()
		if _, err := lamp.Set(t.Context(), "front", level); err != nil {
			t.Fatal(err)
		}
	}
	show1(t, w, patch(1, 10))
	near(t, "dark", yAt(t, w, 10), 50, 1e-9, 0)
	passTo(t, w, 20*time.Second)
	light(100)
	near(t, "before the delay", yAt(t, w, 21.9), 50, 1e-9, 0)
	near(t, "on the way", yAt(t, w, 22.5), 100*(1-0.5*math.Exp(-1)), 1e-3, 0)
	near(t, "bright", yAt(t, w, 40), 100, 1e-9, 0)
	light(70) // 140 lux, within the hysteresis
	near(t, "a little less", yAt(t, w, 60), 100, 1e-9, 0)
	light(0)
	passTo(t, w, 61*time.Second)
	light(100) // a moment's dark
	near(t, "a shadow", yAt(t, w, 70), 100, 1e-9, 0)
	light(0)
	set(t, w, bench.Setting{Name: "Automatic brightness", Value: "off"})
	near(t, "off", yAt(t, w, 100), 100, 1e-9, 0)
	set(t, w, bench.Setting{Name: "Automatic brightness", Value: "on"})
	near(t, "on again", yAt(t, w, 110), 50, 1e-6, 0)

	on := bench.Setting{Name: "Automatic brightness", Value: "on"}
	for level, want := range map[float64]float64{0: 50, 75: 75, 100: 100} {
		c, err := w.truthSeen(patch(1, 10), look{lamps: map[string]float64{"front": level}}, on)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "truth", c.Y, want, 1e-9, 0)
	}
	near(t, "truth, off", xyzOf(t, w, patch(1, 10)).Y, 100, 1e-9, 0)
}

// TestShadedSensor: a meter on its mount keeps light from the sensor, so that
// the screen under it is darker than in use.
func TestShadedSensor(t *testing.T) {
	for shade, want := range map[float64]float64{0: 100, 50: 50} {
		w := instant(t, "ideal", func(p *Params) {
			p.Controls[0].Start = "on"
			p.Adaptive = AdaptiveParams{Control: "Automatic brightness", Curve: [][2]float64{{0, 0}, {1000, 1}}, Seconds: 0.5}
			p.Room.Stray, p.Meter.Shade = 1000, shade
		})
		near(t, "shaded", luminance(t, w, patch(1, 10), time.Minute), want, 1e-9, 0)
	}
}

// TestPWM: a reading of whole periods has the mean light, another beats by what
// the ripple says, and only one that could be off is flagged.
func TestPWM(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.PWM = PWMParams{Frequency: 50, Duty: 0.4, Depth: 0.75}
		p.Meter.Integration, p.Meter.IntegrationDark = 0.035, 0.035 // 1.75 periods
	})
	show1(t, w, patch(1, 10))
	m := device[bench.Meter](t, w, bench.KindMeter)
	worst := 0.0
	take := func(q bench.ReadRequest, do func(bench.Sample)) {
		if err := m.Read(t.Context(), q, func(s bench.Sample) error { do(s); return nil }); err != nil {
			t.Fatal(err)
		}
	}
	mean := 0.0
	take(bench.ReadRequest{Most: 400}, func(s bench.Sample) {
		worst = math.Max(worst, math.Abs(s.Y/100-1))
		mean += s.Y / 400
		if len(s.Flags) != 1 || s.Flags[0] != bench.Unsynchronised {
			t.Fatalf("flags are %v", s.Flags)
		}
	})
	if worst < 0.1 || worst > 0.75*0.6/1.75 {
		t.Errorf("readings are off by %v, want up to %v", worst, 0.75*0.6/1.75)
	}
	near(t, "mean of all phases", mean, 100, 0.01, 0)
	take(bench.ReadRequest{Most: 20, Sync: true}, func(s bench.Sample) {
		near(t, "synchronised", s.Y, 100, 1e-6, 0)
		if len(s.Flags) != 0 || s.Ended-s.Began != 40*time.Millisecond {
			t.Errorf("flags are %v, integration %v", s.Flags, s.Ended-s.Began)
		}
	})
	// By hand: half a period from its beginning, of light that is 2.125 for the
	// first 0.4 of it and 0.25 after that.
	near(t, "half a period", w.pwm.mean(0, 0.01), (2.125*0.4+0.25*0.1)/0.5, 1e-12, 0)
}

// TestAdaptiveHDR: in a bright room SDR gets brighter than stated, HDR does not.
func TestAdaptiveHDR(t *testing.T) {
	w := instant(t, "ideal", func(p *Params) {
		p.Controls[0].Start, p.Light.HDRPeak = "on", 300
		p.Adaptive = AdaptiveParams{Control: "Automatic brightness", Curve: [][2]float64{{0, 1}, {1000, 1.5}}, Seconds: 0.5}
		p.Room.Stray = 1000
	})
	near(t, "SDR", luminance(t, w, patch(1, 10), time.Minute), 150, 1e-9, 0)
	p := patch(1, 10)
	p.Signal = bench.PQ
	near(t, "HDR", luminance(t, w, p, time.Minute), 300, 1e-9, 0)
}

package sim

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"candelua/engine/bench"
)

// quiet makes a world's meter exact and its latency fixed.
func quiet(p *Params) {
	p.Meter.Repeatability, p.Meter.DarkNoise, p.Meter.ShotNoise = 0, 0, 0
	p.Source.LatencyWithin, p.Meter.DarkDrift, p.PWM.Depth = 0, 0, 0
	p.Retention, p.Adaptive, p.Static.By, p.Thermal.By = RetentionParams{}, AdaptiveParams{Seconds: 1}, 0, 0
	for i := range p.Controls {
		p.Controls[i].Factors = nil
	}
}

func quietWorld(t testing.TB, name string, edit func(*Params)) *World {
	return world(t, name, func(p *Params) {
		quiet(p)
		if edit != nil {
			edit(p)
		}
	})
}

// TestPrimariesAdd: a colour's light is the sum of its primaries', black
// counted once. Source: IDMS, additivity of primaries.
func TestPrimariesAdd(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		black := rapid.Float64Range(0, 1).Draw(r, "black")
		w := world(t, "ideal", func(p *Params) { p.Light.Black = black })
		rgb := [3]float64{}
		for i := range rgb {
			rgb[i] = rapid.Float64Range(0, 1).Draw(r, "signal")
		}
		truth := func(rgb [3]float64) [3]float64 {
			c, err := w.TruthXYZ(bench.Patch{RGB: rgb, Window: 100, Signal: bench.SDR})
			if err != nil {
				r.Fatal(err)
			}
			return [3]float64{c.X, c.Y, c.Z}
		}
		whole, dark := truth(rgb), truth([3]float64{})
		for k := range 3 {
			sum := dark[k]
			for i := range rgb {
				var one [3]float64
				one[i] = rgb[i]
				sum += truth(one)[k] - dark[k]
			}
			if math.Abs(sum-whole[k]) > 1e-9*whole[k]+1e-12 {
				r.Fatalf("component %d of %v is %v, its parts add to %v", k, rgb, whole[k], sum)
			}
		}
	})
}

// TestLimitCurve: on settled frames the light follows the stated curve, and
// grey and background count.
func TestLimitCurve(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.Screen = ScreenParams{1000, 1000}
		p.Tone.Kind, p.Tone.Exponent = "power", 2
		p.Light.White, p.Light.HDRPeak = 500, 1000
		p.Limit.Curve = [][2]float64{{0.1, 1}, {0.3, 0.8}, {0.5, 0.4}}
		p.Limit.Seconds = 0.3
	})
	onGrey := patch(1, 25)
	onGrey.Background = [3]float64{0.5, 0.5, 0.5}
	for _, c := range []struct {
		name  string
		patch bench.Patch
		want  float64
	}{ // drive is light over hdr_peak, worked out by hand
		{"4 %: drive 0.02, before the first point", patch(1, 4), 500},
		{"36 %: drive 0.18", patch(1, 36), 500 * 0.92},
		{"100 %: drive 0.5, the last point", patch(1, 100), 500 * 0.4},
		{"grey 100 %: drive 0.5·0.64 = 0.32", patch(0.8, 100), 320 * 0.76},
		{"25 % on grey: drive 0.5·(0.25 + 0.75·0.25) = 0.21875", onGrey, 500 * (1 - 0.2*0.11875/0.2)},
		{"red alone, 100 %: drive 0.5/3", bench.Patch{RGB: [3]float64{1, 0, 0}, Window: 100, Signal: bench.SDR},
			500 * w.panel.xyz[0].Y * (1 - 0.2*(1.0/6-0.1)/0.2)},
	} {
		near(t, c.name, luminance(t, w, c.patch, time.Minute), c.want, 1e-9, 0)
		got, err := w.truthLuminance(c.patch)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+", truth", got, c.want, 1e-9, 0)
	}
}

// TestLimitByTrueArea: the limiter weighs window and background by the pixels
// that they cover, and brightness turned down takes both down.
func TestLimitByTrueArea(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.Screen = ScreenParams{3, 2} // 40 % becomes 2 by 1 px, a third
		p.Light.HDRPeak = 100
		p.Limit.Curve = [][2]float64{{0, 1}, {1, 0}}
		p.Controls = []ControlParams{{Name: "Dim", Values: []string{"yes", "no"}, Start: "no", Factors: []float64{0.5, 1}}}
	})
	near(t, "on black", luminance(t, w, patch(1, 40), time.Minute), 100*(1-1.0/3), 1e-9, 0)
	onGrey := patch(1, 40)
	grey := math.Pow(0.6, 1/2.4) // BT.1886 without black is a power of 2.4
	onGrey.Background = [3]float64{grey, grey, grey}
	near(t, "on grey", luminance(t, w, onGrey, time.Minute), 100*(1-1.0/3-0.6*2/3), 1e-9, 0)
	set(t, w, bench.Setting{Name: "Dim", Value: "yes"})
	passTo(t, w, w.Now()+time.Minute)
	near(t, "dimmed", read(t, w, 1)[0].Y, 50*(1-(1.0/3+0.6*2/3)/2), 1e-9, 0)
}

// TestLimitSettles: the factor is approached with its time constant, and a
// reading averages over its integration: of 1 + (1−F)·exp(−t/τ) from 0 to T.
func TestLimitSettles(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.Light.White, p.Light.HDRPeak = 100, 100
		p.Limit.Curve = [][2]float64{{0, 1}, {1, 0.5}}
		p.Limit.Seconds = 2
	})
	got := luminance(t, w, patch(1, 100), 0)
	near(t, "first second", got, 100*(0.5+0.5*2*(1-math.Exp(-0.5))), 1e-9, 0)
	near(t, "second second", read(t, w, 1)[0].Y, 100*(0.5+0.5*2*(math.Exp(-0.5)-math.Exp(-1))), 1e-9, 0)
}

// TestLimitAtOnce: a time constant of 0 leaves no trace of the frame before.
func TestLimitAtOnce(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.Light.HDRPeak = 100
		p.Limit.Curve = [][2]float64{{0, 1}, {1, 0.5}}
		p.Limit.Seconds = 0
	})
	near(t, "full screen", luminance(t, w, patch(1, 100), 0), 50, 1e-9, 0)
	near(t, "small window", luminance(t, w, patch(1, 0.0001), 0), 100, 1e-5, 0)
}

// TestLimitMonotone: where the curve falls, more drive never gives more light
// to the same grey, by a larger window or a brighter background.
func TestLimitMonotone(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(r, "points")
		curve := make([][2]float64, n)
		factor := 1.0
		for i := range curve {
			factor *= rapid.Float64Range(0.3, 1).Draw(r, "fall")
			curve[i] = [2]float64{(float64(i) + rapid.Float64Range(0.01, 0.99).Draw(r, "share")) / float64(n), factor}
		}
		w := quietWorld(t, "default", func(p *Params) { p.Limit.Curve = curve })
		level := rapid.Float64Range(0, 1).Draw(r, "level")
		windows := []float64{rapid.Float64Range(0.1, 100).Draw(r, "a"), rapid.Float64Range(0.1, 100).Draw(r, "b")}
		slices.Sort(windows)
		less, more := patch(level, windows[0]), patch(level, windows[1])
		compareTruths(r, w, less, more)
		bright := less
		bright.Background = [3]float64{1, 1, 1}
		compareTruths(r, w, less, bright)
	})
}

func compareTruths(r *rapid.T, w *World, less, more bench.Patch) {
	a, errA := w.truthLuminance(less)
	b, errB := w.truthLuminance(more)
	if errA != nil || errB != nil {
		r.Fatal(errA, errB)
	}
	if b > a*(1+1e-12) {
		r.Fatalf("%v gives %v cd/m2, %v gives %v cd/m2", less, a, more, b)
	}
}

// TestWarmup: a cold panel's light and colour go to the warm panel's as the
// terms say.
func TestWarmup(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.Warmup = WarmupParams{Terms: [][2]float64{{100, 2}, {1000, 4}}, Colour: [3]float64{-1, 0, 1}, FullDrive: 0.001}
		p.Meter.Integration, p.Meter.IntegrationDark = 0.001, 0.001
		p.Source.Latency = 0.001
	})
	share := [3]float64{w.panel.xyz[0].Y, w.panel.xyz[1].Y, w.panel.xyz[2].Y}
	show1(t, w, patch(1, 100))
	for _, at := range []float64{0, 50, 100, 1000, 20000} {
		passTo(t, w, seconds(at))
		fast, slow := math.Exp(-at/100), math.Exp(-at/1000)
		want := 100 * (1 + 0.02*fast + 0.04*slow + 0.01*fast*(share[2]-share[0]))
		near(t, "after "+seconds(at).String(), read(t, w, 1)[0].Y, want, 1e-6, 0)
	}
	near(t, "warm", read(t, w, 1)[0].Y, 100, 1e-6, 0)
}

// TestSustainedWarmth: a black screen keeps the panel as warm as idle says, a
// dim one in proportion, a bright one wholly; and so a run begins.
func TestSustainedWarmth(t *testing.T) {
	edit := func(p *Params) {
		p.Warmup = WarmupParams{Terms: [][2]float64{{10, 10}}, Idle: 0.25, FullDrive: 0.5, OnFor: 1000}
		p.Meter.Integration, p.Meter.IntegrationDark = 0.001, 0.001
		p.Light.White, p.Light.HDRPeak, p.Source.Latency = 100, 100, 0.001
	}
	for _, c := range []struct {
		name  string
		patch bench.Patch
		want  float64
	}{
		{"black", patch(0, 100), 100 * (1 + 0.1*0.75)},
		{"drive 0.1", patch(math.Pow(0.1, 1/2.4), 100), 100 * (1 + 0.1*0.75*0.8)},
		{"drive 0.6", patch(math.Pow(0.6, 1/2.4), 100), 100},
	} {
		w := quietWorld(t, "ideal", edit)
		luminance(t, w, c.patch, time.Hour)
		near(t, c.name, luminance(t, w, patch(1, 1), 0), c.want, 1e-5, 0)
	}
	w := quietWorld(t, "ideal", edit)
	passTo(t, w, 10*time.Second) // black since the beginning, warm at first
	near(t, "at the beginning", luminance(t, w, patch(1, 1), 0), 100*(1+0.1*0.75*(1-math.Exp(-1))), 1e-5, 0)
}

// TestCoolingUndoesWarmup: a panel that shone and then was dark for long is
// where it began, whatever it showed.
func TestCoolingUndoesWarmup(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := quietWorld(t, "default", func(p *Params) {
			p.Warmup.OnFor, p.Warmup.Idle = 0, 0
			p.Meter.Integration, p.Meter.IntegrationDark = 0.001, 0.001
		})
		probe := patch(0.5, 1)
		cold := luminance(t, w, probe, 0)
		for range rapid.IntRange(1, 4).Draw(r, "patches") {
			p := patch(rapid.Float64Range(0.1, 1).Draw(r, "level"), rapid.Float64Range(1, 100).Draw(r, "window"))
			luminance(t, w, p, seconds(rapid.Float64Range(1, 5000).Draw(r, "for")))
		}
		show1(t, w, patch(1, 100))
		passTo(t, w, w.Now()+2*time.Hour)
		warm := luminance(t, w, probe, 0)
		if math.Abs(warm-cold) < 0.02*cold {
			r.Fatalf("warm panel gives %v cd/m2, cold one %v: nothing to undo", warm, cold)
		}
		show1(t, w, patch(0, 100))
		passTo(t, w, w.Now()+12*time.Hour)
		if again := luminance(t, w, probe, 0); math.Abs(again-cold) > 1e-6*cold {
			r.Fatalf("cooled panel gives %v cd/m2, cold one %v", again, cold)
		}
	})
}

// TestOnFor: a world that was on before it began is as warm as one that shows
// the same bright picture for that long.
func TestOnFor(t *testing.T) {
	edit := func(onFor float64) func(*Params) {
		return func(p *Params) { p.Warmup.OnFor, p.Source.Latency = onFor, 0.001 }
	}
	cold, warmed := quietWorld(t, "default", edit(0)), quietWorld(t, "default", edit(600))
	show1(t, cold, patch(1, 100))
	passTo(t, cold, 600*time.Second)
	want := luminance(t, cold, patch(0.7, 10), 10*time.Second) // by then the limiter has let go
	near(t, "10 min", luminance(t, warmed, patch(0.7, 10), 10*time.Second), want, 1e-6, 0)
	never := luminance(t, quietWorld(t, "default", edit(0)), patch(0.7, 10), 10*time.Second)
	if math.Abs(never-want) < 0.01*want {
		t.Errorf("a cold panel gives %v cd/m2, a warm one %v: the test shows nothing", never, want)
	}
}

// TestChoppedTime: how waits are divided, and what is read on the way, changes
// no later bit; and to turn to the same frame anew changes it by rounding only.
func TestChoppedTime(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		name := rapid.SampledFrom(Names()).Draw(r, "world")
		edit := func(p *Params) { p.Warmup.OnFor = 100 }
		whole, chopped, turned := world(t, name, edit), world(t, name, edit), world(t, name, edit)
		for range rapid.IntRange(1, 5).Draw(r, "patches") {
			p := patch(rapid.Float64Range(0, 1).Draw(r, "level"), rapid.Float64Range(0.1, 100).Draw(r, "window"))
			for _, w := range []*World{whole, chopped, turned} {
				show1(t, w, p)
			}
			end := whole.Now() + seconds(rapid.Float64Range(10, 3000).Draw(r, "for"))
			passTo(t, whole, end)
			for range rapid.IntRange(1, 10).Draw(r, "pieces") {
				at := chopped.Now() + seconds(rapid.Float64Range(0, 1).Draw(r, "piece")*(end-chopped.Now()).Seconds())
				passTo(t, chopped, at)
				passTo(t, turned, at)
				turned.advance(at)
				turned.turn(at)
			}
			if end-chopped.Now() > 10*time.Second {
				read(t, chopped, 1)
			}
			passTo(t, chopped, end)
			passTo(t, turned, end)
			a, b, c := read(t, whole, 1)[0], read(t, chopped, 1)[0], read(t, turned, 1)[0]
			if a.X != b.X || a.Y != b.Y || a.Z != b.Z || a.Began != b.Began || a.Ended != b.Ended {
				r.Fatalf("whole %v, chopped %v", a, b)
			}
			if math.Abs(a.Y-c.Y) > 1e-11*math.Abs(a.Y)+1e-14 {
				r.Fatalf("whole %v, turned %v", a, c)
			}
		}
	})
}

// TestIntegrationIsExact compares the mean over an integration with a fine sum
// of what the light is at single moments (Simpson's rule), while the limiter
// settles and the panel warms.
func TestIntegrationIsExact(t *testing.T) {
	w := quietWorld(t, "fulmar-55", func(p *Params) { p.Warmup.OnFor = 0 })
	p := patch(1, 60)
	p.RGB = [3]float64{0.9, 0.5, 0.7}
	show1(t, w, p)
	const n, over = 2000, 4.0
	began := w.Now()
	v := w.viewOf([2]float64{0.5, 0.5}, 0, 0, 0)
	got := w.drive(began, over, &v)
	var want [subpixels]float64
	for i := range n + 1 {
		weight := 2.0 + 2*float64(i%2)
		if i == 0 || i == n {
			weight = 1
		}
		for k, d := range w.drive(began+seconds(over*float64(i)/n), 0, &v) {
			want[k] += weight * d / (3 * n)
		}
	}
	for k := range got {
		near(t, "primary", got[k], want[k], 1e-9, 0)
	}
	if first := w.drive(began, 0, &v); math.Abs(first[0]/got[0]-1) < 0.03 {
		t.Errorf("light changes from %v to a mean of %v only: the test shows nothing", first[0], got[0])
	}
}

// TestSettledReadingIsTruth: on a warm, settled panel a good meter reads the
// truth within its noise, where every picture keeps the panel warm.
func TestSettledReadingIsTruth(t *testing.T) {
	for _, name := range Names() {
		w := world(t, name, func(p *Params) {
			p.Warmup.FullDrive, p.Static.By, p.Thermal.By, p.Retention.Terms = 0, 0, 0, nil
			p.Meter.Kind, p.Meter.DarkDrift, p.Room.Stray = "spectral", 0, 0
			p.PWM.Depth = 0
		})
		settings := []bench.Setting{}
		for _, c := range w.controls {
			at := c.brightest(w.params.Adaptive.Control)
			if len(c.p.Values) > 0 {
				settings = append(settings, bench.Setting{Name: c.p.Name, Value: c.p.Values[int(at)]})
			} else {
				settings = append(settings, bench.Setting{Name: c.p.Name, Value: at})
			}
		}
		set(t, w, settings...)
		for _, p := range []bench.Patch{patch(1, 10), patch(1, 100), patch(0.4, 30)} {
			show1(t, w, p)
			passTo(t, w, w.Now()+3*time.Hour)
			mean, _ := meanSD(read(t, w, 20))
			want, err := w.truthLuminance(p)
			if err != nil {
				t.Fatal(err)
			}
			near(t, name, mean, want, 4*0.001/math.Sqrt(20), 0)
		}
	}
}

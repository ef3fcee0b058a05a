package draw

import (
	"math"
	"testing"
)

// spreadOfDraws are mean and standard deviation over many draws.
func spreadOfDraws(n int, of func(draw int) float64) (mean, sd float64) {
	all := make([]float64, n)
	for j := range all {
		all[j] = of(j)
	}
	return moments(all)
}

// TestNumber: a number is drawn with the standard deviation that the parts together have: normal ones as
// stated, a half-width h as h/√3, a unit of the last digit p as p/√12 (JCGM 100:2008, 4.3.7 and F.2.2.1).
func TestNumber(t *testing.T) {
	for name, c := range map[string]struct {
		of   NumberAccuracy
		want float64
	}{
		"scale":  {NumberAccuracy{Scale: 2}, 4},
		"zero":   {NumberAccuracy{Zero: 0.5}, 0.5},
		"share":  {NumberAccuracy{Share: 1}, 2},
		"own":    {NumberAccuracy{Own: 3}, 3},
		"half":   {NumberAccuracy{Half: 3}, 3 / math.Sqrt(3)},
		"place":  {NumberAccuracy{Place: 1}, 1 / math.Sqrt(12)},
		"all":    {NumberAccuracy{Scale: 2, Zero: 0.5, Share: 1, Own: 3, Half: 3, Place: 1}, math.Sqrt(16 + 0.25 + 4 + 9 + 3 + 1./12)},
		"nought": {NumberAccuracy{}, 0},
	} {
		x := Number{Value: 200, NumberAccuracy: c.of, Keys: NumberKeys{NewKey("a"), NewKey("b"), NewKey("c")}}
		mean, sd := spreadOfDraws(4000, x.draw)
		if math.Abs(sd-c.want) > 0.04*c.want+1e-12 || math.Abs(mean-200) > 0.1*c.want {
			t.Errorf("%s: %v ± %v, want 200 ± %v", name, mean, sd, c.want)
		}
		if x.still() != (c.want == 0) {
			t.Errorf("%s: that it is still is %v", name, x.still())
		}
	}
}

// TestNumbersShare: two numbers of one light meter have its scale and its zero in common, and nothing else.
func TestNumbersShare(t *testing.T) {
	number := func(own string) *Number {
		return &Number{Value: 100, NumberAccuracy: NumberAccuracy{Scale: 5, Zero: 2, Share: 0.1}, Keys: NumberKeys{NewKey("scale"), NewKey("zero"), NewKey(own)}}
	}
	a, b := number("a"), number("b")
	if _, sd := spreadOfDraws(2000, func(j int) float64 { return a.draw(j) - b.draw(j) }); math.Abs(sd-0.1*math.Sqrt2) > 0.01 {
		t.Errorf("the difference has the standard deviation %v, want √2 · 0.1", sd)
	}
}

// TestSmooth: with independent normal numbers the mean square over the visible range is 1.
func TestSmooth(t *testing.T) {
	sum, n := 0., 0
	for j := range 2000 {
		var z [SmoothTerms]float64
		for k := range z {
			z[k] = NewKey("z").Number(k).normal(j)
		}
		for nm := 382.5; nm < 780; nm += 5 {
			f := Smooth(&z, nm)
			sum, n = sum+f*f, n+1
		}
	}
	if mean := sum / float64(n); math.Abs(mean-1) > 0.05 {
		t.Errorf("the mean square is %v, want 1", mean)
	}
}

// TestShifted compares with a Gaussian in closed form, sampled every 5 nm, for shifts of less and of more than
// a step. At the ends a spectrum goes on as it ends.
func TestShifted(t *testing.T) {
	light := func(nm float64) float64 { u := (nm - 560) / 40; return math.Exp(-u * u) }
	values := make([]float64, 81)
	for i := range values {
		values[i] = light(380 + 5*float64(i))
	}
	for _, shift := range []float64{0, 0.3, -0.3, 2.5, 5, -5, 7.5, -12} {
		for i, v := range Shifted(values, 5, shift) {
			if want := light(380 + 5*float64(i) + shift); math.Abs(v-want) > 0.001 {
				t.Errorf("shifted by %v: sample %d is %v, want %v", shift, i, v, want)
			}
		}
	}
	for _, shift := range []float64{1e9, -1e9, math.Inf(1), math.NaN()} {
		if out := Shifted([]float64{1, 2, 4}, 5, shift); len(out) != 3 {
			t.Errorf("shifted by %v: %v", shift, out)
		}
	}
	if out := Shifted([]float64{1, 2, 4}, 5, 1e9); out[0] != 4 || out[2] != 4 {
		t.Errorf("shifted beyond its end: %v", out)
	}
}

// TestSpectrum: each sample is drawn with the standard deviation of its noise over the root of the number of
// spectra; a shift moves all by the slope; the response is one smooth factor, the same in another spectrum of the meter.
func TestSpectrum(t *testing.T) {
	mean := []float64{1, 2, 3, 4, 5, 6, 7, 8}
	of := func(a SpectrumAccuracy, own string) *Spectrum {
		return &Spectrum{From: 400, Step: 10, Mean: mean, Singles: 4, Accuracy: a, Keys: SpectrumKeys{NewKey("wavelengths"), NewKey("response"), NewKey(own)}}
	}
	noisy := of(SpectrumAccuracy{Noise: 2, Dark: 0.1}, "a")
	for _, i := range []int{0, 5} {
		_, sd := spreadOfDraws(4000, func(j int) float64 { return noisy.draw(j)[i] })
		if want := math.Hypot(0.02*mean[i], 0.1) / 2; math.Abs(sd-want) > 0.04*want {
			t.Errorf("noise of sample %d is %v, want %v", i, sd, want)
		}
	}
	shifted := of(SpectrumAccuracy{Wavelength: 2}, "a")
	if _, sd := spreadOfDraws(4000, func(j int) float64 { return shifted.draw(j)[3] }); math.Abs(sd-0.2) > 0.01 {
		t.Errorf("a shift of 2 nm moves by %v where the slope is 0.1 a nm", sd)
	}
	a, b := of(SpectrumAccuracy{Response: 3}, "a").draw(7), of(SpectrumAccuracy{Response: 3}, "b").draw(7)
	for i := range a {
		if a[i] != b[i] || a[i] == mean[i] {
			t.Errorf("response: sample %d is %v in one spectrum and %v in another, %v without", i, a[i], b[i], mean[i])
		}
	}
}

// TestSheetKnowsWhatIsUnknown: a reading of which nothing is stated is unknown as a whole; one whose scatter alone is not known
// matters where it rests; typed, exact and repeated readings are known as they are.
func TestSheetKnowsWhatIsUnknown(t *testing.T) {
	y := []XYZ{{Y: 100}}
	for name, c := range map[string]struct {
		singles []XYZ
		taken   Taken
		reading Reading
		want    []Unknown
	}{
		"nothing stated":       {y, Taken{Unstated: true}, Reading{}, []Unknown{ofMeter("m")}},
		"scale alone":          {y, Taken{}, Reading{Accuracy: Accuracy{Scale: 1}}, []Unknown{ofScatter("m")}},
		"repeatability stated": {y, Taken{Unstated: true, Stated: StatedScatter{Repeatability: 1}}, Reading{}, nil},
		"repeated":             {[]XYZ{{Y: 100}, {Y: 101}}, Taken{}, Reading{Accuracy: Accuracy{Scale: 1}}, nil},
		"typed":                {y, Taken{Unstated: true}, Reading{Typed: Typed{Place: XYZ{Y: 1}}}, nil},
		"exact":                {y, Taken{Exact: true}, Reading{}, nil},
	} {
		var s Sheet
		c.reading.Mean = MeanOf(c.singles)
		s.Enter(1, 0, "m", c.singles, c.taken, c.reading)
		got := s.Unknowns()
		if len(got) != len(c.want) || len(got) == 1 && got[0] != c.want[0] {
			t.Errorf("%s: %+v, want %+v", name, got, c.want)
		}
		for _, u := range []Unknown{ofMeter("m"), ofScatter("m"), ofMeter("other")} {
			if want := len(c.want) == 1 && c.want[0] == u; s.Shakes(u, 1, 0) != want {
				t.Errorf("%s: that a probe of %q moves it is %v", name, u.Of, !want)
			}
		}
	}
}

// TestRestOfNumbers names what a budget has left by what there is.
func TestRestOfNumbers(t *testing.T) {
	for want, numbers := range map[string][]NumberAccuracy{
		"scatter":                               {{Scale: 1, Share: 1}},
		"resolution":                            {{Place: 1}},
		"typed numbers":                         {{Own: 1}},
		"resolution and typed numbers":          {{Own: 1, Place: 1}},
		"scatter, resolution and typed numbers": {{Half: 1, Place: 1}, {Scale: 1, Share: 0.1}},
	} {
		var s Sheet
		for i, n := range numbers {
			s.EnterNumber(i+1, Number{Value: 1, NumberAccuracy: n})
		}
		if got := s.Rest(); got != want || s.Still() {
			t.Errorf("%+v: the rest is %q, want %q", numbers, got, want)
		}
	}
}

// TestShake: a probe moves by a thousandth first, down, up and either way, then by more; never by nothing.
func TestShake(t *testing.T) {
	for i := range 1000 {
		k := NewKey("k").Number(i)
		for probe, most := range []float64{0.001, 0.001, 0.001, 0.03, 0.3} {
			x := k.Shake(probe)
			if a := math.Abs(x); a < most/2 || a > most || probe == 0 && x > 0 || probe == 1 && x < 0 {
				t.Fatalf("probe %d moves by %v", probe, x)
			}
		}
	}
}

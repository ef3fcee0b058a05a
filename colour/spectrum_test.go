package colour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Sprague's polynomial must reproduce polynomials of up to the fourth degree, because its
// derivatives at either end are those of the fourth-degree polynomial through five points: that is
// what [CIE167] builds it from. Any wrong coefficient breaks this.
func TestSpragueReproducesPolynomials(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var c [5]float64
		for i := range c {
			c[i] = rapid.Float64Range(-1, 1).Draw(t, "coefficient")
		}
		f := func(x float64) float64 { return c[0] + x*(c[1]+x*(c[2]+x*(c[3]+x*c[4]))) }
		var y [6]float64
		for i := range y {
			y[i] = f(float64(i - 2))
		}
		p := rapid.Float64Range(0, 1).Draw(t, "t")
		if d := sprague(&y, p) - f(p); math.Abs(d) > 1e-12 {
			t.Fatalf("off by %v", d)
		}
	})
}

// The made-up points beyond the ends carry on a line, and no more: the coefficients of [CIE167]
// add up to 1 and have the right first moment, which a wrong one would not.
func TestSpragueEndsCarryOnALine(t *testing.T) {
	f := func(x float64) float64 { return 1 - 2*x }
	v := make([]float64, 9)
	for i := range v {
		v[i] = f(float64(i))
	}
	for _, i := range []int{-2, -1, 9, 10} {
		near(t, "end", spragueSample(v, i), f(float64(i)), 1e-12)
	}
	for x := 0.0; x <= 8; x += 0.05 {
		i := min(int(x), 7)
		near(t, "inside", spragueAt(v, i, x-float64(i)), f(x), 1e-12)
	}
}

// Six samples are the least, and then each span lies at an end.
func TestResampleKeepsTheSamples(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(-1, 1), 6, 40).Draw(t, "values")
		s := Spectrum{380, 5, v}
		r, err := s.Resample(s.From, s.To(), 1)
		if err != nil || len(r.Values) != 5*(len(v)-1)+1 {
			t.Fatalf("%d values, %v", len(r.Values), err)
		}
		for i, want := range v {
			if math.Abs(r.Values[5*i]-want) > 1e-12 {
				t.Fatalf("sample %d is %v, was %v", i, r.Values[5*i], want)
			}
		}
	})
}

func TestResampleOfASmoothSpectrum(t *testing.T) {
	value := func(nm float64) float64 { return PlanckRadiance(2856, nm) }
	s := tabulate(380, 5, 81, value)
	r := must[Spectrum](t)(s.Resample(400.5, 700.5, 0.5))
	if r.From != 400.5 || r.Step != 0.5 || len(r.Values) != 601 {
		t.Fatalf("from %v, step %v, %d values", r.From, r.Step, len(r.Values))
	}
	for i, v := range r.Values {
		nearRel(t, "resampled", v/value(r.Wavelength(i)), 1, 1e-8)
	}
	near(t, "At", must[float64](t)(s.At(501.25))/value(501.25), 1, 1e-8)
}

func TestResampleRefuses(t *testing.T) {
	s := tabulate(380, 5, 81, func(float64) float64 { return 1 })
	for _, r := range [][3]float64{
		{379, 700, 1}, {380, 781, 1}, {500, 500, 1}, {600, 500, 1}, {400, 700, 0}, {400, 700, -1}, {400, 700, 301},
		{math.NaN(), 700, 1}, {400, math.NaN(), 1}, {400, 700, math.NaN()},
	} {
		if _, err := s.Resample(r[0], r[1], r[2]); !errors.Is(err, ErrSpectrum) {
			t.Errorf("%v: error %v", r, err)
		}
	}
	short := Spectrum{380, 5, []float64{1, 2, 3, 4, 5}}
	if _, err := short.Resample(380, 400, 1); !errors.Is(err, ErrSpectrum) {
		t.Errorf("five samples: error %v", err)
	}
	if _, err := (Spectrum{380, 0, s.Values}).Resample(380, 400, 1); !errors.Is(err, ErrSpectrum) {
		t.Errorf("no step: error %v", err)
	}
	for _, nm := range []float64{379.9, 780.1, math.NaN()} {
		if _, err := s.At(nm); !errors.Is(err, ErrSpectrum) {
			t.Errorf("%v nm: error %v", nm, err)
		}
	}
	broken := Spectrum{380, 5, []float64{1, 2, 3, math.NaN(), 5, 6, 7}}
	if _, err := broken.Resample(380, 410, 1); !errors.Is(err, ErrSpectrum) {
		t.Errorf("a value that is not a number: error %v", err)
	}
	if v, err := broken.At(394); !errors.Is(err, ErrSpectrum) {
		t.Errorf("beside a value that is not a number: %v, error %v", v, err)
	}
	if _, err := short.At(390); !errors.Is(err, ErrSpectrum) {
		t.Errorf("At with five samples: error %v", err)
	}
}

func TestSpectrumScale(t *testing.T) {
	s := Spectrum{380, 5, []float64{1, 2}}
	if got := s.Scale(3); got.Values[1] != 6 || s.Values[1] != 2 || got.From != 380 || got.Step != 5 {
		t.Errorf("%v, %v", got, s)
	}
}

// A Gaussian of standard deviation σ has a width at half height of 2 sqrt(2 ln 2) σ.
func TestPeakAndWidthOfAGaussian(t *testing.T) {
	const centre, sigma = 528.3, 12.0
	s := tabulate(380, 1, 401, func(nm float64) float64 {
		return 7 * math.Exp(-(nm-centre)*(nm-centre)/(2*sigma*sigma))
	})
	nm, value, err := s.Peak()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "peak", nm, centre, 1e-3)
	near(t, "height", value, 7, 2e-5)
	near(t, "width", must[float64](t)(s.FWHM()), 2*math.Sqrt(2*math.Ln2)*sigma, 6e-3) // straight lines between samples widen it by 0.02 %
}

func TestPeakAtAnEndAndOnAFlat(t *testing.T) {
	nm, v, err := Spectrum{380, 5, []float64{3, 2, 1}}.Peak()
	if nm != 380 || v != 3 || err != nil {
		t.Error(nm, v, err)
	}
	nm, v, err = Spectrum{380, 5, []float64{1, 2, 3}}.Peak()
	if nm != 390 || v != 3 || err != nil {
		t.Error(nm, v, err)
	}
	if nm, v, err := (Spectrum{380, 5, []float64{2, 2, 2}}).Peak(); nm != 380 || v != 2 || err != nil {
		t.Error(nm, v, err)
	}
	// The first of two equal samples is the highest; the vertex lies between them.
	if nm, _, _ := (Spectrum{380, 5, []float64{0, 2, 2, 0}}).Peak(); nm != 387.5 {
		t.Error(nm)
	}
}

func TestNoPeakAndNoWidth(t *testing.T) {
	for _, v := range [][]float64{{0, 0, 0}, {-1, -2}, {math.NaN(), 1}, {1, 2, math.NaN()}, {1, math.Inf(1)}, {1}} {
		if _, _, err := (Spectrum{380, 5, v}).Peak(); !errors.Is(err, ErrSpectrum) {
			t.Errorf("%v: error %v", v, err)
		}
		if _, err := (Spectrum{380, 5, v}).FWHM(); !errors.Is(err, ErrSpectrum) {
			t.Errorf("%v: error %v", v, err)
		}
	}
	for _, v := range [][]float64{{9, 10, 9, 4}, {4, 9, 10, 9}} {
		if w, err := (Spectrum{380, 5, v}).FWHM(); !errors.Is(err, ErrSpectrum) {
			t.Errorf("%v: width %v, error %v", v, w, err)
		}
	}
}

// Illuminant A at 560 nm is 100; the others are [CIE15] table T.1 to its last digit.
func TestIlluminantA(t *testing.T) {
	s := IlluminantA()
	for nm, want := range map[float64]float64{300: 0.930483, 380: 9.79510, 560: 100, 780: 241.675, 830: 261.602} {
		near(t, "A", must[float64](t)(s.At(nm)), want, 5e-6*math.Max(want, 1))
	}
}

// [CIE15] table T.1: D65 to its 6 digits. The table was made with more digits of the
// components than are published, hence the tolerance.
func TestDaylightIsD65(t *testing.T) {
	s := must[Spectrum](t)(Daylight(6500 * NominalDaylight))
	for nm, want := range map[float64]float64{
		300: 0.0341, 380: 49.9755, 400: 82.7549, 450: 117.008, 500: 109.354, 560: 100, 600: 90.0062, 700: 71.6091, 780: 63.3828,
	} {
		near(t, "D65", must[float64](t)(s.At(nm)), want, 1e-3)
	}
}

func TestDaylightLocusAgainstPublished(t *testing.T) {
	for _, r := range published(t, "daylight_locus.csv") {
		c := must[XY](t)(DaylightXY(r.num(t, "T_K")))
		nearXY(t, r["T_K"]+" K", c, XY{r.num(t, "xD"), r.num(t, "yD")}, 1e-9)
	}
}

func TestDaylightOutOfRange(t *testing.T) {
	for _, kelvin := range []float64{3999, 25001, 0, -1, math.NaN(), math.Inf(1)} {
		if _, err := DaylightXY(kelvin); !errors.Is(err, ErrTemperature) {
			t.Errorf("%v K: error %v", kelvin, err)
		}
		if _, err := Daylight(kelvin); !errors.Is(err, ErrTemperature) {
			t.Errorf("%v K: error %v", kelvin, err)
		}
	}
}

// Stefan and Boltzmann: the radiance over all wavelengths is σT⁴/π, σ = 5.670374e-8 from
// CODATA; c₂ of colorimetry is larger by 1.6e-5, which counts four times.
func TestPlanckRadianceSumsToStefanBoltzmann(t *testing.T) {
	const kelvin = 5000.0
	sum := 0.0
	for nm := 50.0; nm < 200000; nm *= 1.001 {
		sum += PlanckRadiance(kelvin, nm*math.Sqrt(1.001)) * nm * 0.001
	}
	nearRel(t, "radiance", sum, 5.670374e-8*math.Pow(kelvin, 4)/math.Pi, 1e-4)
	for _, v := range []float64{PlanckRadiance(0, 500), PlanckRadiance(-5, 500), PlanckRadiance(3000, 0)} {
		if v != 0 {
			t.Error(v)
		}
	}
}

func TestPlanckRefuses(t *testing.T) {
	for _, kelvin := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := Planck(kelvin); !errors.Is(err, ErrTemperature) {
			t.Errorf("%v K: error %v", kelvin, err)
		}
	}
}

// A step that is next to nothing is an error and no lack of memory.
func TestResampleIsBounded(t *testing.T) {
	s := tabulate(380, 5, 81, func(nm float64) float64 { return nm })
	for _, step := range []float64{1e-300, 1e-6, 3.9e-4} {
		if _, err := s.Resample(380, 780, step); !errors.Is(err, ErrSpectrum) {
			t.Errorf("step %v: %v", step, err)
		}
	}
}

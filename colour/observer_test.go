package colour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// [CIE15] table T.4, to the last of its six decimals.
func TestCMF1931IsThePublishedTable(t *testing.T) {
	for _, r := range published(t, "cmf_cie1931_2deg_5nm.csv") {
		x, y, z := CIE1931.CMF(r.num(t, "wavelength_nm"))
		nearXYZ(t, r["wavelength_nm"]+" nm", XYZ{x, y, z}, XYZ{r.num(t, "x_bar"), r.num(t, "y_bar"), r.num(t, "z_bar")}, 5e-7)
	}
}

// The sums over every 5 nm from 380 to 780 are those printed under the published tables
// [CIE15] T.4 and T.5, from memory.
func TestCMFSumsAreThePublishedOnes(t *testing.T) {
	for o, want := range map[*Observer]XYZ{CIE1931: {21.3714, 21.3711, 21.3715}, CIE1964: {23.3294, 23.3320, 23.3342}} {
		var sum XYZ
		for nm := 380.0; nm <= 780; nm += 5 {
			x, y, z := o.CMF(nm)
			sum = sum.Add(XYZ{x, y, z})
		}
		nearXYZ(t, o.Name(), sum, want, 3e-4)
	}
}

// [CIE11664] part 1 between every 5 nm, from memory: V(λ) beside its peak and in the green, and
// the first row of the 10° observer.
func TestCMFBetweenTableRows(t *testing.T) {
	for nm, want := range map[float64]float64{554: 0.9998, 556: 0.9998, 507: 0.444, 612: 0.4786} {
		_, y, _ := CIE1931.CMF(nm)
		near(t, "ȳ", y, want, 6e-4)
	}
	x, y, z := CIE1964.CMF(360)
	nearXYZ(t, "360 nm", XYZ{x, y, z}, XYZ{1.222e-7, 1.3398e-8, 5.35027e-7}, 0)
	// A cubic is met by the interpolation within a nanometre.
	w := cubicWeights(0.3)
	f := func(p float64) float64 { return 2 - 3*p + p*p*p/2 }
	near(t, "cubic", w[0]*f(-1)+w[1]*f(0)+w[2]*f(1)+w[3]*f(2), f(0.3), 1e-15)
}

func TestCMFOutsideItsRange(t *testing.T) {
	for _, nm := range []float64{0, 359.9, 830.1, -1, math.NaN(), math.Inf(1)} {
		if x, y, z := CIE1931.CMF(nm); x != 0 || y != 0 || z != 0 {
			t.Errorf("%v nm: %v %v %v", nm, x, y, z)
		}
	}
	if _, y, _ := CIE1931.CMF(830); y != 4.5181e-7 {
		t.Errorf("830 nm: %v", y)
	}
}

func TestCMFIsSmoothAndNotNegative(t *testing.T) {
	for _, o := range []*Observer{CIE1931, CIE1964} {
		for nm := 360.0; nm <= 830; nm += 0.25 {
			x, y, z := o.CMF(nm)
			if x < 0 || y < 0 || z < 0 {
				t.Fatalf("%s at %v nm: %v %v %v", o.Name(), nm, x, y, z)
			}
			x2, y2, z2 := o.CMF(nm + 0.25)
			if nm < 829 && math.Abs(x-x2)+math.Abs(y-y2)+math.Abs(z-z2) > 0.05 {
				t.Fatalf("%s jumps at %v nm", o.Name(), nm)
			}
		}
	}
}

// Chromaticities of illuminants, [CIE15], to 5 decimals as summed over 380 to 780 nm at 5 nm.
func TestIlluminantChromaticities(t *testing.T) {
	spectra := map[string]Spectrum{"A": IlluminantA(), "E": EqualEnergy()}
	for name, kelvin := range map[string]float64{"D50": 5000, "D55": 5500, "D65": 6500, "D75": 7500} {
		spectra[name] = must[Spectrum](t)(Daylight(kelvin * NominalDaylight))
	}
	seen := 0
	for _, r := range published(t, "illuminants.csv") {
		name := r["illuminant"]
		s, ok := spectra[name]
		if !ok {
			t.Fatalf("no spectrum of %s", name)
		}
		seen++
		visible := Spectrum{380, 5, s.Values[16:97]}
		c := must[XYZ](t)(CIE1931.XYZ(visible))
		nearXY(t, name, must[XY](t)(c.XY()), XY{r.num(t, "computed_x2"), r.num(t, "computed_y2")}, 1.5e-6)
		nearXY(t, name, must[XY](t)(c.XY()), XY{r.num(t, "x2"), r.num(t, "y2")}, 5.5e-6)
		c = must[XYZ](t)(CIE1964.XYZ(visible))
		nearXY(t, name+" 10°", must[XY](t)(c.XY()), XY{r.num(t, "computed_x10"), r.num(t, "computed_y10")}, 1.5e-6)
		tol := 7e-6
		if name == "E" {
			tol = 4e-5 // 1/3 by definition; the table's sums differ in the fifth decimal
		}
		nearXY(t, name+" 10°", must[XY](t)(c.XY()), XY{r.num(t, "x10"), r.num(t, "y10")}, tol)
	}
	if seen != len(spectra) {
		t.Errorf("%d of %d illuminants are published", seen, len(spectra))
	}
}

// Km = 683 lm/W: 1 W at 555 nm within one nanometre is 683 cd/m².
func TestLuminanceOfALine(t *testing.T) {
	s := Spectrum{380, 1, make([]float64, 401)}
	s.Values[175] = 1
	near(t, "Y", must[XYZ](t)(CIE1931.XYZ(s)).Y, 683, 1e-10)
}

func TestXYZIsLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		step := rapid.SampledFrom([]float64{1, 2, 0.7, 4, 5, 10, 20}).Draw(t, "step")
		n := int(400/step) + 1
		values := rapid.SliceOfN(rapid.Float64Range(-1, 1), n, n)
		a := Spectrum{380, step, values.Draw(t, "a")}
		b := Spectrum{380, step, values.Draw(t, "b")}
		k := rapid.Float64Range(-10, 10).Draw(t, "k")
		mixed := Spectrum{380, step, make([]float64, n)}
		for i := range mixed.Values {
			mixed.Values[i] = a.Values[i] + k*b.Values[i]
		}
		ca, _ := CIE1931.XYZ(a)
		cb, _ := CIE1931.XYZ(b)
		got, err := CIE1931.XYZ(mixed)
		d := got.Sub(ca.Add(cb.Scale(k)))
		if err != nil || math.Abs(d.X)+math.Abs(d.Y)+math.Abs(d.Z) > 1e-6 {
			t.Fatalf("%v, %v", d, err)
		}
	})
}

// A smooth spectrum must give the same colour however it is sampled.
func TestSamplingDoesNotMatter(t *testing.T) {
	for _, o := range []*Observer{CIE1931, CIE1964} {
		value := func(nm float64) float64 { return 1 + math.Exp(-math.Pow((nm-530)/40, 2)) }
		want := must[XYZ](t)(o.XYZ(tabulate(360, 1, 471, value)))
		for _, step := range []float64{0.5, 0.8, 2, 2.5, 4, 5, 10} {
			s := tabulate(360, step, int(470/step)+1, value)
			got := must[XYZ](t)(o.XYZ(s))
			nearXYZ(t, o.Name(), got.Scale(1/want.Y), want.Scale(1/want.Y), 1.5e-4)
		}
	}
}

// Samples beyond the observer's table count for nothing, whichever way is taken.
func TestSamplesBeyondTheTable(t *testing.T) {
	for _, step := range []float64{1, 0.5, 5, 10} {
		inside := tabulate(360, step, int(470/step)+1, func(float64) float64 { return 1 })
		wide := tabulate(200, step, int(900/step)+1, func(float64) float64 { return 1 })
		a := must[XYZ](t)(CIE1931.XYZ(inside))
		b := must[XYZ](t)(CIE1931.XYZ(wide))
		nearXYZ(t, "wide", b, a, 1e-6*a.Y)
	}
}

func TestSpectraThatCannotBeUsed(t *testing.T) {
	ones := func(n int) []float64 {
		v := make([]float64, n)
		for i := range v {
			v[i] = 1
		}
		return v
	}
	withNaN, withInf := ones(401), ones(401)
	withNaN[200], withInf[7] = math.NaN(), math.Inf(-1)
	for name, s := range map[string]Spectrum{
		"empty": {380, 5, nil}, "one sample": {380, 5, ones(1)}, "no step": {380, 0, ones(81)},
		"step backwards": {780, -5, ones(81)}, "step not a number": {380, math.NaN(), ones(81)},
		"no start": {0, 5, ones(300)}, "start not a number": {math.NaN(), 5, ones(81)},
		"starts late": {405, 5, ones(81)}, "ends early": {380, 5, ones(60)},
		"wide steps": {380, 25, ones(17)}, "NaN": {380, 1, withNaN}, "infinite": {380, 1, withInf},
	} {
		if c, err := CIE1931.XYZ(s); !errors.Is(err, ErrSpectrum) {
			t.Errorf("%s: %v, error %v", name, c, err)
		}
	}
	if _, err := CIE1931.XYZ(Spectrum{400, 5, ones(61)}); err != nil {
		t.Errorf("400 to 700 nm is enough, but: %v", err)
	}
}

func TestXYZDoesNotAllocate(t *testing.T) {
	for _, step := range []float64{1, 0.5, 5, 10} {
		s := tabulate(380, step, int(400/step)+1, func(float64) float64 { return 1 })
		if n := testing.AllocsPerRun(10, func() { CIE1931.XYZ(s) }); n != 0 {
			t.Errorf("step %v: %v allocations", step, n)
		}
	}
}

func BenchmarkXYZ401(b *testing.B) {
	s := tabulate(380, 1, 401, func(nm float64) float64 { return nm / 500 })
	for b.Loop() {
		sinkXYZ, _ = CIE1931.XYZ(s)
	}
}

// BenchmarkThreeDotProducts401 is what BenchmarkXYZ401 is to be compared with.
func BenchmarkThreeDotProducts401(b *testing.B) {
	s := tabulate(380, 1, 401, func(nm float64) float64 { return nm / 500 })
	x, y, z := CIE1931.x[20:421], CIE1931.y[20:421], CIE1931.z[20:421]
	for b.Loop() {
		sinkXYZ = XYZ{dot(s.Values, x), dot(s.Values, y), dot(s.Values, z)}
	}
}

func dot(a, b []float64) (sum float64) {
	b = b[:len(a)]
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

func BenchmarkXYZ81At5nm(b *testing.B) {
	s := tabulate(380, 5, 81, func(nm float64) float64 { return nm / 500 })
	for b.Loop() {
		sinkXYZ, _ = CIE1931.XYZ(s)
	}
}

var sinkXYZ XYZ

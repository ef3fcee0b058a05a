package colour

import (
	"errors"
	"math"
	"testing"
)

// [CIES026] and its companion tables, from memory: the melanopic efficacy of luminous radiation of
// D65 is 1.3262 mW/lm, so that its daylight efficacy ratio is 1; that of illuminant A is 0.496, of
// D50 0.847 (to three places).
func TestMelanopicAgainstPublished(t *testing.T) {
	for name, c := range map[string]struct {
		s   Spectrum
		der float64
	}{
		"D65": {must[Spectrum](t)(Daylight(6500 * NominalDaylight)), 1},
		"A":   {IlluminantA(), 0.496},
		"D50": {must[Spectrum](t)(Daylight(5000 * NominalDaylight)), 0.847},
	} {
		m := must[Melanopic](t)(c.s.Melanopic())
		near(t, name, m.DER, c.der, 5.5e-4)
		y := must[XYZ](t)(CIE1931.XYZ(c.s)).Y
		near(t, name+" EDL", m.EDL, m.DER*y, 1e-9*y)
		near(t, name+" radiance", m.Radiance, m.EDL*1.3262e-3, 1e-9*m.EDL)
	}
	// The same, with both sums at every nanometre.
	fine := must[Spectrum](t)(must[Spectrum](t)(Daylight(6500*NominalDaylight)).Resample(380, 780, 1))
	near(t, "efficacy at 1 nm", must[Melanopic](t)(fine.Melanopic()).DER, 1, 2e-4)
	d65 := must[Melanopic](t)(must[Spectrum](t)(Daylight(6500 * NominalDaylight)).Melanopic())
	near(t, "efficacy of D65", d65.DER, 1, 2e-4)
}

// A table from memory could hold a wrong digit: a smooth curve has none that sticks out. The
// logarithm's second difference changes little from row to row; it bends where the lens's table has
// its knots, every 10 nm.
func TestMelanopicActionIsSmooth(t *testing.T) {
	peak := 0.0
	for nm := 380.0; nm <= 780; nm++ {
		v := MelanopicAction(nm)
		if !(v > 0 && v <= 1.0002) {
			t.Fatalf("%v nm: %v", nm, v)
		}
		if v > MelanopicAction(peak) {
			peak = nm
		}
	}
	near(t, "peak", peak, 490, 1)
	for i := 16; i < len(melanopic5); i++ { // from 460 nm on the lens adds little
		d := func(i int) float64 { return math.Log(melanopic5[i]) - math.Log(melanopic5[i-1]) }
		if bend := d(i) - d(i-1); bend > 0.012 || bend < -0.045 {
			t.Errorf("%v nm sticks out by %v", 380+5*i, bend)
		}
	}
	for _, nm := range []float64{379.9, 780.1, math.NaN(), -1} {
		near(t, "outside", MelanopicAction(nm), 0, 0)
	}
}

func TestMelanopicSampling(t *testing.T) {
	value := func(nm float64) float64 { return 1 + math.Exp(-math.Pow((nm-480)/30, 2)) }
	want := must[Melanopic](t)(tabulate(380, 1, 401, value).Melanopic())
	for _, step := range []float64{0.5, 2, 5, 10} {
		got := must[Melanopic](t)(tabulate(380, step, int(400/step)+1, value).Melanopic())
		near(t, "DER", got.DER, want.DER, 1.5e-3)
	}
	if _, err := tabulate(380, 1, 401, func(float64) float64 { return 0 }).Melanopic(); !errors.Is(err, ErrNoChromaticity) {
		t.Errorf("black: %v", err)
	}
	if _, err := tabulate(500, 1, 10, value).Melanopic(); !errors.Is(err, ErrSpectrum) {
		t.Errorf("a short spectrum: %v", err)
	}
}

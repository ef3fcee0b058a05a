package colour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The table was computed over 360 to 830 nm at 1 nm, as here: its last digits are met.
func TestCCTAgainstPublished(t *testing.T) {
	for _, r := range published(t, "cct_duv.csv") {
		c := must[CCT](t)(XY{r.num(t, "x"), r.num(t, "y")}.CCT())
		near(t, r["name"]+" CCT", c.Kelvin, r.num(t, "cct_K"), 1e-6*c.Kelvin)
		near(t, r["name"]+" Duv", c.Duv, r.num(t, "duv"), 2e-10)
		if r["published_cct_K"] != "" {
			near(t, r["name"]+" nominal CCT", c.Kelvin, r.num(t, "published_cct_K"), 10)
		}
		if r["published_duv"] != "" {
			near(t, r["name"]+" nominal Duv", c.Duv, r.num(t, "published_duv"), 3e-5)
		}
	}
}

func TestPlanckianLocusAgainstPublished(t *testing.T) {
	for _, r := range published(t, "planckian_locus.csv") {
		c := must[XY](t)(PlanckianXY(r.num(t, "T_K")))
		nearXY(t, r["T_K"]+" K", c, XY{r.num(t, "x"), r.num(t, "y")}, 6e-9)
	}
}

// The locus between its knots must be what the sum over the spectrum gives there, and so
// must its derivatives, which the search for the nearest point relies on.
func TestLocusInterpolationIsExact(t *testing.T) {
	for kelvin := CCTFrom; kelvin < CCTTo; kelvin *= 1.0321 {
		m := 1e6 / kelvin
		got, want := locusAt(m), exactLocus(m)
		near(t, "u", got.u, want.u, 5e-13)
		near(t, "v", got.v, want.v, 5e-13)
		near(t, "du", got.du, want.du, 1e-12)
		near(t, "dv", got.dv, want.dv, 1e-12)
		near(t, "ddu", got.ddu, want.ddu, 1e-11)
		near(t, "ddv", got.ddv, want.ddv, 1e-11)
		const h = 1e-4
		a, b := exactLocus(m-h), exactLocus(m+h)
		near(t, "slope of u", want.du, (b.u-a.u)/(2*h), 1e-10)
		near(t, "slope of v", want.dv, (b.v-a.v)/(2*h), 1e-10)
		near(t, "bend of u", want.ddu, (b.du-a.du)/(2*h), 1e-10)
		near(t, "bend of v", want.ddv, (b.dv-a.dv)/(2*h), 1e-10)
	}
}

func TestPlanckianXYIsTheSpectrums(t *testing.T) {
	for _, kelvin := range []float64{1000, 2856, 6504, 25000, 100000} {
		c := must[XYZ](t)(CIE1931.XYZ(must[Spectrum](t)(Planck(kelvin))))
		nearXY(t, "Planck", must[XY](t)(PlanckianXY(kelvin)), must[XY](t)(c.XY()), 1e-12)
	}
}

func TestCCTInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Even in reciprocal temperature, and near enough for the nearest point to be unique.
		want := CCT{1e6 / rapid.Float64Range(11, 990).Draw(t, "mired"), rapid.Float64Range(-0.0499, 0.0499).Draw(t, "Duv")}
		if want.Kelvin > 20000 {
			want.Duv /= 10
		}
		xy, err := FromCCT(want)
		if err != nil {
			t.Fatal(err)
		}
		got, err := xy.CCT()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Kelvin/want.Kelvin-1) > 1e-8 || math.Abs(got.Duv-want.Duv) > 1e-12 {
			t.Fatalf("%v, want %v", got, want)
		}
	})
}

// No other point of the locus may be nearer.
func TestCCTIsTheNearestPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := UV1960{rapid.Float64Range(0.15, 0.45).Draw(t, "u"), rapid.Float64Range(0.22, 0.40).Draw(t, "v")}
		got, err := c.CCT()
		if err != nil {
			t.Skip("too far from the locus")
		}
		for m := 10.0; m <= 1000; m += 0.5 {
			p := locusAt(m)
			if math.Hypot(c.U-p.u, c.V-p.v) < math.Abs(got.Duv)-1e-12 {
				t.Fatalf("%v K is nearer than %v", 1e6/m, got)
			}
		}
	})
}

func TestDuvIsPositiveTowardsGreen(t *testing.T) {
	for _, kelvin := range []float64{1500, 3000, 6500, 20000} {
		on := must[XY](t)(PlanckianXY(kelvin))
		up := must[CCT](t)(XY{on.X, on.Y + 0.003}.CCT())
		down := must[CCT](t)(XY{on.X, on.Y - 0.003}.CCT())
		if up.Duv <= 0 || down.Duv >= 0 {
			t.Errorf("%v K: %v above, %v below", kelvin, up.Duv, down.Duv)
		}
	}
}

func TestNoCCT(t *testing.T) {
	for _, c := range []XY{{0.64, 0.33}, {0.30, 0.60}, {0.15, 0.06}, {0.708, 0.292}} {
		if got, err := c.CCT(); !errors.Is(err, ErrNoCCT) && !errors.Is(err, ErrTemperature) {
			t.Errorf("%v has CCT %v, error %v", c, got, err)
		}
	}
	// Just bluer than a black body of infinite temperature, and just redder than 1000 K.
	for _, c := range []XY{{0.235, 0.230}, {0.670, 0.330}} {
		if got, err := c.CCT(); !errors.Is(err, ErrTemperature) {
			t.Errorf("%v has CCT %v, error %v", c, got, err)
		}
	}
	for _, c := range []XY{{math.NaN(), 0.3}, {0.3, math.Inf(1)}} {
		if got, err := c.CCT(); !errors.Is(err, ErrNoChromaticity) {
			t.Errorf("%v has CCT %v, error %v", c, got, err)
		}
	}
}

func TestFromCCTRefuses(t *testing.T) {
	for _, kelvin := range []float64{999, 100001, 0, math.NaN()} {
		if _, err := FromCCT(CCT{kelvin, 0}); !errors.Is(err, ErrTemperature) {
			t.Errorf("%v K: error %v", kelvin, err)
		}
		if _, err := PlanckianXY(kelvin); !errors.Is(err, ErrTemperature) {
			t.Errorf("%v K: error %v", kelvin, err)
		}
	}
	for _, duv := range []float64{0.051, -0.051, math.NaN()} {
		if _, err := FromCCT(CCT{6500, duv}); !errors.Is(err, ErrNoCCT) {
			t.Errorf("Duv %v: error %v", duv, err)
		}
	}
}

func TestCCTDoesNotAllocate(t *testing.T) {
	c := D65
	if n := testing.AllocsPerRun(10, func() { c.CCT() }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkCCT(b *testing.B) {
	for b.Loop() {
		sinkCCT, _ = D65.CCT()
	}
}

func BenchmarkPlanckianLocusOnce(b *testing.B) {
	for b.Loop() {
		for i := range locusCount {
			sinkPoint = exactLocus(locusFrom + locusStep*float64(i))
		}
	}
}

var (
	sinkCCT   CCT
	sinkPoint locusPoint
)

package builtins

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"

	"candelua/engine/sandbox"
)

func fitDecay(t testing.TB, a decayArgs) Decay {
	t.Helper()
	m, err := decayModelOf(a)
	if err != nil {
		t.Fatal(err)
	}
	d, err := m.solve()
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func relative(got, want float64) float64 { return math.Abs(got/want - 1) }

// DanWood, a power law, of the difficulty that the set calls lower.
//
// Source: NIST Statistical Reference Datasets, nonlinear regression, DanWood;
// data and certified values from memory. That the fit of the one gives the other
// to nine digits speaks for both.
func TestPowerNIST(t *testing.T) {
	x := []float64{1.309, 1.471, 1.490, 1.565, 1.611, 1.680}
	y := []float64{2.138, 3.421, 3.597, 4.340, 4.882, 5.660}
	p, err := fitPower(x, y, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"scale", p.Scale, 7.6886226176e-01}, {"exponent", p.Exponent, 3.8604055871e+00},
		{"u of the scale", *p.UScale, 1.8281973860e-02}, {"u of the exponent", *p.UExponent, 5.1726610913e-02},
		{"residual sum of squares", p.Rms * p.Rms * 6, 4.3173084083e-03},
	} {
		if relative(c.got, c.want) > 1e-9 {
			t.Errorf("%s is %.12g, certified %.11g", c.name, c.got, c.want)
		}
	}
	if !p.Converged || p.N != 6 {
		t.Errorf("fit is %+v", p)
	}
}

// MGH17, two exponentials and an offset, of the difficulty that the set calls
// average: the two differ little and nearly cancel.
//
// Source: NIST Statistical Reference Datasets, nonlinear regression, MGH17 (from
// Osborne 1972); data and certified values from memory, see [TestPowerNIST].
func TestDecayNIST(t *testing.T) {
	y := []float64{0.844, 0.908, 0.932, 0.936, 0.925, 0.908, 0.881, 0.850, 0.818, 0.784, 0.751, 0.718, 0.685, 0.658, 0.628, 0.603, 0.580,
		0.558, 0.538, 0.522, 0.506, 0.490, 0.478, 0.467, 0.457, 0.448, 0.438, 0.431, 0.424, 0.420, 0.414, 0.411, 0.406}
	at := make([]float64, len(y))
	for i := range at {
		at[i] = float64(10 * i)
	}
	d := fitDecay(t, decayArgs{From: at, To: at, Y: y, Terms: 2})
	if !d.Converged {
		t.Fatalf("did not converge: %s", *d.Why)
	}
	// The set has rates for time constants: tau = 1/b, u(tau) = u(b)/b².
	const quick, slow, uQuick, uSlow = 2.2122699662e-02, 1.2867534640e-02, 8.9471996575e-04, 4.4861358114e-04
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"offset", d.Offset, 3.7541005211e-01}, {"u of the offset", *d.UOffset, 2.0723153551e-03},
		{"slow amplitude", d.Terms[1].Amplitude, 1.9358469127e+00}, {"its u", *d.Terms[1].UAmplitude, 2.2031669222e-01},
		{"quick amplitude", d.Terms[0].Amplitude, -1.4646871366e+00}, {"its u", *d.Terms[0].UAmplitude, 2.2175707739e-01},
		{"slow tau", d.Terms[1].Tau, 1 / slow}, {"its u", *d.Terms[1].UTau, uSlow / slow / slow},
		{"quick tau", d.Terms[0].Tau, 1 / quick}, {"its u", *d.Terms[0].UTau, uQuick / quick / quick},
		{"residual sum of squares", d.Rms * d.Rms * 33, 5.4648946975e-05},
	} {
		if relative(c.got, c.want) > 1e-7 {
			t.Errorf("%s is %.12g, certified %.11g", c.name, c.got, c.want)
		}
	}
}

// The mean over an integration and its slope, against quadrature and a
// difference quotient.
func TestDecayMean(t *testing.T) {
	for _, c := range [][3]float64{{0, 1, 5}, {3, 20, 5}, {100, 0.001, 2e4}, {0, 500, 1}, {7, 0, 3}, {0, 1e-9, 1}} {
		got, slope := expMean(c[0], c[1], c[2])
		want := math.Exp(-c[0] / c[2])
		if c[1] > 0 {
			want = quad.Fixed(func(t float64) float64 { return math.Exp(-t/c[2]) / c[1] }, c[0], c[0]+c[1], 400, nil, 0)
		}
		if relative(got, want) > 1e-9 {
			t.Errorf("mean over %v is %v, by quadrature %v", c, got, want)
		}
		const h = 1e-5
		up, _ := expMean(c[0], c[1], c[2]*math.Exp(h))
		down, _ := expMean(c[0], c[1], c[2]*math.Exp(-h))
		if math.Abs(slope-(up-down)/(2*h)) > 1e-7*math.Abs(slope)+1e-11 {
			t.Errorf("slope over %v is %v, by differences %v", c, slope, (up-down)/(2*h))
		}
	}
}

// TestDecayMeanOfSeries: the means of readings that follow each other at some pace, which are computed from each other,
// are those of each alone.
func TestDecayMeanOfSeries(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n, gap, span := rapid.IntRange(2, 200).Draw(r, "n"), rapid.Float64Range(0.01, 100).Draw(r, "gap"), rapid.Float64Range(0, 10).Draw(r, "span")
		tau := gap * math.Pow(10, rapid.Float64Range(-2, 4).Draw(r, "tau"))
		jitter := rapid.SampledFrom([]float64{0, 1e-6, 1e-4, 2e-3, 0.3}).Draw(r, "jitter")
		m := decayModel{}
		for i := range n {
			m.from = append(m.from, gap*(float64(i)+jitter*rapid.Float64Range(-1, 1).Draw(r, "off")))
			m.span, m.root = append(m.span, span), append(m.root, 1)
		}
		m.pace()
		e, slope := make([]float64, n), make([]float64, n)
		m.means(tau, e, slope)
		for i := range n {
			one, down := expMean(m.from[i], span, tau) // which begins with an exponential of its own
			if math.Abs(e[i]-one) > 2e-13*one || math.Abs(slope[i]-down) > 2e-13*math.Max(down, one) {
				r.Fatalf("reading %d: %v and %v; alone %v and %v", i, e[i], slope[i], one, down)
			}
		}
	})
}

func expMean(from, span, tau float64) (e, slope float64) {
	m := decayModel{from: []float64{from}, span: []float64{span}, root: []float64{1}}
	m.pace()
	var one, two [1]float64
	m.means(tau, one[:], two[:])
	return one[0], two[0]
}

// exactDecay makes the exact means of a decay over integrations that grow longer.
func exactDecay(offset float64, terms []Term, begin float64, n int, over func(i int) float64) decayArgs {
	var a decayArgs
	at := begin
	for i := range n {
		d := over(i)
		y := offset
		for _, e := range terms {
			y += e.Amplitude * e.Tau / d * (math.Exp(-at/e.Tau) - math.Exp(-(at+d)/e.Tau))
		}
		a.From, a.To, a.Y = append(a.From, at), append(a.To, at+d), append(a.Y, y)
		at += d * 1.1
	}
	a.Terms = len(terms)
	return a
}

func TestDecayRecovered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tau := rapid.Float64Range(5, 300).Draw(t, "tau")
		amplitude := rapid.Float64Range(0.1, 100).Draw(t, "amplitude")
		if rapid.Bool().Draw(t, "rising") {
			amplitude = -amplitude
		}
		offset := rapid.Float64Range(-1, 50).Draw(t, "offset")
		begin := rapid.Float64Range(0, 60).Draw(t, "begin")
		a := exactDecay(offset, []Term{{Amplitude: amplitude, Tau: tau}}, begin, 30, func(i int) float64 { return 1 + float64(i) })
		d := mustFit(t, a)
		if !d.Converged || relative(d.Terms[0].Tau, tau) > 1e-6 || relative(d.Terms[0].Amplitude, amplitude) > 1e-6 ||
			math.Abs(d.Offset-offset) > 1e-6*math.Max(math.Abs(offset), math.Abs(amplitude)) {
			t.Fatalf("amplitude %v, tau %v, offset %v came out as %+v, %s", amplitude, tau, offset, d, told(d.Why))
		}
	})
}

// TestValleys: starts that lie together would all run to a slow decay that is not there.
func TestValleys(t *testing.T) {
	a := exactDecay(1, []Term{{Amplitude: 0.5882636606693268, Tau: 60}, {Amplitude: 8.3125, Tau: 240}}, 2, 60, func(i int) float64 { return 1 + float64(i)*0.7 })
	d := fitDecay(t, a)
	if !d.Converged || relative(d.Terms[0].Tau, 60) > 1e-6 || relative(d.Terms[1].Tau, 240) > 1e-6 {
		t.Errorf("came out as %+v, %s", d.Terms, told(d.Why))
	}
}

func TestTwoDecaysRecovered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		quick := rapid.Float64Range(10, 60).Draw(t, "quick")
		slow := quick * rapid.Float64Range(4, 12).Draw(t, "ratio")
		a1 := rapid.Float64Range(0.5, 10).Draw(t, "a1")
		a2 := rapid.Float64Range(0.5, 10).Draw(t, "a2")
		a := exactDecay(1, []Term{{Amplitude: a1, Tau: quick}, {Amplitude: a2, Tau: slow}}, 2, 60, func(i int) float64 { return 1 + float64(i)*0.7 })
		d := mustFit(t, a)
		if !d.Converged || relative(d.Terms[0].Tau, quick) > 1e-6 || relative(d.Terms[1].Tau, slow) > 1e-6 || relative(d.Terms[0].Amplitude, a1) > 1e-6 || relative(d.Terms[1].Amplitude, a2) > 1e-6 {
			t.Fatalf("%v for %v s and %v for %v s came out as %+v, %s", a1, quick, a2, slow, d, told(d.Why))
		}
	})
}

func mustFit(t *rapid.T, a decayArgs) Decay {
	m, err := decayModelOf(a)
	if err != nil {
		t.Fatal(err)
	}
	d, err := m.solve()
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func told(why *string) string {
	if why == nil {
		return "converged"
	}
	return *why
}

// Whoever takes means over long integrations for values at their middles is
// wrong: here by 2 % of the amplitude, against 1e-9 with integrations.
func TestIntegrationsMatter(t *testing.T) {
	a := exactDecay(0, []Term{{Amplitude: 10, Tau: 20}}, 0, 12, func(int) float64 { return 15 })
	right := fitDecay(t, a)
	b := a
	b.From = make([]float64, len(a.From))
	for i := range a.From {
		b.From[i] = (a.From[i] + a.To[i]) / 2
	}
	b.To = b.From
	wrong := fitDecay(t, b)
	if relative(right.Terms[0].Amplitude, 10) > 1e-9 || relative(wrong.Terms[0].Amplitude, 10) < 0.02 {
		t.Errorf("amplitude 10 is %v with integrations and %v at middles", right.Terms[0].Amplitude, wrong.Terms[0].Amplitude)
	}
}

// Stated standard errors are those of repeated fits.
func TestDecayStandardErrors(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	a := exactDecay(1, []Term{{Amplitude: 5, Tau: 40}}, 10, 25, func(int) float64 { return 6 })
	exact := append([]float64(nil), a.Y...)
	var taus, amplitudes, uTau, uAmplitude []float64
	for range 400 {
		a.Y = make([]float64, len(exact))
		for i := range exact {
			a.Y[i] = exact[i] + 0.02*r.NormFloat64()
		}
		d := fitDecay(t, a)
		taus, amplitudes = append(taus, d.Terms[0].Tau), append(amplitudes, d.Terms[0].Amplitude)
		uTau, uAmplitude = append(uTau, *d.Terms[0].UTau), append(uAmplitude, *d.Terms[0].UAmplitude)
	}
	// The scatter of 400 has itself a standard uncertainty of 3.5 %.
	if relative(sdFloat(taus), meanFloat(uTau)) > 0.12 || relative(sdFloat(amplitudes), meanFloat(uAmplitude)) > 0.12 {
		t.Errorf("tau scatters by %v, stated %v; amplitude by %v, stated %v", sdFloat(taus), meanFloat(uTau), sdFloat(amplitudes), meanFloat(uAmplitude))
	}
	if relative(meanFloat(taus), 40) > 0.01 {
		t.Errorf("tau is %v in the mean, want 40", meanFloat(taus))
	}
}

func TestDecayNotDetermined(t *testing.T) {
	constant := exactDecay(3, []Term{{Amplitude: 0, Tau: 10}}, 0, 10, func(int) float64 { return 1 })
	straight := exactDecay(0, []Term{{Amplitude: 1, Tau: 1e5}}, 0, 10, func(int) float64 { return 1 })
	step := exactDecay(0, []Term{{Amplitude: 1, Tau: 0.01}}, 0, 10, func(int) float64 { return 1 })
	one := exactDecay(1, []Term{{Amplitude: 5, Tau: 20}}, 0, 30, func(int) float64 { return 3 })
	one.Terms = 2
	late := exactDecay(1, []Term{{Amplitude: 1, Tau: 10}}, 0, 20, func(int) float64 { return 3 })
	for i := range late.From {
		late.From[i] += 1e5
		late.To[i] += 1e5
	}
	for name, c := range map[string]struct {
		a    decayArgs
		want []string
	}{
		"constant": {constant, []string{"not larger than the scatter", "determine"}},
		"straight": {straight, []string{"reached its upper limit of"}},
		"step":     {step, []string{"reached its lower limit of"}},
		"one":      {one, []string{"not larger than the scatter", "determine", "told apart", "limit"}},
		"late":     {late, []string{"t = 0 is too long before"}},
	} {
		d := fitDecay(t, c.a)
		found := false
		for _, w := range c.want {
			found = found || strings.Contains(told(d.Why), w)
		}
		if d.Converged || !found {
			t.Errorf("%s: %+v, %s", name, d, told(d.Why))
		}
		if x := d.crossing(0.5); x.X != nil || !strings.HasPrefix(*x.Why, "the fit did not converge: ") {
			t.Errorf("%s: crossing of a fit that did not converge: %+v", name, x)
		}
	}
}

func TestDecayKnownOffset(t *testing.T) {
	zero := 0.0
	a := exactDecay(0, []Term{{Amplitude: 2, Tau: 500}}, 0, 8, func(int) float64 { return 5 })
	a.Offset = &zero
	d := fitDecay(t, a)
	if !d.Converged || d.Offset != 0 || d.UOffset != nil || relative(d.Terms[0].Tau, 500) > 1e-6 {
		t.Errorf("%+v, %s", d, told(d.Why))
	}
	// A point of no weight is not there.
	a.Y[3], a.W = 99, []float64{1, 1, 1, 0, 1, 1, 1, 1}
	if d := fitDecay(t, a); d.N != 7 || relative(d.Terms[0].Tau, 500) > 1e-6 {
		t.Errorf("with a point of no weight: %+v, %s", d, told(d.Why))
	}
}

func TestDecayCrossing(t *testing.T) {
	one := fitDecay(t, exactDecay(1, []Term{{Amplitude: 8, Tau: 30}}, 0, 20, func(int) float64 { return 2 })) // to 43.8 s
	rise := fitDecay(t, exactDecay(10, []Term{{Amplitude: -8, Tau: 30}}, 0, 20, func(int) float64 { return 2 }))
	// 10 exp(-t/50) - 9 exp(-t/10): rises from 1 to its top at 50/4 ln 4.5 = 18.8 s, then falls.
	hump := fitDecay(t, exactDecay(0, []Term{{Amplitude: -9, Tau: 10}, {Amplitude: 10, Tau: 50}}, 0, 60, func(int) float64 { return 2 }))
	for _, c := range []struct {
		name  string
		d     Decay
		level float64
		want  float64 // NaN: none
		why   string
		extra bool
	}{
		{"half", one, 5, 30 * math.Ln2, "", false},
		{"later", one, 1.5, 30 * math.Log(16), "", true},
		{"its end", one, 0.99, math.NaN(), "it stays above the level, and ends at 1", false},
		{"over it", one, 9.5, math.NaN(), "it stays below the level, and ends at 1", false},
		{"rise", rise, 6, 30 * math.Ln2, "", false},
		{"rise beyond", rise, 11, math.NaN(), "it stays below the level, and ends at 10", false},
		{"hump, going up", hump, 4, -1, "", false},
		{"hump, going down", hump, 0.5, -1, "", true},
		{"over the hump", hump, 9, math.NaN(), "it stays below the level", false},
	} {
		got := c.d.crossing(c.level)
		switch {
		case math.IsNaN(c.want):
			if got.X != nil || !strings.HasPrefix(*got.Why, c.why) {
				t.Errorf("%s: crossing is %+v, %s", c.name, got, told(got.Why))
			}
		case got.X == nil:
			t.Errorf("%s: no crossing: %s", c.name, *got.Why)
		case c.want >= 0 && relative(*got.X, c.want) > 1e-6 || got.Extrapolated != c.extra || math.Abs(c.d.at(*got.X)-c.level) > 1e-9:
			t.Errorf("%s: crossing at %v (extrapolated %v), want %v", c.name, *got.X, got.Extrapolated, c.want)
		}
	}
	if up := hump.crossing(4); *up.X > 18.8 {
		t.Errorf("the hump is crossed first at %v, want before its top", *up.X)
	}
}

func TestPowerRecovered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.Float64Range(0.01, 1000).Draw(t, "scale")
		exponent := rapid.Float64Range(-3, 4).Draw(t, "exponent")
		n := rapid.IntRange(2, 20).Draw(t, "n")
		var x, y []float64
		for i := range n {
			x = append(x, 0.05+float64(i)/float64(n))
			y = append(y, scale*math.Pow(x[i], exponent))
		}
		p, err := fitPower(x, y, nil)
		if err != nil || !p.Converged || relative(p.Scale, scale) > 1e-9 || math.Abs(p.Exponent-exponent) > 1e-9 {
			t.Fatalf("%v x^%v came out as %+v, %v", scale, exponent, p, err)
		}
		if (n > 2) != (p.UScale != nil) {
			t.Fatalf("u of %d points is %v", n, p.UScale)
		}
	})
}

// The curve may be near black, where noise makes y 0 or less, and x may be 0.
func TestPowerNearBlack(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	var x, y, exponents []float64
	for i := range 21 {
		x = append(x, float64(i)/20)
	}
	var stated []float64
	for range 300 {
		y = y[:0]
		for _, v := range x {
			y = append(y, 100*math.Pow(v, 2.2)+0.5*r.NormFloat64())
		}
		p, err := fitPower(x, y, nil)
		if err != nil || !p.Converged {
			t.Fatalf("%+v, %v", p, err)
		}
		exponents, stated = append(exponents, p.Exponent), append(stated, *p.UExponent)
	}
	if math.Abs(meanFloat(exponents)-2.2) > 0.003 || relative(sdFloat(exponents), meanFloat(stated)) > 0.15 {
		t.Errorf("exponent is %v, scatters by %v, stated %v", meanFloat(exponents), sdFloat(exponents), meanFloat(stated))
	}
}

func TestFitsRefuse(t *testing.T) {
	r := newRig()
	for body, want := range map[string]string{
		"stats.power { x = { 1, 2 }, y = { 1 } }":                                                 "stats.power: y has 1 number; it must have 2, as many as x",
		"stats.power { x = { 1, -2 }, y = { 1, 2 } }":                                             "stats.power: x[2] is -2; it must be 0 or more",
		"stats.power { x = { 1, 2 }, y = { 1, 2 }, weights = { 1 } }":                             "stats.power: weights has 1 number; it must have 2, as many as x",
		"stats.power { x = { 1, 1 }, y = { 1, 2 } }":                                              "stats.power: " + errNoPower.Error(),
		"stats.power { x = { 0, 1 }, y = { 1, 2 } }":                                              "stats.power: " + errNoPower.Error(),
		"stats.power { x = { 1, 2 }, y = { -1, 2 } }":                                             "stats.power: " + errNoPower.Error(),
		"stats.power { x = {}, y = {} }":                                                          "stats.power: " + errNoPower.Error(),
		"stats.decay { from = { 1 }, to = { 1, 2 }, y = { 1 } }":                                  "stats.decay: to has 2 numbers; it must have 1, as many as from",
		"stats.decay { from = { 1 }, to = { 2 }, y = {} }":                                        "stats.decay: y has 0 numbers; it must have 1, as many as from",
		"stats.decay { from = { 1 }, to = { 0.5 }, y = { 1 } }":                                   "stats.decay: to[1] is 0.5; it must be 1 or more, because from[1] is 1",
		"stats.decay { from = { 1, 2 }, to = { 2, 3 }, y = { 2, 1 } }":                            "stats.decay: y has 2 numbers with a weight above 0; it must have 4 or more",
		"stats.decay { from = { 1, 2 }, to = { 2, 3 }, y = { 2, 1 }, offset = 0 }":                "stats.decay: y has 2 numbers with a weight above 0; it must have 3 or more",
		"stats.decay { from = { 1, 2 }, to = { 2, 3 }, y = { 2, 1 }, terms = 3 }":                 "stats.decay: terms is 3; it must be a whole number from 1 to 2",
		"stats.decay { from = { 1, 1, 1, 1 }, to = { 1, 1, 1, 1 }, y = { 2, 1, 1, 1 } }":          "stats.decay: from is the same for every point; it must be at least two different times",
		"stats.decay { from = { 1, 2, 3, 4 }, to = { 1, 2, 3, 4 }, y = { 2, 1, 1, 1 }, w = { } }": `stats.decay has no argument "w"`,
		"stats.decay { from = { 1, 2 }, to = { 2, 3 }, y = { 2, 1 }, weights = { 1, 2, 3 } }":     "stats.decay: weights has 3 numbers; it must have 2, as many as from",
		"stats.decay { from = { 1, 2, 3, 4 }, to = { 1, 2, 3, 4 }, y = { 2, 1, 1, 1/0 } }":        "stats.decay: y[4] is inf; it must be a finite number",
	} {
		r.fails(t, body, want)
	}
}

func TestFitsInScripts(t *testing.T) {
	r := newRig()
	r.prints(t, `
local from, to, y = {}, {}, {}
for i = 1, 12 do
  from[i], to[i] = i * 5, i * 5 + 2
  y[i] = 3 + 4 * 15 / 2 * (math.exp(-from[i] / 15) - math.exp(-to[i] / 15))
end
local d = stats.decay { from = from, to = to, y = y }
print(string.format("%.6f %.6f %.6f", d.offset, d.terms[1].amplitude, d.terms[1].tau), #d.terms, d.converged, d.why, d.n)
print(string.format("%.6f %.6f", d:at(0), d:at(15 * math.log(4))))
local c = d:crossing(3.5)
print(string.format("%.6f", c.x / 15 / math.log(8)), c.extrapolated, c.why)
print(d:crossing(2).x, d:crossing(2).why)
local p = stats.power { x = { 0, 0.25, 0.5, 1 }, y = { 0, 6.25, 25, 100 } }
print(string.format("%.6f %.6f", p.scale, p.exponent), p.converged, p.n)
print(pcall(function() return d.tau end))`,
		"3.000000 4.000000 15.000000\t1\ttrue\tnil\t12\n7.000000 4.000000\n1.000000\tfalse\tnil\nnil\tit stays above the level, and ends at 3\n100.000000 2.000000\ttrue\t4\n"+
			"false\ta decay has no field \"tau\"")
}

// The budget counts fits: a loop of them ends.
func TestFitsCost(t *testing.T) {
	r := newRig()
	err := r.play(t, `
local t, y = {}, {}
for i = 1, 200 do t[i], y[i] = i, math.exp(-i / 50) + (i % 2) / 100 end
while true do stats.decay { from = t, to = t, y = y, terms = 2 } end`)
	if err == nil || !strings.Contains(err.Error(), sandbox.ErrBudget.Error()) {
		t.Errorf("a loop of fits ends with %v", err)
	}
}

func BenchmarkDecay(b *testing.B) {
	for _, terms := range []int{1, 2} {
		b.Run(fmt.Sprintf("terms=%d", terms), func(b *testing.B) {
			r := rand.New(rand.NewPCG(1, 1))
			a := exactDecay(1, []Term{{Amplitude: 5, Tau: 30}, {Amplitude: 2, Tau: 300}}[:terms], 5, 60, func(i int) float64 { return 1 + float64(i)/3 })
			for i := range a.Y {
				a.Y[i] += 0.01 * r.NormFloat64()
			}
			for b.Loop() {
				fitDecay(b, a)
			}
		})
	}
}

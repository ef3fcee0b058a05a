package builtins

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/stat"
)

// numAcc makes the data of a NumAcc set by its rule.
func numAcc(first, a, b float64) []float64 {
	list := []float64{first}
	for range 500 {
		list = append(list, a, b)
	}
	return list
}

// The certified values of the univariate sets that a rule makes. In doubles
// the data itself is rounded: that limits the deviation of the third to about
// 1e-9 and of the fourth to about 1e-8.
//
// Source: NIST Statistical Reference Datasets, univariate summary statistics,
// NumAcc1 to NumAcc4.
func TestStatsNIST(t *testing.T) {
	for _, c := range []struct {
		name            string
		data            []float64
		mean, sd        float64
		digits, digits2 float64 // relative
	}{
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 0, 0},
		{"NumAcc2", numAcc(1.2, 1.1, 1.3), 1.2, 0.1, 1e-15, 1e-14},
		{"NumAcc3", numAcc(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, 1e-15, 2e-9},
		{"NumAcc4", numAcc(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, 1e-15, 2e-8},
	} {
		if got := meanFloat(c.data); math.Abs(got-c.mean) > c.digits*c.mean {
			t.Errorf("%s: mean is %v, certified %v", c.name, got, c.mean)
		}
		if got := sdFloat(c.data); math.Abs(got-c.sd) > c.digits2*c.sd {
			t.Errorf("%s: standard deviation is %v, certified %v", c.name, got, c.sd)
		}
	}
}

func TestStatsAgainstGonum(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		n := 3 + r.IntN(20)
		x, y, w := make([]float64, n), make([]float64, n), make([]float64, n)
		offset := math.Pow(10, float64(r.IntN(7)))
		for i := range x {
			x[i], y[i], w[i] = offset+r.NormFloat64(), offset*3+r.NormFloat64(), 0.1+r.Float64()
		}
		if got, want := meanFloat(x), stat.Mean(x, nil); !scalar.EqualWithinRel(got, want, 1e-14) {
			t.Errorf("mean of %v is %v, gonum has %v", x, got, want)
		}
		for _, weights := range [][]float64{nil, w} {
			l, err := fitLine(x, y, weights)
			if err != nil {
				t.Fatal(err)
			}
			// gonum's own sums lose digits to the offset.
			alpha, beta := stat.LinearRegression(x, y, weights, false)
			if !scalar.EqualWithinAbsOrRel(l.Slope, beta, 1e-9*offset, 1e-9) || !scalar.EqualWithinAbsOrRel(l.Intercept, alpha, 1e-9*offset*offset, 1e-9) {
				t.Errorf("line is %+v, gonum has %v + %v x", l, alpha, beta)
			}
		}
		// The standard error of the slope by another way: r and the deviations.
		l, _ := fitLine(x, y, nil)
		rho := stat.Correlation(x, y, nil)
		want := math.Abs(stat.StdDev(y, nil)/stat.StdDev(x, nil)) * math.Sqrt((1-rho*rho)/float64(n-2))
		if !scalar.EqualWithinRel(*l.USlope, want, 1e-6) {
			t.Errorf("u of the slope is %v, by the correlation %v", *l.USlope, want)
		}
	}
}

// Source: JCGM 100:2008, annex H.3 (thermometer calibration, table H.6):
// θ = t - 20 °C and b; the intercept is -0.1712 with the standard uncertainty
// 0.0029, the slope 0.00218 with 0.00067. The table is from memory; that it gives the
// annex's results to all their digits speaks for it.
func TestLineJCGM100(t *testing.T) {
	x := []float64{1.521, 2.012, 2.512, 3.003, 3.507, 3.999, 4.513, 5.002, 5.503, 6.010, 6.511}
	y := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	l, err := fitLine(x, y, nil)
	if err != nil || !near(l.Intercept, -0.1712, 0.00005) || !near(l.Slope, 0.00218, 0.000005) || !near(*l.USlope, 0.00067, 0.000005) || !near(*l.UIntercept, 0.0029, 0.00005) {
		t.Errorf("line is %+v, u %v and %v, %v; want -0.1712, 0.00218, u 0.00067 and 0.0029", l, *l.USlope, *l.UIntercept, err)
	}
}

func TestLine(t *testing.T) {
	l, err := fitLine([]float64{1, 3}, []float64{2, 6}, nil)
	if err != nil || l.Slope != 2 || l.Intercept != 0 || l.USlope != nil || l.Rms != 0 {
		t.Errorf("line through two points is %+v, %v", l, err)
	}
	// A point of no weight is not there.
	l, err = fitLine([]float64{1, 2, 3}, []float64{2, 99, 6}, []float64{1, 0, 1})
	if err != nil || l.Slope != 2 || l.USlope != nil {
		t.Errorf("line with a point of no weight is %+v, %v", l, err)
	}
	// A weight of two is the point twice, but for the degrees of freedom.
	a, _ := fitLine([]float64{1, 2, 3, 4}, []float64{2, 5, 5, 9}, []float64{1, 2, 1, 1})
	b, _ := fitLine([]float64{1, 2, 2, 3, 4}, []float64{2, 5, 5, 5, 9}, nil)
	if !near(a.Slope, b.Slope, 1e-14) || !near(a.Intercept, b.Intercept, 1e-14) || !near(a.Rms, b.Rms, 1e-14) {
		t.Errorf("weighted %+v, repeated %+v", a, b)
	}
	for name, c := range map[string][3][]float64{
		"nothing": {}, "one point": {{1}, {1}}, "over one x": {{2, 2, 2}, {1, 2, 3}}, "no weight": {{1, 2}, {1, 2}, {0, 0}}, "one weight": {{1, 2}, {1, 2}, {0, 1}},
	} {
		if l, err := fitLine(c[0], c[1], c[2]); err == nil {
			t.Errorf("%s: line is %+v", name, l)
		}
	}
}

func TestStatsModule(t *testing.T) {
	r := newRig()
	r.prints(t, `print(stats.mean { 1, 2, 6 }, stats.sd { 1, 3 } ^ 2, stats.median { 5, 1, 3 }, stats.median { 4, 1, 3, 2 }, stats.mean { 7 }, stats.median { 7 })
local list = { 3, 1, 2 }
stats.median(list)
print(table.concat(list, " "))
local l = stats.line { x = { 0, 1, 2 }, y = { 1, 3, 5 } }
print(l.slope, l.intercept, l.u_slope, l.rms)
l = stats.line { x = { 0, 1 }, y = { 1, 3 }, weights = { 1, 2 } }
print(l.slope, l.u_slope)`, "3\t2\t3\t2.5\t7\t7\n3 1 2\n2\t1\t0\t0\n2\tnil")
	for body, want := range map[string]string{
		"stats.mean {}":                    "stats.mean: list has 0 numbers; it must have 1 or more",
		"stats.sd { 1 }":                   "stats.sd: list has 1 number; it must have 2 or more",
		"stats.median()":                   "stats.median: list is missing; it must be a list of numbers",
		"stats.mean { 1, 0/0 }":            "stats.mean: list[2] is nan; it must be a finite number",
		"stats.mean { 1, '2' }":            `stats.mean: list[2] is "2"; it must be a number`,
		"stats.mean(1, 2)":                 "stats.mean: list is 1; it must be a list of numbers",
		"stats.line { x = { 1 }, y = {} }": "stats.line: y has 0 numbers; it must have 1, as many as x",
		"stats.line { x = { 1 }, y = { 1 }, weights = {} }":              "stats.line: weights has 0 numbers; it must have 1, as many as x",
		"stats.line { x = { 1, 2 }, y = { 1, 2 }, weights = { 1, -1 } }": "stats.line: weights[2] is -1; it must be 0 or more",
		"stats.line { x = { 1, 1 }, y = { 1, 2 } }":                      "all points have the same x; a line needs at least two different ones",
		"stats.line { x = { 1, 1 } }":                                    "stats.line: y is missing; it must be a list of numbers",
	} {
		r.fails(t, body, want)
	}
}

// Sources: SMPTE ST 2084:2014 (signal of 100 cd/m² 0.5081, of 1000 cd/m²
// 0.7518; four places, from memory), IEC 61966-2-1:1999 (signal 0.5 is 0.2140
// of white), Recommendation ITU-R BT.1886 annex 1 (its ends are white and
// black; with a black of 0 it is a power of 2.4).
func TestColourModule(t *testing.T) {
	r := newRig()
	r.prints(t, `print(string.format("%.4f %.4f %.0f %.0f", colour.luminance_to_pq(100), colour.luminance_to_pq(1000), colour.pq_to_luminance(1), colour.pq_to_luminance(0)))
print(string.format("%.4f", colour.srgb_to_light(0.5)), colour.srgb_to_light(0), colour.srgb_to_light(1))
print(string.format("%.9f %.9f %.9f", colour.bt1886 { signal = 1, white = 100, black = 0.1 }, colour.bt1886 { signal = 0, white = 100, black = 0.1 }, colour.bt1886 { signal = 0.5, white = 100 }))
print(string.format("%.6f", colour.delta_uv(0.1978, 0.4683, 0.2008, 0.4723)))`,
		fmt.Sprintf("0.5081 0.7518 10000 0\n0.2140\t0\t1\n100.000000000 0.100000000 %.9f\n0.005000", 100*math.Pow(0.5, 2.4)))
	for body, want := range map[string]string{
		"colour.pq_to_luminance(1.1)":                         "colour.pq_to_luminance: signal is 1.1; it must be 0 to 1",
		"colour.luminance_to_pq(10001)":                       "colour.luminance_to_pq: luminance is 10001; it must be 10000 cd/m2 or less",
		"colour.srgb_to_light('0.5')":                         `colour.srgb_to_light: signal is "0.5"; it must be 0 to 1`,
		"colour.delta_uv(0.1, 0.2, 0.3)":                      "colour.delta_uv: v2 is missing; it must be a number",
		"colour.bt1886 { signal = 1, white = 0 }":             "colour.bt1886: white is 0; it must be more than 0 cd/m2",
		"colour.bt1886 { signal = 1, white = 1, black = -1 }": "colour.bt1886: black is -1; it must be 0 cd/m2 or more",
	} {
		r.fails(t, body, want)
	}
	if err := r.play(t, "colour.bt1886 { signal = 1, white = 1, black = 2 }"); err == nil || !strings.Contains(err.Error(), "colour.bt1886") {
		t.Errorf("a black above white: %v", err)
	}
}

// NIST Statistical Reference Datasets, univariate summary statistics, NumAcc1 to
// NumAcc4: mean and standard deviation as certified. The
// doubles in which the data are given know the last two only to 1e-9 and 1e-8.
func TestCertifiedStatistics(t *testing.T) {
	alternating := func(first, low, high float64) []float64 {
		all := []float64{first}
		for range 500 {
			all = append(all, low, high)
		}
		return all
	}
	for _, c := range []struct {
		name      string
		data      []float64
		mean, sd  float64
		tolerance float64
	}{
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 1e-15},
		{"NumAcc2", alternating(1.2, 1.1, 1.3), 1.2, 0.1, 1e-14},
		{"NumAcc3", alternating(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, 1e-9},
		{"NumAcc4", alternating(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, 1e-8},
	} {
		if got := meanFloat(c.data); math.Abs(got/c.mean-1) > 1e-15 {
			t.Errorf("%s: mean is %.17g, want %.17g", c.name, got, c.mean)
		}
		if got := sdFloat(c.data); math.Abs(got/c.sd-1) > c.tolerance {
			t.Errorf("%s: standard deviation is %.17g, want %.17g within %g", c.name, got, c.sd, c.tolerance)
		}
	}
}

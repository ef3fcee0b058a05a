package draw

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// The worked examples of JCGM 100:2008 (annex H) and JCGM 101:2008 (clause 9),
// by draws of this package. All their data and results are from memory; that the
// data give the printed results to all their digits speaks for them. 400,000 draws know u to
// 0.1 % (normal) and an end of 95 % to some 0.3 % of u.
const exampleDraws = 400_000

// input is a quantity's estimate and the deviation of a draw.
type input struct {
	estimate float64
	draw     func(draw int) float64
}

func gaussian(name string, estimate, u float64) input {
	k := NewKey("example").Text(name)
	return input{estimate, func(i int) float64 { return estimate + u*k.normal(i) }}
}

func rectangular(name string, low, high float64) input {
	k := NewKey("example").Text(name)
	middle, half := (low+high)/2, (high-low)/2
	return input{middle, func(i int) float64 { return middle + half*k.rectangular(i) }}
}

// propagate draws a model of some inputs.
func propagate(model func(x []float64) float64, inputs ...input) (estimate float64, draws []float64) {
	x := make([]float64, len(inputs))
	for i, in := range inputs {
		x[i] = in.estimate
	}
	estimate = model(x)
	return estimate, numbers(exampleDraws, func(j int) float64 {
		for i, in := range inputs {
			x[i] = in.draw(j)
		}
		return model(x)
	})
}

// shortest is the shortest interval that holds 95 % of the draws, [JCGM101], 7.7.4.
func shortest95(draws []float64) (low, high float64) {
	s := slices.Clone(draws)
	slices.Sort(s)
	q, best := len(s)*95/100, math.Inf(1)
	for i := range len(s) - q {
		if w := s[i+q] - s[i]; w < best {
			low, high, best = s[i], s[i+q], w
		}
	}
	return low, high
}

func sum(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}

func near(got, want, within float64) bool { return math.Abs(got-want) <= within }

// JCGM 101, 9.2: additive models of four inputs.
func TestAdditive(t *testing.T) {
	r3 := math.Sqrt(3)
	for _, c := range []struct {
		name    string
		inputs  []input
		u, high float64
	}{
		{"9.2.2 normal", []input{gaussian("a", 0, 1), gaussian("b", 0, 1), gaussian("c", 0, 1), gaussian("d", 0, 1)}, 2.00, 3.92},
		{"9.2.3 rectangular", []input{rectangular("a", -r3, r3), rectangular("b", -r3, r3), rectangular("c", -r3, r3), rectangular("d", -r3, r3)}, 2.00, 3.88},
		{"9.2.4 one of them ten times as wide", []input{rectangular("a", -r3, r3), rectangular("b", -r3, r3), rectangular("c", -r3, r3), rectangular("d", -10*r3, 10*r3)}, 10.1, 17.0},
	} {
		y, draws := propagate(sum, c.inputs...)
		got, err := EvaluateWithin(y, draws, Unlimited)
		tolerance := 0.006 * c.u // half a unit of the printed 2.00 is 0.005
		if err != nil || got.Method != Percentile || !near(got.U, c.u, tolerance) || !near(got.High, c.high, 2*tolerance) || !near(got.Low, -c.high, 2*tolerance) {
			t.Errorf("%s: %+v, %v; want u %v, ± %v", c.name, got, err, c.u, c.high)
		}
	}
}

// JCGM 101, 9.3: calibration of a weight, in mg from 100 g. The printed draws (fewer
// than a million) have u = 0.0754 and the shortest interval [1.0834, 1.3825]; the
// first-order law has 0.0539. In closed form u² is
//
//	0.05² + 0.02² + 10¹⁰ · 0.1²/3 · (Var 1/ρ₁ + Var 1/ρ₂ + (E 1/ρ₁ - E 1/ρ₂)²) = 0.07548²
//
// with E 1/ρ = ln(b/a)/(b - a) and E 1/ρ² = 1/(ab). Where a shortest interval lies is less
// certain than how wide it is.
func TestMassCalibration(t *testing.T) {
	y, draws := propagate(func(x []float64) float64 {
		return (100_000+x[0]+x[1])*(1+(x[2]-1.2)*(1/x[3]-1/x[4])) - 100_000
	},
		gaussian("reference weight, mg", 0, 0.050), gaussian("added weight, mg", 1.234, 0.020),
		rectangular("air, kg/m³", 1.10, 1.30), rectangular("weight, kg/m³", 7000, 9000), rectangular("reference, kg/m³", 7950, 8050))
	got, err := Evaluate(y, draws)
	if err != nil || !near(y, 1.2340, 5e-5) || !near(got.U, 0.07548, 2e-4) || got.Method != Percentile {
		t.Errorf("%+v, %v", got, err)
	}
	low, high := shortest95(draws)
	if !near(high-low, 1.3825-1.0834, 0.0015) || !near(low, 1.0834, 0.004) || !near(got.High-got.Low, high-low, 0.001) {
		t.Errorf("shortest interval is %.4f to %.4f, by percentiles %.4f to %.4f; want 1.0834 to 1.3825", low, high, got.Low, got.High)
	}
}

// JCGM 101, 9.4: the loss of comparison δ = x₁² + x₂² in a microwave
// calibration, with u = 0.005 each, in 10⁻⁶. Mean and u by 9.4.2's closed forms
// (annex F: x₁² + x₂² + 2u², u² = 4u²(x₁² + x₂²) + 4u⁴), shortest intervals of table 6.
func TestComparisonLoss(t *testing.T) {
	for _, c := range []struct{ x, mean, u, low, high float64 }{
		{0, 50, 50, 0, 150},
		{0.010, 150, 112, 0, 367},
		{0.050, 2550, 502, 1590, 3543},
	} {
		_, draws := propagate(func(x []float64) float64 { return 1e6 * (x[0]*x[0] + x[1]*x[1]) }, gaussian("x₁", c.x, 0.005), gaussian("x₂", 0, 0.005))
		mean, sd := moments(draws)
		low, high := shortest95(draws)
		if !near(mean, c.mean, 0.004*c.u+0.5) || !near(sd, c.u, 0.004*c.u+0.5) || !near(low, c.low, 0.02*c.u) || !near(high, c.high, 0.02*c.u) {
			t.Errorf("x₁ = %v: mean %.1f, u %.1f, %.0f to %.0f; want %v, %v, %v to %v", c.x, mean, sd, low, high, c.mean, c.u, c.low, c.high)
		}
	}
}

// What that example is to a display: a loss that is nothing, read with errors, is
// never read as nothing. The estimate lies where it may, the interval holds 0.
func TestComparisonLossFromAReading(t *testing.T) {
	y, draws := propagate(func(x []float64) float64 { return x[0]*x[0] + x[1]*x[1] }, gaussian("x₁", 0.004, 0.005), gaussian("x₂", -0.005, 0.005))
	got, err := Evaluate(y, draws)
	if err != nil || got.Low != 0 || got.Method == Percentile || !near(got.Bias, y, 0.2*y) {
		t.Errorf("%+v, %v; want a bias of about all of %v", got, err, y)
	}
}

// JCGM 100, H.1: end gauge, nm beside 50 mm. First order 32 nm, with the
// second-order terms 34 nm (H.1.7); draws hold all orders.
func TestEndGauge(t *testing.T) {
	const nominal = 50_000_000. // nm
	k := NewKey("example").Text("cyclic temperature")
	temperature := gaussian("mean temperature, °C", -0.1, 0.2)
	cyclic := input{-0.1, func(i int) float64 { return temperature.draw(i) + 0.5*math.Sin(math.Pi*k.rectangular(i)) }} // an arcsine distribution: u 0.35, together 0.41
	standard, difference := gaussian("standard, nm", 623, 25), gaussian("difference, nm", 215, 9.7)
	y, draws := propagate(func(x []float64) float64 {
		length := nominal + x[0]
		return x[0] + x[1] - length*(x[2]*x[3]+x[4]*x[5])
	}, standard, difference, rectangular("δα, 1/K", -1e-6, 1e-6), cyclic, rectangular("α, 1/K", 9.5e-6, 13.5e-6), rectangular("δθ, K", -0.05, 0.05))
	got, err := Evaluate(y, draws)
	if err != nil || !near(y, 838, 0.5) || !near(got.U, 34, 0.5) || got.Method != Percentile {
		t.Errorf("%+v, %v; want 838 and 34 nm", got, err)
	}
}

// JCGM 100, H.2: resistance and reactance measured at once: five sets of V, I
// and φ, whose means correlate. A spread's draws are those of three numbers, whatever
// they are: Y, X, Z stand for V in V, I in mA and φ in rad. The annex propagates
// normal variables, so that the degrees of freedom are taken to be infinite.
func TestResistanceAndReactance(t *testing.T) {
	v := []float64{5.007, 4.994, 5.005, 4.990, 4.999}
	i := []float64{19.663, 19.639, 19.640, 19.685, 19.678}
	phi := []float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433}
	sets := make([]XYZ, len(v))
	for j := range sets {
		sets[j] = XYZ{Y: v[j], X: i[j], Z: phi[j]}
	}
	spread := spreadOf(sets)
	spread.dof = math.Inf(1)
	scatter, mean, k := spread.mean(5), MeanOf(sets), NewKey("example").Text("impedance")
	var r, x, z []float64
	for j := range exampleDraws {
		d := mean.plus(scatter.draw(k, j))
		impedance := d.Y / d.X * 1000
		r, x, z = append(r, impedance*math.Cos(d.Z)), append(x, impedance*math.Sin(d.Z)), append(z, impedance)
	}
	impedance := mean.Y / mean.X * 1000
	for _, c := range []struct {
		name        string
		draws       []float64
		estimate, y float64
		u           float64
	}{
		{"R", r, impedance * math.Cos(mean.Z), 127.732, 0.071},
		{"X", x, impedance * math.Sin(mean.Z), 219.847, 0.295},
		{"Z", z, impedance, 254.260, 0.236},
	} {
		got, err := Evaluate(c.estimate, c.draws)
		if err != nil || !near(c.estimate, c.y, 0.0005) || !near(got.U, c.u, 0.001) || got.Method != Percentile {
			t.Errorf("%s: %+v, %v; want %v and %v ohm", c.name, got, err, c.y, c.u)
		}
	}
	for _, c := range []struct {
		name string
		a, b []float64
		want float64
	}{{"R and X", r, x, -0.588}, {"R and Z", r, z, -0.485}, {"X and Z", x, z, 0.993}} {
		if got := stat.Correlation(c.a, c.b, nil); !near(got, c.want, 0.005) {
			t.Errorf("correlation of %s is %.4f, want %v", c.name, got, c.want)
		}
	}
}

// JCGM 100, H.3: calibration of a thermometer: a line through 11 corrections,
// each drawn with the residual standard deviation, and fitted again: as the
// engine replays a script that fits. Intercept -0.1712 with 0.0029, slope 0.00218 with
// 0.00067, their correlation -0.930, at 30 °C -0.1494 with 0.0041.
func TestThermometer(t *testing.T) {
	x := []float64{1.521, 2.012, 2.512, 3.003, 3.507, 3.999, 4.513, 5.002, 5.503, 6.010, 6.511}
	y := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	intercept, slope := stat.LinearRegression(x, y, nil, false)
	rest := 0.
	for i := range x {
		rest += math.Pow(y[i]-intercept-slope*x[i], 2)
	}
	residual := math.Sqrt(rest / float64(len(x)-2))
	if !near(residual, 0.0035, 0.00005) {
		t.Errorf("residual is %v, want 0.0035", residual)
	}
	const n = 200_000
	a, b, at30 := make([]float64, n), make([]float64, n), make([]float64, n)
	drawn := make([]float64, len(y))
	for j := range n {
		for i := range y {
			drawn[i] = y[i] + residual*NewKey("example").Text("thermometer").Number(i).normal(j)
		}
		a[j], b[j] = stat.LinearRegression(x, drawn, nil, false)
		at30[j] = a[j] + 10*b[j]
	}
	for _, c := range []struct {
		name            string
		estimate, y, u  float64
		draws           []float64
		digit, digitOfU float64
	}{
		{"intercept", intercept, -0.1712, 0.0029, a, 0.00005, 0.00005},
		{"slope", slope, 0.00218, 0.00067, b, 0.000005, 0.000005},
		{"at 30 °C", intercept + 10*slope, -0.1494, 0.0041, at30, 0.00005, 0.00005},
	} {
		got, err := Evaluate(c.estimate, c.draws)
		if err != nil || !near(c.estimate, c.y, c.digit) || !near(got.U, c.u, c.digitOfU*1.2) || got.Method != Percentile {
			t.Errorf("%s: %+v, %v; want %v with %v", c.name, got, err, c.y, c.u)
		}
	}
	if got := stat.Correlation(a, b, nil); !near(got, -0.930, 0.003) {
		t.Errorf("correlation of intercept and slope is %v, want -0.930", got)
	}
}

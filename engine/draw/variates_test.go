package draw

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

func numbers(n int, at func(int) float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = at(i)
	}
	return out
}

// The quantile against gonum's (another code), log and exp against the
// standard library's.
func TestArithmetic(t *testing.T) {
	probabilities := []float64{0x1p-53, 1e-15, 1e-12, 1.3e-11, 1.4e-11, 1e-5, 0.01, 0.0749, 0.0751, 0.3, 0.5, 0.7, 0.9249, 0.9251, 0.999, 1 - 0x1p-53}
	for i := range 100000 {
		probabilities = append(probabilities, NewKey("p").uniform(i))
	}
	for _, p := range probabilities {
		if got, want := normalQuantile(p), distuv.UnitNormal.Quantile(p); math.Abs(got-want) > 1e-14*math.Max(1, math.Abs(want)) {
			t.Fatalf("quantile of %v is %v, gonum has %v", p, got, want)
		}
		if got, want := log(p), math.Log(p); math.Abs(got-want) > 5e-16*math.Abs(want) {
			t.Fatalf("log(%v) is %v, the library has %v", p, got, want)
		}
		x := 700 * (2*p - 1)
		if got, want := exp(x), math.Exp(x); math.Abs(got-want) > 1e-15*want {
			t.Fatalf("exp(%v) is %v, the library has %v", x, got, want)
		}
	}
	if exp(-800) != 0 || log(1) != 0 || exp(0) != 1 || log(0x1p-1000) != -1000*math.Ln2 {
		t.Errorf("exp(-800) = %v, log(1) = %v, exp(0) = %v, log(2⁻¹⁰⁰⁰) = %v", exp(-800), log(1), exp(0), log(0x1p-1000))
	}
}

// kolmogorov is the largest difference between the distribution of numbers and
// a distribution function, times √n.
func kolmogorov(numbers []float64, below func(float64) float64) float64 {
	x := slices.Clone(numbers)
	slices.Sort(x)
	n, d := float64(len(x)), 0.
	for i, v := range x {
		p := below(v)
		d = max(d, math.Abs(p-float64(i)/n), math.Abs(float64(i+1)/n-p))
	}
	return d * math.Sqrt(n)
}

// Kolmogorov and Smirnov's test at the level of 0.1 %, by which D√n is below
// 1.949: G. Marsaglia, W. W. Tsang and J. Wang, "Evaluating Kolmogorov's
// distribution", J. Stat. Softw. 8 (2003) 18, the limit for large n, from memory:
// 2 exp(-2 · 1.949²) = 0.001. The distribution functions are gonum's. Keys are
// fixed, so that it holds or not for ever.
func TestDistributions(t *testing.T) {
	const critical = 1.949
	k := NewKey("distributions")
	for _, c := range []struct {
		name  string
		at    func(int) float64
		below func(float64) float64
	}{
		{"uniform", k.uniform, distuv.Uniform{Min: 0, Max: 1}.CDF},
		{"rectangular", k.rectangular, distuv.Uniform{Min: -1, Max: 1}.CDF},
		{"normal", k.normal, distuv.UnitNormal.CDF},
		{"normal, over steps", func(i int) float64 { return NewKey("s").Number(i).normal(0) }, distuv.UnitNormal.CDF},
		{"normal, over names", func(i int) float64 { return NewKey(fmt.Sprint("meter ", i)).normal(7) }, distuv.UnitNormal.CDF},
		{"normal, over parts", func(i int) float64 { return k.part(i).normal(7) }, distuv.UnitNormal.CDF},
		{"χ² 1", chi(k, 1), distuv.ChiSquared{K: 1}.CDF},
		{"χ² 1.5", chi(k, 1.5), distuv.ChiSquared{K: 1.5}.CDF},
		{"χ² 2", chi(k, 2), distuv.ChiSquared{K: 2}.CDF},
		{"χ² 4", chi(k, 4), distuv.ChiSquared{K: 4}.CDF},
		{"χ² 49.5", chi(k, 49.5), distuv.ChiSquared{K: 49.5}.CDF},
		{"t 1", student(k, 1), distuv.StudentsT{Sigma: 1, Nu: 1}.CDF},
		{"t 2", student(k, 2), distuv.StudentsT{Sigma: 1, Nu: 2}.CDF},
		{"t 4", student(k, 4), distuv.StudentsT{Sigma: 1, Nu: 4}.CDF},
		{"t 30", student(k, 30), distuv.StudentsT{Sigma: 1, Nu: 30}.CDF},
		{"t ∞", student(k, math.Inf(1)), distuv.UnitNormal.CDF},
	} {
		if d := kolmogorov(numbers(100000, c.at), c.below); !(d < critical) {
			t.Errorf("%s: D√n is %.3f, want below %v", c.name, d, critical)
		}
	}
}

func chi(k Key, dof float64) func(int) float64 {
	return func(i int) float64 { return k.chiSquare(dof, i) }
}

// studentT is a number of the t distribution as meanScatter.draw has it.
func studentT(k Key, dof float64, draw int) float64 {
	return k.normal(draw) * k.part(1).tScale(dof, draw)
}

func student(k Key, dof float64) func(int) float64 {
	return func(i int) float64 { return studentT(k, dof, i) }
}

// The first four moments of a million normal numbers are 0, 1, 0 and 3 within
// four of their standard errors: 1/√n, √(2/n), √(15/n), √(96/n).
func TestNormalMoments(t *testing.T) {
	const n = 1_000_000
	k := NewKey("moments")
	var m [5]float64
	for i := range n {
		x, p := k.normal(i), 1.
		for j := range m {
			m[j] += p / n
			p *= x
		}
	}
	for _, c := range []struct {
		moment         int
		want, variance float64
	}{{1, 0, 1}, {2, 1, 2}, {3, 0, 15}, {4, 3, 96}} {
		if d := (m[c.moment] - c.want) / math.Sqrt(c.variance/n); math.Abs(d) > 4 {
			t.Errorf("moment %d is %v, %.1f standard errors from %v", c.moment, m[c.moment], d, c.want)
		}
	}
}

// Neighbours have nothing to do with each other: the correlations of normal
// numbers, and of their squares, between neighbouring draws, steps, parts and
// names are within 4/√n.
func TestNeighboursAreIndependent(t *testing.T) {
	const n = 100_000
	k := NewKey("neighbours")
	for _, c := range []struct {
		name string
		a, b func(int) float64
	}{
		{"next draw", k.normal, func(i int) float64 { return k.normal(i + 1) }},
		{"eighth draw", k.normal, func(i int) float64 { return k.normal(i + 8) }},
		{"next part", k.normal, k.part(1).normal},
		{"second part", k.normal, k.part(2).normal},
		{"next step", k.Number(7).normal, k.Number(8).normal},
		{"next step, same draw", func(i int) float64 { return k.Number(i).normal(5) }, func(i int) float64 { return k.Number(i + 1).normal(5) }},
		{"step as draw", func(i int) float64 { return k.Number(i).normal(5) }, k.Number(5).normal},
		{"next name", k.Text("meter 1").normal, k.Text("meter 2").normal},
		{"normal and its χ²", k.normal, func(i int) float64 { return k.part(1).chiSquare(4, i) }},
		{"a component and its run", NewKey("scale").Text("a").normal, NewKey("xy").Text("a").normal},
	} {
		a, b := numbers(n, c.a), numbers(n, c.b)
		for _, square := range []bool{false, true} {
			if square {
				a, b = numbers(n, func(i int) float64 { return a[i] * a[i] }), numbers(n, func(i int) float64 { return b[i] * b[i] })
			}
			if r := stat.Correlation(a, b, nil); math.Abs(r) > 4/math.Sqrt(n) {
				t.Errorf("%s, squares %v: correlation is %.4f", c.name, square, r)
			}
		}
	}
}

// The correlations of 60 keys in 1000 draws, as a replay has them: 1770 pairs,
// whose r√n is standard normal, by Kolmogorov and Smirnov.
func TestKeysTogether(t *testing.T) {
	const keys, draws = 60, 1000
	columns := make([][]float64, keys)
	for i := range columns {
		columns[i] = numbers(draws, NewKey("scatter").Text("run").Number(i).normal)
	}
	var r []float64
	for i := range columns {
		for j := range i {
			r = append(r, stat.Correlation(columns[i], columns[j], nil)*math.Sqrt(draws))
		}
	}
	if d := kolmogorov(r, distuv.UnitNormal.CDF); d > 1.949 {
		t.Errorf("correlations of keys: D√n is %.3f", d)
	}
}

func TestDegreesOfFreedomBelowOnePanic(t *testing.T) {
	for _, dof := range []float64{0, 0.99, -1, math.NaN()} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("χ² of %v does not panic", dof)
				}
			}()
			NewKey("a").chiSquare(dof, 0)
		}()
	}
}

func TestNoAllocation(t *testing.T) {
	r := fullReading()
	n := testing.AllocsPerRun(100, func() {
		k := NewKey("scatter").Text("run").Number(3)
		sink += studentT(k, 4, 1) + r.draw(5).Apply(r.Mean).Y
	})
	if n != 0 {
		t.Errorf("a drawn reading allocates %v times", n)
	}
}

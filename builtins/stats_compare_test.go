package builtins

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Extra hours of sleep by two drugs, ten patients: the first use of the t test.
//
// Source: "Student", The probable error of a mean, Biometrika 6 (1908), whose
// mean difference is 1.58; t = 4.0621 and the interval 0.7001 to 2.4599 are those
// of common statistics packages for these data. All from memory.
func TestPairedStudent(t *testing.T) {
	a := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	b := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0}
	p, err := paired(nil, pairedArgs{A: a, B: b})
	if err != nil || p.N != 10 || !near(p.Mean, 1.58, 1e-12) || !near(*p.T, 4.0621, 5e-5) || !near(*p.Low, 0.7001142, 5e-8) || !near(*p.High, 2.4598858, 5e-8) || p.UStated != nil {
		t.Errorf("%+v, t %v, %v to %v, %v", p, *p.T, *p.Low, *p.High, err)
	}
}

func TestPaired(t *testing.T) {
	r := newRig()
	r.prints(t, `local p = stats.paired { a = { 5 }, b = { 3 } }
print(p.n, p.mean, p.sd, p.u, p.u_stated, p.t, p.low, p.high)
p = stats.paired { a = { 5 }, b = { 3 }, u_a = { 3 }, u_b = { 4 } }
print(p.mean, p.u, p.u_stated, p.t, string.format("%.4f %.4f", p.low, p.high))
p = stats.paired { a = { 5, 6 }, b = { 3, 4 }, u_b = { 3, 4 } }
print(p.mean, p.sd, p.u, p.u_stated, p.t, p.low, p.high)`,
		"1\t2\tnil\tnil\tnil\tnil\tnil\tnil\n2\tnil\t5\tnil\t-7.7998 11.7998\n2\t0\t0\t2.5\tnil\t2\t2")
	for body, want := range map[string]string{
		"stats.paired { a = {}, b = {} }":                                              "stats.paired: a has 0 numbers; it must have 1 or more",
		"stats.paired { a = { 1 }, b = {} }":                                           "stats.paired: b has 0 numbers; it must have 1, as many as a",
		"stats.paired { a = { 1 }, b = { 1 }, u_a = { 1, 2 } }":                        "stats.paired: u_a has 2 numbers; it must have 1, as many as a",
		"stats.paired { a = { 1 }, b = { 1 }, u_b = { -1 } }":                          "stats.paired: u_b[1] is -1; it must be 0 or more",
		"stats.monotonic { y = { 1 } }":                                                "stats.monotonic: y has 1 number; it must have 2 or more",
		"stats.monotonic { y = { 1, 2 }, u = { 1 } }":                                  "stats.monotonic: u has 1 number; it must have 2, as many as y",
		"stats.monotonic { y = { 1, 2 }, u = { 1, -1 } }":                              "stats.monotonic: u[2] is -1; it must be 0 or more",
		"stats.percentile({}, 5)":                                                      "stats.percentile: list has 0 numbers; it must have 1 or more",
		"stats.percentile({ 1 }, 101)":                                                 "stats.percentile: p is 101; it must be 0 to 100 %",
		"stats.percentile({ 1 })":                                                      "stats.percentile: p is missing; it must be 0 to 100 %",
		"stats.crossing { x = { 1, 2 }, y = { 1 }, level = 1 }":                        "stats.crossing: y has 1 number; it must have 2, as many as x",
		"stats.crossing { x = { 1, 2 }, y = { 1, 2 } }":                                "stats.crossing: level is missing; it must be a number",
		"stats.crossing { x = { 1, 1 }, y = { 1, 2 }, level = 1 }":                     "stats.crossing: " + errNoLine.Error(),
		"stats.crossing { x = { 1, 2 }, y = { 1, 2 }, level = 1, weights = { 1 } }":    "stats.crossing: weights has 1 number; it must have 2, as many as x",
		"stats.crossing { x = { 1, 2 }, y = { 1, 2 }, level = 1, weights = { 0, 0 } }": "stats.crossing: " + errNoLine.Error(),
	} {
		r.fails(t, body, want)
	}
}

// An interval of 95 % holds the true difference 95 times of 100.
func TestPairedCovers(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	const tries = 4000
	covered := 0
	for range tries {
		a, b := make([]float64, 4), make([]float64, 4)
		for i := range a {
			shared := 100 * r.NormFloat64() // cancels
			a[i], b[i] = shared+2+r.NormFloat64(), shared+r.NormFloat64()
		}
		p, err := paired(nil, pairedArgs{A: a, B: b})
		if err != nil {
			t.Fatal(err)
		}
		if *p.Low <= 2 && 2 <= *p.High {
			covered++
		}
	}
	if share := float64(covered) / tries; math.Abs(share-0.95) > 0.012 {
		t.Errorf("the interval covers %.3f of the time, want 0.95", share)
	}
}

// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.2: of these 12
// measurements the 90th percentile is 95.1981 (from memory).
func TestPercentileNIST(t *testing.T) {
	list := []float64{95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610, 95.1591, 95.1195, 95.1065, 95.0925, 95.1990, 95.1682}
	before := slices.Clone(list)
	if got, err := percentile(nil, percentileArgs{list, 90}); err != nil || !near(got, 95.1981, 5e-5) {
		t.Errorf("90th percentile is %v, %v; want 95.1981", got, err)
	}
	if !slices.Equal(list, before) {
		t.Error("the list was put in order")
	}
	r := newRig()
	r.prints(t, "print(stats.percentile({ 3, 1, 2 }, 0), stats.percentile({ 3, 1, 2 }, 50), stats.percentile({ 3, 1, 2 }, 100), stats.percentile({ 7 }, 20))", "1\t2\t3\t7")
}

func TestMonotonic(t *testing.T) {
	r := newRig()
	r.prints(t, `
local function say(m) print(m.rises, table.concat(m.falls, " "), "/", table.concat(m.merges, " ")) end
say(stats.monotonic { y = { 0, 1, 2 } })
say(stats.monotonic { y = { 0, 1, 1, 0.5, 3 } })
say(stats.monotonic { y = { 0, 1, 2 }, u = { 0.5, 0.5, 0.1 } })
say(stats.monotonic { y = { 0, 1, 0.9, 5, 2 }, u = { 0.1, 0.1, 0.1, 0.1, 0.1 } })
say(stats.monotonic { y = { 0, 1, 0.7, 5, 2 }, u = { 0.1, 0.1, 0.1, 0.1, 0.1 }, coverage = 2 })
say(stats.monotonic { y = { 0, 1 }, u = { 0.3, 0.4 }, coverage = 2 })`,
		"true\t\t/\t\nfalse\t3\t/\t2\nfalse\t\t/\t1 2\nfalse\t4\t/\t2\nfalse\t2 4\t/\t\nfalse\t\t/\t1")
}

// The nearest rising series by another way: it is the solution of no simple
// formula, but its heights are the largest of the least means,
//
//	max over i ≤ k of min over j ≥ k of the mean of points i to j.
//
// Source: Barlow and others (1972), max-min formula (from memory).
func TestMonotoneIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 12).Draw(t, "n")
		var x, y, w []float64
		for i := range n {
			x = append(x, float64(i))
			y = append(y, rapid.Float64Range(-5, 5).Draw(t, "y"))
			w = append(w, rapid.Float64Range(0.1, 3).Draw(t, "w"))
		}
		blocks := monotone(x, y, w)
		at := func(k int) float64 { // the height over point k
			total := 0.0
			for _, b := range blocks {
				if total += b.w; total > sum(w[:k+1])-1e-9 {
					return b.y
				}
			}
			return math.NaN()
		}
		for k := range n {
			best := math.Inf(-1)
			for i := 0; i <= k; i++ {
				least := math.Inf(1)
				for j := k; j < n; j++ {
					least = math.Min(least, dot(y[i:j+1], w[i:j+1])/sum(w[i:j+1]))
				}
				best = math.Max(best, least)
			}
			if !near(at(k), best, 1e-9) {
				t.Fatalf("height over point %d is %v, want %v: %+v", k, at(k), best, blocks)
			}
		}
	})
}

func TestCrossing(t *testing.T) {
	r := newRig()
	r.prints(t, `
local function say(c) print(c.x, c.why, c.extrapolated) end
say(stats.crossing { x = { 0, 10, 20 }, y = { 100, 50, 0 }, level = 75 })
say(stats.crossing { x = { 20, 0, 10 }, y = { 0, 100, 50 }, level = 50 })
say(stats.crossing { x = { 0, 10, 20 }, y = { 0, 50, 100 }, level = 25 })
say(stats.crossing { x = { 0, 10, 20 }, y = { 0, 50, 100 }, level = 101 })
say(stats.crossing { x = { 0, 10, 20 }, y = { 0, 50, 100 }, level = -1 })
say(stats.crossing { x = { 0, 10, 20 }, y = { 100, 50, 10 }, level = 5 })
say(stats.crossing { x = { 0, 10, 20 }, y = { 100, 50, 10 }, level = 101 })
say(stats.crossing { x = { 0, 10, 20 }, y = { 100, 50, 10 }, level = 100 })
say(stats.crossing { x = { 0, 10, 20 }, y = { 100, 50, 10 }, level = 10 })
say(stats.crossing { x = { 0, 10, 20 }, y = { 0, 50, 100 }, level = 50, falling = true })
say(stats.crossing { x = { 0, 10, 20 }, y = { 0, 50, 100 }, level = 25, falling = true })
say(stats.crossing { x = { 0, 10, 10, 20 }, y = { 100, 40, 60, 0 }, level = 25 })
say(stats.crossing { x = { 0, 5, 10, 20 }, y = { 100, 1, 50, 0 }, weights = { 1, 0, 1, 1 }, level = 75 })`,
		`5	nil	false
10	nil	false
5	nil	false
nil	it stays below the level to the last point	false
nil	it is above the level from the first point on	false
nil	it stays above the level to the last point	false
nil	it is below the level from the first point on	false
0	nil	false
20	nil	false
10	nil	false
nil	it stays above the level to the last point	false
15	nil	false
5	nil	false`)
}

// One reading that dips to the level early does not end a decay, and the
// crossing of a noisy series is right in the mean.
func TestCrossingOfNoise(t *testing.T) {
	var x, clean []float64
	for i := range 60 {
		x = append(x, float64(i))
		clean = append(clean, 10*math.Exp(-float64(i)/20))
	}
	y := slices.Clone(clean)
	y[5] = 1
	got, err := crossingOf(crossingArgs{X: x, Y: y, Level: 2})
	if want := 20 * math.Log(5); err != nil || got.X == nil || math.Abs(*got.X-want) > 0.05 {
		t.Errorf("with one dip: %+v, %v, want %v", got, err, want)
	}
	r := rand.New(rand.NewPCG(2, 9))
	var at, first []float64
	for range 500 {
		for i := range y {
			y[i] = clean[i] + 0.5*r.NormFloat64()
		}
		got, err := crossingOf(crossingArgs{X: x, Y: y, Level: 2})
		if err != nil || got.X == nil {
			t.Fatal(got, err)
		}
		at = append(at, *got.X)
		first = append(first, float64(slices.IndexFunc(y, func(v float64) bool { return v <= 2 })))
	}
	want := 20 * math.Log(5)
	if d := meanFloat(at) - want; math.Abs(d) > 0.5 {
		t.Errorf("crossing is %v too late in the mean", d)
	}
	if d := meanFloat(first) - want; d > -2 {
		t.Errorf("the first reading under the level is only %v off in the mean, so this test shows nothing", d)
	}
}

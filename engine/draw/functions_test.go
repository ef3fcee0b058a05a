package draw

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"candelua/testdata/campaign"
)

// The family is what scripts conclude of readings: random functions of random readings with random errors. The
// parameters of a function come from its seed; none was chosen by hand. Errors are independent, shared by all readings
// as a meter's scale and chromaticity are, or both.

// function is one measurement of the family: what is true, how it errs, and what is concluded of it.
type function struct {
	class    string
	truth    []float64 // of each reading and channel
	channels int
	scatter  []float64 // standard deviations, independent of each other
	scale    float64   // relative, one number for all
	offset   float64   // one number for all readings of a channel
	dof      float64   // of what is known of the scatter
	turn     bool      // an angle
	of       func([]float64) float64
}

func logUniform(r *rand.Rand, low, high float64) float64 {
	return low * math.Exp(r.Float64()*math.Log(high/low))
}

// errs chooses errors of a size: independent, shared, or both.
func (m *function) errs(r *rand.Rand, sigma float64) {
	share := []float64{0, 0, 0.5, 0.9, 0.98}[r.IntN(5)]
	m.scatter = make([]float64, len(m.truth))
	for i := range m.scatter {
		m.scatter[i] = sigma * math.Sqrt(1-share)
	}
	if r.IntN(2) == 0 || m.channels > 1 {
		m.offset = sigma * math.Sqrt(share)
	} else {
		level := 0.
		for _, x := range m.truth {
			level = max(level, math.Abs(x))
		}
		m.scale = min(sigma*math.Sqrt(share)/level, 0.05)
	}
	m.dof = []float64{8, 30, math.Inf(1)}[r.IntN(3)]
}

// around are n numbers about a level, as far apart as spread says.
func around(r *rand.Rand, n int, level, spread float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = level + spread*r.NormFloat64()
	}
	return out
}

// spreadIn is how far apart things are in units of their errors: often 0.
func spreadIn(r *rand.Rand) float64 {
	if r.IntN(5) == 0 {
		return 0
	}
	return logUniform(r, 0.1, 30)
}

func quantiled(x []float64, p float64) float64 {
	s := slices.Sorted(slices.Values(x))
	return s[int(p*float64(len(s)-1)+0.5)]
}

// classes are the classes; least is the coverage that is asked of one where it falls short of 0.93, see the package comment.
var classes = []struct {
	class string
	least float64
	make  func(r *rand.Rand, m *function)
}{
	{"smooth: mean", 0, func(r *rand.Rand, m *function) {
		m.truth = around(r, 1+r.IntN(12), 100, 20)
		m.errs(r, logUniform(r, 0.01, 5))
		m.of = average
	}},
	{"smooth: signed difference", 0, func(r *rand.Rand, m *function) {
		m.truth = around(r, 2, 100, 1)
		m.errs(r, logUniform(r, 0.1, 5))
		m.of = func(x []float64) float64 { return x[0] - x[1] }
	}},
	{"smooth: ratio, dark below", 0, func(r *rand.Rand, m *function) {
		black := logUniform(r, 0.01, 1)
		m.truth = []float64{100, black}
		m.errs(r, 1)
		m.offset, m.scale = 0, 0.01
		m.scatter[0], m.scatter[1] = 0.5, black*logUniform(r, 0.01, 0.25)
		m.of = func(x []float64) float64 { return x[0] / x[1] }
	}},
	{"smooth: log of a ratio", 0, func(r *rand.Rand, m *function) {
		black := logUniform(r, 0.01, 1)
		m.truth = []float64{100, black}
		m.errs(r, 1)
		m.offset, m.scale = 0, 0.01
		m.scatter[0], m.scatter[1] = 0.5, black*logUniform(r, 0.01, 0.2)
		m.of = func(x []float64) float64 { return math.Log10(x[0] / x[1]) }
	}},
	{"smooth: product", 0, func(r *rand.Rand, m *function) {
		m.truth = around(r, 2+r.IntN(4), 10, 1)
		m.errs(r, logUniform(r, 0.05, 2))
		m.of = func(x []float64) float64 {
			p := 1.
			for _, y := range x {
				p *= y
			}
			return p
		}
	}},
	{"smooth: slope", 0, func(r *rand.Rand, m *function) {
		n := 3 + r.IntN(20)
		slope := r.NormFloat64()
		m.truth = numbers(n, func(i int) float64 { return 50 + slope*float64(i) })
		m.errs(r, logUniform(r, 0.05, 5))
		m.of = slopeOf
	}},
	{"smooth: exponent", 0, func(r *rand.Rand, m *function) {
		n, g := 4+r.IntN(12), 1.6+r.Float64()
		m.truth = numbers(n, func(i int) float64 { return 100 * math.Pow(float64(i+1)/float64(n), g) })
		m.errs(r, logUniform(r, 0.001, 0.3)*m.truth[0])
		m.of = func(x []float64) float64 {
			v := make([]XYZ, len(x))
			for i, y := range x {
				v[i].Y = y
			}
			return exponent(v)
		}
	}},
	{"extreme: largest", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = around(r, 2+r.IntN(20), 100, sigma*spreadIn(r))
		m.errs(r, sigma)
		m.of = func(x []float64) float64 { return slices.Max(x) }
	}},
	{"extreme: smallest", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = around(r, 2+r.IntN(20), 100, sigma*spreadIn(r))
		m.errs(r, sigma)
		m.of = func(x []float64) float64 { return slices.Min(x) }
	}},
	{"extreme: range", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = around(r, 2+r.IntN(20), 100, sigma*spreadIn(r))
		m.errs(r, sigma)
		m.of = func(x []float64) float64 { return slices.Max(x) - slices.Min(x) }
	}},
	{"extreme: uniformity, %", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = around(r, 2+r.IntN(20), 100, min(sigma*spreadIn(r), 15))
		m.errs(r, sigma)
		m.of = func(x []float64) float64 { return 100 * slices.Min(x) / slices.Max(x) }
	}},
	{"extreme: largest departure, %", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = around(r, 3+r.IntN(20), 100, min(sigma*spreadIn(r), 15))
		m.errs(r, sigma)
		m.of = func(x []float64) float64 {
			mean, most := average(x), 0.
			for _, y := range x {
				most = max(most, math.Abs(y/mean-1))
			}
			return 100 * most
		}
	}},
	{"near zero: |a - b|", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = []float64{100, 100 + sigma*spreadIn(r)}
		m.errs(r, sigma)
		m.of = func(x []float64) float64 { return math.Abs(x[0] - x[1]) }
	}},
	{"near zero: |a - b|/b, %", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = []float64{100, 100 + sigma*spreadIn(r)}
		m.errs(r, sigma)
		m.of = func(x []float64) float64 { return 100 * math.Abs(x[0]/x[1]-1) }
	}},
	{"near zero: distance to a target", 0, func(r *rand.Rand, m *function) { points(r, m, 1, nil) }},
	{"near zero: mean distance", 0, func(r *rand.Rand, m *function) { points(r, m, 2+r.IntN(24), average) }},
	{"near zero: median distance", 0, func(r *rand.Rand, m *function) {
		points(r, m, 3+r.IntN(22), func(x []float64) float64 { return middleNumber(x) })
	}},
	{"near zero: largest distance", 0, func(r *rand.Rand, m *function) {
		points(r, m, 2+r.IntN(24), func(x []float64) float64 { return slices.Max(x) })
	}},
	{"near zero: 95th percentile of distances", 0, func(r *rand.Rand, m *function) {
		points(r, m, 10+r.IntN(30), func(x []float64) float64 { return quantiled(x, 0.95) })
	}},
	{"near zero: root mean square", 0, func(r *rand.Rand, m *function) {
		points(r, m, 2+r.IntN(24), func(x []float64) float64 {
			sum := 0.
			for _, y := range x {
				sum += y * y
			}
			return math.Sqrt(sum / float64(len(x)))
		})
	}},
	{"near zero: clipped at 0", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = []float64{10 + sigma*[]float64{0, 0.3, 1, 3, 10}[r.IntN(5)], 10}
		m.errs(r, sigma)
		m.of = func(x []float64) float64 { return max(0, x[0]-x[1]) }
	}},
	{"near zero: standard deviation of places", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = around(r, 3+r.IntN(20), 100, sigma*spreadIn(r))
		m.errs(r, sigma)
		m.of = func(x []float64) float64 { _, sd := moments(x); return sd }
	}},
	{"count: above a threshold", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = around(r, 2+r.IntN(30), 100, sigma*spreadIn(r))
		m.errs(r, sigma)
		at := 100 + sigma*r.NormFloat64()
		m.of = func(x []float64) float64 {
			n := 0.
			for _, y := range x {
				if y > at {
					n++
				}
			}
			return n
		}
	}},
	{"count: share within a tolerance, %", 0.85, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = around(r, 3+r.IntN(30), 100, sigma*spreadIn(r))
		m.errs(r, sigma)
		within := sigma * logUniform(r, 0.3, 10)
		m.of = func(x []float64) float64 {
			n := 0.
			for _, y := range x {
				if math.Abs(y-100) <= within {
					n++
				}
			}
			return 100 * n / float64(len(x))
		}
	}},
	{"count: first below", 0, func(r *rand.Rand, m *function) {
		n := 5 + r.IntN(20)
		sigma := logUniform(r, 0.05, 5)
		m.truth = numbers(n, func(i int) float64 { return 100 * math.Exp(-2*float64(i)/float64(n)) })
		m.errs(r, sigma)
		at := m.truth[n/2] + 3*sigma*r.NormFloat64()
		m.of = func(x []float64) float64 {
			for i, y := range x {
				if y < at {
					return float64(i)
				}
			}
			return float64(len(x))
		}
	}},
	{"count: where the largest is", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		m.truth = around(r, 2+r.IntN(20), 100, sigma*logUniform(r, 0.3, 30))
		m.errs(r, sigma)
		m.of = func(x []float64) float64 { return float64(slices.Index(x, slices.Max(x)) + 1) }
	}},
	{"count: rounded to whole", 0, func(r *rand.Rand, m *function) {
		m.truth = around(r, 1+r.IntN(3), 20, 3)
		m.errs(r, logUniform(r, 0.02, 8))
		m.of = func(x []float64) float64 { return math.Round(average(x)) }
	}},
	{"count: floor to 0.5", 0, func(r *rand.Rand, m *function) {
		m.truth = around(r, 1+r.IntN(3), 20, 3)
		m.errs(r, logUniform(r, 0.02, 3))
		m.of = func(x []float64) float64 { return math.Floor(2*average(x)) / 2 }
	}},
	{"crossing, between readings", 0, func(r *rand.Rand, m *function) {
		n := 6 + r.IntN(20)
		m.truth = numbers(n, func(i int) float64 { return 100 * math.Exp(-2*float64(i)/float64(n)) })
		m.errs(r, logUniform(r, 0.05, 5))
		m.of = func(x []float64) float64 {
			for i := 1; i < len(x); i++ {
				if half := x[0] / 2; x[i] <= half {
					return 5 * (float64(i) - (half-x[i])/(x[i-1]-x[i]))
				}
			}
			return math.NaN()
		}
	}},
	{"angle: hue", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		chroma, hue := sigma*logUniform(r, 1, 50), r.NormFloat64()/3
		m.truth, m.channels = []float64{chroma * math.Cos(hue), chroma * math.Sin(hue)}, 2
		m.errs(r, sigma)
		m.turn = true
		m.of = func(x []float64) float64 { return math.Mod(math.Atan2(x[1], x[0])*180/math.Pi+360, 360) }
	}},
	{"circle: chroma", 0, func(r *rand.Rand, m *function) {
		sigma := logUniform(r, 0.05, 2)
		chroma, hue := sigma*spreadIn(r), r.NormFloat64()/3
		m.truth, m.channels = []float64{chroma * math.Cos(hue), chroma * math.Sin(hue)}, 2
		m.errs(r, sigma)
		m.of = func(x []float64) float64 { return math.Hypot(x[0], x[1]) }
	}},
}

func average(x []float64) float64 { m, _ := moments(x); return m }

func middleNumber(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	return (s[len(s)/2] + s[(len(s)-1)/2]) / 2
}

func slopeOf(y []float64) float64 {
	var xy, xx float64
	for i, v := range y {
		d := float64(i) - float64(len(y)-1)/2
		xy, xx = xy+d*v, xx+d*d
	}
	return xy / xx
}

// points are distances to 0 in two or three channels.
func points(r *rand.Rand, m *function, n int, of func([]float64) float64) {
	m.channels = 2 + r.IntN(2)
	sigma := logUniform(r, 0.05, 2)
	length := sigma * spreadIn(r)
	for range n {
		p := make([]float64, m.channels)
		norm := 0.
		for k := range p {
			p[k] = r.NormFloat64()
			norm += p[k] * p[k]
		}
		l := length * (0.3 + 1.4*r.Float64()) / math.Sqrt(norm)
		for _, x := range p {
			m.truth = append(m.truth, x*l)
		}
	}
	m.errs(r, sigma)
	c := m.channels
	m.of = func(x []float64) float64 {
		d := make([]float64, 0, 64)
		for i := 0; i < len(x); i += c {
			sum := 0.
			for _, y := range x[i : i+c] {
				sum += y * y
			}
			d = append(d, math.Sqrt(sum))
		}
		if of == nil {
			return d[0]
		}
		return of(d)
	}
}

// functionOf makes a function, always the same for the same seed.
func functionOf(class int, seed uint64) *function {
	r := rand.New(rand.NewPCG(uint64(class), seed))
	m := &function{class: classes[class].class, channels: 1}
	classes[class].make(r, m)
	return m
}

// measured is one measurement: the estimate and its draws, and by how much these moved the readings.
func (m *function) measured(r *rand.Rand, draws int) (Run, *Moves) {
	x := make([]float64, len(m.truth))
	s, shifts := r.NormFloat64()*m.scale, numbers(m.channels, func(int) float64 { return m.offset * r.NormFloat64() })
	for i, t := range m.truth {
		x[i] = (t+m.scatter[i]*r.NormFloat64())*(1+s) + shifts[i%m.channels]
	}
	known := 1. // the scatter is known as well as its degrees of freedom say
	if !math.IsInf(m.dof, 1) {
		known = math.Sqrt(chi2(r, m.dof) / m.dof)
	}
	run := Run{m.of(x), make([]float64, draws)}
	moves := &Moves{columns: make([][]float64, len(x)), known: map[string][][]float64{}}
	scale, offsets := evenly(r, draws), make([][]float64, m.channels)
	for k := range offsets {
		offsets[k] = evenly(r, draws)
	}
	y := make([]float64, len(x))
	for j := range draws {
		for i := range x {
			t := known
			if !math.IsInf(m.dof, 1) {
				t *= math.Sqrt(m.dof / chi2(r, m.dof))
			}
			y[i] = (x[i]+m.scatter[i]*t*r.NormFloat64())*(1+m.scale*scale[j]) + m.offset*offsets[i%m.channels][j]
			moves.columns[i] = append(moves.columns[i], y[i]-x[i])
		}
		run.Draws[j] = m.of(y)
		if m.turn {
			run.Draws[j] += 360 * math.Round((run.Estimate-run.Draws[j])/360)
		}
	}
	return run, moves
}

// evenly are normal numbers of a shared cause: of each hundred one falls into each hundredth.
func evenly(r *rand.Rand, draws int) []float64 {
	out := numbers(draws, func(i int) float64 { return normalQuantile((float64(i%strata) + r.Float64()) / strata) })
	for b := 0; b < draws; b += strata {
		of := out[b:min(b+strata, draws)]
		r.Shuffle(len(of), func(i, j int) { of[i], of[j] = of[j], of[i] })
	}
	return out
}

// chi2 is a number of the χ² distribution, by the approximation of Wilson and Hilferty, see byChance.
func chi2(r *rand.Rand, dof float64) float64 {
	v := 1 - 2/(9*dof) + r.NormFloat64()*math.Sqrt(2/(9*dof))
	return dof * v * v * v
}

// howHeld is how the intervals of a function did.
type howHeld struct {
	held  float64 // share of the intervals that hold the truth
	width float64 // mean width over what is needed: the range of 95 % of the estimates
}

func (m *function) study(seed uint64, runs, draws int) (howHeld, bool) {
	r := rand.New(rand.NewPCG(seed, 77))
	truth := m.of(m.truth)
	var off, widths []float64
	held := 0
	for range runs {
		run, moves := m.measured(r, draws)
		v := Value{Estimate: run.Estimate, Draws: run.Draws, Linear: moves.Linear(run.Draws), Percent: strings.HasSuffix(m.class, "%")}
		is := truth
		if m.turn {
			v.Limits = &Unlimited
			is += 360 * math.Round((run.Estimate-truth)/360)
		}
		u, err := v.Evaluate()
		if err != nil {
			continue
		}
		off, widths = append(off, run.Estimate-is), append(widths, u.High-u.Low)
		if rounding := 1e-9 * (1 + math.Abs(is)); u.Low-rounding <= is && is <= u.High+rounding {
			held++
		}
	}
	need := quantiled(off, 0.975) - quantiled(off, 0.025)
	width := average(widths) / need
	if need == 0 { // a count that never changed: half a step more is no matter
		width = 1
	}
	return howHeld{float64(held) / float64(len(off)), width}, len(off) > runs/2
}

// The table of the package comment is what this logs, half of the classes a day:
//
//	CI=1 go test ./engine/draw -run TestFunctions -v
func TestFunctions(t *testing.T) {
	members, runs := campaign.Of(t, 2, 24), campaign.Of(t, 15, 120)
	for _, k := range campaign.Part(t, campaign.To(len(classes)), len(classes), (len(classes)+1)/2) {
		class := classes[k]
		var all []howHeld
		for seed := range uint64(members) {
			if r, ok := functionOf(k, seed+1).study(uint64(k)*1000+seed, runs, 400); ok {
				all = append(all, r)
			}
		}
		of := func(pick func(howHeld) float64) []float64 {
			return numbers(len(all), func(i int) float64 { return pick(all[i]) })
		}
		held, width := of(func(r howHeld) float64 { return r.held }), of(func(r howHeld) float64 { return r.width })
		wide := 0
		for _, w := range width {
			if w > 1.4 {
				wide++
			}
		}
		t.Logf("%-41s %5.1f %6.1f %6.1f %7.2f %3d of %d", class.class, 100*average(held), 100*quantiled(held, 0.1), 100*slices.Min(held), middleNumber(width), wide, len(all))
		least := 0.93
		if class.least > 0 {
			least = class.least
		}
		if !campaign.Full() {
			least -= 0.2 // 30 runs
		}
		if average(held) < least {
			t.Errorf("%s: %.3f of the intervals hold the truth, want %.2f", class.class, average(held), least)
		}
	}
}

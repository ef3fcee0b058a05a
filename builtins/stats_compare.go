package builtins

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"candelua/engine/script"
)

type monotonicArgs struct {
	Y        []float64 `lua:"y" help:"levels in the order in which they should rise"`
	U        []float64 `lua:"u" optional:"true" min:"0" help:"standard uncertainty of each level; 0 when left out"`
	Coverage float64   `lua:"coverage" default:"3" min:"0" max:"10" help:"coverage factor: a step counts as a rise or a fall if it is larger than this many times its standard uncertainty"`
}

// Monotonic says how a series of levels rises.
type Monotonic struct {
	Rises  bool  `lua:"rises" help:"true if every step rises by more than the noise"`
	Falls  []int `lua:"falls" help:"steps that fall by more than the noise; step 1 is from the first level to the second"`
	Merges []int `lua:"merges" help:"steps that neither rise nor fall by more than the noise"`
}

// LuaName is what scripts call it.
func (Monotonic) LuaName() string { return "monotonicity" }

func monotonic(_ *script.Call, a monotonicArgs) (Monotonic, error) {
	m := Monotonic{Falls: []int{}, Merges: []int{}}
	if len(a.Y) < 2 {
		return m, tooFew("y", len(a.Y), 2)
	}
	if err := sameLengths("y", len(a.Y), series{"u", a.U, true}); err != nil {
		return m, err
	}
	for i := 1; i < len(a.Y); i++ {
		step, noise := a.Y[i]-a.Y[i-1], 0.0
		if a.U != nil {
			noise = a.Coverage * math.Hypot(a.U[i], a.U[i-1])
		}
		switch {
		case step < 0 && -step > noise:
			m.Falls = append(m.Falls, i)
		case step <= noise:
			m.Merges = append(m.Merges, i)
		}
	}
	m.Rises = len(m.Falls)+len(m.Merges) == 0
	return m, nil
}

type pairedArgs struct {
	A  []float64 `lua:"a" help:"first number of each pair"`
	B  []float64 `lua:"b" help:"second number of each pair, in the same order"`
	UA []float64 `lua:"u_a" optional:"true" min:"0" help:"standard uncertainty of each a"`
	UB []float64 `lua:"u_b" optional:"true" min:"0" help:"standard uncertainty of each b"`
}

// Paired is the mean difference a - b of pairs.
type Paired struct {
	N       int      `lua:"n" help:"number of pairs"`
	Mean    float64  `lua:"mean" help:"mean of a - b"`
	SD      *float64 `lua:"sd" help:"standard deviation of the differences; nil for one pair"`
	U       *float64 `lua:"u" help:"standard uncertainty of the mean from the scatter of the differences; nil for one pair"`
	UStated *float64 `lua:"u_stated" help:"standard uncertainty of the mean from u_a and u_b, taken as independent; nil if neither is given"`
	T       *float64 `lua:"t" help:"mean divided by u, with n - 1 degrees of freedom; nil if u is nil or 0"`
	Low     *float64 `lua:"low" help:"lower end of the 95 % interval of the mean, from the scatter and Student's t; for one pair, from u_a and u_b"`
	High    *float64 `lua:"high" help:"upper end of that interval"`
}

// LuaName is what scripts call it.
func (Paired) LuaName() string { return "paired comparison" }

const (
	twoSided95 = 0.975
	normal95   = 1.959963984540054 // quantile 0.975 of a normal distribution
)

// paired compares pairs by their differences, so that what both of a pair share,
// such as the meter's scale, cancels.
//
// Source: JCGM 100:2008, 4.2 and annex G.3.
func paired(_ *script.Call, a pairedArgs) (Paired, error) {
	n := len(a.A)
	if err := sameLengths("a", n, series{"b", a.B, false}, series{"u_a", a.UA, true}, series{"u_b", a.UB, true}); err != nil {
		return Paired{}, err
	}
	if n == 0 {
		return Paired{}, tooFew("a", 0, 1)
	}
	d := make([]float64, n)
	for i := range d {
		d[i] = a.A[i] - a.B[i]
	}
	p := Paired{N: n, Mean: meanFloat(d)}
	if a.UA != nil || a.UB != nil {
		u := math.Sqrt(squares(a.UA)+squares(a.UB)) / float64(n)
		p.UStated = &u
	}
	half := p.UStated
	factor := normal95
	if n > 1 {
		sd := sdFloat(d)
		u := sd / math.Sqrt(float64(n))
		p.SD, p.U, half = &sd, &u, &u
		factor = distuv.StudentsT{Sigma: 1, Nu: float64(n - 1)}.Quantile(twoSided95)
		if u > 0 {
			t := p.Mean / u
			p.T = &t
		}
	}
	if half != nil {
		low, high := p.Mean-factor**half, p.Mean+factor**half
		p.Low, p.High = &low, &high
	}
	return p, nil
}

type percentileArgs struct {
	List []float64 `lua:"list" pos:"1" help:"a list of numbers"`
	P    float64   `lua:"p" pos:"2" min:"0" max:"100" unit:"%" help:"share of the numbers that are lower, in percent: 95 for the 95th percentile"`
}

// percentile interpolates between the numbers in order, number k of n standing
// for a share of k/(n + 1); shares before the first and after the last give
// these.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.2.
func percentile(_ *script.Call, a percentileArgs) (float64, error) {
	n := len(a.List)
	if n == 0 {
		return 0, tooFew("list", 0, 1)
	}
	s := slices.Sorted(slices.Values(a.List))
	whole, part := math.Modf(a.P / 100 * float64(n+1))
	k := int(whole)
	switch {
	case k < 1:
		return s[0], nil
	case k >= n:
		return s[n-1], nil
	}
	return s[k-1] + part*(s[k]-s[k-1]), nil
}

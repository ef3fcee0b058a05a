package builtins

import (
	"errors"
	"math"

	"candelua/engine/script"
)

type powerArgs struct {
	X []float64 `lua:"x" min:"0" help:"x of the points"`
	Y []float64 `lua:"y" help:"y of the points, one for each x"`
	W []float64 `lua:"weights" optional:"true" min:"0" help:"weight of each y, one divided by its variance; equal when left out, so that the largest y count most"`
}

// Power is y = scale x^exponent.
type Power struct {
	Scale     float64  `lua:"scale" help:"y where x is 1"`
	Exponent  float64  `lua:"exponent" help:"the power of x"`
	UScale    *float64 `lua:"u_scale" help:"standard error of the scale from the residuals; nil for two points"`
	UExponent *float64 `lua:"u_exponent" help:"standard error of the exponent from the residuals; nil for two points"`
	Rms       float64  `lua:"rms" help:"weighted root mean square of the residuals"`
	N         int      `lua:"n" help:"number of points with a weight above 0"`
	Converged bool     `lua:"converged" help:"false if the fit did not converge"`
}

// LuaName is what scripts call it.
func (Power) LuaName() string { return "power law" }

var errNoPower = errors.New("a power law needs at least two points with different x, and with x and y above 0")

func power(c *script.Call, a powerArgs) (Power, error) {
	if err := sameLengths("x", len(a.X), series{"y", a.Y, false}, series{"weights", a.W, true}); err != nil {
		return Power{}, err
	}
	c.Charge(int64(100 * len(a.X)))
	return fitPower(a.X, a.Y, a.W)
}

// fitPower is weighted least squares of
//
//	y = c (x/x0)^b,
//
// x0 being the geometric mean of x: about it scale and exponent hardly depend on
// each other. It starts from a straight line through the logarithms, which alone
// would give dark points, and their noise, too much say.
func fitPower(x, y, w []float64) (Power, error) {
	x, y, w = counted(x, y, w)
	var lx, ly, lw []float64
	for i := range x {
		if x[i] > 0 && y[i] > 0 {
			lx, ly, lw = append(lx, math.Log(x[i])), append(ly, math.Log(y[i])), append(lw, w[i]*y[i]*y[i])
		}
	}
	start, err := fitLine(lx, ly, lw)
	if err != nil {
		return Power{}, errNoPower
	}
	ref := meanFloat(lx)
	low := math.Inf(-1)
	if len(lx) < len(x) {
		low = 1e-9 // 0 to a negative power is no number
	}
	ratio := func(i int, b float64) float64 {
		if x[i] == 0 {
			return 0
		}
		return math.Exp(b * (math.Log(x[i]) - ref))
	}
	m := &curve{points: len(x), low: []float64{math.Inf(-1), low}, high: []float64{math.Inf(1), math.Inf(1)},
		residuals: func(p, r []float64) {
			for i := range x {
				r[i] = (p[0]*ratio(i, p[1]) - y[i]) * math.Sqrt(w[i])
			}
		},
		slopes: func(p []float64, columns [][]float64) {
			for i := range x {
				e := ratio(i, p[1]) * math.Sqrt(w[i])
				columns[0][i] = e
				columns[1][i] = 0
				if x[i] > 0 {
					columns[1][i] = p[0] * e * (math.Log(x[i]) - ref)
				}
			}
		}}
	f := m.fit([]float64{math.Exp(start.Intercept + start.Slope*ref), math.Max(start.Slope, low)}, weightedLength(y, w))
	scale := math.Exp(-f.p[1] * ref)
	out := Power{Scale: f.p[0] * scale, Exponent: f.p[1], Rms: math.Sqrt(f.ss / sum(w)), N: len(x), Converged: f.converged && f.cov != nil}
	if dof := len(x) - 2; dof > 0 && f.cov != nil {
		// scale = c x0^-b, so dscale = scale (dc/c - ln x0 db)
		s2 := f.ss / float64(dof)
		g := []float64{scale, -out.Scale * ref}
		out.UScale = root(s2 * (g[0]*g[0]*f.cov[0][0] + 2*g[0]*g[1]*f.cov[0][1] + g[1]*g[1]*f.cov[1][1]))
		out.UExponent = root(s2 * f.cov[1][1])
	}
	return out, nil
}

// counted leaves out points of no weight; without weights each has 1.
func counted(x, y, w []float64) (cx, cy, cw []float64) {
	for i := range x {
		wi := 1.0
		if w != nil {
			wi = w[i]
		}
		if wi > 0 {
			cx, cy, cw = append(cx, x[i]), append(cy, y[i]), append(cw, wi)
		}
	}
	return cx, cy, cw
}

// weightedLength is √Σ w y².
func weightedLength(y, w []float64) float64 {
	ss := 0.0
	for i := range y {
		ss += w[i] * y[i] * y[i]
	}
	return math.Sqrt(ss)
}

func sum(list []float64) (s float64) {
	for _, x := range list {
		s += x
	}
	return s
}

func root(x float64) *float64 {
	r := math.Sqrt(math.Max(x, 0))
	return &r
}

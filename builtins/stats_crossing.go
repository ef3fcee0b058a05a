package builtins

import (
	"fmt"
	"math"
	"slices"

	"candelua/engine/script"
)

// Crossing is where a series or a curve passes a level, if it does.
type Crossing struct {
	X            *float64 `lua:"x" help:"where the level is passed; nil if it is not"`
	Why          *string  `lua:"why" help:"why there is no crossing"`
	Extrapolated bool     `lua:"extrapolated" help:"true if the crossing lies beyond the readings"`
}

// LuaName is what scripts call it.
func (Crossing) LuaName() string { return "crossing" }

func noCrossing(why string, args ...any) Crossing {
	text := fmt.Sprintf(why, args...)
	return Crossing{Why: &text}
}

type crossingArgs struct {
	X       []float64 `lua:"x" help:"x of the points, in any order"`
	Y       []float64 `lua:"y" help:"y of the points, one for each x"`
	W       []float64 `lua:"weights" optional:"true" min:"0" help:"weight of each y, one divided by its variance; equal when left out"`
	Level   float64   `lua:"level" help:"the y to find"`
	Falling *bool     `lua:"falling" help:"true if y falls with x; when left out, the straight line through the points decides"`
}

func crossing(c *script.Call, a crossingArgs) (Crossing, error) {
	c.Charge(int64(40 * len(a.X)))
	return crossingOf(a)
}

func crossingOf(a crossingArgs) (Crossing, error) {
	if err := sameLengths("x", len(a.X), series{"y", a.Y, false}, series{"weights", a.W, true}); err != nil {
		return Crossing{}, err
	}
	x, y, w := counted(a.X, a.Y, a.W)
	line, err := fitLine(x, y, w)
	if err != nil {
		return Crossing{}, err
	}
	falling := line.Slope < 0
	if a.Falling != nil {
		falling = *a.Falling
	}
	sign := 1.0
	if falling {
		sign = -1
	}
	for i := range y {
		y[i] *= sign
	}
	return crossRising(monotone(x, y, w), sign*a.Level, falling), nil
}

// block is a stretch of a series that has one height.
type block struct{ x, y, w float64 }

// monotone is the rising series that is nearest to the points by weighted least
// squares: neighbours that fall are pooled to their mean, over their mean x.
// Points over one x are pooled before. No single noisy point decides where it
// passes a level.
//
// Source: Barlow, Bartholomew, Bremner and Brunk, Statistical inference under
// order restrictions (1972): pooling of adjacent violators (from memory).
func monotone(x, y, w []float64) []block {
	points := make([]block, len(x))
	for i := range x {
		points[i] = block{x[i], y[i], w[i]}
	}
	slices.SortStableFunc(points, func(a, b block) int {
		switch {
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
	var out []block
	for _, p := range points {
		if n := len(out); n > 0 && out[n-1].x == p.x {
			out[n-1] = out[n-1].with(p)
			continue
		}
		out = append(out, p)
	}
	points, out = out, nil
	for _, p := range points {
		out = append(out, p)
		for n := len(out); n > 1 && out[n-2].y >= out[n-1].y; n = len(out) {
			out = append(out[:n-2], out[n-2].with(out[n-1]))
		}
	}
	return out
}

func (b block) with(o block) block {
	w := b.w + o.w
	return block{b.x + (o.x-b.x)*o.w/w, b.y + (o.y-b.y)*o.w/w, w}
}

// crossRising goes along straight lines from block to block.
func crossRising(blocks []block, level float64, falling bool) Crossing {
	below, above := "below", "above"
	if falling {
		below, above = above, below
	}
	last := blocks[len(blocks)-1]
	switch {
	case blocks[0].y > level:
		return noCrossing("it is %s the level from the first point on", above)
	case last.y < level:
		return noCrossing("it stays %s the level to the last point", below)
	}
	for i, b := range blocks {
		if b.y == level {
			return Crossing{X: &b.x}
		}
		if b.y > level {
			a := blocks[i-1]
			x := a.x + (b.x-a.x)*(level-a.y)/(b.y-a.y)
			return Crossing{X: &x}
		}
	}
	return noCrossing("it stays %s the level to the last point", below) // not reached: the last block is at or over it
}

type decayCrossingArgs struct {
	Self  *Decay  `lua:"self"`
	Level float64 `lua:"level" pos:"1" help:"the y to find"`
}

// crossing is the first moment, from the first reading on, at which the fitted
// curve passes a level.
func (d *Decay) crossing(level float64) Crossing {
	if !d.Converged {
		return noCrossing("the fit did not converge: %s", *d.Why)
	}
	f := func(t float64) float64 { return d.at(t) - level }
	from := d.first
	for _, to := range d.bends() {
		if (f(from) > 0) != (f(to) > 0) {
			t := bisect(f, from, to)
			return Crossing{X: &t, Extrapolated: t > d.last}
		}
		from = to
	}
	side := "above"
	if f(from) < 0 {
		side = "below"
	}
	return noCrossing("it stays %s the level, and ends at %.6g", side, d.Offset)
}

// bends are the moments that part the curve into monotone stretches, and one at
// which the slowest term has lost all but e^-40 of itself.
func (d *Decay) bends() []float64 {
	end := d.first + 40*d.Terms[len(d.Terms)-1].Tau
	if len(d.Terms) < 2 {
		return []float64{end}
	}
	a, b := d.Terms[0], d.Terms[1]
	// a/τa exp(-t/τa) = -b/τb exp(-t/τb)
	ratio := -(a.Amplitude / a.Tau) / (b.Amplitude / b.Tau)
	t := math.Log(ratio) / (1/a.Tau - 1/b.Tau)
	if ratio > 0 && t > d.first && t < end {
		return []float64{t, end}
	}
	return []float64{end}
}

// bisect finds where a function changes its sign, to the last bit.
func bisect(f func(float64) float64, a, b float64) float64 {
	sign := f(a) > 0
	for {
		m := a + (b-a)/2
		if m <= a || m >= b {
			return b
		}
		if (f(m) > 0) == sign {
			a = m
		} else {
			b = m
		}
	}
}

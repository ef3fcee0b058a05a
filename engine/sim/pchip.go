package sim

import "math"

// pchip is a curve through points that rises, or stays level, wherever they do
// and has no kinks: piecewise cubics with slopes that keep each piece monotone.
//
// Source: [Fritsch1980]: slopes by its limits, the start from means of the
// neighbouring chords (its formulas are from memory).
type pchip struct{ x, y, slope []float64 }

// newPchip takes points with rising x and at least two of them.
func newPchip(points [][2]float64) *pchip {
	n := len(points)
	c := &pchip{make([]float64, n), make([]float64, n), make([]float64, n)}
	for i, p := range points {
		c.x[i], c.y[i] = p[0], p[1]
	}
	chord := make([]float64, n-1)
	for i := range chord {
		chord[i] = (c.y[i+1] - c.y[i]) / (c.x[i+1] - c.x[i])
	}
	c.slope[0], c.slope[n-1] = chord[0], chord[n-2]
	for i := 1; i < n-1; i++ {
		if chord[i-1]*chord[i] > 0 {
			c.slope[i] = (chord[i-1] + chord[i]) / 2
		}
	}
	for i, d := range chord {
		if d == 0 {
			c.slope[i], c.slope[i+1] = 0, 0
			continue
		}
		a, b := c.slope[i]/d, c.slope[i+1]/d
		if r := math.Hypot(a, b); r > 3 {
			c.slope[i], c.slope[i+1] = 3/r*a*d, 3/r*b*d
		}
	}
	return c
}

// at returns the curve's value; beyond its ends the end's.
func (c *pchip) at(x float64) float64 {
	n := len(c.x)
	if x <= c.x[0] {
		return c.y[0]
	}
	for i := 1; i < n; i++ {
		if x > c.x[i] {
			continue
		}
		h := c.x[i] - c.x[i-1]
		t := (x - c.x[i-1]) / h
		t2, t3 := t*t, t*t*t
		return (2*t3-3*t2+1)*c.y[i-1] + (t3-2*t2+t)*h*c.slope[i-1] + (3*t2-2*t3)*c.y[i] + (t3-t2)*h*c.slope[i]
	}
	return c.y[n-1]
}

// linear returns the value at x of the straight lines between points with
// rising x, level beyond them.
func linear(points [][2]float64, x float64) float64 {
	if x <= points[0][0] {
		return points[0][1]
	}
	for i := 1; i < len(points); i++ {
		if a, b := points[i-1], points[i]; x <= b[0] {
			return a[1] + (b[1]-a[1])*(x-a[0])/(b[0]-a[0])
		}
	}
	return points[len(points)-1][1]
}

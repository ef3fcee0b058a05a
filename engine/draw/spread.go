package draw

import "math"

// XYZ is a CIE 1931 tristimulus value, absolute, in cd/m², or a deviation of
// one. Of a meter without colour X and Z are 0.
type XYZ struct{ X, Y, Z float64 }

func (a XYZ) plus(b XYZ) XYZ      { return XYZ{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a XYZ) times(f float64) XYZ { return XYZ{float64(a.X * f), float64(a.Y * f), float64(a.Z * f)} }
func (a XYZ) vector() [3]float64  { return [3]float64{a.Y, a.X, a.Z} }
func fromVector(v [3]float64) XYZ { return XYZ{X: v[1], Y: v[0], Z: v[2]} }

// spread is how single readings of one light scatter: the covariance of Y, X
// and Z, and the degrees of freedom by which it is known. The zero spread is
// that of which nothing is known.
type spread struct {
	cov [3][3]float64 // (cd/m²)², in the order Y, X, Z
	dof float64       // 0 where nothing is known, infinite for what is stated
}

// spreadOf returns the sample covariance of single readings, with n - 1
// degrees of freedom; of fewer than two it knows nothing.
//
//	C = Σ (xᵢ - x̄)(xᵢ - x̄)ᵀ / (n - 1)
//
// Source: [JCGM100], 5.2.3 eq. (17).
func spreadOf(singles []XYZ) (s spread) {
	n := float64(len(singles))
	if n < 2 {
		return s
	}
	mean := MeanOf(singles).vector()
	for _, x := range singles {
		d := x.vector()
		for i := range d {
			d[i] -= mean[i]
		}
		s.add(d, 1/(n-1))
	}
	s.dof = n - 1
	return s
}

func (s *spread) add(d [3]float64, weight float64) {
	for i := range d {
		for j := range d {
			s.cov[i][j] += float64(float64(d[i]*d[j]) * weight)
		}
	}
}

// MeanOf returns the mean of single readings, in two passes, so that it does
// not suffer from a large common part; (0, 0, 0) of none.
func MeanOf(singles []XYZ) XYZ {
	if len(singles) == 0 {
		return XYZ{}
	}
	share := 1 / float64(len(singles))
	var sum, rest XYZ
	for _, x := range singles {
		sum = sum.plus(x)
	}
	mean := sum.times(share)
	for _, x := range singles {
		rest = rest.plus(x.plus(mean.times(-1)))
	}
	return mean.plus(rest.times(share))
}

// pooled joins the spreads of readings of the same level, weighed by their
// degrees of freedom, which add up. Of a level that is only near, use
// spread.scaled first. What is known for certain outweighs the others.
//
// Source: [JCGM100], 4.2.4 (pooled estimate of variance).
func pooled(spreads ...spread) (p spread) {
	for _, s := range spreads {
		if math.IsInf(s.dof, 1) {
			return s
		}
		p.dof += s.dof
	}
	if p.dof == 0 {
		return p
	}
	for _, s := range spreads {
		for i := range s.cov {
			for j := range s.cov {
				p.cov[i][j] += float64(s.cov[i][j] * (s.dof / p.dof))
			}
		}
	}
	return p
}

// luminance returns the standard deviation of Y of single readings, in cd/m².
func (s spread) luminance() float64 { return math.Sqrt(s.cov[0][0]) }

// scaled returns the spread of readings so many times as bright, for scatter
// that is proportional to the light.
func (s spread) scaled(times float64) spread {
	for i := range s.cov {
		for j := range s.cov {
			s.cov[i][j] *= times * times
		}
	}
	return s
}

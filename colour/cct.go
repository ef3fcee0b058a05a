package colour

import (
	"errors"
	"fmt"
	"math"
)

// The range in kelvin of correlated colour temperatures. Above 25000 K a change of
// 0.0001 in x is 170 K or more, so that such a temperature is of little use.
const (
	CCTFrom = 1000.0
	CCTTo   = 100000.0
)

// DuvLimit is the largest distance from the Planckian locus, in the CIE 1960
// diagram, at which a correlated colour temperature still means anything.
//
// Source: [CIE15], 9.5.
const DuvLimit = 0.05

// ErrNoCCT is the error for a chromaticity too far from the Planckian locus to
// have a correlated colour temperature.
var ErrNoCCT = errors.New("no correlated colour temperature: the colour is too far from white")

// CCT is a correlated colour temperature in kelvin with the signed distance Duv from
// the Planckian locus in the CIE 1960 diagram: positive above it (greenish), negative
// below (pinkish).
type CCT struct{ Kelvin, Duv float64 }

// CCT returns the correlated colour temperature and Duv of c: those of the nearest point
// on the Planckian locus in the CIE 1960 diagram, found exactly and not by a fitted formula.
//
// The locus is that of the CIE 1931 observer summed over 360 to 830 nm, with
// c₂ = 1.4388e-2 m K. Beyond [DuvLimit] the error wraps [ErrNoCCT]; outside 1000 to
// 100000 K it wraps [ErrTemperature].
//
// Source: [CIE15], 9.5; [Ohno2014] for Duv and its sign.
func (c XY) CCT() (CCT, error) { return c.UV1960().CCT() }

// CCT is [XY.CCT] for a CIE 1960 chromaticity.
func (c UV1960) CCT() (CCT, error) {
	if math.IsNaN(c.U+c.V) || math.IsInf(c.U+c.V, 0) {
		return CCT{}, ErrNoChromaticity
	}
	knots := planckianLocus()
	i := c.nearest(knots)
	// The nearest point lies in one of the two spans beside the nearest knot.
	if i == locusCount-1 || i > 0 && c.along(&knots[i]) > 0 {
		i--
	}
	t := c.foot(&knots[i], &knots[i+1])
	p := knots[i].at(&knots[i+1], t, locusStep)
	duv := math.Hypot(c.U-p.u, c.V-p.v)
	if p.du*(c.V-p.v)-p.dv*(c.U-p.u) < 0 {
		duv = -duv
	}
	if math.Abs(duv) > DuvLimit {
		return CCT{}, fmt.Errorf("%w: Duv is %.4f; it must be from -%v to %v", ErrNoCCT, duv, DuvLimit, DuvLimit)
	}
	kelvin := 1e6 / (locusFrom + locusStep*(float64(i)+t))
	if err := checkCCT(kelvin); err != nil {
		return CCT{}, err
	}
	return CCT{kelvin, duv}, nil
}

func checkCCT(kelvin float64) error {
	if kelvin >= CCTFrom && kelvin <= CCTTo {
		return nil
	}
	return fmt.Errorf("%w: black body of %.0f K; it must be %v to %v K", ErrTemperature, kelvin, CCTFrom, CCTTo)
}

// nearest returns the index of the knot nearest to c. Every fourth knot is looked at first: the locus
// bends so little that the nearest one is then a neighbour of the best of these.
func (c UV1960) nearest(knots *[locusCount]locusPoint) int {
	const stride = 4
	coarse := c.nearestOf(knots, 0, locusCount-1, stride)
	return c.nearestOf(knots, max(coarse-stride, 0), min(coarse+stride, locusCount-1), 1)
}

func (c UV1960) nearestOf(knots *[locusCount]locusPoint, from, to, stride int) int {
	best, at := math.Inf(1), from
	for i := from; i <= to; i += stride {
		u, v := c.U-knots[i].u, c.V-knots[i].v
		if d := u*u + v*v; d < best {
			best, at = d, i
		}
	}
	return at
}

// along returns half the derivative of the squared distance of c from p: negative
// where the nearest point lies further on, at lower temperatures.
func (c UV1960) along(p *locusPoint) float64 {
	return (p.u-c.U)*p.du + (p.v-c.V)*p.dv
}

// foot returns the fraction of the way from a to b where the locus is nearest to c. It
// is Newton's method, held between bounds that close in on the zero of the derivative.
func (c UV1960) foot(a, b *locusPoint) float64 {
	lo, hi, t := 0.0, 1.0, 0.5
	for range 60 {
		p := a.at(b, t, locusStep)
		f := c.along(&p)
		if f > 0 {
			hi = t
		} else {
			lo = t
		}
		slope := p.du*p.du + p.dv*p.dv + (p.u-c.U)*p.ddu + (p.v-c.V)*p.ddv
		next := t - f/(slope*locusStep)
		if !(next >= lo && next <= hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-t) < 1e-11 {
			return next // Newton's next step would be the square of this
		}
		t = next
	}
	return t
}

// FromCCT returns the chromaticity at a colour temperature and a distance from the
// Planckian locus, at right angles to it in the CIE 1960 diagram. It undoes [XY.CCT].
//
// Outside 1000 to 100000 K the error wraps [ErrTemperature], beyond [DuvLimit] [ErrNoCCT].
//
// Source: [Ohno2014].
func FromCCT(t CCT) (XY, error) {
	if err := checkCCT(t.Kelvin); err != nil {
		return XY{}, err
	}
	if !(math.Abs(t.Duv) <= DuvLimit) {
		return XY{}, fmt.Errorf("%w: Duv is %v; it must be from -%v to %v", ErrNoCCT, t.Duv, DuvLimit, DuvLimit)
	}
	p := locusAt(1e6 / t.Kelvin)
	k := t.Duv / math.Hypot(p.du, p.dv)
	return UV1960{p.u - k*p.dv, p.v + k*p.du}.XY(), nil
}

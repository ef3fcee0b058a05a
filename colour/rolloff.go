package colour

import (
	"fmt"
	"math"
)

// RollOff is the tone mapping of BT.2390 from PQ content mastered on one range of
// luminance to a display of a smaller one. Make it with [NewRollOff]. As a [Transfer] it gives
// what a display that rolls off as recommended shows for a PQ signal.
type RollOff struct {
	source0, sourceSpan  float64 // PQ signal of the mastering black, and from there to its white
	minimum, maximum     float64 // the display's black and white on that span, 0 to 1
	knee, shadowExponent float64
}

// NewRollOff returns the mapping from content mastered between the luminances sourceBlack
// and sourceWhite to a display that reaches from black to white, all in cd/m².
//
//	KS = 1.5 maxLum - 0.5
//
// The error says which argument is out of range: each pair must have its black at
// least 0 and below its white, and no white may be over 10000 cd/m².
//
// Source: [BT2390], 5.4, from memory.
func NewRollOff(sourceWhite, sourceBlack, white, black float64) (RollOff, error) {
	for _, pair := range [2][2]float64{{sourceWhite, sourceBlack}, {white, black}} {
		if err := checkLevels(pair[0], pair[1]); err != nil {
			return RollOff{}, err
		}
		if pair[0] > PQPeak {
			return RollOff{}, fmt.Errorf("white is %v cd/m²; it must be at most %v, the peak of PQ", pair[0], PQPeak)
		}
	}
	lo := EncodePQ(sourceBlack)
	span := EncodePQ(sourceWhite) - lo
	r := RollOff{source0: lo, sourceSpan: span}
	// A display that is darker in its black or brighter in its white needs no mapping there.
	r.minimum = math.Max((EncodePQ(black)-lo)/span, 0)
	r.maximum = math.Min((EncodePQ(white)-lo)/span, 1)
	if r.maximum <= r.minimum {
		return RollOff{}, fmt.Errorf("display of %v to %v cd/m² shares no luminance with the source of %v to %v cd/m²",
			black, white, sourceBlack, sourceWhite)
	}
	r.knee = 1.5*r.maximum - 0.5
	r.shadowExponent = 4
	if r.minimum > 0.25 {
		r.shadowExponent = 1 / r.minimum
	}
	return r, nil
}

// Signal returns the PQ signal to show for a PQ signal of the source.
//
//	E₁ = (E′ - PQ(LB)) / (PQ(LW) - PQ(LB))
//	E₂ = E₁ for E₁ < KS, else P(E₁), a cubic that ends level at maxLum
//	E₃ = E₂ + minLum (1 - E₂)^p    p = min(1/minLum, 4)
//
// A signal outside the source's range is taken as its black or white.
//
// Source: [BT2390], 5.4, from memory.
func (r RollOff) Signal(signal float64) float64 {
	e := math.Min(math.Max((signal-r.source0)/r.sourceSpan, 0), 1)
	if e >= r.knee && r.knee < 1 {
		e = r.spline(e)
	}
	e += r.minimum * math.Pow(1-e, r.shadowExponent)
	return e*r.sourceSpan + r.source0
}

// spline returns the cubic that leaves the knee with slope 1 and ends level at the maximum.
func (r RollOff) spline(e float64) float64 {
	t := (e - r.knee) / (1 - r.knee)
	t2 := t * t
	t3 := t2 * t
	return (2*t3-3*t2+1)*r.knee + (t3-2*t2+t)*(1-r.knee) + (3*t2-2*t3)*r.maximum
}

// Decode returns the luminance in cd/m² that the display shows for a PQ signal.
func (r RollOff) Decode(signal float64) float64 { return DecodePQ(r.Signal(signal)) }

// Encode returns the PQ signal of the source for a luminance in cd/m²: it undoes
// [RollOff.Decode] within the display's range. Light outside gives the signal of the
// source's black or white.
//
// The curve rises everywhere, so that bisection finds the signal to within 1e-15.
func (r RollOff) Encode(cdm2 float64) float64 {
	lo, hi := r.source0, r.source0+r.sourceSpan
	target := EncodePQ(cdm2)
	for range 60 {
		mid := (lo + hi) / 2
		if r.Signal(mid) < target {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

var _ Transfer = RollOff{}

package colour

import (
	"fmt"
	"math"
)

// Transfer is a tone curve of a display: what light a signal becomes, and back.
type Transfer interface {
	// Decode returns the light for a signal (the electro-optical transfer function).
	Decode(signal float64) float64
	// Encode returns the signal for a light (the inverse function).
	Encode(light float64) float64
}

var (
	_ Transfer = PQ{}
	_ Transfer = SRGB{}
	_ Transfer = BT1886{}
	_ Transfer = PowerLaw{}
	_ Transfer = Scaled{}
)

// PowerLaw is the tone curve of a display with a plain gamma.
//
//	L = Black + (White - Black) V^Gamma
//
// The unit of the light is that of White and Black. With White 1 and Black 0 it is relative.
type PowerLaw struct{ Gamma, White, Black float64 }

// NewPowerLaw returns the power law from black to white light.
//
// The error says which argument is out of range: gamma and white must be above 0,
// black must be at least 0 and below white.
func NewPowerLaw(gamma, white, black float64) (PowerLaw, error) {
	if !(gamma > 0) || math.IsInf(gamma, 0) {
		return PowerLaw{}, fmt.Errorf("gamma is %v; it must be above 0, about 1 to 3", gamma)
	}
	if err := checkLevels(white, black); err != nil {
		return PowerLaw{}, err
	}
	return PowerLaw{gamma, white, black}, nil
}

// checkLevels refuses a white that is not above a black that is not below zero.
func checkLevels(white, black float64) error {
	if !(black >= 0) || math.IsInf(black, 0) {
		return fmt.Errorf("black is %v; it must be 0 or more and finite", black)
	}
	if !(white > black) || math.IsInf(white, 0) {
		return fmt.Errorf("white is %v; it must be above black (%v) and finite", white, black)
	}
	return nil
}

// Decode returns the light for a signal. A signal below 0 gives black; above 1
// the curve goes on.
func (p PowerLaw) Decode(signal float64) float64 {
	if signal <= 0 {
		return p.Black
	}
	return p.Black + (p.White-p.Black)*math.Pow(signal, p.Gamma)
}

// Encode returns the signal for a light. Light at or below black gives 0.
func (p PowerLaw) Encode(light float64) float64 {
	if light <= p.Black {
		return 0
	}
	return math.Pow((light-p.Black)/(p.White-p.Black), 1/p.Gamma)
}

// Scaled is a relative curve, such as [SRGB], on a display of a certain white and black.
//
//	L = Black + (White - Black) f(V)
//
// Make it with [NewScaled].
type Scaled struct {
	curve        Transfer
	white, black float64
}

// NewScaled returns a curve whose light is from 0 to 1 as one from black to white, in cd/m². Black must
// be at least 0 and below white, or the error says which is not.
func NewScaled(curve Transfer, white, black float64) (Scaled, error) {
	if err := checkLevels(white, black); err != nil {
		return Scaled{}, err
	}
	return Scaled{curve, white, black}, nil
}

// Decode returns the luminance in cd/m² for a signal.
func (s Scaled) Decode(signal float64) float64 {
	return s.black + (s.white-s.black)*s.curve.Decode(signal)
}

// Encode returns the signal for a luminance in cd/m².
func (s Scaled) Encode(cdm2 float64) float64 {
	return s.curve.Encode((cdm2 - s.black) / (s.white - s.black))
}

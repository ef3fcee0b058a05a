package colour

import "math"

// PQPeak is the luminance in cd/m² of the highest PQ signal.
const PQPeak = 10000.0

// The constants of PQ, exactly as the standard gives them: as fractions.
const (
	pqM1 = 2610.0 / 16384
	pqM2 = 2523.0 / 4096 * 128
	pqC1 = 3424.0 / 4096
	pqC2 = 2413.0 / 4096 * 32
	pqC3 = 2392.0 / 4096 * 32
)

// PQ is the perceptual quantizer as a [Transfer]: from a signal to cd/m².
type PQ struct{}

// Decode is [DecodePQ].
func (PQ) Decode(signal float64) float64 { return DecodePQ(signal) }

// Encode is [EncodePQ].
func (PQ) Encode(cdm2 float64) float64 { return EncodePQ(cdm2) }

// DecodePQ returns the luminance in cd/m² that a PQ signal asks for.
//
//	L = 10000 (max(E^(1/m₂) - c₁, 0) / (c₂ - c₃ E^(1/m₂)))^(1/m₁)
//
// The signal is from 0 to 1. The curve is not defined outside: a signal below 0
// gives 0 cd/m², one above 1 gives 10000 cd/m².
//
// Source: [ST2084], 5.1; [BT2100], table 4.
func DecodePQ(signal float64) (cdm2 float64) {
	switch {
	case signal <= 0:
		return 0
	case signal >= 1:
		return PQPeak
	}
	e := math.Pow(signal, 1/pqM2)
	return PQPeak * math.Pow(math.Max(e-pqC1, 0)/(pqC2-pqC3*e), 1/pqM1)
}

// EncodePQ returns the PQ signal for a luminance in cd/m².
//
//	E = ((c₁ + c₂ Y^m₁) / (1 + c₃ Y^m₁))^m₂    Y = L / 10000
//
// The luminance is from 0 to 10000 cd/m². The curve is not defined outside: a
// luminance below 0 is taken as 0, one above 10000 gives 1. The signal for 0 is
// not 0 but c₁^m₂ = 7.3e-7, which is code 0 at every bit depth in use.
//
// Source: [ST2084], 5.2; [BT2100], table 4.
func EncodePQ(cdm2 float64) float64 {
	switch {
	case cdm2 <= 0:
		cdm2 = 0
	case cdm2 >= PQPeak:
		return 1
	}
	y := math.Pow(cdm2/PQPeak, pqM1)
	return math.Pow((pqC1+pqC2*y)/(1+pqC3*y), pqM2)
}

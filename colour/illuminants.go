package colour

import (
	"fmt"
	"math"
)

// The constants of Planck's law in m K and W m²/sr. Colorimetry keeps the value of c₂ that
// the temperature scales of illuminants were set with; CODATA's 1.438776877e-2 would lower every
// colour temperature by 0.0016 %.
//
// Source: [CIE15], 3.1, for c₂; [SI], for 2hc² from the exact h and c.
const (
	planckC2  = 1.4388e-2
	planckC1L = 2 * 6.62607015e-34 * 299792458 * 299792458
)

// PlanckRadiance returns the spectral radiance in W/(sr m² nm) of a black body of a
// temperature in kelvin at a wavelength in nm.
//
//	L = 2hc² λ⁻⁵ / (exp(c₂/λT) - 1)
//
// A temperature or a wavelength of 0 or less gives 0.
//
// Source: [CIE15], 3.1, with refractive index 1.
func PlanckRadiance(kelvin, nm float64) float64 {
	if kelvin <= 0 || nm <= 0 {
		return 0
	}
	m := nm * 1e-9
	return 1e-9 * planckC1L / (m * m * m * m * m) / math.Expm1(planckC2/(m*kelvin))
}

// Planck returns the spectrum of a black body of a temperature in kelvin, as spectral
// radiance in W/(sr m² nm) at every nm from 360 to 830. A temperature that is not above
// 0 gives an error that wraps [ErrTemperature].
func Planck(kelvin float64) (Spectrum, error) {
	if !(kelvin > 0) || math.IsInf(kelvin, 0) {
		return Spectrum{}, fmt.Errorf("%w: black body of %v K; it must be above 0", ErrTemperature, kelvin)
	}
	return tabulate(cmfFrom, 1, cmfCount, func(nm float64) float64 { return PlanckRadiance(kelvin, nm) }), nil
}

// IlluminantA returns the relative spectrum of CIE illuminant A, incandescent light of
// about 2856 K, from 300 to 830 nm in steps of 5 nm, 100 at 560 nm.
//
//	S = 100 (560/λ)⁵ (exp(1.435e7/(2848·560)) - 1) / (exp(1.435e7/2848λ) - 1)
//
// Source: [CIE15], 3.1; [CIE11664], part 2.
func IlluminantA() Spectrum {
	const c = 1.435e7 / 2848
	return tabulate(300, 5, 107, func(nm float64) float64 {
		return 100 * math.Pow(560/nm, 5) * math.Expm1(c/560) / math.Expm1(c/nm)
	})
}

// EqualEnergy returns illuminant E: 100 at every 5 nm from 300 to 830 nm.
//
// Source: [CIE15], 3.1.
func EqualEnergy() Spectrum {
	return tabulate(300, 5, 107, func(float64) float64 { return 100 })
}

func tabulate(from, step float64, n int, value func(nm float64) float64) Spectrum {
	s := Spectrum{from, step, make([]float64, n)}
	for i := range s.Values {
		s.Values[i] = value(s.Wavelength(i))
	}
	return s
}

package colour

import (
	"errors"
	"fmt"
	"math"
)

// ErrTemperature is the error for a colour temperature outside the range in
// which the asked quantity is defined.
var ErrTemperature = errors.New("colour temperature is out of range")

// The colour temperatures in kelvin between which daylight is defined.
const (
	DaylightFrom = 4000.0
	DaylightTo   = 25000.0
)

// NominalDaylight makes the temperature of a D illuminant of its nominal one: 6500 K, by which
// D65 is called, is 6503.6 K since the constant c₂ of Planck's law was corrected.
const NominalDaylight = 1.4388 / 1.4380

// The range and step in nm in which daylight is tabulated.
const (
	daylightFrom = 300.0
	daylightStep = 10.0
)

// DaylightXY returns the chromaticity of daylight of a colour temperature in kelvin.
//
//	xD = -4.6070e9/T³ + 2.9678e6/T² + 0.09911e3/T + 0.244063    for T ≤ 7000 K
//	xD = -2.0064e9/T³ + 1.9018e6/T² + 0.24748e3/T + 0.237040    above
//	yD = -3.000 xD² + 2.870 xD - 0.275
//
// D50, D55, D65 and D75 were named when c₂ had another value: they are daylight of their
// nominal temperature times [NominalDaylight]. Outside 4000 to 25000 K the error wraps [ErrTemperature].
//
// Source: [CIE15], 3.1.
func DaylightXY(kelvin float64) (XY, error) {
	if !(kelvin >= DaylightFrom && kelvin <= DaylightTo) {
		return XY{}, fmt.Errorf("%w: daylight of %v K; it must be %v to %v K", ErrTemperature, kelvin, DaylightFrom, DaylightTo)
	}
	return daylightXY(kelvin), nil
}

// daylightXY is DaylightXY without its check.
func daylightXY(kelvin float64) XY {
	t := 1000 / kelvin
	x := 0.244063 + t*(0.09911+t*(2.9678-t*4.6070))
	if kelvin > 7000 {
		x = 0.237040 + t*(0.24748+t*(1.9018-t*2.0064))
	}
	return XY{x, daylightY(x)}
}

// daylightY returns y on the daylight locus for a given x.
func daylightY(x float64) float64 { return -0.275 + x*(2.870-3*x) }

// Daylight returns the relative spectrum of daylight of a colour temperature in
// kelvin, from 300 to 830 nm in steps of 5 nm, 100 at 560 nm.
//
//	S = S₀ + M₁ S₁ + M₂ S₂
//	M₁ = (-1.3515 - 1.7703 xD + 5.9114 yD) / M    M₂ = (0.0300 - 31.4424 xD + 30.0717 yD) / M
//	M = 0.0241 + 0.2562 xD - 0.7341 yD
//
// M₁ and M₂ are rounded to three decimals, and between the tabulated 10 nm the
// components are interpolated linearly, both as the standard asks. Illuminant D65 is
// Daylight(6500 * NominalDaylight); 6504 K exactly falls on the other side of a rounding, which
// moves x and y by 0.00004. Outside 4000 to 25000 K the error wraps [ErrTemperature].
//
// Source: [CIE15], 3.1 and note 5.
func Daylight(kelvin float64) (Spectrum, error) {
	c, err := DaylightXY(kelvin)
	if err != nil {
		return Spectrum{}, err
	}
	m := 0.0241 + 0.2562*c.X - 0.7341*c.Y
	m1 := round((-1.3515-1.7703*c.X+5.9114*c.Y)/m, 1e3)
	m2 := round((0.0300-31.4424*c.X+30.0717*c.Y)/m, 1e3)
	values := make([]float64, 2*len(daylightS0)-1)
	for i := range daylightS0 {
		values[2*i] = daylightS0[i] + m1*daylightS1[i] + m2*daylightS2[i]
	}
	for i := 1; i < len(values); i += 2 {
		values[i] = (values[i-1] + values[i+1]) / 2
	}
	return Spectrum{daylightFrom, daylightStep / 2, values}, nil
}

// round returns v rounded to a multiple of 1/scale, halves away from zero.
func round(v, scale float64) float64 { return math.Round(v*scale) / scale }

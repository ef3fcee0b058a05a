package colour

import "math"

// SRGB is the tone curve of sRGB as a [Transfer], from a signal to relative light.
type SRGB struct{}

// Decode is [DecodeSRGB].
func (SRGB) Decode(signal float64) float64 { return DecodeSRGB(signal) }

// Encode is [EncodeSRGB].
func (SRGB) Encode(linear float64) float64 { return EncodeSRGB(linear) }

// DecodeSRGB returns the relative linear light, 0 to 1, of an sRGB signal.
//
//	L = V / 12.92                     for V ≤ 0.04045
//	L = ((V + 0.055) / 1.055)^2.4     above
//
// Outside 0 to 1 the curve goes on, mirrored in the origin for negative signals.
//
// Source: [SRGB], 5.2; the mirroring as in its Amendment 1, annex F, from memory.
func DecodeSRGB(signal float64) float64 {
	a := math.Abs(signal)
	if a <= 0.04045 {
		return signal / 12.92
	}
	return math.Copysign(math.Pow((a+0.055)/1.055, 2.4), signal)
}

// EncodeSRGB returns the sRGB signal of a relative linear light.
//
//	V = 12.92 L                       for L ≤ 0.0031308
//	V = 1.055 L^(1/2.4) - 0.055       above
//
// Outside 0 to 1 the curve goes on, mirrored in the origin for negative light.
// The two thresholds of the standard do not match to the last digit: between
// 0.0031308 and 0.00313081 this is no exact inverse of [DecodeSRGB], by 3e-8.
//
// Source: [SRGB], 5.3; the mirroring as in its Amendment 1, annex F, from memory.
func EncodeSRGB(linear float64) float64 {
	a := math.Abs(linear)
	if a <= 0.0031308 {
		return linear * 12.92
	}
	return math.Copysign(1.055*math.Pow(a, 1/2.4)-0.055, linear)
}

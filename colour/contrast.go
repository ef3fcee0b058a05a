package colour

import (
	"errors"
	"fmt"
	"math"
)

// ErrNoContrast is the error for a contrast over a black that is not above zero.
var ErrNoContrast = errors.New("there is no contrast ratio, because black is not above 0 cd/m2; divide white by the meter's floor, and record the result as a lower bound")

// Contrast returns the contrast ratio of two luminances in one unit.
//
//	C = Lw / Lb
//
// A black of 0 or less, as a meter below its floor reports, has no ratio, and the error is
// [ErrNoContrast]. The lower bound is then the ratio over the floor.
//
// Source: [IDMS], 5.10.
func Contrast(white, black float64) (float64, error) {
	if !(black > 0) {
		return 0, ErrNoContrast
	}
	return white / black, nil
}

// CheckerboardContrast returns the contrast of white and black shown at once: the mean
// luminance of the white squares over that of the black ones. The [Contrast] of full screens
// shown one after the other does not include the stray light between the squares.
//
//	C = mean(Lw) / mean(Lb)
//
// The error is [ErrNoContrast] if a list is empty or the mean of black is not above 0.
//
// Source: [IDMS], 5.26 (number from memory).
func CheckerboardContrast(white, black []float64) (float64, error) {
	if len(white) == 0 || len(black) == 0 {
		return 0, fmt.Errorf("%w; %d white and %d black squares are given", ErrNoContrast, len(white), len(black))
	}
	return Contrast(mean(white), mean(black))
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// Michelson returns the Michelson contrast, 0 to 1, of two luminances.
//
//	Cm = (Lmax - Lmin) / (Lmax + Lmin)
//
// Where the sum is not above zero the error is [ErrNoContrast].
//
// Source: [IDMS], appendix B, from memory.
func Michelson(brighter, darker float64) (float64, error) {
	if !(brighter+darker > 0) {
		return 0, ErrNoContrast
	}
	return (brighter - darker) / (brighter + darker), nil
}

// AmbientContrast returns the contrast of a display in a lit room, with diffuse reflection alone.
//
//	C = (Lw + ρE/π) / (Lb + ρE/π)
//
// Luminances are in cd/m², the illuminance on the screen is in lx, and the diffuse
// reflectance ρ is from 0 to 1. Specular reflections of lamps are not included.
//
// Source: [IDMS], 11.9.
func AmbientContrast(white, black, lux, reflectance float64) (float64, error) {
	r := LambertianLuminance(lux, reflectance)
	return Contrast(white+r, black+r)
}

// DiffuseReflectance returns the reflectance of a screen, 0 to 1, from the luminance in
// cd/m² that a room's light adds to it and the illuminance on it in lx.
//
//	ρ = π (L - L₀) / E
//
// lit and dark are readings with the lamps on and off. It fails if the illuminance is not
// above 0. A result slightly below 0 is noise.
//
// Source: [IDMS], 11.3.
func DiffuseReflectance(lit, dark, lux float64) (float64, error) {
	if !(lux > 0) {
		return 0, fmt.Errorf("illuminance is %v lx; it must be above 0", lux)
	}
	return math.Pi * (lit - dark) / lux, nil
}

// LambertianLuminance returns the luminance in cd/m² of a matt surface of a reflectance,
// 0 to 1, under an illuminance in lx.
//
//	L = ρE/π
//
// Source: [ILV], Lambertian surface.
func LambertianLuminance(lux, reflectance float64) float64 { return reflectance * lux / math.Pi }

// LambertianIlluminance returns the illuminance in lx at which a matt surface of a
// reflectance above 0 has a luminance in cd/m². It inverts [LambertianLuminance].
//
// Source: [ILV], Lambertian surface.
func LambertianIlluminance(cdm2, reflectance float64) (lux float64, err error) {
	if !(reflectance > 0) {
		return 0, fmt.Errorf("reflectance is %v; it must be above 0 and at most 1", reflectance)
	}
	return math.Pi * cdm2 / reflectance, nil
}

// LambertianExitance returns the luminous exitance in lm/m² of a surface that has the same
// luminance in cd/m² from all sides.
//
//	M = πL
//
// Source: [ILV], Lambertian surface.
func LambertianExitance(cdm2 float64) float64 { return math.Pi * cdm2 }

// cdm2PerFootlambert is 1/(π · 0.3048²).
const cdm2PerFootlambert = 1 / (math.Pi * 0.3048 * 0.3048)

// FromFootlambert returns a luminance in cd/m² of one in footlambert.
//
// Source: [ILV]; 1 ft = 0.3048 m exactly.
func FromFootlambert(footlambert float64) (cdm2 float64) { return footlambert * cdm2PerFootlambert }

// ToFootlambert returns a luminance in footlambert of one in cd/m².
//
// Source: [ILV]; 1 ft = 0.3048 m exactly.
func ToFootlambert(cdm2 float64) (footlambert float64) { return cdm2 / cdm2PerFootlambert }

// FromFootcandle returns an illuminance in lx of one in footcandle.
//
// Source: [ILV]; 1 ft = 0.3048 m exactly.
func FromFootcandle(footcandle float64) (lux float64) { return footcandle / (0.3048 * 0.3048) }

// InverseSquare returns the illuminance in lx at a distance in m from a small source of an
// intensity in cd, on a surface tilted by an angle in degrees.
//
//	E = I cos θ / d²
//
// It fails if the distance is not above 0. Light from behind gives 0.
//
// Source: [ILV], inverse-square and cosine laws.
func InverseSquare(candela, metres, degrees float64) (lux float64, err error) {
	if !(metres > 0) {
		return 0, fmt.Errorf("distance is %v m; it must be above 0", metres)
	}
	return candela * math.Max(math.Cos(degrees*math.Pi/180), 0) / (metres * metres), nil
}

// Stops returns by how many doublings a luminance is above a reference: log₂(L/L₀). It
// fails if either is not above 0.
//
// Source: common practice, no source.
func Stops(cdm2, reference float64) (float64, error) {
	if !(cdm2 > 0 && reference > 0) {
		return 0, fmt.Errorf("stops of %v over %v cd/m²; both must be above 0", cdm2, reference)
	}
	return math.Log2(cdm2 / reference), nil
}

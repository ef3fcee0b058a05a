package sim

import "candelua/colour"

// The wavelengths of every spectrum in the world: 380 to 780 nm by 5 nm.
const (
	firstNm = 380.0
	stepNm  = 5.0
	bands   = 81
)

// spectrum is spectral radiance in W/(sr m² nm) in each band, or what a
// spectrum is weighted with.
type spectrum [bands]float64

// observer holds the CIE 1931 observer's weights of each band, so that a
// tristimulus value is a dot product with radiance, in cd/m².
type observer struct{ x, y, z spectrum }

// newObserver tabulates 683·x̄·Δλ and so on.
func newObserver() observer {
	var o observer
	const scale = colour.LuminousEfficacy * stepNm
	for i := range bands {
		x, y, z := colour.CIE1931.CMF(firstNm + stepNm*float64(i))
		o.x[i], o.y[i], o.z[i] = scale*x, scale*y, scale*z
	}
	return o
}

// xyz returns the tristimulus values of s in cd/m².
//
// Source: [CIE15], 7.1, summed over 380 to 780 nm by 5 nm.
func (o *observer) xyz(s *spectrum) (c colour.XYZ) {
	for i, v := range s {
		c.X += v * o.x[i]
		c.Y += v * o.y[i]
		c.Z += v * o.z[i]
	}
	return c
}

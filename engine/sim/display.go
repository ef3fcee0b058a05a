package sim

import (
	"math"

	"candelua/colour"
)

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

// panel is what the primaries are made of.
type panel struct {
	primary [3]spectrum   // S_i
	white   spectrum      // S_W = Σ S_i, of 1 cd/m²
	xyz     [3]colour.XYZ // of S_i
}

// newPanel makes the primaries and scales them so that together they have the
// stated white and 1 cd/m². Model of our own: each is a Gaussian,
//
//	S(λ) = k·exp(−4 ln 2 · ((λ − centre)/width)²)
//
// with its full width at half height. It fails where the white cannot be mixed
// from these primaries.
func newPanel(p PrimariesParams, o *observer) (*panel, error) {
	var d panel
	var m colour.Matrix
	for i, shape := range [3][2]float64{p.Red, p.Green, p.Blue} {
		for b := range bands {
			u := (firstNm + stepNm*float64(b) - shape[0]) / shape[1]
			d.primary[i][b] = math.Exp(-4 * math.Ln2 * u * u)
		}
		c := o.xyz(&d.primary[i])
		m[0][i], m[1][i], m[2][i] = c.X, c.Y, c.Z
	}
	inverse, err := m.Inverse()
	if err != nil {
		return nil, wrong("primaries", "do not span a colour space: %v", err)
	}
	white := colour.XY{X: p.White[0], Y: p.White[1]}.XYZ(1)
	for i, k := range inverse.MulVec([3]float64{white.X, white.Y, white.Z}) {
		if !(k > 0) {
			return nil, wrong("primaries.white", "is %v, %v, want a place inside the triangle of the primaries", p.White[0], p.White[1])
		}
		for b := range bands {
			d.primary[i][b] *= k
			d.white[b] += d.primary[i][b]
		}
		d.xyz[i] = o.xyz(&d.primary[i])
	}
	return &d, nil
}

// light returns black·S_W + Σ drive_i·S_i; black and drive in cd/m².
func (d *panel) light(black float64, drive [3]float64) (s spectrum) {
	r, g, b := &d.primary[0], &d.primary[1], &d.primary[2]
	for i := range bands {
		s[i] = black*d.white[i] + drive[0]*r[i] + drive[1]*g[i] + drive[2]*b[i]
	}
	return s
}

// luminance returns the luminance of the same light, in cd/m².
func (d *panel) luminance(black float64, drive [3]float64) float64 {
	return black + drive[0]*d.xyz[0].Y + drive[1]*d.xyz[1].Y + drive[2]*d.xyz[2].Y
}

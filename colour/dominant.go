package colour

import (
	"errors"
	"fmt"
	"math"
)

// ErrNoDominant is the error for a colour without a dominant wavelength: white itself, or one
// beyond the spectrum locus.
var ErrNoDominant = errors.New("no dominant wavelength")

// The ends in nm of the spectrum locus. Beyond 700 nm its chromaticity no longer changes,
// and below 380 nm it turns back a little.
const (
	locusViolet = 380
	locusRed    = 700
)

// Dominant is a colour by the wavelength of its hue. Where Complementary is true the
// colour is a purple: no wavelength has its hue, and Nanometres is that of the complement.
// Purity is the excitation purity, from 0 at white to 1 on the boundary.
type Dominant struct {
	Nanometres    float64
	Complementary bool
	Purity        float64
}

// SpectrumLocus returns the chromaticity of monochromatic light of a wavelength in nm for
// the CIE 1931 observer, from 380 to 700 nm. Outside, the error wraps [ErrSpectrum].
//
// Source: [CIE15], 7.3.
func SpectrumLocus(nm float64) (XY, error) {
	if !(nm >= locusViolet && nm <= locusRed) {
		return XY{}, fmt.Errorf("%w: locus at %v nm is asked for; it must be %v to %v nm", ErrSpectrum, nm, locusViolet, locusRed)
	}
	x, y, z := CIE1931.CMF(nm)
	return XYZ{x, y, z}.XY()
}

// Dominant returns the dominant wavelength and excitation purity of c as seen from
// a white, for the CIE 1931 observer.
//
// The line from white through c meets the boundary of the chromaticity diagram at the
// dominant wavelength, found to 0.01 nm. If it meets the purple line between 380 and 700 nm
// instead, the line in the opposite direction gives the complementary wavelength. Purity is the
// distance of c from white as a share of that of the boundary.
//
// The error wraps [ErrNoDominant] if c is the white, or if c or the white lies outside the
// diagram by more than 0.001 of that distance.
//
// Source: [CIE15], 9.4 and 9.5 on dominant wavelength and purity.
func (c XY) Dominant(white XY) (Dominant, error) {
	dir := XY{c.X - white.X, c.Y - white.Y}
	if !(math.Hypot(dir.X, dir.Y) > 1e-9) {
		return Dominant{}, fmt.Errorf("%w: the colour is the white", ErrNoDominant)
	}
	nm, far, spectral := crossLocus(white, dir)
	purple := false
	if !spectral {
		far, purple = crossPurple(white, dir)
	}
	back := XY{-dir.X, -dir.Y}
	complement, _, closed := crossLocus(white, back)
	if !closed {
		_, closed = crossPurple(white, back)
	}
	// From a point inside, the boundary is met both ways; from one outside it is not.
	if !spectral && !purple || !closed {
		return Dominant{}, fmt.Errorf("%w: white %v, %v is outside the diagram", ErrNoDominant, white.X, white.Y)
	}
	d := Dominant{Nanometres: nm, Purity: 1 / far}
	if purple {
		d = Dominant{complement, true, 1 / far}
	}
	const slack = 1.001
	if d.Purity > slack {
		return Dominant{}, fmt.Errorf("%w: %v, %v is outside the diagram", ErrNoDominant, c.X, c.Y)
	}
	return d, nil
}

// crossLocus returns where the ray from a in direction dir meets the spectrum locus: the
// wavelength, and how many times the length of dir it is away.
func crossLocus(a, dir XY) (nm, far float64, ok bool) {
	previous, _ := SpectrumLocus(locusViolet)
	for i := locusViolet + 1; i <= locusRed; i++ {
		next, _ := SpectrumLocus(float64(i))
		if far, t, hit := crossSegment(a, dir, previous, next); hit {
			return float64(i-1) + t, far, true
		}
		previous = next
	}
	return 0, 0, false
}

func crossPurple(a, dir XY) (far float64, ok bool) {
	violet, _ := SpectrumLocus(locusViolet)
	red, _ := SpectrumLocus(locusRed)
	far, _, ok = crossSegment(a, dir, violet, red)
	return far, ok
}

// crossSegment returns where the ray from a in direction dir meets the segment from p to
// q: at a + far·dir, which is p + t·(q - p).
func crossSegment(a, dir, p, q XY) (far, t float64, ok bool) {
	ex, ey := q.X-p.X, q.Y-p.Y
	det := dir.Y*ex - dir.X*ey
	if det == 0 {
		return 0, 0, false
	}
	wx, wy := p.X-a.X, p.Y-a.Y
	far = (wy*ex - wx*ey) / det
	t = (dir.X*wy - dir.Y*wx) / det
	const slack = 1e-9 // so that a ray through a corner does not slip between two segments
	return far, t, far > 0 && t >= -slack && t <= 1+slack
}

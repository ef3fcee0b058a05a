package sim

import (
	"math"

	"candelua/colour"
)

// The lights that a reading is a sum of: the panel's subpixels, its black
// level and the room's light on the screen.
const (
	subWhite   = 3 // after red, green and blue
	subpixels  = 4
	lightBlack = 4
	lightRoom  = 5
	lights     = 6
)

// amounts says how much there is of each light, in cd/m². Red, green and blue
// are in cd/m² of the white that equal amounts of them make.
type amounts [lights]float64

// panel is what the lights are made of.
type panel struct {
	lights    [lights]spectrum // S; white, black and room of 1 cd/m²
	xyz       [lights]colour.XYZ
	luminance [lights]float64

	whiteShare, whiteGain float64
	crosstalk             float64 // a share
}

// The bands of a white subpixel's emitter: broad, and mixed to the white.
var (
	emitterRed   = [2]float64{610, 90}
	emitterGreen = [2]float64{550, 80}
	emitterBlue  = [2]float64{455, 24}
)

// newPanel makes the primaries and scales them so that together they have the
// stated white and 1 cd/m². Model of our own: each is a Gaussian,
//
//	S(λ) = k·exp(−4 ln 2 · ((λ − centre)/width)²)
//
// with its full width at half height. A white subpixel is made of three broad
// ones, mixed to the same white. It fails where the white cannot be mixed from
// the primaries.
func newPanel(p PrimariesParams, kelvin float64, o *observer) (*panel, error) {
	d := &panel{whiteShare: p.WhiteShare, whiteGain: 1 + p.WhiteBoost, crosstalk: p.Crosstalk / 100}
	white := colour.XY{X: p.White[0], Y: p.White[1]}
	primaries, err := mixed([3][2]float64{p.Red, p.Green, p.Blue}, white, o)
	if err != nil {
		return nil, err
	}
	for i, s := range primaries {
		d.lights[i] = s
		for b, v := range s {
			d.lights[lightBlack][b] += v
		}
	}
	d.lights[subWhite] = d.lights[lightBlack]
	if p.WhiteShare > 0 {
		broad, err := mixed([3][2]float64{emitterRed, emitterGreen, emitterBlue}, white, o)
		if err != nil {
			return nil, wrong("primaries.white", "is %v, %v; it must be a chromaticity that a white subpixel can have", p.White[0], p.White[1])
		}
		d.lights[subWhite] = spectrum{}
		for b := range bands {
			d.lights[subWhite][b] = broad[0][b] + broad[1][b] + broad[2][b]
		}
	}
	d.lights[lightRoom] = roomLight(kelvin, o)
	for i := range d.lights {
		d.xyz[i] = o.xyz(&d.lights[i])
		d.luminance[i] = d.xyz[i].Y
	}
	return d, nil
}

// mixed scales Gaussians so that they add to a white of 1 cd/m².
func mixed(shapes [3][2]float64, white colour.XY, o *observer) (all [3]spectrum, err error) {
	var m colour.Matrix
	for i, shape := range shapes {
		for b := range bands {
			u := (firstNm + stepNm*float64(b) - shape[0]) / shape[1]
			all[i][b] = math.Exp(-4 * math.Ln2 * u * u)
		}
		c := o.xyz(&all[i])
		m[0][i], m[1][i], m[2][i] = c.X, c.Y, c.Z
	}
	inverse, err := m.Inverse()
	if err != nil {
		return all, wrong("primaries", "do not span a colour space: %v", err)
	}
	w := white.XYZ(1)
	for i, k := range inverse.MulVec([3]float64{w.X, w.Y, w.Z}) {
		if !(k > 0) {
			return all, wrong("primaries.white", "is %v, %v; it must be a chromaticity inside the triangle of the primaries", white.X, white.Y)
		}
		for b := range bands {
			all[i][b] *= k
		}
	}
	return all, nil
}

// split divides what a neutral-and-colour signal asks for among the subpixels.
// Model of our own: with m the least of red, green and blue, the white subpixel
// takes over the share s of m and gives 1 + β of what it took,
//
//	d'_i = (d_i − s·m)/(1 + s·β)      w = s·m·(1 + β)/(1 + s·β)
//
// so that white keeps its luminance while red, green and blue alone add to only
// 1/(1 + s·β) of it. Without a white subpixel, s = 0, nothing changes.
func (d *panel) split(rgb [3]float64) (all [subpixels]float64) {
	rgb = d.crossed(rgb)
	taken := d.whiteShare * min(rgb[0], rgb[1], rgb[2])
	scale := 1 / (1 + d.whiteShare*(d.whiteGain-1))
	for i, v := range rgb {
		all[i] = (v - taken) * scale
	}
	all[subWhite] = taken * d.whiteGain * scale
	return all
}

// crossed takes from each of red, green and blue what crosstalk makes it lose while the
// others are lit. Model of our own: with the share c, and m the most of red, green and blue,
//
//	d'_i = d_i·(1 − c·(d_j + d_k)/2m)/(1 − c)
//
// so that greys stay as bright as they are asked for, while red, green and blue alone
// add to 1/(1 − c) of white. Their spectra, and so their chromaticities, stay.
func (d *panel) crossed(rgb [3]float64) (all [3]float64) {
	most := max(rgb[0], rgb[1], rgb[2])
	if d.crosstalk == 0 || most == 0 {
		return rgb
	}
	sum := rgb[0] + rgb[1] + rgb[2]
	for i, v := range rgb {
		all[i] = v * (1 - d.crosstalk*(sum-v)/(2*most)) / (1 - d.crosstalk)
	}
	return all
}

// spectrum returns the light of these amounts.
func (d *panel) spectrum(a amounts) (s spectrum) {
	for i, v := range a {
		if v == 0 {
			continue
		}
		for b, l := range d.lights[i] {
			s[b] += v * l
		}
	}
	return s
}

// luminanceOf returns the luminance of these amounts, in cd/m².
func (d *panel) luminanceOf(a amounts) (y float64) {
	for i, v := range a {
		y += v * d.luminance[i]
	}
	return y
}

// xyzOf returns the tristimulus values of these amounts, in cd/m².
func (d *panel) xyzOf(a amounts) (c colour.XYZ) {
	for i, v := range a {
		c.X += v * d.xyz[i].X
		c.Y += v * d.xyz[i].Y
		c.Z += v * d.xyz[i].Z
	}
	return c
}

// roomLight is light of a colour temperature, of 1 cd/m².
func roomLight(kelvin float64, o *observer) (s spectrum) {
	for b := range bands {
		s[b] = colour.PlanckRadiance(kelvin, firstNm+stepNm*float64(b))
	}
	y := o.xyz(&s).Y
	for b := range s {
		s[b] /= y
	}
	return s
}

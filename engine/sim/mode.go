package sim

import (
	"fmt"

	"candelua/colour"
)

// effective returns the parameters with what the unit's mode changes, and the
// mode's matrix on drive, nil where signals mean the panel's own primaries.
func effective(p Params, o *observer) (Params, *colour.Matrix, error) {
	i, err := p.mode()
	if err != nil || i < 0 {
		return p, nil, err
	}
	m := &p.Modes[i]
	if m.Tone != "as_stated" {
		p.Tone.Kind = m.Tone
	}
	if m.Exponent > 0 {
		p.Tone.Exponent = m.Exponent
	}
	if m.Luminance > 0 {
		p.Light.White *= m.Luminance / 100
	}
	matrix, err := m.matrix(p, o, fmt.Sprintf("modes[%d].white", i+1))
	return p, matrix, err
}

// mode returns the index of the mode that the unit is in, -1 where none is
// stated.
func (p *Params) mode() (int, error) {
	if p.Mode == "" {
		return -1, nil
	}
	names := make([]string, len(p.Modes))
	for i := range p.Modes {
		if names[i] = p.Modes[i].Name; names[i] == p.Mode {
			return i, nil
		}
	}
	if len(names) == 0 {
		return -1, wrong("mode", "is %q; it must be \"\", for the unit has no modes", p.Mode)
	}
	return -1, wrong("mode", "is %q; it must be %s", p.Mode, quoted(names))
}

// matrix returns what turns linear signals of the mode's gamut and white into
// the panel's drive. With T and P from linear red, green and blue of target and
// panel to XYZ,
//
//	M = P⁻¹·T / max(P⁻¹·T·(1, 1, 1))
//
// so that white is as bright as the panel can make it in that colour. A white
// subpixel that gives more than it takes over then moves the mode's colours
// towards the panel's white.
func (m *ModeParams) matrix(p Params, o *observer, path string) (*colour.Matrix, error) {
	white := p.Primaries.White
	if m.White != [2]float64{} {
		white = m.White
	}
	if m.Gamut == "native" && white == p.Primaries.White {
		return nil, nil
	}
	d, err := newPanel(p.Primaries, p.Room.Kelvin, o)
	if err != nil {
		return nil, err
	}
	var panel colour.Matrix
	var corners [3]colour.XY
	for i := range corners {
		c := d.xyz[i]
		panel[0][i], panel[1][i], panel[2][i] = c.X, c.Y, c.Z
		if corners[i], err = c.XY(); err != nil {
			return nil, wrong("primaries", "include one that gives no light: %v", err)
		}
	}
	corners = m.corners(corners)
	target, err := colour.NewSpace(m.Name, corners[0], corners[1], corners[2], colour.XY{X: white[0], Y: white[1]})
	if err != nil {
		return nil, wrong(path, "does not fit the gamut: %v", err)
	}
	inverse, err := panel.Inverse()
	if err != nil {
		return nil, wrong("primaries", "do not span a colour space: %v", err)
	}
	to := target.Matrix()
	product := inverse.Mul(&to)
	equal := product.MulVec([3]float64{1, 1, 1})
	if !(min(equal[0], equal[1], equal[2]) > 0) {
		return nil, wrong(path, "is %v, %v; it must be a chromaticity inside the triangle of the primaries", white[0], white[1])
	}
	most := max(equal[0], equal[1], equal[2])
	for i := range product {
		for k := range product[i] {
			product[i][k] /= most
		}
	}
	return &product, nil
}

// corners are those of the mode's gamut, the panel's own where it is native.
func (m *ModeParams) corners(panel [3]colour.XY) [3]colour.XY {
	switch m.Gamut {
	case "bt709":
		return colour.BT709.Primaries()
	case "p3":
		return colour.P3D65.Primaries()
	case "bt2020":
		return colour.BT2020.Primaries()
	}
	return panel
}

// plainOfP3 returns what turns linear signals of Display P3 into those of the gamut that plain codes mean, white into white; nil where
// that gamut does not hold the white. The unit takes its own white for D65.
func (p *Params) plainOfP3(d *panel) *colour.Matrix {
	var corners [3]colour.XY
	for i := range corners {
		c, err := d.xyz[i].XY()
		if err != nil {
			return nil
		}
		corners[i] = c
	}
	if i, err := p.mode(); err == nil && i >= 0 {
		corners = p.Modes[i].corners(corners)
	}
	plain, err := colour.NewSpace("plain codes", corners[0], corners[1], corners[2], colour.D65)
	if err != nil {
		return nil
	}
	to, from := plain.Matrix(), colour.P3D65.Matrix()
	inverse, err := to.Inverse()
	if err != nil {
		return nil
	}
	product := inverse.Mul(&from)
	return &product
}

package colour

import (
	"fmt"
	"math"
)

// Surround is what lies around the image, beyond its background.
//
// Source: [Li2017], table A1.
type Surround struct{ F, C, Nc float64 }

// The three surrounds that the model knows: a lit room, a dim one for television, and darkness.
//
// Source: [Li2017], table A1.
var (
	AverageSurround = Surround{1.0, 0.69, 1.0}
	DimSurround     = Surround{0.9, 0.59, 0.9}
	DarkSurround    = Surround{0.8, 0.525, 0.8}
)

// Viewing is what the appearance of a colour depends on besides the colour.
type Viewing struct {
	White      XYZ     // the adopted white, on the scale of the colours
	Adapting   float64 // luminance in cd/m² that the eye is adapted to; often a fifth of white
	Background float64 // luminance of the background relative to white, 0 to 1; often 0.2
	Surround   Surround
}

// CAM16 is the colour appearance model CAM16 for certain viewing conditions. Make it with [NewCAM16].
type CAM16 struct {
	gain             [3]float64 // of the cone responses, adaptation and scale included
	fl, flRoot       float64    // luminance level adaptation, and its fourth root
	nbb, z           float64
	c, chromaFactor  float64
	whiteAchromatic  float64
	eccentricityGain float64
}

// NewCAM16 returns the model for viewing conditions. The error says which of them is out
// of range: the white must have three components above 0, the adapting luminance must be above
// 0, the background above 0 and at most 1.
//
// Source: [Li2017], appendix A, step 0.
func NewCAM16(v Viewing) (*CAM16, error) {
	if _, err := NewWhite(v.White); err != nil {
		return nil, err
	}
	if !(v.Adapting > 0) || math.IsInf(v.Adapting, 0) {
		return nil, fmt.Errorf("adapting luminance is %v cd/m²; it must be above 0", v.Adapting)
	}
	if !(v.Background > 0 && v.Background <= 1) {
		return nil, fmt.Errorf("background is %v of white; it must be above 0 and at most 1", v.Background)
	}
	s := v.Surround
	if !(s.F > 0 && s.C > 0 && s.Nc > 0) {
		return nil, fmt.Errorf("surround is %v; it must be one of the three that the model knows", s)
	}
	m := &CAM16{c: s.C, z: 1.48 + math.Sqrt(v.Background)}
	k := 1 / (5*v.Adapting + 1)
	k4 := k * k * k * k
	m.fl = 0.2*k4*(5*v.Adapting) + 0.1*(1-k4)*(1-k4)*math.Cbrt(5*v.Adapting)
	m.flRoot = math.Sqrt(math.Sqrt(m.fl))
	m.nbb = 0.725 * math.Pow(1/v.Background, 0.2)
	m.chromaFactor = math.Pow(1.64-math.Pow(0.29, v.Background), 0.73)
	m.eccentricityGain = 50000.0 / 13 * s.Nc * m.nbb

	d := math.Min(math.Max(s.F*(1-math.Exp((-v.Adapting-42)/92)/3.6), 0), 1)
	w := v.White.Scale(100 / v.White.Y)
	r := CAT16.toCone.MulVec([3]float64{w.X, w.Y, w.Z})
	for i := range r {
		if !(r[i] > 0) {
			return nil, fmt.Errorf("white has no CAT16 response above 0: %w", ErrNoChromaticity)
		}
		m.gain[i] = (d*100/r[i] + 1 - d) * m.fl / 100 * (100 / v.White.Y)
	}
	m.whiteAchromatic = m.achromatic(m.compress(v.White))
	return m, nil
}

// compress returns the cone responses after adaptation and compression, without the
// constant 0.1, which cancels out of all that follows but one sum.
func (m *CAM16) compress(c XYZ) [3]float64 {
	r := CAT16.toCone.MulVec([3]float64{c.X, c.Y, c.Z})
	for i, v := range r {
		p := math.Pow(math.Abs(v)*m.gain[i], 0.42)
		r[i] = math.Copysign(400*p/(p+27.13), v)
	}
	return r
}

func (m *CAM16) achromatic(r [3]float64) float64 { return m.nbb * (2*r[0] + r[1] + r[2]/20) }

// JMh is the appearance of a colour: lightness J, 0 to 100 for white, colourfulness M,
// and hue h in degrees from 0 to 360.
type JMh struct{ J, M, H float64 }

// tiniest keeps a divisor above zero that no real stimulus brings near it.
const tiniest = 1e-9

// JMh returns the appearance of c, which must be on the scale of the white. Black, and what
// is darker, has J = M = 0.
//
// Source: [Li2017], appendix A.
func (m *CAM16) JMh(c XYZ) JMh {
	r := m.compress(c)
	achromatic := m.achromatic(r)
	if !(achromatic > 0) {
		return JMh{}
	}
	a := r[0] + (r[2]-12*r[1])/11
	b := (r[0] + r[1] - 2*r[2]) / 9
	root := math.Pow(achromatic/m.whiteAchromatic, m.c*m.z/2) // of J/100
	e := (math.Cos(math.Atan2(b, a)+2) + 3.8) / 4
	t := m.eccentricityGain * e * math.Hypot(a, b) / math.Max(r[0]+r[1]+1.05*r[2]+0.305, tiniest)
	chroma := math.Pow(t, 0.9) * root * m.chromaFactor
	return JMh{100 * root * root, chroma * m.flRoot, hueDegrees(a, b)}
}

// UCS16 is a colour in CAM16-UCS, where distances are meant to be equally visible.
type UCS16 struct{ J, A, B float64 }

// UCS returns the place of an appearance in CAM16-UCS.
//
//	J′ = 1.7 J / (1 + 0.007 J)    M′ = ln(1 + 0.0228 M)/0.0228    a′ = M′ cos h    b′ = M′ sin h
//
// Source: [Li2017], section on CAM16-UCS.
func (p JMh) UCS() UCS16 {
	const m = 0.0228
	colourfulness := math.Log1p(m*p.M) / m
	sin, cos := math.Sincos(p.H * math.Pi / 180)
	return UCS16{1.7 * p.J / (1 + 0.007*p.J), colourfulness * cos, colourfulness * sin}
}

// UCS returns c in CAM16-UCS: the place of its appearance.
//
// Source: [Li2017], section on CAM16-UCS.
func (m *CAM16) UCS(c XYZ) UCS16 { return m.JMh(c).UCS() }

// DeltaE16 returns the distance in CAM16-UCS.
//
// Source: [Li2017].
func DeltaE16(c, d UCS16) float64 {
	j, a, b := d.J-c.J, d.A-c.A, d.B-c.B
	return math.Sqrt(j*j + a*a + b*b)
}

package builtins

import (
	"fmt"

	"candelua/colour"
)

// The objects that the colour module gives. Each can be given back wherever a
// colour of its kind is taken.

// ColourXYZ is a stimulus.
type ColourXYZ struct {
	X float64 `lua:"X" unit:"cd/m2" help:"CIE 1931 tristimulus value"`
	Y float64 `lua:"Y" unit:"cd/m2" help:"luminance"`
	Z float64 `lua:"Z" unit:"cd/m2" help:"CIE 1931 tristimulus value"`
}

// LuaName is what scripts call it.
func (ColourXYZ) LuaName() string { return "XYZ colour" }

func (c *ColourXYZ) String() string { return fmt.Sprintf("XYZ: %g %g %g", c.X, c.Y, c.Z) }

func givenXYZ(c colour.XYZ) ColourXYZ { return ColourXYZ(c) }

// ColourXY is a chromaticity of the CIE 1931 diagram.
type ColourXY struct {
	X float64 `lua:"x" help:"CIE 1931 chromaticity x"`
	Y float64 `lua:"y" help:"CIE 1931 chromaticity y"`
}

// LuaName is what scripts call it.
func (ColourXY) LuaName() string { return "chromaticity x, y" }

func (c *ColourXY) String() string { return fmt.Sprintf("xy: %g %g", c.X, c.Y) }

// ColourUV is a chromaticity of the CIE 1976 diagram.
type ColourUV struct {
	U float64 `lua:"u" help:"CIE 1976 chromaticity u'"`
	V float64 `lua:"v" help:"CIE 1976 chromaticity v'"`
}

// LuaName is what scripts call it.
func (ColourUV) LuaName() string { return "chromaticity u', v'" }

func (c *ColourUV) String() string { return fmt.Sprintf("u'v': %g %g", c.U, c.V) }

// ColourUV1960 is a chromaticity of the CIE 1960 diagram.
type ColourUV1960 struct {
	U float64 `lua:"u1960" help:"CIE 1960 chromaticity u"`
	V float64 `lua:"v1960" help:"CIE 1960 chromaticity v"`
}

// LuaName is what scripts call it.
func (ColourUV1960) LuaName() string { return "CIE 1960 chromaticity" }

// ColourLab is a colour in CIELAB.
type ColourLab struct {
	L float64 `lua:"L" help:"CIE 1976 lightness L*, 100 for the white"`
	A float64 `lua:"a" help:"a*; above 0 is redder, below 0 is greener"`
	B float64 `lua:"b" help:"b*; above 0 is yellower, below 0 is bluer"`
}

// LuaName is what scripts call it.
func (ColourLab) LuaName() string { return "Lab colour" }

func (c *ColourLab) String() string { return fmt.Sprintf("Lab: %g %g %g", c.L, c.A, c.B) }

// ColourLCh is a colour in CIELAB or CIELUV by lightness, chroma and hue.
type ColourLCh struct {
	L float64 `lua:"L" help:"CIE 1976 lightness L*"`
	C float64 `lua:"C" help:"chroma C*"`
	H float64 `lua:"h" unit:"°" help:"hue angle, 0 to 360"`
}

// LuaName is what scripts call it.
func (ColourLCh) LuaName() string { return "LCh colour" }

// ColourLuv is a colour in CIELUV.
type ColourLuv struct {
	L float64 `lua:"L" help:"CIE 1976 lightness L*, 100 for the white"`
	U float64 `lua:"u_star" help:"u*"`
	V float64 `lua:"v_star" help:"v*"`
}

// LuaName is what scripts call it.
func (ColourLuv) LuaName() string { return "Luv colour" }

// ColourICtCp is a colour of BT.2100 in its PQ form.
type ColourICtCp struct {
	I  float64 `lua:"I" help:"intensity, 0 to 1 on the PQ scale"`
	Ct float64 `lua:"Ct" help:"above 0 is bluer, below 0 is yellower"`
	Cp float64 `lua:"Cp" help:"above 0 is redder, below 0 is greener"`
}

// LuaName is what scripts call it.
func (ColourICtCp) LuaName() string { return "ICtCp colour" }

// ColourRGB is linear light of an RGB space.
type ColourRGB struct {
	R float64 `lua:"r" help:"linear red, 0 to 1 within the gamut"`
	G float64 `lua:"g" help:"linear green"`
	B float64 `lua:"b" help:"linear blue"`
}

// LuaName is what scripts call it.
func (ColourRGB) LuaName() string { return "RGB colour" }

// ColourCAM16 is the appearance of a colour, and its place in CAM16-UCS.
type ColourCAM16 struct {
	J  float64 `lua:"J" help:"lightness, 100 for the white"`
	M  float64 `lua:"M" help:"colourfulness"`
	H  float64 `lua:"h" unit:"°" help:"hue, 0 to 360"`
	UJ float64 `lua:"J_ucs" help:"J' of CAM16-UCS"`
	UA float64 `lua:"a_ucs" help:"a' of CAM16-UCS"`
	UB float64 `lua:"b_ucs" help:"b' of CAM16-UCS"`
}

// LuaName is what scripts call it.
func (ColourCAM16) LuaName() string { return "CAM16 appearance" }

// ColourTemperature is a correlated colour temperature.
type ColourTemperature struct {
	Kelvin float64 `lua:"cct" unit:"K" help:"correlated colour temperature"`
	Duv    float64 `lua:"duv" help:"distance from the Planckian locus in CIE 1960 u, v; above 0 is greenish"`
}

// LuaName is what scripts call it.
func (ColourTemperature) LuaName() string { return "colour temperature" }

// ColourOffset is a displacement in terms of the daylight locus.
type ColourOffset struct {
	Along    float64 `lua:"along" help:"distance in u'v' along the locus; above 0 is bluer"`
	Across   float64 `lua:"across" help:"distance in u'v' at right angles to the locus; above 0 is greener"`
	Distance float64 `lua:"distance" help:"total distance in u'v'"`
}

// LuaName is what scripts call it.
func (ColourOffset) LuaName() string { return "displacement" }

// ColourDominant is a colour by the wavelength of its hue.
type ColourDominant struct {
	Nanometres    float64 `lua:"wavelength" unit:"nm" help:"dominant wavelength; for a purple, that of its complement"`
	Complementary bool    `lua:"complementary" help:"true for a purple, which has no dominant wavelength of its own"`
	Purity        float64 `lua:"purity" help:"excitation purity, from 0 at white to 1 on the spectrum locus or the purple line"`
}

// LuaName is what scripts call it.
func (ColourDominant) LuaName() string { return "dominant wavelength" }

// ColourDelta is a difference by its parts.
type ColourDelta struct {
	L float64 `lua:"L" help:"lightness; above 0: b is lighter than a"`
	C float64 `lua:"C" help:"chroma; above 0: b is more saturated"`
	H float64 `lua:"H" help:"hue difference as a length; above 0: b is counter-clockwise of a"`
}

// LuaName is what scripts call it.
func (ColourDelta) LuaName() string { return "difference by lightness, chroma and hue" }

// ColourDeltaITP is a difference by its parts on the scale of delta E ITP.
type ColourDeltaITP struct {
	I float64 `lua:"I" help:"intensity; above 0: b is brighter than a"`
	T float64 `lua:"T" help:"T; above 0: b is bluer than a"`
	P float64 `lua:"P" help:"P; above 0: b is redder than a"`
}

// LuaName is what scripts call it.
func (ColourDeltaITP) LuaName() string { return "difference by I, T and P" }

// ColourPeak is the highest point of a spectrum.
type ColourPeak struct {
	Nanometres float64 `lua:"wavelength" unit:"nm" help:"wavelength of the peak"`
	Value      float64 `lua:"value" unit:"W/(sr m2 nm)" help:"value at the peak"`
}

// LuaName is what scripts call it.
func (ColourPeak) LuaName() string { return "spectral peak" }

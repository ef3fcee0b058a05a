package builtins

import (
	"fmt"

	"candelua/colour"
	"candelua/engine/declare"
	"candelua/engine/script"
)

func spaceFuncs() []*script.Func {
	return []*script.Func{
		pure("colour.space", "makes an RGB space of measured primaries and white, for the functions that take a space; primaries given by x and y may be imaginary, as standards define some (SMPTE RP 177)", newSpace),
		pure("colour.rgb_to_xyz", "converts linear RGB of a space to XYZ, on a scale where white has Y = white (SMPTE RP 177)", rgbToXYZ),
		pure("colour.xyz_to_rgb", "converts a stimulus to linear RGB of a space; outside the gamut, values are below 0 or above 1 (SMPTE RP 177)", xyzToRGB),
		pure("colour.rgb_matrix", "computes the 3x3 matrix from linear RGB of a space to XYZ, or back, as three rows (SMPTE RP 177)", rgbMatrix),
		pure("colour.luminance_shares", "computes the shares of red, green and blue in the luminance of a space's white; their sum is 1", func(_ *script.Call, a spaceArg) (ColourRGB, error) {
			s, err := spaceOf("space", a.Space)
			if err != nil {
				return ColourRGB{}, err
			}
			v := s.LuminanceShares()
			return ColourRGB{v[0], v[1], v[2]}, nil
		}),
		pure("colour.lab", "converts a stimulus or a list of them to CIELAB, relative to a white; what no light has is an error (CIE 15, ISO/CIE 11664-4)", toLab, script.Gives("a Lab colour; for a list, a colour list")),
		pure("colour.lab_to_xyz", "converts a CIELAB colour to XYZ, on the scale of the white (CIE 15)", labToXYZ),
		pure("colour.lch", "computes lightness, chroma and hue in CIELAB or CIELUV, from a colour of that space or from a stimulus and a white (CIE 15)", toLCh),
		pure("colour.lch_to_lab", "converts lightness, chroma and hue to CIELAB (CIE 15)", func(_ *script.Call, a lchArgs) (ColourLab, error) {
			return ColourLab(colour.LCh{L: a.L, C: a.C, H: a.H}.Lab()), nil
		}),
		pure("colour.luv", "converts a stimulus to CIELUV, relative to a white; noise around black has u* and v* of 0, and what no light has is an error (CIE 15, ISO/CIE 11664-5)", toLuv),
		pure("colour.luv_to_xyz", "converts a CIELUV colour to XYZ, on the scale of the white (CIE 15)", luvToXYZ),
		pure("colour.lightness", "converts a luminance relative to white to L* (CIE 15)", func(_ *script.Call, a relativeArg) (float64, error) {
			return colour.Lightness(a.Relative), nil
		}),
		pure("colour.lightness_to_light", "converts L* to a luminance relative to white (CIE 15)", func(_ *script.Call, a lightnessArg) (float64, error) {
			return colour.FromLightness(a.L), nil
		}),
		pure("colour.ictcp", "converts a stimulus in cd/m2 or a list of them to ICtCp for PQ; noise below black counts as black, and what no light has is an error (ITU-R BT.2100)", toICtCp, script.Gives("an ICtCp colour; for a list, a colour list")),
		pure("colour.ictcp_to_xyz", "converts an ICtCp colour to XYZ in cd/m2 (ITU-R BT.2100)", func(_ *script.Call, a ictcpArgs) (ColourXYZ, error) {
			return givenXYZ(colour.ICtCp{I: a.I, Ct: a.Ct, Cp: a.Cp}.XYZ()), nil
		}),
		pure("colour.cam16", "computes the CAM16 appearance of a stimulus and its coordinates in CAM16-UCS; noise around black is black, and what no light has is an error (Li et al. 2017)", toCAM16),
		pure("colour.adapt", "computes the stimulus that looks the same under another white (CAT16, CAT02 of CIE 159, Bradford of ICC.1)", adapt),
	}
}

// ColourSpace is an RGB space that a script made.
type ColourSpace struct {
	Name  string   `lua:"name" help:"name of the space"`
	Red   ColourXY `lua:"red" help:"chromaticity of red"`
	Green ColourXY `lua:"green" help:"chromaticity of green"`
	Blue  ColourXY `lua:"blue" help:"chromaticity of blue"`
	White ColourXY `lua:"white" help:"chromaticity of white"`
	space *colour.Space
}

// LuaName is what scripts call it.
func (ColourSpace) LuaName() string { return "RGB space" }

// Bytes is what the matrices of the space take.
func (ColourSpace) Bytes() int { return 512 }

type newSpaceArgs struct {
	Name  string `lua:"name" default:"measured" help:"name of the space"`
	Red   any    `lua:"red" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"chromaticity of red"`
	Green any    `lua:"green" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"chromaticity of green"`
	Blue  any    `lua:"blue" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"chromaticity of blue"`
	White any    `lua:"white" want:"a reading, { x=, y= }, { u=, v= }, { X=, Y=, Z= } or \"d65\"" help:"chromaticity of white"`
}

func newSpace(c *script.Call, a newSpaceArgs) (*ColourSpace, error) {
	var xy [4]colour.XY
	for i, p := range []struct {
		arg string
		x   any
	}{{"red", a.Red}, {"green", a.Green}, {"blue", a.Blue}, {"white", a.White}} {
		var err error
		if xy[i], err = primaryOf(c, p.arg, p.x); err != nil {
			return nil, err
		}
	}
	s, err := colour.NewSpace(a.Name, xy[0], xy[1], xy[2], xy[3])
	if err != nil {
		return nil, err
	}
	return &ColourSpace{a.Name, ColourXY(xy[0]), ColourXY(xy[1]), ColourXY(xy[2]), ColourXY(xy[3]), s}, nil
}

type spaceArg struct {
	Space any `lua:"space" pos:"1" want:"\"bt709\", \"p3-d65\", \"p3-dci\", \"bt2020\" or a space made by colour.space" help:"the RGB space"`
}

type matrixOfArgs struct {
	Space   any  `lua:"space" pos:"1" want:"\"bt709\", \"p3-d65\", \"p3-dci\", \"bt2020\" or a space made by colour.space" help:"the RGB space"`
	Inverse bool `lua:"inverse" default:"false" help:"true: returns the matrix from XYZ to linear RGB"`
}

func rgbMatrix(_ *script.Call, a matrixOfArgs) ([][]float64, error) {
	s, err := spaceOf("space", a.Space)
	if err != nil {
		return nil, err
	}
	m := s.Matrix()
	if a.Inverse {
		m, err = m.Inverse()
	}
	return rowsOf(m), err
}

func rowsOf(m colour.Matrix) [][]float64 {
	return [][]float64{m[0][:], m[1][:], m[2][:]}
}

type rgbArgs struct {
	R     float64 `lua:"r" help:"linear red, 0 to 1 within the gamut"`
	G     float64 `lua:"g" help:"linear green"`
	B     float64 `lua:"b" help:"linear blue"`
	Space any     `lua:"space" want:"\"bt709\", \"p3-d65\", \"p3-dci\", \"bt2020\" or a space made by colour.space" help:"the RGB space"`
	White float64 `lua:"white" default:"1" above:"0" unit:"cd/m2" help:"luminance of r = g = b = 1, a number"`
}

func rgbToXYZ(_ *script.Call, a rgbArgs) (ColourXYZ, error) {
	s, err := spaceOf("space", a.Space)
	if err != nil {
		return ColourXYZ{}, err
	}
	return givenXYZ(s.ToXYZ([3]float64{a.R, a.G, a.B}).Scale(a.White)), nil
}

type toRGBArgs struct {
	Colour any     `lua:"colour" pos:"1" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the stimulus"`
	Space  any     `lua:"space" want:"\"bt709\", \"p3-d65\", \"p3-dci\", \"bt2020\" or a space made by colour.space" help:"the RGB space"`
	White  float64 `lua:"white" default:"1" above:"0" unit:"cd/m2" help:"luminance of r = g = b = 1, a number"`
}

func xyzToRGB(_ *script.Call, a toRGBArgs) (ColourRGB, error) {
	s, err := spaceOf("space", a.Space)
	if err != nil {
		return ColourRGB{}, err
	}
	c, err := stimulusOf("colour", a.Colour)
	if err != nil {
		return ColourRGB{}, err
	}
	v := s.FromXYZ(c.Scale(1 / a.White))
	return ColourRGB{v[0], v[1], v[2]}, nil
}

type whiteArgs struct {
	Colour declare.Loose `lua:"colour" pos:"1" want:"a stimulus, or a list of stimuli or of numbers" help:"the stimulus, on the scale of white; plain numbers are X, Y, Z"`
	White  any           `lua:"white" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white; for a display, the reading of its white"`
}

func toLab(c *script.Call, a whiteArgs) (any, error) {
	w, err := whiteOf(c, a.White)
	if err != nil {
		return nil, err
	}
	l, err := listOf("colour", a.Colour, "XYZ", "XYZ", stimulusNumbers)
	if err != nil {
		return nil, err
	}
	if l != nil {
		c.Charge(labCost * int64(l.N))
		return l.eachXYZ("colour", "Lab", labLight(c, &w), func(xyz colour.XYZ) [3]float64 { return labNumbers(w.Lab(xyz)) })
	}
	xyz, err := stimulusOf("colour", a.Colour)
	if err == nil {
		err = labLight(c, &w)("colour", xyz)
	}
	if err != nil {
		return nil, err
	}
	lab := ColourLab(w.Lab(xyz))
	return &lab, nil
}

type fromLabArgs struct {
	L     float64 `lua:"L" help:"L*"`
	A     float64 `lua:"a" help:"a*"`
	B     float64 `lua:"b" help:"b*"`
	White any     `lua:"white" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white"`
}

func labToXYZ(c *script.Call, a fromLabArgs) (ColourXYZ, error) {
	w, err := whiteOf(c, a.White)
	if err != nil {
		return ColourXYZ{}, err
	}
	return givenXYZ(w.FromLab(colour.Lab{L: a.L, A: a.A, B: a.B})), nil
}

type toLChArgs struct {
	Colour any    `lua:"colour" pos:"1" want:"a Lab or Luv colour, a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the colour"`
	White  any    `lua:"white" optional:"true" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white, if colour is a stimulus"`
	In     string `lua:"in" default:"lab" one_of:"lab|luv" help:"CIELAB or CIELUV"`
}

func toLCh(c *script.Call, a toLChArgs) (ColourLCh, error) {
	white, err := optionalWhite(c, a.White)
	if err != nil {
		return ColourLCh{}, err
	}
	if a.In == "luv" {
		luv, err := luvOf(c, "colour", a.Colour, white)
		return ColourLCh(luv.LCh()), err
	}
	lab, err := labOf(c, "colour", a.Colour, white)
	return ColourLCh(lab.LCh()), err
}

type lchArgs struct {
	L float64 `lua:"L" help:"L*"`
	C float64 `lua:"C" min:"0" help:"chroma C*"`
	H float64 `lua:"h" unit:"°" help:"hue angle"`
}

func toLuv(c *script.Call, a whiteArgs) (ColourLuv, error) {
	w, err := whiteOf(c, a.White)
	if err != nil {
		return ColourLuv{}, err
	}
	xyz, err := stimulusOf("colour", a.Colour)
	if err == nil {
		err = luvLight(c, &w)("colour", xyz)
	}
	if err != nil {
		return ColourLuv{}, err
	}
	return ColourLuv(w.Luv(xyz)), nil
}

type fromLuvArgs struct {
	L     float64 `lua:"L" help:"L*"`
	U     float64 `lua:"u_star" help:"u*"`
	V     float64 `lua:"v_star" help:"v*"`
	White any     `lua:"white" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white"`
}

func luvToXYZ(c *script.Call, a fromLuvArgs) (ColourXYZ, error) {
	w, err := whiteOf(c, a.White)
	if err != nil {
		return ColourXYZ{}, err
	}
	return givenXYZ(w.FromLuv(colour.Luv{L: a.L, U: a.U, V: a.V})), nil
}

type relativeArg struct {
	Relative float64 `lua:"relative" pos:"1" help:"luminance relative to white; 1 is white"`
}

type lightnessArg struct {
	L float64 `lua:"L" pos:"1" help:"L*, 100 for white"`
}

type absoluteArgs struct {
	Colour declare.Loose `lua:"colour" pos:"1" want:"a stimulus, or a list of stimuli or of numbers" help:"the stimulus in cd/m2; plain numbers are X, Y, Z"`
}

func toICtCp(c *script.Call, a absoluteArgs) (any, error) {
	if isList(a.Colour) {
		return ictcpList(c, "colour", a.Colour)
	}
	xyz, err := stimulusOf("colour", a.Colour)
	if err == nil {
		err = ictcpLight(c)("colour", xyz)
	}
	if err != nil {
		return nil, err
	}
	v := ColourICtCp(xyz.ICtCp())
	return &v, nil
}

type ictcpArgs struct {
	I  float64 `lua:"I" help:"intensity"`
	Ct float64 `lua:"Ct" help:"above 0 is bluer, below 0 is yellower"`
	Cp float64 `lua:"Cp" help:"above 0 is redder, below 0 is greener"`
}

type cam16Args struct {
	Colour     any     `lua:"colour" pos:"1" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the stimulus, on the scale of white"`
	White      any     `lua:"white" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the adopted white"`
	Adapting   float64 `lua:"adapting" above:"0" unit:"cd/m2" help:"luminance that the eye is adapted to; usually a fifth of white"`
	Background float64 `lua:"background" default:"0.2" above:"0" max:"1" help:"luminance of the background relative to white"`
	Surround   string  `lua:"surround" default:"dim" one_of:"average|dim|dark" help:"light around the screen: average is a lit room"`
}

func cam16Of(c *script.Call, white any, adapting, background float64, surround string) (*colour.CAM16, light, error) {
	w, err := stimulusOf("white", white)
	if err == nil {
		err = whiteLight(c, "white", w)
	}
	if err != nil {
		return nil, nil, err
	}
	s := map[string]colour.Surround{"average": colour.AverageSurround, "dim": colour.DimSurround, "dark": colour.DarkSurround}[surround]
	m, err := colour.NewCAM16(colour.Viewing{White: w, Adapting: adapting, Background: background, Surround: s})
	return m, cam16Light(c, m, w.Y), err
}

func toCAM16(c *script.Call, a cam16Args) (ColourCAM16, error) {
	m, isLight, err := cam16Of(c, a.White, a.Adapting, a.Background, a.Surround)
	if err != nil {
		return ColourCAM16{}, err
	}
	xyz, err := stimulusOf("colour", a.Colour)
	if err == nil {
		err = isLight("colour", xyz)
	}
	if err != nil {
		return ColourCAM16{}, err
	}
	p := m.JMh(xyz)
	u := p.UCS()
	return ColourCAM16{p.J, p.M, p.H, u.J, u.A, u.B}, nil
}

type adaptArgs struct {
	Colour any    `lua:"colour" pos:"1" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the stimulus under the first white"`
	From   any    `lua:"from" want:"a chromaticity, or a name such as \"d50\"" help:"the first white"`
	To     any    `lua:"to" want:"a chromaticity, or a name such as \"d65\"" help:"the second white"`
	Method string `lua:"method" default:"cat16" one_of:"cat16|cat02|bradford" help:"the chromatic adaptation transform"`
}

func adapt(call *script.Call, a adaptArgs) (ColourXYZ, error) {
	c, err := stimulusOf("colour", a.Colour)
	if err != nil {
		return ColourXYZ{}, err
	}
	from, err := chromaticityOf(call, "from", a.From)
	if err != nil {
		return ColourXYZ{}, err
	}
	to, err := chromaticityOf(call, "to", a.To)
	if err != nil {
		return ColourXYZ{}, err
	}
	cones := map[string]*colour.ConeSpace{"cat16": colour.CAT16, "cat02": colour.CAT02, "bradford": colour.Bradford}[a.Method]
	m, err := cones.Adaptation(from, to)
	if err != nil {
		return ColourXYZ{}, fmt.Errorf("from and to: %w", err)
	}
	return givenXYZ(m.Apply(c)), nil
}

package builtins

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"candelua/colour"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

// What a script may give as a colour.
const (
	wantStimulus     = "a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }"
	wantChromaticity = "a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }"
)

// numbersOf reads exactly these keys of a table of numbers.
func numbersOf(x any, keys ...string) ([]float64, bool) {
	m, ok := x.(map[string]any)
	if !ok || len(m) != len(keys) {
		return nil, false
	}
	out := make([]float64, len(keys))
	for i, k := range keys {
		n, ok := m[k].(float64)
		if !ok || math.IsNaN(n) || math.IsInf(n, 0) {
			return nil, false
		}
		out[i] = n
	}
	return out, true
}

func wrongColour(arg string, x any, want string) error {
	tip := "give every field of the colour by its name, as a finite number"
	return &fault.ArgError{Arg: arg, Got: inBrief(x), Want: want, Tip: tip}
}

// stimulusOf reads a colour with its luminance.
func stimulusOf(arg string, x any) (colour.XYZ, error) {
	switch c := x.(type) {
	case *Reading:
		if c.X == nil || c.Z == nil {
			return colour.XYZ{}, &fault.ArgError{Arg: arg, Got: "a reading of a meter that measures luminance only", Want: "a reading with X, Y and Z", Tip: "use r.Y, or a meter that measures colour"}
		}
		return colour.XYZ{X: *c.X, Y: c.Y, Z: *c.Z}, nil
	case *ColourXYZ:
		return colour.XYZ(*c), nil
	}
	if n, ok := numbersOf(x, "X", "Y", "Z"); ok {
		return colour.XYZ{X: n[0], Y: n[1], Z: n[2]}, nil
	}
	if n, ok := numbersOf(x, "x", "y", "Y"); ok && n[1] > 0 {
		return colour.XY{X: n[0], Y: n[1]}.XYZ(n[2]), nil
	}
	if n, ok := numbersOf(x, "u", "v", "Y"); ok && n[1] > 0 {
		return colour.UV{U: n[0], V: n[1]}.XYZ(n[2]), nil
	}
	return colour.XYZ{}, wrongColour(arg, x, wantStimulus)
}

// chromaticityOf reads a chromaticity. A reading that is black has none.
func chromaticityOf(call *script.Call, arg string, x any) (colour.XY, error) {
	xy, err := anyChromaticity(call, arg, x)
	if err != nil {
		return xy, err
	}
	// Beyond this line, on which u' and v' are infinite, there is no light.
	if d := -2*xy.X + 12*xy.Y + 3; isFinite(xy.X, xy.Y, d) && d > 0 {
		return xy, nil
	}
	if _, isReading := x.(*Reading); isReading {
		return xy, fmt.Errorf("%s: %w", arg, colour.ErrNoChromaticity)
	}
	return xy, &fault.ArgError{Arg: arg, Got: inBrief(x), Want: "a chromaticity of light: 3 - 2 x + 12 y is above 0", Tip: "x and y of light lie within the spectrum locus; noise around black may fall outside"}
}

func anyChromaticity(call *script.Call, arg string, x any) (colour.XY, error) {
	switch c := x.(type) {
	case *ColourXY:
		return colour.XY(*c), nil
	case *ColourUV:
		return colour.UV(*c).XY(), nil
	case *ColourUV1960:
		return colour.UV1960(*c).XY(), nil
	case *ColourSpace:
		return colour.XY{}, &fault.ArgError{Arg: arg, Got: "an RGB space", Want: wantChromaticity, Tip: "its white is the field .white"}
	case string:
		return whiteByName(arg, c)
	}
	if n, ok := numbersOf(x, "x", "y"); ok {
		return colour.XY{X: n[0], Y: n[1]}, nil
	}
	if n, ok := numbersOf(x, "u", "v"); ok {
		return uvToXY(arg, n[0], n[1])
	}
	if n, ok := numbersOf(x, "u1960", "v1960"); ok {
		return uvToXY(arg, n[0], 1.5*n[1])
	}
	c, err := stimulusOf(arg, x)
	if err != nil {
		if _, isReading := x.(*Reading); isReading {
			return colour.XY{}, err
		}
		return colour.XY{}, wrongColour(arg, x, wantChromaticity)
	}
	if err := lightOf(call, arg, c, noiseAbsolute); err != nil {
		return colour.XY{}, err
	}
	xy, err := c.XY()
	if err != nil {
		return colour.XY{}, fmt.Errorf("%s: %w", arg, err)
	}
	return xy, nil
}

func uvToXY(arg string, u, v float64) (colour.XY, error) {
	if xy := (colour.UV{U: u, V: v}).XY(); 6*u-16*v+12 > 0 {
		return xy, nil
	}
	return colour.XY{}, &fault.ArgError{Arg: arg, Got: fmt.Sprintf("u' = %g, v' = %g", u, v), Want: "a chromaticity of light: 6 u' - 16 v' + 12 is above 0", Tip: "u' and v' of light lie within the spectrum locus; v of CIE 1960 is v1960"}
}

func uvOf(call *script.Call, arg string, x any) (colour.UV, error) {
	if c, ok := x.(*ColourUV); ok {
		return colour.UV(*c), nil
	}
	if n, ok := numbersOf(x, "u", "v"); ok {
		return colour.UV{U: n[0], V: n[1]}, nil
	}
	xy, err := chromaticityOf(call, arg, x)
	return xy.UV(), err
}

const whiteNames = `"d65" (0.3127, 0.3290), "dci", "d50", "d55", "d75", "a" or "e"`

func whiteByName(arg, name string) (colour.XY, error) {
	switch strings.ToLower(name) {
	case "d65":
		return colour.D65, nil
	case "dci":
		return colour.DCIWhite, nil
	case "d50":
		return colour.DaylightXY(5000 * colour.NominalDaylight)
	case "d55":
		return colour.DaylightXY(5500 * colour.NominalDaylight)
	case "d75":
		return colour.DaylightXY(7500 * colour.NominalDaylight)
	case "e":
		return colour.XY{X: 1. / 3, Y: 1. / 3}, nil
	case "a":
		c, err := colour.CIE1931.XYZ(colour.IlluminantA())
		if err != nil {
			return colour.XY{}, err
		}
		return c.XY()
	}
	return colour.XY{}, &fault.ArgError{Arg: arg, Got: inBrief(name), Want: "a chromaticity, or one of " + whiteNames, Tip: "for other daylight use colour.daylight(kelvin)"}
}

// whiteOf reads the reference white of CIELAB and CIELUV.
func whiteOf(call *script.Call, x any) (colour.White, error) {
	c, err := stimulusOf("white", x)
	if err != nil {
		return colour.White{}, err
	}
	if err := whiteLight(call, "white", c); err != nil {
		return colour.White{}, err
	}
	w, err := colour.NewWhite(c)
	if err != nil {
		return w, fmt.Errorf("white: %w", err)
	}
	return w, nil
}

// spectrumOf reads a spectrum of a reading, or the reading itself.
func spectrumOf(x any) (colour.Spectrum, error) {
	switch s := x.(type) {
	case *Spectrum:
		return colour.Spectrum{From: s.From, Step: s.Step, Values: s.Values}, nil
	case *Reading:
		if s.Spec == nil {
			return colour.Spectrum{}, &fault.ArgError{Arg: "spectrum", Got: "a reading without a spectrum", Want: "a reading with a spectrum", Tip: "read with spectrum = true, on a spectroradiometer"}
		}
		return spectrumOf(s.Spec)
	}
	m, isTable := x.(map[string]any)
	if !isTable || m["from"] == nil || m["step"] == nil || m["values"] == nil || len(m) != 3 {
		return colour.Spectrum{}, &fault.ArgError{Arg: "spectrum", Got: inBrief(x), Want: wantSpectrum, Tip: "from and step are in nm: { from = 380, step = 5, values = { … } }"}
	}
	from, err := spectrumNumber("from", m["from"])
	if err != nil {
		return colour.Spectrum{}, err
	}
	step, err := spectrumNumber("step", m["step"])
	if err != nil {
		return colour.Spectrum{}, err
	}
	values, ok := numberList(m["values"])
	if list, mixed := m["values"].([]any); mixed {
		for i := range list {
			if _, err := spectrumNumber(fmt.Sprintf("values[%d]", i+1), list[i]); err != nil {
				return colour.Spectrum{}, err
			}
		}
	}
	if !ok {
		return colour.Spectrum{}, &fault.ArgError{Arg: "spectrum.values", Got: inBrief(m["values"]), Want: "a list of numbers", Tip: "one number for each wavelength, starting at from"}
	}
	return colour.Spectrum{From: from, Step: step, Values: values}, nil
}

func spectrumNumber(name string, x any) (float64, error) {
	v, ok := x.(float64)
	if !ok || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, &fault.ArgError{Arg: "spectrum." + name, Got: inBrief(x), Want: "a finite number", Tip: "wavelengths are in nm, values in W/(sr m2 nm)"}
	}
	return v, nil
}

// numberList reads a list of numbers, packed or not.
func numberList(x any) ([]float64, bool) {
	switch l := x.(type) {
	case []float64:
		return l, true
	case *declare.Numbers:
		return l.List(), true
	}
	return nil, false
}

const wantSpectrum = "a spectrum, a reading with one, or { from=, step=, values= }"

// spaceOf reads an RGB space.
func spaceOf(arg string, x any) (*colour.Space, error) {
	switch s := x.(type) {
	case *ColourSpace:
		return s.space, nil
	case string:
		switch strings.ToLower(s) {
		case "bt709":
			return colour.BT709, nil
		case "p3-d65":
			return colour.P3D65, nil
		case "p3-dci":
			return colour.P3DCI, nil
		case "bt2020":
			return colour.BT2020, nil
		}
	}
	return nil, &fault.ArgError{Arg: arg, Got: inBrief(x), Want: wantSpace, Tip: "sRGB has the primaries of bt709; colour.space { red=, green=, blue=, white= } makes a space of measured primaries"}
}

const wantSpace = `"bt709", "p3-d65", "p3-dci", "bt2020" or a space made by colour.space`

// inBrief writes what was given, a long list by its length only.
func inBrief(x any) string {
	n := 0
	switch list := x.(type) {
	case []any:
		n = len(list)
	case []float64:
		n = len(list)
	case map[string]any:
		parts := make([]string, 0, len(list))
		for _, k := range slices.Sorted(maps.Keys(list)) {
			parts = append(parts, fmt.Sprintf("[%q]=%s", k, inBrief(list[k])))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	}
	if n > 6 {
		return fmt.Sprintf("a list of %d values", n)
	}
	return declare.Show(x)
}

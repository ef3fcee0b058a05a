package builtins

import (
	"strings"

	"candelua/colour"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

func chromaticityFuncs() []*script.Func {
	return []*script.Func{
		pure("colour.xyz", "converts a reading, { x=, y=, Y= } or { u=, v=, Y= } to tristimulus values (CIE 15)", func(_ *script.Call, a stimulusArg) (ColourXYZ, error) {
			c, err := stimulusOf("colour", a.Colour)
			return givenXYZ(c), err
		}),
		pure("colour.xy", "computes the CIE 1931 chromaticity x, y of a colour; raises an error for black, which has none (CIE 15)", func(call *script.Call, a chromaticityArg) (ColourXY, error) {
			c, err := chromaticityOf(call, "colour", a.Colour)
			return ColourXY(c), err
		}),
		pure("colour.uv", "computes the CIE 1976 chromaticity u', v' of a colour; raises an error for black, which has none (CIE 15)", func(call *script.Call, a chromaticityArg) (ColourUV, error) {
			c, err := uvOf(call, "colour", a.Colour)
			return ColourUV(c), err
		}),
		pure("colour.uv1960", "computes the CIE 1960 chromaticity u, v, in which colour temperature is defined (CIE 15)", func(call *script.Call, a chromaticityArg) (ColourUV1960, error) {
			c, err := chromaticityOf(call, "colour", a.Colour)
			return ColourUV1960(c.UV1960()), err
		}),
		pure("colour.cct", "computes correlated colour temperature and Duv; raises an error outside 1000 to 100000 K and beyond a Duv of 0.05 (CIE 15, Ohno 2014)", func(call *script.Call, a chromaticityArg) (ColourTemperature, error) {
			c, err := chromaticityOf(call, "colour", a.Colour)
			if err != nil {
				return ColourTemperature{}, err
			}
			t, err := c.CCT()
			return ColourTemperature(t), err
		}),
		pure("colour.cct_to_xy", "computes the chromaticity at a colour temperature and a Duv (Ohno 2014)", func(_ *script.Call, a cctArgs) (ColourXY, error) {
			c, err := colour.FromCCT(colour.CCT{Kelvin: a.CCT, Duv: a.Duv})
			return ColourXY(c), err
		}),
		pure("colour.planckian", "computes the chromaticity of a black body of 1000 to 100000 K (CIE 15)", func(_ *script.Call, a kelvinArg) (ColourXY, error) {
			c, err := colour.PlanckianXY(a.CCT)
			return ColourXY(c), err
		}),
		pure("colour.daylight", "computes the chromaticity of daylight of 4000 to 25000 K; D65, from its spectrum, is 6500 with nominal = true (CIE 15)", func(_ *script.Call, a daylightArgs) (ColourXY, error) {
			c, err := colour.DaylightXY(a.kelvin())
			return ColourXY(c), err
		}),
		pure("colour.daylight_offset", "computes how far a colour is from a target in u'v', along and across the daylight locus (CIE 15; the split is common practice)", daylightOffset),
		pure("colour.dominant", "computes the dominant wavelength and the excitation purity relative to a white (CIE 15)", dominant, searching[dominantArgs]()),
		pure("colour.spectrum_locus", "computes the chromaticity of monochromatic light, 380 to 700 nm (CIE 15)", func(_ *script.Call, a nmArg) (ColourXY, error) {
			c, err := colour.SpectrumLocus(a.Nm)
			return ColourXY(c), err
		}),
	}
}

// searching is the cost of what goes through all wavelengths of a spectrum, which no argument
// shows.
func searching[A any]() script.Option {
	return script.Costing(func(*script.Call, A) int64 { return 500 })
}

type stimulusArg struct {
	Colour any `lua:"colour" pos:"1" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the stimulus"`
}

type chromaticityArg struct {
	Colour any `lua:"colour" pos:"1" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"the colour, or the name of a white: d65, dci, d50, d55, d75, a, e"`
}

type cctArgs struct {
	CCT float64 `lua:"cct" pos:"1" min:"1000" max:"100000" unit:"K" help:"colour temperature"`
	Duv float64 `lua:"duv" pos:"2" default:"0" min:"-0.05" max:"0.05" help:"distance from the Planckian locus; above 0 is greenish"`
}

type kelvinArg struct {
	CCT float64 `lua:"cct" pos:"1" min:"1000" max:"100000" unit:"K" help:"temperature of the black body itself, not a correlated one"`
}

type daylightArgs struct {
	CCT     float64 `lua:"cct" pos:"1" min:"4000" max:"25000" unit:"K" help:"correlated colour temperature"`
	Nominal bool    `lua:"nominal" default:"false" help:"true: takes cct as the nominal temperature of the name, so that 5000 gives D50 and 6500 gives D65 (cct is multiplied by 1.4388/1.4380)"`
}

func (a *daylightArgs) kelvin() float64 {
	if a.Nominal {
		return a.CCT * colour.NominalDaylight
	}
	return a.CCT
}

type offsetArgs struct {
	Colour any `lua:"colour" pos:"1" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"the colour"`
	Target any `lua:"target" optional:"true" want:"a chromaticity, or a name such as \"d65\"" help:"the target; D65 when left out"`
}

func daylightOffset(call *script.Call, a offsetArgs) (ColourOffset, error) {
	c, err := chromaticityOf(call, "colour", a.Colour)
	if err != nil {
		return ColourOffset{}, err
	}
	target := colour.D65
	if a.Target != nil {
		if target, err = chromaticityOf(call, "target", a.Target); err != nil {
			return ColourOffset{}, err
		}
	}
	return ColourOffset(colour.DaylightOffset(c, target)), nil
}

type dominantArgs struct {
	Colour any `lua:"colour" pos:"1" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"the colour"`
	White  any `lua:"white" optional:"true" want:"a chromaticity, or a name such as \"d65\"" help:"the white; D65 when left out"`
}

func dominant(call *script.Call, a dominantArgs) (ColourDominant, error) {
	c, err := chromaticityOf(call, "colour", a.Colour)
	if err != nil {
		return ColourDominant{}, err
	}
	white := colour.D65
	if a.White != nil {
		if white, err = chromaticityOf(call, "white", a.White); err != nil {
			return ColourDominant{}, err
		}
	}
	d, err := c.Dominant(white)
	return ColourDominant(d), err
}

type nmArg struct {
	Nm float64 `lua:"nm" pos:"1" min:"380" max:"700" unit:"nm" help:"wavelength"`
}

func spectrumFuncs() []*script.Func {
	return []*script.Func{
		pure("colour.spectrum_to_xyz", "computes tristimulus values from a spectrum in W/(sr m2 nm), with Y in cd/m2; the spectrum must cover 400 to 700 nm in steps of 20 nm or less (CIE 15)", spectrumToXYZ),
		pure("colour.cmf", "returns the colour-matching functions of an observer at a wavelength; y_bar of 1931 is V(λ) of photopic vision (ISO/CIE 11664-1)", cmf),
		pure("colour.melanopic", "computes the melanopic radiance, equivalent daylight luminance and daylight ratio of a spectrum, or the irradiance and EDI (CIE S 026; the action spectrum was not compared with the standard itself: compare the result with another source before you publish it)", melanopic),
		pure("colour.peak", "finds the wavelength and the value of a spectrum's highest point (common practice)", func(c *script.Call, a spectrumArg) (ColourPeak, error) {
			s, err := spectrumOf(a.Spectrum)
			if err != nil {
				return ColourPeak{}, err
			}
			nm, v, err := s.Peak()
			return ColourPeak{nm, v}, err
		}),
		pure("colour.fwhm", "computes the full width in nm of a spectrum at half of its peak; the meter's own bandwidth is included (common practice)", func(c *script.Call, a spectrumArg) (float64, error) {
			s, err := spectrumOf(a.Spectrum)
			if err != nil {
				return 0, err
			}
			return s.FWHM()
		}),
		pure("colour.resample", "interpolates a spectrum at other wavelengths within its range, by Sprague's method (CIE 167)", resample),
		pure("colour.illuminant", "returns the relative spectrum of A, E, D50, D55, D65 or D75, 300 to 830 nm; it is 100 at 560 nm (CIE 15)", illuminant, searching[illuminantArgs]()),
		pure("colour.daylight_spectrum", "computes the relative spectrum of daylight of 4000 to 25000 K, 300 to 830 nm; it is 100 at 560 nm (CIE 15)", func(_ *script.Call, a daylightArgs) (*Spectrum, error) {
			return givenSpectrum(colour.Daylight(a.kelvin()))
		}, searching[daylightArgs]()),
		pure("colour.planck", "computes the spectrum of a black body in W/(sr m2 nm), 360 to 830 nm (CIE 15)", func(c *script.Call, a kelvinArg) (*Spectrum, error) {
			return givenSpectrum(colour.Planck(a.CCT))
		}, searching[kelvinArg]()),
	}
}

type spectrumArg struct {
	Spectrum declare.Loose `lua:"spectrum" pos:"1" want:"a spectrum, a reading with one, or { from=, step=, values= }" help:"the spectrum, sampled at equal steps; wavelengths in nm"`
}

type spectrumXYZArgs struct {
	Spectrum declare.Loose `lua:"spectrum" pos:"1" want:"a spectrum, a reading with one, or { from=, step=, values= }" help:"the spectrum, sampled at equal steps; wavelengths in nm"`
	Observer string        `lua:"observer" default:"1931" one_of:"1931|1964" help:"CIE 1931 (2°) or CIE 1964 (10°)"`
}

func spectrumToXYZ(c *script.Call, a spectrumXYZArgs) (ColourXYZ, error) {
	s, err := spectrumOf(a.Spectrum)
	if err != nil {
		return ColourXYZ{}, err
	}
	c.Charge(int64(len(s.Values)))
	xyz, err := observerOf(a.Observer).XYZ(s)
	return givenXYZ(xyz), err
}

type cmfArgs struct {
	Nm       float64 `lua:"nm" pos:"1" min:"360" max:"830" unit:"nm" help:"wavelength"`
	Observer string  `lua:"observer" default:"1931" one_of:"1931|1964" help:"CIE 1931 (2°) or CIE 1964 (10°)"`
}

// ColourCMF is what an observer sees of monochromatic light.
type ColourCMF struct {
	X float64 `lua:"x_bar" help:"colour-matching function x"`
	Y float64 `lua:"y_bar" help:"colour-matching function y"`
	Z float64 `lua:"z_bar" help:"colour-matching function z"`
}

// LuaName is what scripts call it.
func (ColourCMF) LuaName() string { return "set of colour-matching functions" }

func cmf(_ *script.Call, a cmfArgs) (ColourCMF, error) {
	x, y, z := observerOf(a.Observer).CMF(a.Nm)
	return ColourCMF{x, y, z}, nil
}

func observerOf(name string) *colour.Observer {
	if name == "1964" {
		return colour.CIE1964
	}
	return colour.CIE1931
}

// ColourMelanopic is light by what it does to the inner clock.
type ColourMelanopic struct {
	Radiance float64 `lua:"radiance" unit:"W/(sr m2)" help:"radiance weighted by the melanopic action spectrum; for an irradiance, in W/m2"`
	EDL      float64 `lua:"edl" unit:"cd/m2" help:"luminance of D65 with the same melanopic radiance; for an irradiance, the EDI in lx"`
	DER      float64 `lua:"der" help:"edl divided by the luminance; 1 for D65"`
}

// LuaName is what scripts call it.
func (ColourMelanopic) LuaName() string { return "set of melanopic quantities" }

func melanopic(c *script.Call, a spectrumArg) (ColourMelanopic, error) {
	s, err := spectrumOf(a.Spectrum)
	if err != nil {
		return ColourMelanopic{}, err
	}
	c.Charge(4 * int64(len(s.Values)))
	m, err := s.Melanopic()
	return ColourMelanopic(m), err
}

type resampleArgs struct {
	Spectrum declare.Loose `lua:"spectrum" pos:"1" want:"a spectrum, a reading with one, or { from=, step=, values= }" help:"the spectrum, sampled at equal steps; wavelengths in nm"`
	From     float64       `lua:"from" above:"0" unit:"nm" help:"first wavelength"`
	To       float64       `lua:"to" above:"0" unit:"nm" help:"last wavelength; the spectrum ends at the last step that is not beyond it"`
	Step     float64       `lua:"step" min:"0.1" unit:"nm" help:"interval between wavelengths"`
}

// mostWavelengths is how many a resampled spectrum may have.
const mostWavelengths = 20_000

func resample(c *script.Call, a resampleArgs) (*Spectrum, error) {
	s, err := spectrumOf(a.Spectrum)
	if err != nil {
		return nil, err
	}
	n := (a.To - a.From) / a.Step
	if n > mostWavelengths {
		return nil, &fault.ArgError{Arg: "step", Got: formatNumber(a.Step), Want: "a step that makes at most 20000 wavelengths", Tip: "a step of 1 nm is finer than most meters are"}
	}
	c.Charge(2 * int64(max(n, 0)))
	return givenSpectrum(s.Resample(a.From, a.To, a.Step))
}

func givenSpectrum(s colour.Spectrum, err error) (*Spectrum, error) {
	if err != nil {
		return nil, err
	}
	return &Spectrum{From: s.From, Step: s.Step, Values: s.Values}, nil
}

type illuminantArgs struct {
	Name string `lua:"name" pos:"1" want:"\"a\", \"e\", \"d50\", \"d55\", \"d65\" or \"d75\"" help:"the illuminant; for other daylight use colour.daylight_spectrum"`
}

func illuminant(_ *script.Call, a illuminantArgs) (*Spectrum, error) {
	nominal := map[string]float64{"d50": 5000, "d55": 5500, "d65": 6500, "d75": 7500}
	name := strings.ToLower(a.Name)
	switch kelvin, isDaylight := nominal[name]; {
	case name == "a":
		return givenSpectrum(colour.IlluminantA(), nil)
	case name == "e":
		return givenSpectrum(colour.EqualEnergy(), nil)
	case isDaylight:
		return givenSpectrum(colour.Daylight(kelvin * colour.NominalDaylight))
	}
	return nil, &fault.ArgError{Arg: "name", Got: inBrief(a.Name), Want: `"a", "e", "d50", "d55", "d65" or "d75"`, Tip: "for other daylight use colour.daylight_spectrum(kelvin), for a black body colour.planck(kelvin)"}
}

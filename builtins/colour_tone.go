package builtins

import (
	"fmt"

	"candelua/colour"
	"candelua/engine/fault"
	"candelua/engine/script"
)

func toneFuncs() []*script.Func {
	return []*script.Func{
		pure("colour.pq_to_luminance", "converts a PQ signal to luminance in cd/m2 (SMPTE ST 2084)", func(_ *script.Call, a signalArgs) (float64, error) {
			return colour.DecodePQ(a.Signal), nil
		}),
		pure("colour.luminance_to_pq", "converts a luminance to a PQ signal (SMPTE ST 2084)", func(_ *script.Call, a luminanceArgs) (float64, error) {
			return colour.EncodePQ(a.Luminance), nil
		}),
		pure("colour.srgb_to_light", "converts an sRGB signal to linear light (IEC 61966-2-1)", func(_ *script.Call, a signalArgs) (float64, error) {
			return colour.DecodeSRGB(a.Signal), nil
		}),
		pure("colour.light_to_srgb", "converts linear light to an sRGB signal (IEC 61966-2-1)", func(_ *script.Call, a lightArgs) (float64, error) {
			return colour.EncodeSRGB(a.Light), nil
		}),
		pure("colour.bt1886", "computes the luminance of a signal on a display of this white and black (ITU-R BT.1886)", func(_ *script.Call, a bt1886Args) (float64, error) {
			t, err := colour.NewBT1886(a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Decode(a.Signal), nil
		}),
		pure("colour.luminance_to_bt1886", "computes the signal of a luminance on a display of this white and black; below black it is below 0 (ITU-R BT.1886)", func(_ *script.Call, a fromLuminance) (float64, error) {
			t, err := colour.NewBT1886(a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Encode(a.Luminance), nil
		}),
		pure("colour.power_to_luminance", "computes the luminance of a signal by a power law, from black to white", func(_ *script.Call, a powerLawArgs) (float64, error) {
			t, err := colour.NewPowerLaw(a.Gamma, a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Decode(a.Signal), nil
		}),
		pure("colour.luminance_to_power", "computes the signal of a luminance by a power law, from black to white", func(_ *script.Call, a fromPower) (float64, error) {
			t, err := colour.NewPowerLaw(a.Gamma, a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Encode(a.Luminance), nil
		}),
		pure("colour.hlg_to_luminance", "computes the luminance of a grey HLG signal on a display of this white and black (ITU-R BT.2100)", func(_ *script.Call, a bt1886Args) (float64, error) {
			t, err := colour.NewHLG(a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Decode(a.Signal), nil
		}),
		pure("colour.luminance_to_hlg", "computes the grey HLG signal of a luminance on a display of this white and black (ITU-R BT.2100)", func(_ *script.Call, a fromLuminance) (float64, error) {
			t, err := colour.NewHLG(a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Encode(a.Luminance), nil
		}),
		pure("colour.hlg_rgb", "computes the light of an HLG signal on a display, in cd/m2 for each channel of BT.2020 primaries (ITU-R BT.2100)", hlgRGB),
		pure("colour.rgb_to_hlg", "computes the HLG signal from the light on a display, in cd/m2 for each channel of BT.2020 primaries (ITU-R BT.2100)", rgbToHLG),
		pure("colour.hlg_gamma", "computes the system gamma of HLG for a nominal peak luminance (ITU-R BT.2100, BT.2390)", func(_ *script.Call, a peakArgs) (float64, error) {
			if a.Extended {
				return colour.HLGGammaExtended(a.Peak), nil
			}
			return colour.HLGGamma(a.Peak), nil
		}),
		pure("colour.hlg_scene", "converts an HLG signal to scene light, 0 to 1, which is not what a display shows (ITU-R BT.2100)", func(_ *script.Call, a signalArgs) (float64, error) {
			return colour.HLGDecodeScene(a.Signal), nil
		}),
		pure("colour.scene_to_hlg", "converts scene light to an HLG signal (ITU-R BT.2100)", func(_ *script.Call, a lightArgs) (float64, error) {
			return colour.HLGEncodeScene(a.Light), nil
		}),
		pure("colour.rolloff_to_luminance", "computes the luminance that a display shows for a PQ signal, with the roll-off for content that was mastered on a larger range (ITU-R BT.2390)", func(_ *script.Call, a rolloffArgs) (float64, error) {
			t, err := colour.NewRollOff(a.SourceWhite, a.SourceBlack, a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Decode(a.Signal), nil
		}),
		pure("colour.luminance_to_rolloff", "computes the PQ signal for which a display with this roll-off shows a luminance (ITU-R BT.2390)", func(_ *script.Call, a fromRolloff) (float64, error) {
			t, err := colour.NewRollOff(a.SourceWhite, a.SourceBlack, a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Encode(a.Luminance), nil
		}),
		pure("colour.code", "computes the code nearest to a signal (ITU-R BT.709, BT.2100)", func(_ *script.Call, a codeArgs) (int, error) {
			c, err := colour.NewCoding(a.Bits, a.Range == "full")
			if err != nil {
				return 0, err
			}
			return c.Code(a.Signal), nil
		}),
		pure("colour.code_to_signal", "computes the signal of a code; narrow-range codes reach below 0 and above 1 (ITU-R BT.709, BT.2100)", codeToSignal),
		pure("colour.effective_gamma", "fits a single gamma to a tone curve, by least squares in logarithms; levels that are not above black are left out (IDMS 6.1)", effectiveGamma),
		pure("colour.point_gamma", "computes the exponent of the power law through one level and white (IDMS 6.1)", func(_ *script.Call, a pointGammaArgs) (float64, error) {
			return colour.PointGamma(colour.Level{Signal: a.Signal, Luminance: a.Luminance}, a.White, a.Black)
		}),
		pure("colour.local_gamma", "computes the slope of the tone curve between two levels, in logarithms (common practice)", localGamma),
		pure("colour.tone_deviation", "computes how far a level is from a target curve: ratio minus 1, delta L* (CIE 15), delta I on the scale of delta E ITP (ITU-R BT.2124); above 0 is too bright", toneDeviation),
	}
}

type signalArgs struct {
	Signal float64 `lua:"signal" pos:"1" min:"0" max:"1" help:"the signal"`
}

type luminanceArgs struct {
	Luminance float64 `lua:"luminance" pos:"1" max:"10000" unit:"cd/m2" help:"the luminance; a value below 0, which noise can cause, counts as 0"`
}

type lightArgs struct {
	Light float64 `lua:"light" pos:"1" min:"0" max:"1" help:"linear light, 0 to 1"`
}

type bt1886Args struct {
	Signal float64 `lua:"signal" min:"-0.1" max:"1.1" help:"the signal, from 0 for black to 1 for white; narrow-range codes go beyond both"`
	White  float64 `lua:"white" above:"0" unit:"cd/m2" help:"luminance of white"`
	Black  float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of black"`
}

type fromLuminance struct {
	Luminance float64 `lua:"luminance" unit:"cd/m2" help:"the luminance shown; a value below 0, which noise can cause, counts as 0"`
	White     float64 `lua:"white" above:"0" unit:"cd/m2" help:"luminance of white"`
	Black     float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of black"`
}

type powerLawArgs struct {
	Signal float64 `lua:"signal" min:"-0.1" max:"1.1" help:"the signal, from 0 for black to 1 for white; narrow-range codes go beyond both"`
	Gamma  float64 `lua:"gamma" default:"2.2" above:"0" help:"exponent"`
	White  float64 `lua:"white" default:"1" above:"0" unit:"cd/m2" help:"luminance of white"`
	Black  float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of black"`
}

type fromPower struct {
	Luminance float64 `lua:"luminance" unit:"cd/m2" help:"the luminance shown; a value below 0, which noise can cause, counts as 0"`
	Gamma     float64 `lua:"gamma" default:"2.2" above:"0" help:"exponent"`
	White     float64 `lua:"white" default:"1" above:"0" unit:"cd/m2" help:"luminance of white"`
	Black     float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of black"`
}

type hlgRGBArgs struct {
	R     float64 `lua:"r" min:"-0.1" max:"1.1" help:"signal of red"`
	G     float64 `lua:"g" min:"-0.1" max:"1.1" help:"signal of green"`
	B     float64 `lua:"b" min:"-0.1" max:"1.1" help:"signal of blue"`
	White float64 `lua:"white" above:"0" unit:"cd/m2" help:"nominal peak luminance of the display"`
	Black float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of black"`
}

func hlgRGB(_ *script.Call, a hlgRGBArgs) (ColourLight, error) {
	t, err := colour.NewHLG(a.White, a.Black)
	if err != nil {
		return ColourLight{}, err
	}
	v := t.DecodeRGB([3]float64{a.R, a.G, a.B})
	return ColourLight{v[0], v[1], v[2]}, nil
}

// ColourLight is light by its channels.
type ColourLight struct {
	R float64 `lua:"r" unit:"cd/m2" help:"light of red; equal r, g and b are white of that luminance"`
	G float64 `lua:"g" unit:"cd/m2" help:"light of green"`
	B float64 `lua:"b" unit:"cd/m2" help:"light of blue"`
}

// LuaName is what scripts call it.
func (ColourLight) LuaName() string { return "light of red, green and blue" }

type fromHLGRGB struct {
	R     float64 `lua:"r" unit:"cd/m2" help:"light of red; a value below 0 counts as 0"`
	G     float64 `lua:"g" unit:"cd/m2" help:"light of green"`
	B     float64 `lua:"b" unit:"cd/m2" help:"light of blue"`
	White float64 `lua:"white" above:"0" unit:"cd/m2" help:"nominal peak luminance of the display"`
	Black float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of black"`
}

func rgbToHLG(_ *script.Call, a fromHLGRGB) (ColourSignal, error) {
	t, err := colour.NewHLG(a.White, a.Black)
	if err != nil {
		return ColourSignal{}, err
	}
	v := t.EncodeRGB([3]float64{a.R, a.G, a.B})
	return ColourSignal{v[0], v[1], v[2]}, nil
}

// ColourSignal is a signal by its channels.
type ColourSignal struct {
	R float64 `lua:"r" help:"signal of red, 0 to 1"`
	G float64 `lua:"g" help:"signal of green"`
	B float64 `lua:"b" help:"signal of blue"`
}

// LuaName is what scripts call it.
func (ColourSignal) LuaName() string { return "RGB signal" }

type peakArgs struct {
	Peak     float64 `lua:"peak" pos:"1" above:"0" unit:"cd/m2" help:"nominal peak luminance of the display"`
	Extended bool    `lua:"extended" default:"false" help:"true: uses the formula of BT.2390 for every peak; false: only for peaks outside 400 to 2000 cd/m2"`
}

type rolloffArgs struct {
	Signal      float64 `lua:"signal" min:"0" max:"1" help:"PQ signal of the source"`
	SourceWhite float64 `lua:"source_white" above:"0" max:"10000" unit:"cd/m2" help:"highest luminance of the mastering display"`
	SourceBlack float64 `lua:"source_black" default:"0" min:"0" unit:"cd/m2" help:"lowest luminance of the mastering display"`
	White       float64 `lua:"white" above:"0" max:"10000" unit:"cd/m2" help:"highest luminance of the display"`
	Black       float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"lowest luminance of the display"`
}

type fromRolloff struct {
	Luminance   float64 `lua:"luminance" unit:"cd/m2" help:"the luminance shown; a value below 0, which noise can cause, counts as 0"`
	SourceWhite float64 `lua:"source_white" above:"0" max:"10000" unit:"cd/m2" help:"highest luminance of the mastering display"`
	SourceBlack float64 `lua:"source_black" default:"0" min:"0" unit:"cd/m2" help:"lowest luminance of the mastering display"`
	White       float64 `lua:"white" above:"0" max:"10000" unit:"cd/m2" help:"highest luminance of the display"`
	Black       float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"lowest luminance of the display"`
}

type codeArgs struct {
	Signal float64 `lua:"signal" pos:"1" help:"the signal; 0 is black, 1 is white"`
	Bits   int     `lua:"bits" default:"10" min:"8" max:"16" help:"bit depth of the code"`
	Range  string  `lua:"range" default:"narrow" one_of:"narrow|full" help:"range of the codes"`
}

type toSignalArgs struct {
	Code  int    `lua:"code" pos:"1" min:"0" help:"the code"`
	Bits  int    `lua:"bits" default:"10" min:"8" max:"16" help:"bit depth of the code"`
	Range string `lua:"range" default:"narrow" one_of:"narrow|full" help:"range of the codes"`
}

func codeToSignal(_ *script.Call, a toSignalArgs) (float64, error) {
	c, err := colour.NewCoding(a.Bits, a.Range == "full")
	if err != nil {
		return 0, err
	}
	if most := 1<<a.Bits - 1; a.Code > most {
		return 0, &fault.ArgError{Arg: "code", Got: fmt.Sprint(a.Code), Want: fmt.Sprintf("0 to %d at %d bits", most, a.Bits), Tip: "give the bit depth of the code, as in bits = 8"}
	}
	return c.Signal(a.Code), nil
}

type effectiveArgs struct {
	Signals    []float64 `lua:"signals" min:"0" help:"signals of the levels; white is 1"`
	Luminances []float64 `lua:"luminances" unit:"cd/m2" help:"luminances of the levels, in the same order"`
	Black      float64   `lua:"black" default:"0" unit:"cd/m2" help:"luminance that is subtracted from all levels first"`
}

// ColourGamma is an effective gamma.
type ColourGamma struct {
	Gamma float64 `lua:"gamma" help:"the gamma: the slope in logarithms"`
	N     int     `lua:"n" help:"how many levels were used"`
}

// LuaName is what scripts call it.
func (ColourGamma) LuaName() string { return "effective gamma" }

func effectiveGamma(c *script.Call, a effectiveArgs) (ColourGamma, error) {
	if len(a.Signals) != len(a.Luminances) {
		return ColourGamma{}, wrongCount("luminances", howMany(len(a.Luminances), "numbers"), fmt.Sprintf("%d, as many as signals", len(a.Signals)), "give one luminance for each signal, in the same order")
	}
	levels := make([]colour.Level, len(a.Signals))
	for i := range levels {
		levels[i] = colour.Level{Signal: a.Signals[i], Luminance: a.Luminances[i]}
	}
	c.Charge(2 * int64(len(levels)))
	g, n, err := colour.EffectiveGamma(levels, a.Black)
	return ColourGamma{g, n}, err
}

type pointGammaArgs struct {
	Signal    float64 `lua:"signal" help:"signal of the level, above 0 and below 1"`
	Luminance float64 `lua:"luminance" unit:"cd/m2" help:"luminance of the level"`
	White     float64 `lua:"white" above:"0" unit:"cd/m2" help:"luminance of white"`
	Black     float64 `lua:"black" default:"0" unit:"cd/m2" help:"luminance that is subtracted from both first"`
}

type localGammaArgs struct {
	Signal1    float64 `lua:"signal1" above:"0" help:"signal of the first level"`
	Luminance1 float64 `lua:"luminance1" unit:"cd/m2" help:"luminance of the first level"`
	Signal2    float64 `lua:"signal2" above:"0" help:"signal of the second level"`
	Luminance2 float64 `lua:"luminance2" unit:"cd/m2" help:"luminance of the second level"`
	Black      float64 `lua:"black" default:"0" unit:"cd/m2" help:"luminance that is subtracted from both first"`
}

func localGamma(_ *script.Call, a localGammaArgs) (float64, error) {
	return colour.LocalGamma(colour.Level{Signal: a.Signal1, Luminance: a.Luminance1}, colour.Level{Signal: a.Signal2, Luminance: a.Luminance2}, a.Black)
}

type deviationArgs struct {
	Signal    float64 `lua:"signal" min:"0" max:"1" help:"signal of the level"`
	Luminance float64 `lua:"luminance" unit:"cd/m2" help:"luminance of the level"`
	White     float64 `lua:"white" above:"0" unit:"cd/m2" help:"luminance of white, which the target curve shares"`
	Black     float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of the target's black"`
	Curve     string  `lua:"curve" one_of:"bt1886|power|srgb|pq|hlg" help:"the target curve"`
	Gamma     float64 `lua:"gamma" default:"2.2" above:"0" help:"exponent of the target, if curve = \"power\""`
}

func (a *deviationArgs) target() (colour.Transfer, error) {
	switch a.Curve {
	case "bt1886":
		return colour.NewBT1886(a.White, a.Black)
	case "power":
		return colour.NewPowerLaw(a.Gamma, a.White, a.Black)
	case "hlg":
		return colour.NewHLG(a.White, a.Black)
	case "srgb":
		return colour.NewScaled(colour.SRGB{}, a.White, a.Black)
	}
	return colour.PQ{}, nil
}

// ColourToneDeviation is how far a level is from its target.
type ColourToneDeviation struct {
	Target   float64  `lua:"target" unit:"cd/m2" help:"luminance of the target curve"`
	Ratio    *float64 `lua:"ratio" help:"luminance divided by target, minus 1; nil if target is 0"`
	DeltaL   float64  `lua:"delta_L" help:"difference of L* relative to white"`
	DeltaITP float64  `lua:"delta_I" help:"signed difference of intensity, on the scale of delta E ITP"`
}

// LuaName is what scripts call it.
func (ColourToneDeviation) LuaName() string { return "tone deviation" }

func toneDeviation(_ *script.Call, a deviationArgs) (ColourToneDeviation, error) {
	t, err := a.target()
	if err != nil {
		return ColourToneDeviation{}, err
	}
	d := colour.Deviation(colour.Level{Signal: a.Signal, Luminance: a.Luminance}, t, a.White)
	out := ColourToneDeviation{Target: d.Target, DeltaL: d.DeltaL, DeltaITP: d.DeltaITP}
	if d.Target != 0 {
		out.Ratio = &d.Ratio
	}
	return out, nil
}

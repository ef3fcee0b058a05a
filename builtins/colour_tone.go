package builtins

import (
	"fmt"

	"candelua/colour"
	"candelua/engine/fault"
	"candelua/engine/script"
)

func toneFuncs() []*script.Func {
	return []*script.Func{
		pure("colour.pq_to_luminance", "SMPTE ST 2084: luminance in cd/m2 of a signal from 0 to 1", func(_ *script.Call, a signalArgs) (float64, error) {
			return colour.DecodePQ(a.Signal), nil
		}),
		pure("colour.luminance_to_pq", "SMPTE ST 2084: signal of a luminance in cd/m2", func(_ *script.Call, a luminanceArgs) (float64, error) {
			return colour.EncodePQ(a.Luminance), nil
		}),
		pure("colour.srgb_to_light", "IEC 61966-2-1: linear light, 0 to 1, of a signal from 0 to 1", func(_ *script.Call, a signalArgs) (float64, error) {
			return colour.DecodeSRGB(a.Signal), nil
		}),
		pure("colour.light_to_srgb", "IEC 61966-2-1: signal of linear light from 0 to 1", func(_ *script.Call, a lightArgs) (float64, error) {
			return colour.EncodeSRGB(a.Light), nil
		}),
		pure("colour.bt1886", "ITU-R BT.1886: luminance of a signal, for a display's white and black", func(_ *script.Call, a bt1886Args) (float64, error) {
			t, err := colour.NewBT1886(a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Decode(a.Signal), nil
		}),
		pure("colour.luminance_to_bt1886", "ITU-R BT.1886: signal of a luminance, for a display's white and black; below black it is below 0", func(_ *script.Call, a fromLuminance) (float64, error) {
			t, err := colour.NewBT1886(a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Encode(a.Luminance), nil
		}),
		pure("colour.power_to_luminance", "luminance of a signal by a plain gamma, from black to white", func(_ *script.Call, a powerLawArgs) (float64, error) {
			t, err := colour.NewPowerLaw(a.Gamma, a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Decode(a.Signal), nil
		}),
		pure("colour.luminance_to_power", "signal of a luminance by a plain gamma, from black to white", func(_ *script.Call, a fromPower) (float64, error) {
			t, err := colour.NewPowerLaw(a.Gamma, a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Encode(a.Luminance), nil
		}),
		pure("colour.hlg_to_luminance", "ITU-R BT.2100: luminance of a grey HLG signal on a display of this white and black", func(_ *script.Call, a bt1886Args) (float64, error) {
			t, err := colour.NewHLG(a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Decode(a.Signal), nil
		}),
		pure("colour.luminance_to_hlg", "ITU-R BT.2100: grey HLG signal of a luminance on a display of this white and black", func(_ *script.Call, a fromLuminance) (float64, error) {
			t, err := colour.NewHLG(a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Encode(a.Luminance), nil
		}),
		pure("colour.hlg_rgb", "ITU-R BT.2100: light in cd/m2 a channel, BT.2020 primaries, of an HLG signal on a display", hlgRGB),
		pure("colour.rgb_to_hlg", "ITU-R BT.2100: HLG signal of light in cd/m2 a channel, BT.2020 primaries, on a display", rgbToHLG),
		pure("colour.hlg_gamma", "ITU-R BT.2100, BT.2390: system gamma of HLG for a nominal peak in cd/m2", func(_ *script.Call, a peakArgs) (float64, error) {
			if a.Extended {
				return colour.HLGGammaExtended(a.Peak), nil
			}
			return colour.HLGGamma(a.Peak), nil
		}),
		pure("colour.hlg_scene", "ITU-R BT.2100: scene light, 0 to 1, of an HLG signal; not what a display shows", func(_ *script.Call, a signalArgs) (float64, error) {
			return colour.HLGDecodeScene(a.Signal), nil
		}),
		pure("colour.scene_to_hlg", "ITU-R BT.2100: HLG signal of scene light, 0 to 1", func(_ *script.Call, a lightArgs) (float64, error) {
			return colour.HLGEncodeScene(a.Light), nil
		}),
		pure("colour.rolloff_to_luminance", "ITU-R BT.2390: luminance that a display shows for a PQ signal of content mastered on a larger range", func(_ *script.Call, a rolloffArgs) (float64, error) {
			t, err := colour.NewRollOff(a.SourceWhite, a.SourceBlack, a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Decode(a.Signal), nil
		}),
		pure("colour.luminance_to_rolloff", "ITU-R BT.2390: PQ signal of the source for which a display shows a luminance", func(_ *script.Call, a fromRolloff) (float64, error) {
			t, err := colour.NewRollOff(a.SourceWhite, a.SourceBlack, a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Encode(a.Luminance), nil
		}),
		pure("colour.code", "ITU-R BT.709, BT.2100: the code nearest to a signal, 8 to 16 bits, narrow or full range", func(_ *script.Call, a codeArgs) (int, error) {
			c, err := colour.NewCoding(a.Bits, a.Range == "full")
			if err != nil {
				return 0, err
			}
			return c.Code(a.Signal), nil
		}),
		pure("colour.code_to_signal", "ITU-R BT.709, BT.2100: signal of a code; narrow codes reach below 0 and above 1", codeToSignal),
		pure("colour.effective_gamma", "IDMS 6.1: the one gamma of a tone curve, by least squares in logarithms; levels not above black are left out", effectiveGamma),
		pure("colour.point_gamma", "IDMS 6.1: exponent of the power law through one level and white", func(_ *script.Call, a pointGammaArgs) (float64, error) {
			return colour.PointGamma(colour.Level{Signal: a.Signal, Luminance: a.Luminance}, a.White, a.Black)
		}),
		pure("colour.local_gamma", "slope of the tone curve between two levels in logarithms (common practice)", localGamma),
		pure("colour.tone_deviation", "how far a level is from a target curve: ratio less 1, delta L* (CIE 15), delta I on the scale of delta E ITP (BT.2124); above 0 is too bright", toneDeviation),
	}
}

type signalArgs struct {
	Signal float64 `lua:"signal" pos:"1" min:"0" max:"1" help:"0 to 1"`
}

type luminanceArgs struct {
	Luminance float64 `lua:"luminance" pos:"1" max:"10000" unit:"cd/m2" help:"below 0, as noise may be, is taken as 0"`
}

type lightArgs struct {
	Light float64 `lua:"light" pos:"1" min:"0" max:"1" help:"linear light, 0 to 1"`
}

type bt1886Args struct {
	Signal float64 `lua:"signal" min:"-0.1" max:"1.1" help:"0 for black to 1 for white; narrow codes reach beyond both"`
	White  float64 `lua:"white" above:"0" unit:"cd/m2" help:"luminance of white"`
	Black  float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of black"`
}

type fromLuminance struct {
	Luminance float64 `lua:"luminance" unit:"cd/m2" help:"what is shown; below 0, as noise may be, is taken as 0"`
	White     float64 `lua:"white" above:"0" unit:"cd/m2" help:"luminance of white"`
	Black     float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of black"`
}

type powerLawArgs struct {
	Signal float64 `lua:"signal" min:"-0.1" max:"1.1" help:"0 for black to 1 for white; narrow codes reach beyond both"`
	Gamma  float64 `lua:"gamma" default:"2.2" above:"0" help:"exponent"`
	White  float64 `lua:"white" default:"1" above:"0" unit:"cd/m2" help:"luminance of white"`
	Black  float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of black"`
}

type fromPower struct {
	Luminance float64 `lua:"luminance" unit:"cd/m2" help:"what is shown; below 0, as noise may be, is taken as 0"`
	Gamma     float64 `lua:"gamma" default:"2.2" above:"0" help:"exponent"`
	White     float64 `lua:"white" default:"1" above:"0" unit:"cd/m2" help:"luminance of white"`
	Black     float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of black"`
}

type hlgRGBArgs struct {
	R     float64 `lua:"r" min:"-0.1" max:"1.1" help:"signal of red"`
	G     float64 `lua:"g" min:"-0.1" max:"1.1" help:"signal of green"`
	B     float64 `lua:"b" min:"-0.1" max:"1.1" help:"signal of blue"`
	White float64 `lua:"white" above:"0" unit:"cd/m2" help:"nominal peak of the display"`
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
	R float64 `lua:"r" unit:"cd/m2" help:"light of red; as much of all three is white of that luminance"`
	G float64 `lua:"g" unit:"cd/m2" help:"light of green"`
	B float64 `lua:"b" unit:"cd/m2" help:"light of blue"`
}

// LuaName is what scripts call it.
func (ColourLight) LuaName() string { return "light of red, green and blue" }

type fromHLGRGB struct {
	R     float64 `lua:"r" unit:"cd/m2" help:"light of red; below 0 is taken as 0"`
	G     float64 `lua:"g" unit:"cd/m2" help:"light of green"`
	B     float64 `lua:"b" unit:"cd/m2" help:"light of blue"`
	White float64 `lua:"white" above:"0" unit:"cd/m2" help:"nominal peak of the display"`
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
	Peak     float64 `lua:"peak" pos:"1" above:"0" unit:"cd/m2" help:"nominal peak of the display"`
	Extended bool    `lua:"extended" default:"false" help:"true: by the formula of BT.2390 for all peaks; else for those outside 400 to 2000 cd/m2 only"`
}

type rolloffArgs struct {
	Signal      float64 `lua:"signal" min:"0" max:"1" help:"PQ signal of the source"`
	SourceWhite float64 `lua:"source_white" above:"0" max:"10000" unit:"cd/m2" help:"highest luminance of the mastering display"`
	SourceBlack float64 `lua:"source_black" default:"0" min:"0" unit:"cd/m2" help:"its lowest"`
	White       float64 `lua:"white" above:"0" max:"10000" unit:"cd/m2" help:"highest luminance of the display"`
	Black       float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"its lowest"`
}

type fromRolloff struct {
	Luminance   float64 `lua:"luminance" unit:"cd/m2" help:"what is shown; below 0, as noise may be, is taken as 0"`
	SourceWhite float64 `lua:"source_white" above:"0" max:"10000" unit:"cd/m2" help:"highest luminance of the mastering display"`
	SourceBlack float64 `lua:"source_black" default:"0" min:"0" unit:"cd/m2" help:"its lowest"`
	White       float64 `lua:"white" above:"0" max:"10000" unit:"cd/m2" help:"highest luminance of the display"`
	Black       float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"its lowest"`
}

type codeArgs struct {
	Signal float64 `lua:"signal" pos:"1" help:"0 for black, 1 for white"`
	Bits   int     `lua:"bits" default:"10" min:"8" max:"16" help:"depth"`
	Range  string  `lua:"range" default:"narrow" one_of:"narrow|full" help:"of codes"`
}

type toSignalArgs struct {
	Code  int    `lua:"code" pos:"1" min:"0" help:"the code"`
	Bits  int    `lua:"bits" default:"10" min:"8" max:"16" help:"depth"`
	Range string `lua:"range" default:"narrow" one_of:"narrow|full" help:"of codes"`
}

func codeToSignal(_ *script.Call, a toSignalArgs) (float64, error) {
	c, err := colour.NewCoding(a.Bits, a.Range == "full")
	if err != nil {
		return 0, err
	}
	if most := 1<<a.Bits - 1; a.Code > most {
		return 0, &fault.ArgError{Arg: "code", Got: fmt.Sprint(a.Code), Want: fmt.Sprintf("0 to %d at %d bits", most, a.Bits), Tip: "say bits = 8, 10 or 12, as the code is"}
	}
	return c.Signal(a.Code), nil
}

type effectiveArgs struct {
	Signals    []float64 `lua:"signals" min:"0" help:"of the levels, 1 for white"`
	Luminances []float64 `lua:"luminances" unit:"cd/m2" help:"as many"`
	Black      float64   `lua:"black" default:"0" unit:"cd/m2" help:"taken off all luminances: 0 for the plain gamma"`
}

// ColourGamma is an effective gamma.
type ColourGamma struct {
	Gamma float64 `lua:"gamma" help:"the slope"`
	N     int     `lua:"n" help:"levels that it is made from"`
}

// LuaName is what scripts call it.
func (ColourGamma) LuaName() string { return "effective gamma" }

func effectiveGamma(c *script.Call, a effectiveArgs) (ColourGamma, error) {
	if len(a.Signals) != len(a.Luminances) {
		return ColourGamma{}, &fault.ArgError{Arg: "luminances", Got: fmt.Sprintf("%d numbers long", len(a.Luminances)), Want: fmt.Sprintf("%d, as signals", len(a.Signals)), Tip: "give one luminance for each signal, in the same order"}
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
	Signal    float64 `lua:"signal" help:"above 0 and below 1"`
	Luminance float64 `lua:"luminance" unit:"cd/m2" help:"of the level"`
	White     float64 `lua:"white" above:"0" unit:"cd/m2" help:"luminance of white"`
	Black     float64 `lua:"black" default:"0" unit:"cd/m2" help:"taken off both luminances: 0 for the plain gamma"`
}

type localGammaArgs struct {
	Signal1    float64 `lua:"signal1" above:"0" help:"of the first level"`
	Luminance1 float64 `lua:"luminance1" unit:"cd/m2" help:"of the first level"`
	Signal2    float64 `lua:"signal2" above:"0" help:"of the second level"`
	Luminance2 float64 `lua:"luminance2" unit:"cd/m2" help:"of the second level"`
	Black      float64 `lua:"black" default:"0" unit:"cd/m2" help:"taken off both luminances"`
}

func localGamma(_ *script.Call, a localGammaArgs) (float64, error) {
	return colour.LocalGamma(colour.Level{Signal: a.Signal1, Luminance: a.Luminance1}, colour.Level{Signal: a.Signal2, Luminance: a.Luminance2}, a.Black)
}

type deviationArgs struct {
	Signal    float64 `lua:"signal" min:"0" max:"1" help:"of the level"`
	Luminance float64 `lua:"luminance" unit:"cd/m2" help:"of the level"`
	White     float64 `lua:"white" above:"0" unit:"cd/m2" help:"luminance of white, of the target too"`
	Black     float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of the target's black"`
	Curve     string  `lua:"curve" one_of:"bt1886|power|srgb|pq|hlg" help:"the target"`
	Gamma     float64 `lua:"gamma" default:"2.2" above:"0" help:"exponent, of curve = \"power\""`
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
	Target   float64  `lua:"target" unit:"cd/m2" help:"luminance that the curve asks for"`
	Ratio    *float64 `lua:"ratio" help:"luminance over target, less 1; nil over a target of 0"`
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

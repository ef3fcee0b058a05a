package builtins

import (
	"candelua/colour"
	"candelua/engine/script"
)

func colourModule() *script.Module {
	return &script.Module{Name: "colour", Help: "Colour maths: pure functions.", Funcs: []*script.Func{
		script.Pure("colour.delta_uv", "distance of two chromaticities in CIE 1976 u', v'", func(_ *script.Call, a twoUV) (float64, error) {
			return colour.UV{U: a.U1, V: a.V1}.Distance(colour.UV{U: a.U2, V: a.V2}), nil
		}),
		script.Pure("colour.pq_to_luminance", "SMPTE ST 2084: luminance in cd/m2 of a signal from 0 to 1", func(_ *script.Call, a signalArgs) (float64, error) {
			return colour.DecodePQ(a.Signal), nil
		}),
		script.Pure("colour.luminance_to_pq", "SMPTE ST 2084: signal of a luminance in cd/m2", func(_ *script.Call, a luminanceArgs) (float64, error) {
			return colour.EncodePQ(a.Luminance), nil
		}),
		script.Pure("colour.srgb_to_light", "IEC 61966-2-1: linear light, 0 to 1, of a signal from 0 to 1", func(_ *script.Call, a signalArgs) (float64, error) {
			return colour.DecodeSRGB(a.Signal), nil
		}),
		script.Pure("colour.bt1886", "ITU-R BT.1886: luminance of a signal, for a display's white and black", func(_ *script.Call, a bt1886Args) (float64, error) {
			t, err := colour.NewBT1886(a.White, a.Black)
			if err != nil {
				return 0, err
			}
			return t.Decode(a.Signal), nil
		}),
	}}
}

type twoUV struct {
	U1 float64 `lua:"u1" pos:"1" help:"u' of the one"`
	V1 float64 `lua:"v1" pos:"2" help:"v' of the one"`
	U2 float64 `lua:"u2" pos:"3" help:"u' of the other"`
	V2 float64 `lua:"v2" pos:"4" help:"v' of the other"`
}

type signalArgs struct {
	Signal float64 `lua:"signal" pos:"1" min:"0" max:"1" help:"0 to 1"`
}

type luminanceArgs struct {
	Luminance float64 `lua:"luminance" pos:"1" min:"0" max:"10000" unit:"cd/m2"`
}

type bt1886Args struct {
	Signal float64 `lua:"signal" min:"0" max:"1" help:"0 to 1"`
	White  float64 `lua:"white" above:"0" unit:"cd/m2" help:"luminance of white"`
	Black  float64 `lua:"black" default:"0" min:"0" unit:"cd/m2" help:"luminance of black"`
}

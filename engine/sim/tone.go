package sim

import (
	"fmt"
	"math"

	"candelua/colour"
	"candelua/engine/bench"
)

// tone turns signals into drive: what a primary shall give above black, in
// cd/m² of white.
type tone struct {
	light LightParams
	p     ToneParams
	// sdr gives the share of the range from black to white, 0 to 1.
	sdr func(signal float64) float64
	// mode turns the drive that signals mean into the panel's; nil: they mean it.
	mode *colour.Matrix
	// hlg is the curve of an HLG signal; nil: black is too bright for one.
	hlg *colour.HLG
	// p3 turns linear signals of Display P3 into those that plain codes mean; nil: the unit shows no such pictures.
	p3 *colour.Matrix
}

func newTone(light LightParams, p ToneParams, mode *colour.Matrix) (*tone, error) {
	t := &tone{light: light, p: p, mode: mode}
	curve, err := curveOf(light, p)
	if err != nil {
		return nil, err
	}
	t.sdr = func(v float64) float64 {
		v = merge(v, p.Merged)
		return curve(v) * cutOff(v, p)
	}
	if hlg, err := colour.NewHLG(light.HDRPeak, light.Black); err == nil {
		t.hlg = &hlg
	}
	return t, nil
}

// curveOf returns the SDR curve without its faults.
func curveOf(light LightParams, p ToneParams) (func(float64) float64, error) {
	switch p.Kind {
	case "power":
		return func(v float64) float64 { return math.Pow(v, p.Exponent) }, nil
	case "srgb":
		return colour.DecodeSRGB, nil
	case "bt1886":
		c, err := colour.NewBT1886(light.White, light.Black)
		if err != nil {
			return nil, fmt.Errorf("light: %w", err) // Check lets none through
		}
		return func(v float64) float64 { return (c.Decode(v) - light.Black) / (light.White - light.Black) }, nil
	case "table":
		return newPchip(p.Points).at, nil
	}
	return nil, fmt.Errorf("tone.kind: unknown curve %q", p.Kind)
}

// merge gives the signals of a merged range of 8-bit codes that of its first.
func merge(v float64, ranges [][2]int) float64 {
	for _, r := range ranges {
		if code := v * 255; code > float64(r[0]) && code < float64(r[1])+0.5 {
			return float64(r[0]) / 255
		}
	}
	return v
}

// cutOff returns the factor on light near black. Model of our own: with v₀ the
// cut-off and t = (V − v₀)/v₀ cut to 0 to 1, it is 0 below v₀ and above it
//
//	step  1      ramp  t²·(3 − 2t)
func cutOff(v float64, p ToneParams) float64 {
	switch {
	case p.CutOff == 0:
		return 1
	case v < p.CutOff:
		return 0
	case p.CutOffBy == "step":
		return 1
	}
	t := math.Min((v-p.CutOff)/p.CutOff, 1)
	return t * t * (3 - 2*t)
}

// drive returns the drive of a colour of a patch. Each signal is first rounded
// to a code of the patch's bits, or of the display's where the patch states
// none.
//
//	SDR   d = (white − black) · curve(V)
//	PQ    d = max(0, min(L, hdr_peak) − black),   L by ST 2084
//	HLG   d = max(0, F − black),   F by BT.2100 for a nominal peak of hdr_peak and this black
//
// so that a grey, with the black level, has the luminance that the curve says.
// A picture in Display P3 is first turned into plain codes, as a unit with colour management does.
// Where the unit's mode means other primaries than the panel's, d goes through
// its matrix; what the panel cannot show is cut off.
func (t *tone) drive(rgb [3]float64, p *bench.Patch) (d [3]float64) {
	bits := p.Bits
	if bits == 0 {
		bits = t.p.Bits
		if p.Signal != bench.SDR {
			bits = t.p.HDRBits
		}
	}
	for i, v := range rgb {
		rgb[i] = quantise(v, bits)
	}
	switch {
	case p.Signal == bench.HLG:
		rgb = t.hlg.DecodeRGB(rgb)
	case p.Space == bench.DisplayP3:
		rgb = t.managed(rgb)
	}
	for i, v := range rgb {
		switch p.Signal {
		case bench.PQ:
			d[i] = math.Max(0, t.hdr(v, p.Metadata)-t.light.Black)
		case bench.HLG:
			d[i] = math.Max(0, v-t.light.Black)
		default:
			d[i] = t.most(p.Signal) * t.sdr(v)
		}
	}
	if t.mode != nil {
		d = t.mode.MulVec(d)
		for i := range d {
			d[i] = math.Min(math.Max(d[i], 0), t.most(p.Signal))
		}
	}
	return d
}

// managed returns the plain codes that a unit with colour management shows for a picture in Display P3: the curve of both is
// that of sRGB, white stays white, and what the unit does not have is cut off. Model of our own.
func (t *tone) managed(rgb [3]float64) [3]float64 {
	for i, v := range rgb {
		rgb[i] = colour.DecodeSRGB(v)
	}
	rgb = t.p3.MulVec(rgb)
	for i, v := range rgb {
		rgb[i] = math.Min(colour.EncodeSRGB(math.Max(v, 0)), 1)
	}
	return rgb
}

// shows refuses a signal for which the unit has no curve.
func (t *tone) shows(p *bench.Patch) error {
	switch {
	case p.Signal == bench.HLG && t.hlg == nil:
		return fmt.Errorf("patch: the unit's black is too bright for an HLG signal")
	case p.Space == bench.DisplayP3 && t.p3 == nil:
		return fmt.Errorf("patch: the unit's gamut does not hold the white of Display P3")
	}
	return nil
}

// most returns the greatest drive of a signal.
func (t *tone) most(s bench.Signal) float64 {
	if s != bench.SDR {
		return t.light.HDRPeak - t.light.Black
	}
	return t.light.White - t.light.Black
}

// quantise rounds a signal to the nearest of 2^bits full-range codes; with 0
// bits not at all. Signals beyond 0 to 1 are cut off.
func quantise(v float64, bits int) float64 {
	v = math.Min(math.Max(v, 0), 1)
	if bits == 0 {
		return v
	}
	most := math.Ldexp(1, bits) - 1
	return math.Round(v*most) / most
}

// hdr returns the luminance that the display makes of a PQ signal, in cd/m².
// A roll-off starts from the brightest content that the metadata state, where
// it follows them and they state it, else from what the display takes for it.
//
// Source: [ST2084], 5.1, for the light that the signal means.
func (t *tone) hdr(signal float64, m bench.Metadata) float64 {
	if t.p.HDR != "roll_off" {
		return math.Min(colour.DecodePQ(signal), t.light.HDRPeak)
	}
	brightest := t.p.HDRSource
	if t.p.Metadata == "follow" {
		switch {
		case m.MaxCLL > 0:
			brightest = m.MaxCLL
		case m.MasteringPeak > 0:
			brightest = m.MasteringPeak
		}
	}
	if brightest <= t.light.HDRPeak {
		return math.Min(colour.DecodePQ(signal), t.light.HDRPeak)
	}
	source := colour.EncodePQ(brightest)
	return colour.DecodePQ(rollOff(math.Min(signal/source, 1), colour.EncodePQ(t.light.HDRPeak)/source) * source)
}

// rollOff brings a signal from 0 to 1 down to the range from 0 to peak, both
// PQ signals as a share of the source's. Below the knee KS it changes nothing;
// above it follows a Hermite spline that ends level at the peak.
//
//	KS = 1.5·peak − 0.5     T = (E − KS)/(1 − KS)
//	P  = (2T³−3T²+1)·KS + (T³−2T²+T)·(1−KS) + (−2T³+3T²)·peak
//
// Source: [BT2390], 5.4.1, steps 1 and 2, without its lift of black.
func rollOff(e, peak float64) float64 {
	knee := 1.5*peak - 0.5
	if e < knee {
		return e
	}
	t := (e - knee) / (1 - knee)
	t2, t3 := t*t, t*t*t
	return (2*t3-3*t2+1)*knee + (t3-2*t2+t)*(1-knee) + (3*t2-2*t3)*peak
}

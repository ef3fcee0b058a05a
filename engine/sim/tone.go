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
	// peak is the PQ signal of the panel's peak, as a share of the source's.
	peak, source float64
}

func newTone(light LightParams, p ToneParams) (*tone, error) {
	t := &tone{light: light, p: p}
	t.source = colour.EncodePQ(p.HDRSource)
	t.peak = colour.EncodePQ(light.HDRPeak) / t.source
	switch p.Kind {
	case "power":
		t.sdr = func(v float64) float64 { return math.Pow(v, p.Exponent) }
	case "srgb":
		t.sdr = colour.DecodeSRGB
	case "bt1886":
		c, err := colour.NewBT1886(light.White, light.Black)
		if err != nil {
			return nil, fmt.Errorf("light: %w", err) // Check lets none through
		}
		t.sdr = func(v float64) float64 { return (c.Decode(v) - light.Black) / (light.White - light.Black) }
	default:
		return nil, fmt.Errorf("tone.kind: unknown curve %q", p.Kind)
	}
	return t, nil
}

// drive returns the drive of a colour. Each signal is first rounded to a code
// of the patch's bits, or of the display's where the patch states none.
//
//	SDR   d = (white − black) · curve(V)
//	PQ    d = max(0, min(L, hdr_peak) − black),   L by ST 2084
//
// so that a grey, with the black level, has the luminance that the curve says.
func (t *tone) drive(rgb [3]float64, s bench.Signal, bits int) (d [3]float64) {
	if bits == 0 {
		bits = t.p.Bits
		if s == bench.PQ {
			bits = t.p.HDRBits
		}
	}
	for i, v := range rgb {
		v = quantise(v, bits)
		if s == bench.PQ {
			d[i] = math.Max(0, t.hdr(v)-t.light.Black)
		} else {
			d[i] = (t.light.White - t.light.Black) * t.sdr(v)
		}
	}
	return d
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
//
// Source: [ST2084], 5.1, for the light that the signal means.
func (t *tone) hdr(signal float64) float64 {
	if t.p.HDR == "roll_off" && t.peak < 1 {
		return colour.DecodePQ(rollOff(math.Min(signal/t.source, 1), t.peak) * t.source)
	}
	return math.Min(colour.DecodePQ(signal), t.light.HDRPeak)
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

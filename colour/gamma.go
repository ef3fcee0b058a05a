package colour

import (
	"errors"
	"fmt"
	"math"
)

// ErrNoGamma is the error for levels from which no gamma follows.
var ErrNoGamma = errors.New("no gamma")

// Level is a reading of a grey: the signal, 0 to 1, and the luminance in cd/m².
type Level struct{ Signal, Luminance float64 }

// PointGamma returns the gamma of one level: the exponent of the power law through it and white.
//
//	γ = ln((L - Lb)/(Lw - Lb)) / ln V
//
// black is subtracted from both luminances. It is 0 for the plain gamma, or the reading of
// black for the gamma of the light that the signal adds. The error wraps [ErrNoGamma] if the
// signal is not between 0 and 1, or the luminance is not above black.
//
// Source: [IDMS], 6.1.
func PointGamma(p Level, white, black float64) (float64, error) {
	share := (p.Luminance - black) / (white - black)
	if !(p.Signal > 0 && p.Signal < 1 && share > 0) || !(white > black) || math.IsInf(share, 0) {
		return 0, fmt.Errorf("%w: signal %v at %v cd/m²; it must be between 0 and 1 and above black (%v)", ErrNoGamma, p.Signal, p.Luminance, black)
	}
	return math.Log(share) / math.Log(p.Signal), nil
}

// LocalGamma returns the slope of the tone curve between two levels in logarithms.
//
//	γ = ln(L₂/L₁) / ln(V₂/V₁)    with black taken off both luminances
//
// It is the factor by which the display scales a small relative difference of signals. Both
// signals must be above 0 and differ, and both luminances must be above black; if not, the
// error wraps [ErrNoGamma].
//
// Source: common practice, no source.
func LocalGamma(a, b Level, black float64) (float64, error) {
	la, lb := a.Luminance-black, b.Luminance-black
	if !(a.Signal > 0 && b.Signal > 0 && a.Signal != b.Signal && la > 0 && lb > 0) {
		return 0, fmt.Errorf("%w: signals %v and %v at %v and %v cd/m²; the signals must differ and be above 0, and the light must be above black (%v)",
			ErrNoGamma, a.Signal, b.Signal, a.Luminance, b.Luminance, black)
	}
	return math.Log(lb/la) / math.Log(b.Signal/a.Signal), nil
}

// EffectiveGamma returns the one gamma that describes a whole tone curve: the slope of the
// least-squares line through ln(L - black) against ln V, with equal weights.
//
// Levels at signal 0, or with a luminance that is not above black, are left out; n is the
// number of levels used. The error wraps [ErrNoGamma] for fewer than two different signals.
//
// Source: [IDMS], 6.1.
func EffectiveGamma(levels []Level, black float64) (gamma float64, n int, err error) {
	var sx, sy float64
	for _, p := range levels {
		if p.usable(black) {
			sx, sy, n = sx+math.Log(p.Signal), sy+math.Log(p.Luminance-black), n+1
		}
	}
	mx, my := sx/float64(n), sy/float64(n)
	var sxx, sxy float64
	for _, p := range levels {
		if p.usable(black) {
			x := math.Log(p.Signal) - mx
			sxx, sxy = sxx+x*x, sxy+x*(math.Log(p.Luminance-black)-my)
		}
	}
	if !(sxx > 1e-20) {
		return 0, n, fmt.Errorf("%w: %d of %d levels are usable; it needs two or more at different signals", ErrNoGamma, n, len(levels))
	}
	return sxy / sxx, n, nil
}

func (p Level) usable(black float64) bool {
	return p.Signal > 0 && p.Luminance > black && !math.IsInf(p.Luminance, 0)
}

// ToneDeviation tells how far a level is from its target.
type ToneDeviation struct {
	Target   float64 // luminance in cd/m² that the target curve asks for
	Ratio    float64 // luminance over target, less 1; infinite where the target is 0 and the light is not
	DeltaL   float64 // difference of L* relative to white
	DeltaITP float64 // signed difference of intensity on the scale of ΔE ITP
}

// Deviation returns how far a level is from a target curve. white is the luminance in
// cd/m² for which L* is 100. Positive values are too bright.
//
// Source: [CIE15], 8.2.1, for L*; [BT2124] for ITP.
func Deviation(p Level, target Transfer, white float64) ToneDeviation {
	want := target.Decode(p.Signal)
	d := ToneDeviation{
		Target:   want,
		Ratio:    p.Luminance/want - 1,
		DeltaL:   Lightness(p.Luminance/white) - Lightness(want/white),
		DeltaITP: 720 * (EncodePQ(p.Luminance) - EncodePQ(want)),
	}
	if p.Luminance == want {
		d.Ratio = 0 // also where both are 0
	}
	return d
}

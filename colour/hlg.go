package colour

import (
	"fmt"
	"math"
)

// The constants of HLG. b and c make the two pieces of the curve meet at 1/12.
const (
	hlgA = 0.17883277
	hlgB = 1 - 4*hlgA
)

var hlgC = 0.5 - hlgA*math.Log(4*hlgA)

// The shares of red, green and blue in the luminance of BT.2020, rounded as HLG's OOTF prints them.
var hlgLuma = [3]float64{0.2627, 0.6780, 0.0593}

// HLGEncodeScene returns the HLG signal of scene light, 0 to 1: the camera's OETF.
//
//	E′ = sqrt(3E)                 for E ≤ 1/12
//	E′ = a ln(12E - b) + c        above
//
// This is scene light and not what a display shows; for that see [HLG]. Light below 0 gives
// 0; above 1 the curve goes on.
//
// Source: [BT2100], table 5.
func HLGEncodeScene(scene float64) float64 {
	switch {
	case scene <= 0:
		return 0
	case scene <= 1.0/12:
		return math.Sqrt(3 * scene)
	}
	return hlgA*math.Log(12*scene-hlgB) + hlgC
}

// HLGDecodeScene returns the scene light of an HLG signal. It undoes [HLGEncodeScene].
//
//	E = E′²/3                          for E′ ≤ 1/2
//	E = (exp((E′ - c)/a) + b)/12       above
//
// A signal below 0 gives 0; above 1 the curve goes on.
//
// Source: [BT2100], table 5.
func HLGDecodeScene(signal float64) float64 {
	switch {
	case signal <= 0:
		return 0
	case signal <= 0.5:
		return signal * signal / 3
	}
	return (math.Exp((signal-hlgC)/hlgA) + hlgB) / 12
}

// The nominal peaks in cd/m² between which BT.2100 gives the system gamma.
const (
	hlgGammaFrom = 400.0
	hlgGammaTo   = 2000.0
)

// HLGGamma returns the system gamma of HLG for the nominal peak of a display in cd/m².
//
//	γ = 1.2 + 0.42 log₁₀(Lw/1000)     from 400 to 2000 cd/m²
//	γ = 1.2 · 1.111^log₂(Lw/1000)     outside
//
// The two do not quite meet: γ falls from 1.044 to 1.033 at 400 cd/m² and rises from 1.326 to
// 1.333 at 2000 cd/m². The peak must be above 0, else the result is NaN or 0.
//
// Source: [BT2100], table 5, note 5f; [BT2390], 6.2, for the extended range, from memory.
func HLGGamma(peak float64) float64 {
	if peak >= hlgGammaFrom && peak <= hlgGammaTo {
		return 1.2 + 0.42*math.Log10(peak/1000)
	}
	return HLGGammaExtended(peak)
}

// HLGGammaExtended returns the system gamma of HLG by the formula for an extended range of peaks
// in cd/m², also where BT.2100 has another one.
//
//	γ = 1.2 · 1.111^log₂(Lw/1000)
//
// The peak must be above 0, else the result is NaN or 0.
//
// Source: [BT2390], 6.2, from memory.
func HLGGammaExtended(peak float64) float64 {
	return 1.2 * math.Pow(1.111, math.Log2(peak/1000))
}

// HLG is the tone curve of an HLG display of a certain peak and black, in cd/m². Make
// it with [NewHLG]. As a [Transfer] it serves greys; colours need [HLG.DecodeRGB], because the
// system gamma acts on luminance and so one channel depends on the others.
type HLG struct{ white, black, gamma, beta float64 }

var _ Transfer = HLG{}

// NewHLG returns the HLG curve of a display with these luminances of nominal peak
// white and of black, in cd/m², with the system gamma of [HLGGamma].
//
//	β = sqrt(3 (Lb/Lw)^(1/γ))
//
// The error says which argument is out of range: black must be at least 0 and below
// white, and so dark that β is below 1.
//
// Source: [BT2100], table 5.
func NewHLG(white, black float64) (HLG, error) {
	if err := checkLevels(white, black); err != nil {
		return HLG{}, err
	}
	gamma := HLGGamma(white)
	beta := math.Sqrt(3 * math.Pow(black/white, 1/gamma))
	if beta >= 1 {
		return HLG{}, fmt.Errorf("black is %v cd/m², too bright for white of %v cd/m²: HLG has no curve for it", black, white)
	}
	return HLG{white, black, gamma, beta}, nil
}

// Gamma returns the system gamma.
func (t HLG) Gamma() float64 { return t.gamma }

// DecodeRGB returns the light in cd/m² per channel, BT.2020 primaries, of an HLG signal.
//
//	F = Lw Ys^(γ-1) E    E = OETF⁻¹(max(0, (1-β) E′ + β))
//	Ys = 0.2627 R + 0.6780 G + 0.0593 B, of E
//
// Source: [BT2100], table 5.
func (t HLG) DecodeRGB(signal [3]float64) [3]float64 {
	var e [3]float64
	for i, v := range signal {
		e[i] = HLGDecodeScene((1-t.beta)*v + t.beta)
	}
	y := hlgLuma[0]*e[0] + hlgLuma[1]*e[1] + hlgLuma[2]*e[2]
	if y <= 0 {
		return [3]float64{} // 0 to a negative power, where γ is below 1
	}
	k := t.white * math.Pow(y, t.gamma-1)
	return [3]float64{k * e[0], k * e[1], k * e[2]}
}

// EncodeRGB returns the HLG signal of light in cd/m² per channel. It undoes
// [HLG.DecodeRGB] for light that is not below black.
//
// Source: [BT2100], table 5, inverted.
func (t HLG) EncodeRGB(cdm2 [3]float64) (signal [3]float64) {
	y := (hlgLuma[0]*cdm2[0] + hlgLuma[1]*cdm2[1] + hlgLuma[2]*cdm2[2]) / t.white
	k := 0.0
	if y > 0 {
		k = 1 / (t.white * math.Pow(y, (t.gamma-1)/t.gamma))
	}
	for i, f := range cdm2 {
		signal[i] = (HLGEncodeScene(k*f) - t.beta) / (1 - t.beta)
	}
	return signal
}

// Decode returns the luminance in cd/m² of a grey signal.
//
// Source: [BT2100], table 5.
func (t HLG) Decode(signal float64) float64 {
	return t.white * math.Pow(HLGDecodeScene((1-t.beta)*signal+t.beta), t.gamma)
}

// Encode returns the grey signal for a luminance in cd/m². Light at or below 0 gives the
// lowest signal, which is below 0 where black is above 0.
//
// Source: [BT2100], table 5, inverted.
func (t HLG) Encode(cdm2 float64) float64 {
	e := math.Pow(math.Max(cdm2, 0)/t.white, 1/t.gamma)
	return (HLGEncodeScene(e) - t.beta) / (1 - t.beta)
}

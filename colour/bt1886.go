package colour

import "math"

// BT1886 is the reference tone curve of a studio display for standard dynamic
// range, which takes the display's own black into account. Make it with [NewBT1886].
type BT1886 struct{ white, black, a, b float64 }

// bt1886Gamma is the exponent of BT.1886.
const bt1886Gamma = 2.4

// NewBT1886 returns the BT.1886 curve of a display with these luminances of
// white and black, in one unit, usually cd/m².
//
//	a = (Lw^(1/2.4) - Lb^(1/2.4))^2.4
//	b = Lb^(1/2.4) / (Lw^(1/2.4) - Lb^(1/2.4))
//
// The error says which argument is out of range: black must be at least 0 and
// below white.
//
// Source: [BT1886], annex 1.
func NewBT1886(white, black float64) (BT1886, error) {
	if err := checkLevels(white, black); err != nil {
		return BT1886{}, err
	}
	w, k := math.Pow(white, 1/bt1886Gamma), math.Pow(black, 1/bt1886Gamma)
	return BT1886{white, black, math.Pow(w-k, bt1886Gamma), k / (w - k)}, nil
}

// Decode returns the luminance for a signal.
//
//	L = a max(V + b, 0)^2.4
//
// A signal of 0 gives black and 1 gives white, exactly. Below -b the light is 0;
// above 1 the curve goes on, as the Recommendation wants for codes over nominal white.
//
// Source: [BT1886], annex 1.
func (t BT1886) Decode(signal float64) float64 {
	switch signal {
	case 0:
		return t.black
	case 1:
		return t.white
	}
	return t.a * math.Pow(math.Max(signal+t.b, 0), bt1886Gamma)
}

// Encode returns the signal for a luminance.
//
//	V = (L/a)^(1/2.4) - b
//
// Light below black gives a negative signal; light below 0 is taken as 0.
//
// Source: [BT1886], annex 1, inverted.
func (t BT1886) Encode(light float64) float64 {
	return math.Pow(math.Max(light, 0)/t.a, 1/bt1886Gamma) - t.b
}

// White returns the luminance of signal 1.
func (t BT1886) White() float64 { return t.white }

// Black returns the luminance of signal 0.
func (t BT1886) Black() float64 { return t.black }

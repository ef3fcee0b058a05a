package colour

import (
	"fmt"
	"math"
)

// LuminousEfficacy is Km in lm/W, the factor that makes a luminance of a radiance
// weighted with ȳ. The exact definition of the lumen gives 683.002 for ȳ at its
// peak; the standards use 683, and so does this package.
//
// Source: [CIE15], 7.1; [CIE18].
const LuminousEfficacy = 683.0

// The wavelengths in nm between which colour-matching functions are tabulated.
const (
	cmfFrom  = 360
	cmfTo    = 830
	cmfCount = cmfTo - cmfFrom + 1
)

// The wavelengths in nm that a spectrum must reach for a colour to follow from
// it. What lies outside adds 0.15, 0.03 and 0.21 % to the X, Y and Z of daylight and moves it by 0.0002
// in u′v′; the light of most displays ends before.
const (
	needFrom = 400.0
	needTo   = 700.0
)

// Observer is a CIE standard colorimetric observer: three colour-matching
// functions from 360 to 830 nm, tabulated at every nanometre. Outside that range they are zero.
type Observer struct {
	name    string
	x, y, z *[cmfCount]float64 // at every nm from cmfFrom
}

// CIE1931 is the CIE 1931 standard colorimetric observer, for fields of about 2°. Its ȳ is
// V(λ), the luminous efficiency of photopic vision. Leaving out what lies below 380 and above
// 780 nm moves a colour temperature by 1.9 K at 6500 K and 7 K at 9300 K.
//
// Source: [CIE11664], part 1, table 1 (number from memory); [CIE15], table T.4, for every 5 nm.
var CIE1931 = &Observer{"CIE 1931 2°", &cie1931X, &cie1931Y, &cie1931Z}

// CIE1964 is the CIE 1964 standard colorimetric observer, for fields of about 10°. Its Y is no
// luminance, which is defined by the 2° observer alone.
//
// Source: [CIE11664], part 1, table 2 (number from memory); [CIE15], table T.5, for every 5 nm.
var CIE1964 = &Observer{"CIE 1964 10°", &cie1964X, &cie1964Y, &cie1964Z}

// Name returns the name of the observer.
func (o *Observer) Name() string { return o.name }

// CMF returns the colour-matching functions x̄, ȳ and z̄ at a wavelength in nm.
//
// At whole nanometres they are the published values; between them a cubic through four rows
// is taken. Below 360 and above 830 nm, and for NaN, they are zero.
//
// Source: [CIE11664], part 1.
func (o *Observer) CMF(nm float64) (x, y, z float64) {
	if !(nm >= cmfFrom && nm <= cmfTo) {
		return 0, 0, 0
	}
	whole := math.Floor(nm)
	i, t := int(whole)-cmfFrom, nm-whole
	if t == 0 {
		return o.x[i], o.y[i], o.z[i]
	}
	w := cubicWeights(t)
	return cubicAt(o.x, i, &w), cubicAt(o.y, i, &w), cubicAt(o.z, i, &w)
}

// cubicWeights returns the weights of four equally spaced values for the cubic
// through them, at the fraction t of the way from the second to the third.
func cubicWeights(t float64) [4]float64 {
	return [4]float64{
		-t * (t - 1) * (t - 2) / 6,
		(t + 1) * (t - 1) * (t - 2) / 2,
		-(t + 1) * t * (t - 2) / 2,
		(t + 1) * t * (t - 1) / 6,
	}
}

// cubicAt returns the weighted sum of the four table values around i and i+1.
// The weights may make a zero slightly negative, which no CMF is.
func cubicAt(table *[cmfCount]float64, i int, w *[4]float64) float64 {
	before, after := max(i-1, 0), min(i+2, cmfCount-1)
	return max(0, w[0]*table[before]+w[1]*table[i]+w[2]*table[i+1]+w[3]*table[after])
}

// XYZ returns the tristimulus values of a spectrum of radiance in W/(sr m² nm);
// Y is then the luminance in cd/m².
//
//	X = 683 Σ S(λ) x̄(λ) Δλ    and so on
//
// Where the step is 5 nm or less, the sum runs over the samples as they are. A
// wider step is first interpolated to 1 nm by Sprague's polynomial. Samples below
// 360 and above 830 nm do not count, and nothing is assumed where there are none.
//
// The spectrum must reach from 400 nm or less to 700 nm or more, in steps of 20 nm
// or less, and its values must be finite, or the error wraps [ErrSpectrum]. Negative
// values, which noise gives, are summed like all others.
//
// Source: [CIE15], 7.1 and 7.2; [CIE167].
func (o *Observer) XYZ(s Spectrum) (XYZ, error) {
	if err := s.checkVisible(); err != nil {
		return XYZ{}, err
	}
	var sum XYZ
	switch {
	case s.Step == 1 && s.From == math.Trunc(s.From):
		sum = o.sumEveryNanometre(s.From, s.Values)
	case s.Step <= maxSummedStep && s.Step == math.Trunc(s.Step) && s.From == math.Trunc(s.From):
		sum = o.sumWholeNanometres(s)
	case s.Step <= maxSummedStep:
		sum = o.sumSamples(s)
	default:
		sum = o.sumInterpolated(s)
	}
	c := sum.Scale(LuminousEfficacy)
	if err := checkFinite(c.X + c.Y + c.Z); err != nil {
		return XYZ{}, err
	}
	return c, nil
}

// The widest steps in nm that are summed as they are, and that are accepted at all.
const (
	maxSummedStep = 5.0
	maxStep       = 20.0
)

// checkVisible refuses a spectrum from which no colour follows.
func (s Spectrum) checkVisible() error {
	if err := s.check(); err != nil {
		return err
	}
	if s.From > needFrom || s.To() < needTo {
		return fmt.Errorf("%w: it reaches from %v to %v nm; it must reach from %v or less to %v or more",
			ErrSpectrum, s.From, s.To(), needFrom, needTo)
	}
	if s.Step > maxStep {
		return fmt.Errorf("%w: its step is %v nm; it must be at most %v nm", ErrSpectrum, s.Step, maxStep)
	}
	return nil
}

// sumEveryNanometre is three dot products; this is where batches spend their time.
func (o *Observer) sumEveryNanometre(from float64, values []float64) (sum XYZ) {
	first := int(from) - cmfFrom
	if first < 0 {
		values, first = values[-first:], 0
	}
	n := min(len(values), cmfCount-first)
	values = values[:n]
	x, y, z := o.x[first:][:n], o.y[first:][:n], o.z[first:][:n]
	for i, v := range values {
		sum.X += v * x[i]
		sum.Y += v * y[i]
		sum.Z += v * z[i]
	}
	return sum
}

// sumWholeNanometres sums samples that fall on the table, a whole number of nanometres apart.
func (o *Observer) sumWholeNanometres(s Spectrum) (sum XYZ) {
	k, step := int(s.From)-cmfFrom, int(s.Step)
	for _, v := range s.Values {
		if uint(k) < cmfCount {
			sum.X += v * o.x[k]
			sum.Y += v * o.y[k]
			sum.Z += v * o.z[k]
		}
		k += step
	}
	return sum.Scale(s.Step)
}

// sumSamples sums samples that fall between the rows of the table.
func (o *Observer) sumSamples(s Spectrum) (sum XYZ) {
	for i, v := range s.Values {
		x, y, z := o.CMF(s.Wavelength(i))
		sum.X += v * x
		sum.Y += v * y
		sum.Z += v * z
	}
	return sum.Scale(s.Step)
}

func (o *Observer) sumInterpolated(s Spectrum) (sum XYZ) {
	first := max(math.Ceil(s.From), cmfFrom)
	last := min(math.Floor(s.To()), cmfTo)
	for nm := first; nm <= last; nm++ {
		v, i := s.at(nm), int(nm)-cmfFrom
		sum.X += v * o.x[i]
		sum.Y += v * o.y[i]
		sum.Z += v * o.z[i]
	}
	return sum
}

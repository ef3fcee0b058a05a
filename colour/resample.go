package colour

import (
	"fmt"
	"math"
)

// spragueSamples is the least number of samples that Sprague's polynomial needs.
const spragueSamples = 6

// At returns the value of s at a wavelength in nm, interpolated by Sprague's
// fifth-degree polynomial. Outside the samples, or with fewer than six of them, the
// error wraps [ErrSpectrum]: extrapolation is never implied.
//
// Source: [CIE167]; [CIE15], 7.2.1.
func (s Spectrum) At(nm float64) (float64, error) {
	if err := s.checkInterpolable(); err != nil {
		return 0, err
	}
	if !(nm >= s.From && nm <= s.To()) {
		return 0, fmt.Errorf("%w: %v nm is asked, it reaches from %v to %v nm", ErrSpectrum, nm, s.From, s.To())
	}
	v := s.at(nm)
	if err := checkFinite(v); err != nil {
		return 0, err
	}
	return v, nil
}

// checkFinite refuses values that are infinite or not a number.
func checkFinite(values ...float64) error {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: a value is infinite or not a number", ErrSpectrum)
		}
	}
	return nil
}

func (s Spectrum) checkInterpolable() error {
	if err := s.check(); err != nil {
		return err
	}
	if len(s.Values) < spragueSamples {
		return fmt.Errorf("%w: it has %d samples; it must have at least %d to interpolate", ErrSpectrum, len(s.Values), spragueSamples)
	}
	return nil
}

// at returns the value at a wavelength within the range of s, which must have at least
// six samples.
func (s Spectrum) at(nm float64) float64 {
	p := (nm - s.From) / s.Step
	i := min(max(int(p), 0), len(s.Values)-2)
	return spragueAt(s.Values, i, p-float64(i))
}

// edge is how far in nm beyond its last sample a spectrum may be asked for, to allow for
// wavelengths that are not exact in binary.
const edge = 1e-6

// mostResampled bounds the samples that Resample makes.
const mostResampled = 1_000_000

// Resample returns s at the wavelengths from, from + step and so on up to no more than
// to, interpolated by Sprague's polynomial.
//
// It interpolates and does not average: going to a wider step loses what lies between,
// and a narrow line may vanish. The new range must lie within the old one and give no more
// than a million samples, or the error wraps [ErrSpectrum].
//
// Source: [CIE167]; [CIE15], 7.2.1.
func (s Spectrum) Resample(from, to, step float64) (Spectrum, error) {
	if err := s.checkInterpolable(); err != nil {
		return Spectrum{}, err
	}
	if !(from >= s.From-edge && to <= s.To()+edge && from < to) {
		return Spectrum{}, fmt.Errorf("%w: %v to %v nm is asked, it reaches from %v to %v nm", ErrSpectrum, from, to, s.From, s.To())
	}
	if !(step > 0) || step > to-from {
		return Spectrum{}, fmt.Errorf("%w: a step of %v nm is asked for; it must be above 0 and at most the range of %v nm", ErrSpectrum, step, to-from)
	}
	if (to-from)/step > mostResampled {
		return Spectrum{}, fmt.Errorf("%w: a step of %v nm makes more than %d samples", ErrSpectrum, step, mostResampled)
	}
	count := int(math.Floor((to-from)/step+edge)) + 1
	out := tabulate(from, step, count, s.at)
	if err := checkFinite(out.Values...); err != nil {
		return Spectrum{}, err
	}
	return out, nil
}

// Peak returns the wavelength in nm and the value of the highest point of s: the
// vertex of the parabola through the highest sample and its neighbours. At an end of the
// range it is the sample itself. A spectrum without a value above zero has no peak, and the
// error wraps [ErrSpectrum].
//
// Source: common practice, no source.
func (s Spectrum) Peak() (nm, value float64, err error) {
	if err := s.check(); err != nil {
		return 0, 0, err
	}
	if err := checkFinite(s.Values...); err != nil {
		return 0, 0, err
	}
	top := s.highest()
	if s.Values[top] <= 0 {
		return 0, 0, fmt.Errorf("%w: no value is above 0, so that there is no peak", ErrSpectrum)
	}
	if top == 0 || top == len(s.Values)-1 {
		return s.Wavelength(top), s.Values[top], nil
	}
	before, at, after := s.Values[top-1], s.Values[top], s.Values[top+1]
	bend := before - 2*at + after
	if bend == 0 { // flat: three equal values
		return s.Wavelength(top), at, nil
	}
	t := (before - after) / (2 * bend)
	return s.Wavelength(top) + t*s.Step, at - (before-after)*t/4, nil
}

func (s Spectrum) highest() int {
	top := 0
	for i, v := range s.Values {
		if v > s.Values[top] {
			top = i
		}
	}
	return top
}

// FWHM returns the full width in nm at half of the peak: the distance of the nearest
// crossings of half the peak on both sides, interpolated linearly.
//
// A spectrum that does not fall to half of its peak on both sides, within its range,
// has no such width, and the error wraps [ErrSpectrum]. The width includes the meter's own.
//
// Source: common practice, no source.
func (s Spectrum) FWHM() (float64, error) {
	_, peak, err := s.Peak()
	if err != nil {
		return 0, err
	}
	half, top := peak/2, s.highest()
	left, ok := s.crossing(top, -1, half)
	right, ok2 := s.crossing(top, 1, half)
	if !ok || !ok2 {
		return 0, fmt.Errorf("%w: it does not fall to half of its peak on both sides", ErrSpectrum)
	}
	return right - left, nil
}

// crossing returns the wavelength at which s first falls to level, from sample i in direction d.
func (s Spectrum) crossing(i, d int, level float64) (float64, bool) {
	for ; i+d >= 0 && i+d < len(s.Values); i += d {
		here, next := s.Values[i], s.Values[i+d]
		if next <= level && here > level {
			return s.Wavelength(i) + float64(d)*s.Step*(here-level)/(here-next), true
		}
	}
	return 0, false
}

package colour

import (
	"errors"
	"fmt"
	"math"
)

// ErrSpectrum is the error for a spectrum that cannot be used: too few samples,
// a step that is not positive, a value that is not a number, or a range of
// wavelengths that leaves out visible light.
var ErrSpectrum = errors.New("spectrum cannot be used")

// Spectrum is a regularly sampled spectral distribution. Values[i] belongs to
// the wavelength From + i·Step, in nanometres. The caller decides
// which quantity the values are; absolute results need spectral radiance in W/(sr m² nm).
type Spectrum struct {
	From, Step float64
	Values     []float64
}

// Wavelength returns the wavelength in nm of sample i.
func (s Spectrum) Wavelength(i int) float64 { return s.From + float64(i)*s.Step }

// To returns the wavelength in nm of the last sample.
func (s Spectrum) To() float64 { return s.Wavelength(len(s.Values) - 1) }

// Scale returns a copy of s with every value multiplied by k.
func (s Spectrum) Scale(k float64) Spectrum {
	values := make([]float64, len(s.Values))
	for i, v := range s.Values {
		values[i] = k * v
	}
	return Spectrum{s.From, s.Step, values}
}

// check refuses a spectrum whose sampling makes no sense.
func (s Spectrum) check() error {
	switch {
	case len(s.Values) < 2:
		return fmt.Errorf("%w: it has %d samples; it must have at least 2", ErrSpectrum, len(s.Values))
	case !(s.Step > 0) || math.IsInf(s.Step, 0):
		return fmt.Errorf("%w: its step is %v nm; it must be above 0", ErrSpectrum, s.Step)
	case !(s.From > 0) || math.IsInf(s.From, 0):
		return fmt.Errorf("%w: it starts at %v nm; it must be above 0", ErrSpectrum, s.From)
	}
	return nil
}

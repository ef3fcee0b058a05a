package draw

import "math"

// SpectrumAccuracy is what a bench states of the spectra of a meter: standard
// uncertainties, 0 where nothing is stated.
type SpectrumAccuracy struct {
	Wavelength float64 // nm, of the scale of wavelengths, alike in all spectra
	Response   float64 // %, smooth over the wavelengths, alike in all spectra
	Noise      float64 // % of a sample as large as the spectrum's Level, of each sample of a single reading by itself
	Dark       float64 // W/(sr m² nm), likewise, and also in the dark
}

// SpectrumKeys are the keys of a spectrum's errors; [Key] says what each is made of.
type SpectrumKeys struct{ Wavelength, Response, Noise Key }

// Spectrum is what is known about the error of the mean spectrum of one reading.
type Spectrum struct {
	From, Step float64   // nm
	Mean       []float64 // W/(sr m² nm)
	Singles    int       // in the mean
	Level      float64   // W/(sr m² nm), of a sample that scatters by the stated share of it; 0: all samples do
	Accuracy   SpectrumAccuracy
	Keys       SpectrumKeys
}

// SmoothTerms is how many cosines make up the error of a spectral response.
const SmoothTerms = 4

// Where they begin, and what half a period of the first spans, in nm: the visible range.
const (
	smoothFrom = 380.0
	smoothOver = 400.0
)

// Smooth is a smooth function of the wavelength in nm,
//
//	f(λ) = √(2/n) Σₖ zₖ cos(k π (λ - 380)/400),  k = 1 … n
//
// With independent standard normal z its mean square over 380 to 780 nm is 1. It is
// the shape of an error of spectral response. The number of terms is our own choice
// (common practice, no source, that such errors are smooth).
func Smooth(z *[SmoothTerms]float64, nm float64) float64 {
	sum := 0.
	for k, a := range z {
		sum += a * math.Cos(float64(k+1)*math.Pi*(nm-smoothFrom)/smoothOver)
	}
	return sum * math.Sqrt(2./SmoothTerms)
}

// draw returns the change of each sample of the mean spectrum in one draw: the spectrum is
//
//	(S(λ + shift) (1 + response(λ)) + noise)
//
// with the shift of the wavelengths and the response common to all spectra of the meter,
// and with noise of each sample by itself, which a mean of n has 1/√n of. That is taken to be the noise of counting,
// whose variance is in proportion to the sample: a dim sample scatters by a larger share than the stated one, which
// holds for a sample as large as Level. How bright
// the light is is no matter of it: whoever takes the change scales it to the reading's luminance.
func (s *Spectrum) draw(draw int) []float64 {
	shift, a := 0., &s.Accuracy
	if a.Wavelength > 0 {
		shift = a.Wavelength * s.Keys.Wavelength.normal(draw)
	}
	out := Shifted(s.Mean, s.Step, shift)
	if a.Response > 0 {
		var z [SmoothTerms]float64
		for k := range z {
			z[k] = s.Keys.Response.part(k).normal(draw)
		}
		for i := range out {
			out[i] *= 1 + a.Response/100*Smooth(&z, s.From+float64(i)*s.Step)
		}
	}
	for i, v := range s.Mean {
		counted := v
		if s.Level > 0 {
			counted = math.Sqrt(max(v, 0) * s.Level)
		}
		if sd := math.Hypot(a.Noise/100*counted, a.Dark); sd > 0 {
			out[i] += sd / math.Sqrt(float64(max(s.Singles, 1))) * s.Keys.Noise.part(i).normal(draw)
		}
	}
	return out
}

// Shifted is a spectrum with samples every step nm, read by so many nm farther to the
// red: S(λ + shift) in place of S(λ). Between samples it is a cubic through the nearest
// four (Catmull and Rom), beyond the ends it is as at the end.
func Shifted(values []float64, step, shift float64) []float64 {
	out := make([]float64, len(values))
	if shift == 0 || !(step > 0) {
		copy(out, values)
		return out
	}
	whole := math.Floor(shift / step)
	t, first := shift/step-whole, int(max(min(whole, float64(len(values))), -float64(len(values))))
	at := func(i int) float64 { return values[max(0, min(i, len(values)-1))] }
	for i := range out {
		k := i + first
		a, b, c, d := at(k-1), at(k), at(k+1), at(k+2)
		out[i] = b + t/2*(c-a+t*(2*a-5*b+4*c-d+t*(3*(b-c)+d-a)))
	}
	return out
}

// still says whether every draw leaves the spectrum's shape as it is.
func (s *Spectrum) still() bool { return s.Accuracy == SpectrumAccuracy{} }

// causes lists the shared causes of error that are not zero.
func (s *Spectrum) causes() (all []Cause) {
	if s.Accuracy.Wavelength > 0 {
		all = append(all, Cause{Wavelength, s.Keys.Wavelength, 1})
	}
	if s.Accuracy.Response > 0 {
		all = append(all, Cause{Response, s.Keys.Response, SmoothTerms})
	}
	return all
}

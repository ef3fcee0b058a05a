package builtins

import (
	"math"

	"candelua/colour"
	"candelua/engine/bench"
	"candelua/engine/draw"
	"candelua/engine/script"
)

// What is not known of a meter's spectra where the bench file does not state it.
func unknownWavelengths(meter string) draw.Unknown {
	return unknownOfSpectra(meter, "wavelengths", "wavelength in nm")
}
func unknownResponse(meter string) draw.Unknown {
	return unknownOfSpectra(meter, "shape", "response in %")
}
func unknownSamples(meter string) draw.Unknown {
	return unknownOfSpectra(meter, "noise", "sample in %, sample_dark in W/(sr m2 nm)")
}

func unknownOfSpectra(meter, what, keys string) draw.Unknown {
	return draw.Unknown{Of: "spectra of the " + meter, Why: "the accuracy of their " + what + " is not stated",
		Do: "state it in the bench file ([" + meter + ".accuracy], " + keys + ")"}
}

// unknownSteps is of what a script reads off a spectrum in whole samples, such as the sample that is the
// highest: no error that is smaller than the distance of samples moves it, and it is off by up to half of that.
func unknownSteps(meter string) draw.Unknown {
	return draw.Unknown{Of: "the samples of a spectrum of the " + meter, Resting: true, Why: "changes only by whole samples, which are farther apart than its errors reach",
		Do: "interpolate between samples, as with a parabola through the highest three"}
}

// enterSpectrum notes the mean spectrum of a reading, if it has one, with what is known of its error, and
// what is not. Before the rules 5 a spectrum had no errors of its own.
func enterSpectrum(c *script.Call, s *draw.Sheet, single int, read, samples []sample) {
	mean := meanSpectrum(samples)
	if mean == nil || !c.Since(5) {
		return
	}
	meter, known := c.Device(), c.Host().Devices[c.Device()]
	a := draw.SpectrumAccuracy{Wavelength: known.Accuracy.Wavelength, Response: known.Accuracy.Response, Noise: known.Accuracy.Sample, Dark: known.Accuracy.SampleDark}
	for _, part := range []struct {
		missing bool
		of      draw.Unknown
	}{
		{a.Wavelength == 0 && !known.Simulated, unknownWavelengths(meter)},
		{a.Response == 0 && !known.Simulated, unknownResponse(meter)},
		{a.Noise == 0 && a.Dark == 0 && !known.Simulated, unknownSamples(meter)},
		{true, unknownSteps(meter)},
	} {
		if part.missing {
			s.EnterUnknown(part.of)
		}
	}
	of := calibrated(known)
	s.EnterSpectrum(c.Number(), single, draw.Spectrum{From: mean.From, Step: mean.Step, Mean: mean.Values, Singles: len(samples), Accuracy: a, Level: levelOf(c, mean),
		Keys: draw.SpectrumKeys{Wavelength: draw.NewKey("wavelengths").Text(of), Response: draw.NewKey("response").Text(of), Noise: readingKey(c, "spectral noise", single, read)}})
}

// sampleStatedAt is the luminance in cd/m² at which a share by which samples scatter is taken to be stated, as for
// the repeatability of luminances (package draw).
const sampleStatedAt = 100

// levelOf is the sample for which the stated share by which samples scatter holds: the mean one of the spectrum, or of a
// brighter one of its shape, since in dim light samples scatter by a larger share. By the rules before 6 it held for all.
func levelOf(c *script.Call, mean *Spectrum) float64 {
	lit := maxLumen * mean.Step * luminanceOf(mean, mean.Values)
	if !c.Since(6) || !(lit > 0) {
		return 0
	}
	sum, n := 0., 0
	for i, v := range mean.Values {
		if nm := mean.From + float64(i)*mean.Step; nm >= visibleFrom && nm <= visibleTo {
			sum, n = sum+v, n+1
		}
	}
	if n == 0 || !(sum > 0) {
		return 0
	}
	return sum / float64(n) * max(1, sampleStatedAt/lit)
}

// What is visible, in nm, and the luminous efficacy in lm/W (CIE 15).
const (
	visibleFrom, visibleTo = 400, 700
	maxLumen               = 683.002
)

// shakenShape is a mean spectrum as a probe has it, nil where the probe is of something else.
func shakenShape(c *script.Call, mean *Spectrum, single int) []float64 {
	d, meter := c.Host().Draws, c.Device()
	k := draw.NewKey("probe").Number(c.Number()).Number(single)
	shape := append([]float64(nil), mean.Values...)
	switch {
	case d.Shakes(unknownWavelengths(meter)):
		const times = 10 // nm, of which a probe takes a share
		return draw.Shifted(shape, mean.Step, times*k.Shake(d.Number))
	case d.Shakes(unknownSteps(meter)):
		return draw.Shifted(shape, mean.Step, mean.Step*[draw.Probes]float64{0.5, 1, -1, 2, -2}[d.Number%draw.Probes])
	case d.Shakes(unknownResponse(meter)):
		var z [draw.SmoothTerms]float64
		for i := range z {
			z[i] = k.Number(i).Shake(d.Number)
		}
		for i := range shape {
			shape[i] *= 1 + draw.Smooth(&z, mean.From+float64(i)*mean.Step)
		}
		return shape
	case d.Shakes(unknownSamples(meter)):
		most := 0.
		for _, v := range shape {
			most = math.Max(most, math.Abs(v))
		}
		for i := range shape {
			shape[i] += most * k.Number(i).Shake(d.Number)
		}
		return shape
	}
	return nil
}

// reshape gives single spectra, whose mean was another one, the shape of a draw: all are changed alike, so
// that they differ as they did. The luminance stays what it is: [move] has put it where the reading's is.
func reshape(samples []sample, mean *Spectrum, shape []float64) {
	now := meanSpectrum(samples)
	if mean == nil || now == nil || len(shape) != len(mean.Values) {
		return
	}
	bright := 1. // what move has multiplied by
	was, is, moved := luminanceOf(mean, mean.Values), luminanceOf(mean, shape), luminanceOf(now, now.Values)
	if was > 0 && moved > 0 {
		bright = moved / was
	}
	even := 1.
	if was > 0 && is > was/2 && is < 2*was { // else it is noise
		even = was / is
	}
	for i := range samples {
		s := samples[i].Spectrum
		out := &bench.Spectrum{From: s.From, Step: s.Step, Values: make([]float64, len(s.Values))}
		for k, v := range s.Values {
			out.Values[k] = v + bright*(even*shape[k]-mean.Values[k])
		}
		samples[i].Spectrum = out
	}
}

// luminanceOf is the luminance of a spectrum with such values, in any unit.
func luminanceOf(s *Spectrum, values []float64) (sum float64) {
	for i, v := range values {
		_, y, _ := colour.CIE1931.CMF(s.From + float64(i)*s.Step)
		sum += v * y
	}
	return sum
}

package sim

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"

	"candelua/colour"
	"candelua/engine/bench"
	"candelua/engine/draw"
)

// calibration has a meter's true errors, whose uncertainties its certificate states.
// The errors of scale and chromaticity are the same in all readings. The error of
// the dark level is the same until the meter measures its dark level again.
type calibration struct {
	gain   float64
	dx, dy float64 // of the chromaticity of all light; the luminance stays
	dark   colour.XYZ

	shift    float64   // of the wavelengths, nm
	response *spectrum // factors of the samples of a spectrum; nil: 1 each
}

// newCalibration draws a meter's errors of scale, chromaticity and spectra, normal with the
// standard uncertainties that its parameters state. They follow from the meter's name
// and serial number, and from a seed. If errors_seed is stated, it is that seed, so the
// runs of all seeds have one meter. If not, the run's seed is, so each seed has another meter.
func (w *World) newCalibration(p MeterParams) calibration {
	seed := w.noise.seed
	if p.ErrorsSeed > 0 {
		seed = uint64(p.ErrorsSeed)
	}
	name := fnv.New64a()
	_, _ = name.Write([]byte(p.Name + "\x00" + p.Serial)) // never fails
	draw := newNoise(seed).at(mix(name.Sum64())^noiseMeterErrors, -1)
	k := calibration{
		gain: 1 + p.Scale/100*draw.NormFloat64(),
		dx:   p.XY * draw.NormFloat64(),
		dy:   p.XY * draw.NormFloat64(),
	}
	k.shift = p.Wavelength * draw.NormFloat64()
	if p.Response > 0 {
		k.response = newResponse(p.Response, draw)
	}
	return k
}

// serialOf is the meter's serial number. If each seed has another meter, the seed is part
// of the number: draws must not take the error of one meter for that of another.
func (w *World) serialOf(p *MeterParams) string {
	if p.ErrorsSeed == 0 && (p.Scale > 0 || p.XY > 0 || p.Wavelength > 0 || p.Response > 0) {
		return fmt.Sprintf("%s/%d", p.Serial, w.noise.seed)
	}
	return p.Serial
}

// darkError draws the error of the dark level that a meter has after it measured
// that level: at the beginning, and by [meter.Zero]. Each run has its own.
func (m *meter) darkError() colour.XYZ {
	p := &m.optics.p
	if p.Dark == 0 {
		return colour.XYZ{}
	}
	when, zeroed := m.w.zeroed[m.kind]
	if !zeroed {
		when = -1
	}
	draw := m.w.noise.at(m.kind+(noiseMeterLevel-noiseMeter), when)
	return colour.XYZ{X: p.Dark * draw.NormFloat64(), Y: p.Dark * draw.NormFloat64(), Z: p.Dark * draw.NormFloat64()}
}

// misread adds the meter's errors to c, which is what a meter without these errors
// would read of a light. The error of chromaticity is computed from the light itself, without noise:
//
//	X + Y·((x + dx)/(y + dy) - x/y),  Z likewise
//
// so that x and y move by dx and dy, whatever the colour.
//
// Source: [CIE15], chromaticity coordinates.
func (k *calibration) misread(c, light colour.XYZ) colour.XYZ {
	if xy, err := light.XY(); err == nil && (k.dx != 0 || k.dy != 0) && math.Abs(k.dy) < xy.Y/2 {
		x, y := xy.X+k.dx, xy.Y+k.dy
		c.X += light.Y * (x/y - xy.X/xy.Y)
		c.Z += light.Y * ((1-x-y)/y - (1-xy.X-xy.Y)/xy.Y)
	}
	return colour.XYZ{X: c.X*k.gain + k.dark.X, Y: c.Y*k.gain + k.dark.Y, Z: c.Z*k.gain + k.dark.Z}
}

// newResponse draws the error of a spectral response, in percent: smooth over the wavelengths.
//
// Model of our own: four cosines over 380 to 780 nm, see [draw.Smooth].
func newResponse(percent float64, from *rand.Rand) *spectrum {
	var z [draw.SmoothTerms]float64
	for k := range z {
		z[k] = from.NormFloat64()
	}
	r := &spectrum{}
	for i := range r {
		r[i] = 1 + percent/100*draw.Smooth(&z, firstNm+stepNm*float64(i))
	}
	return r
}

// misshape gives a spectrum the meter's errors of wavelengths and response, at the luminance that it had.
func (k *calibration) misshape(light *spectrum, o *observer) {
	if k.shift == 0 && k.response == nil {
		return
	}
	was := o.xyz(light).Y
	copy(light[:], draw.Shifted(light[:], stepNm, k.shift))
	if k.response != nil {
		for b, f := range k.response {
			light[b] *= f
		}
	}
	if is := o.xyz(light).Y; was > 0 && is > was/2 {
		for b := range light {
			light[b] *= was / is
		}
	}
}

// statedAccuracy is what the certificate states. The standard deviation of the dark
// level's drift is part of its uncertainty, however long ago the level was measured. The noise of a sample is stated
// as that of equal-energy light of 100 cd/m², and in the dark, each for the shortest integration.
func (o *optics) statedAccuracy() bench.Accuracy {
	a := bench.Accuracy{Scale: o.p.Scale, XY: o.p.XY, Dark: math.Hypot(o.p.Dark, o.p.DarkDrift), Repeatability: o.statedRepeatability(),
		Noise: o.statedNoise(), Zero: o.p.DarkNoise / math.Sqrt(o.p.ZeroSeconds)}
	if !o.spectral() {
		return a
	}
	a.Wavelength, a.Response = o.p.Wavelength, o.p.Response
	a.Sample = 100 * math.Sqrt(o.shot/o.p.Integration/(100*o.spread))
	a.SampleDark = o.dark / math.Sqrt(o.p.Integration)
	return a
}

// luxErrors are the light meter's true errors, whose uncertainties its certificate states.
type luxErrors struct{ gain, zero float64 }

// newLuxErrors draws them: that of the scale from lux_errors_seed, where it is stated, so that the runs of all
// seeds have one light meter; that of the zero for each run.
func (w *World) newLuxErrors() luxErrors {
	p, from := w.params.Rig, w.noise
	if p.LuxErrorsSeed > 0 {
		from = newNoise(uint64(p.LuxErrorsSeed))
	}
	return luxErrors{
		gain: 1 + p.LuxScale/100*from.at(noiseLuxErrors, -1).NormFloat64(),
		zero: p.LuxZero * w.noise.at(noiseLuxZero, -1).NormFloat64(),
	}
}

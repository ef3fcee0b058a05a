package sim

import (
	"math"
	"math/rand/v2"
	"strconv"
	"time"

	"candelua/colour"
	"candelua/engine/bench"
)

// optics has what follows from a meter's parameters, computed once.
//
// A spectral meter reads, for a band's mean radiance L over the integration T,
//
//	L·(1 + r·n₀) + (o − o₀)/W + √((σ_dark² + q·L)/T)·n_band
//
// with independent standard normal n, the dark level o, and o₀, the dark level that
// the meter measured and subtracts. Let ȳ be the observer's weights of the bands,
// W = Σ ȳ and V = Σ ȳ². Then the noise that a data sheet states, in luminance, gives the
// noise of a band:
//
//	σ_dark = dark_noise/√V
//	q      = (shot_noise/100 · 100 cd/m²)² · W/(100 cd/m² · V)
//
// because an equal-energy light of 100 cd/m² has the radiance 100/W in each band.
//
// A filter meter reads, behind each filter j, C_j·(1 + r·n₀) + o − o₀ +
// √((dark_noise² + q·C_j)/T)·n_j, where C_j is the light behind the filter
// and q = shot_noise²/100. Model of our own: a filter has the response
//
//	f_j(λ) = k_j·((1 − leak_j)·c_j(λ − shift_j) + leak_j·mean(c_j))
//
// with the observer's c_j. k_j is chosen so that illuminant A is read without an
// error, as such meters are adjusted (common practice, no source).
//
// The meter's own errors are then added to either reading, see [calibration].
type optics struct {
	p      MeterParams
	dark   float64 // standard deviation of a band, or behind a filter, in the dark, for 1 s
	shot   float64 // its variance over its radiance, for 1 s
	spread float64 // what of a dark level of 1 cd/m² is in each band

	drift  *wander
	errors calibration
	world  *World
	filter [lights][3]float64 // what the filters make of 1 cd/m² of each light
}

func newOptics(p MeterParams, w *World, drift uint64) optics {
	o := optics{p: p, world: w, drift: w.noise.newWander(drift, p.DarkSeconds), errors: w.newCalibration(p)}
	if p.Kind == "filter" {
		o.dark, o.shot = p.DarkNoise, p.ShotNoise*p.ShotNoise/100
		o.filter = filtered(p, w.panel)
		return o
	}
	var sum, squares float64
	for _, y := range w.observer.y {
		sum += y
		squares += y * y
	}
	o.dark = p.DarkNoise / math.Sqrt(squares)
	o.shot = p.ShotNoise * p.ShotNoise * sum / (100 * squares)
	o.spread = 1 / sum
	return o
}

// filtered returns what the meter reads behind its filters of 1 cd/m² of each light.
func filtered(p MeterParams, d *panel) (all [lights][3]float64) {
	var right, response [3]spectrum
	var mean [3]float64
	for b := range bands {
		nm := firstNm + stepNm*float64(b)
		right[0][b], right[1][b], right[2][b] = colour.CIE1931.CMF(nm)
		for j := range mean {
			mean[j] += right[j][b] / bands
			var c [3]float64
			c[0], c[1], c[2] = colour.CIE1931.CMF(nm - p.FilterShift[j])
			response[j][b] = c[j]
		}
	}
	for j := range response {
		leak := p.FilterLeak[j] / 100
		var wanted, got float64
		for b := range bands {
			response[j][b] = (1-leak)*response[j][b] + leak*mean[j]
			a := colour.PlanckRadiance(illuminantA, firstNm+stepNm*float64(b))
			wanted += a * right[j][b]
			got += a * response[j][b]
		}
		for i := range d.lights {
			for b, v := range d.lights[i] {
				all[i][j] += wanted / got * colour.LuminousEfficacy * stepNm * v * response[j][b]
			}
		}
	}
	return all
}

// illuminantA is the temperature, in K, of a lamp of its colour [CIE15].
const illuminantA = 2856

func (o *optics) spectral() bool { return o.p.Kind == "spectral" }

// integration returns the integration time for a luminance in cd/m². Below
// dark_below it grows in inverse proportion to the luminance, up to
// integration_dark.
func (o *optics) integration(luminance float64) time.Duration {
	s := o.p.Integration
	if luminance < o.p.DarkBelow {
		s = o.p.IntegrationDark
		if luminance > 0 {
			s = math.Min(s, o.p.Integration*o.p.DarkBelow/luminance)
		}
		s = math.Max(s, o.p.Integration)
	}
	return seconds(s).Round(time.Microsecond)
}

// statedRepeatability returns the standard deviation, in %, of a reading of
// equal-energy light of 100 cd/m², with all kinds of noise.
func (o *optics) statedRepeatability() float64 {
	shot, dark := o.p.ShotNoise, o.p.DarkNoise // % and cd/m², which is % of 100 cd/m²
	return math.Sqrt(o.p.Repeatability*o.p.Repeatability + (shot*shot+dark*dark)/o.p.Integration)
}

// statedLevels are levels in cd/m² at which the meter states its noise.
var statedLevels = []float64{0, 0.01, 0.03, 0.1, 0.3, 1, 3, 10, 30, 100, 300, 1000}

// statedNoise returns the standard deviation of Y of a reading of equal-energy light at each of
// some levels, and the share of its variance that is the gain's; nil of a meter without noise.
func (o *optics) statedNoise() (all [][]float64) {
	if o.p.Repeatability == 0 && o.p.ShotNoise == 0 && o.p.DarkNoise == 0 {
		return nil
	}
	for _, level := range statedLevels {
		gain := math.Pow(o.p.Repeatability/100*level, 2)
		own := (o.p.DarkNoise*o.p.DarkNoise + o.p.ShotNoise*o.p.ShotNoise*level/100) / o.integration(level).Seconds()
		row := []float64{level, threeDigits(math.Sqrt(gain + own)), 0}
		if gain > 0 {
			row[2] = threeDigits(gain / (gain + own))
		}
		all = append(all, row)
	}
	return all
}

// threeDigits rounds a number as a data sheet does.
func threeDigits(x float64) float64 {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64) // what was written is read
	return short
}

// drifted returns the mean dark level over a number of seconds, in cd/m².
func (o *optics) drifted(t time.Duration, over float64) float64 {
	if o.p.DarkDrift == 0 {
		return 0
	}
	return o.p.DarkDrift * o.drift.mean(t, over)
}

// darkLevel returns the dark level that the meter measures, with noise, in cd/m².
func (o *optics) darkLevel(t time.Duration, over float64, draw *rand.Rand) float64 {
	return o.drifted(t, over) + o.p.DarkNoise/math.Sqrt(over)*draw.NormFloat64()
}

// read returns the reading of a mean light.
func (o *optics) read(a amounts, began, whole time.Duration, draw *rand.Rand, zero float64, withSpectrum bool) bench.Sample {
	over := whole.Seconds()
	offset := o.drifted(began, over) - zero
	s := bench.Sample{Colour: true, Began: began, Ended: began + whole}
	var c colour.XYZ
	var light spectrum
	if o.spectral() {
		light = o.world.panel.spectrum(a)
		o.addNoise(&light, offset, over, draw)
		c = o.world.observer.xyz(&light)
	} else {
		c = o.behindFilters(a, offset, over, draw)
	}
	c = o.errors.misread(c, o.world.panel.xyzOf(a))
	o.errors.misshape(&light, &o.world.observer)
	for b := range light {
		light[b] *= o.errors.gain
	}
	if c.Y < o.p.Floor {
		s.Flags = append(s.Flags, bench.BelowFloor)
	}
	if most := o.p.Saturation; c.Y > most {
		s.Flags = append(s.Flags, bench.Saturated)
		scale := most / c.Y
		c = colour.XYZ{X: c.X * scale, Y: most, Z: c.Z * scale}
		for b := range light {
			light[b] *= scale
		}
	}
	s.X, s.Y, s.Z = c.X, c.Y, c.Z
	if withSpectrum {
		s.Spectrum = &bench.Spectrum{From: firstNm, Step: stepNm, Values: append([]float64(nil), light[:]...)}
	}
	return s
}

// addNoise adds noise and dark level to a mean radiance.
func (o *optics) addNoise(light *spectrum, offset, over float64, draw *rand.Rand) {
	gain := 1 + o.p.Repeatability/100*draw.NormFloat64()
	dark, shot := o.dark*o.dark/over, o.shot/over
	for i, l := range light {
		light[i] = l*gain + offset*o.spread + math.Sqrt(dark+shot*l)*draw.NormFloat64()
	}
}

// behindFilters returns what a filter meter reads of a mean light.
func (o *optics) behindFilters(a amounts, offset, over float64, draw *rand.Rand) colour.XYZ {
	var c [3]float64
	gain := 1 + o.p.Repeatability/100*draw.NormFloat64()
	for j := range c {
		for i, v := range a {
			c[j] += v * o.filter[i][j]
		}
		noise := math.Sqrt((o.dark*o.dark + o.shot*math.Max(c[j], 0)) / over)
		c[j] = c[j]*gain + offset + noise*draw.NormFloat64()
	}
	return colour.XYZ{X: c[0], Y: c[1], Z: c[2]}
}

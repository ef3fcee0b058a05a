package builtins

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"candelua/colour"
	"candelua/engine/bench"
)

// Reading is the mean of one or more single readings. What cannot be known is
// nil: chromaticity in darkness or of a meter without colour, uncertainties of
// a single reading whose repeatability nobody stated.
type Reading struct {
	X     *float64  `lua:"X" unit:"cd/m2" help:"CIE 1931 tristimulus value; nil if the meter measures luminance only"`
	Y     float64   `lua:"Y" unit:"cd/m2" help:"luminance"`
	Z     *float64  `lua:"Z" unit:"cd/m2" help:"CIE 1931 tristimulus value"`
	Cx    *float64  `lua:"x" help:"CIE 1931 chromaticity x"`
	Cy    *float64  `lua:"y" help:"CIE 1931 chromaticity y"`
	U     *float64  `lua:"u" help:"CIE 1976 chromaticity u'"`
	V     *float64  `lua:"v" help:"CIE 1976 chromaticity v'"`
	N     int       `lua:"n" help:"single readings in the mean"`
	UX    *float64  `lua:"u_X" unit:"cd/m2" help:"standard uncertainty of X from scatter"`
	UY    *float64  `lua:"u_Y" unit:"cd/m2" help:"standard uncertainty of Y from scatter"`
	UZ    *float64  `lua:"u_Z" unit:"cd/m2" help:"standard uncertainty of Z from scatter"`
	Ucx   *float64  `lua:"u_x" help:"standard uncertainty of x from scatter"`
	Ucy   *float64  `lua:"u_y" help:"standard uncertainty of y from scatter"`
	Uu    *float64  `lua:"u_u" help:"standard uncertainty of u' from scatter"`
	Uv    *float64  `lua:"u_v" help:"standard uncertainty of v' from scatter"`
	Began float64   `lua:"began" unit:"s" help:"when the first integration began, as time of clock.now"`
	Ended float64   `lua:"ended" unit:"s" help:"when the last integration ended, as time of clock.now"`
	Flags Flags     `lua:"flags" help:"warnings, each true or false, read by name as in r.flags.saturated: below_floor (darker than the meter can measure), saturated (too bright for the meter), underfilled (the window does not fill the measurement field), unsynchronised (sync was asked for, but the reading does not cover whole refresh periods), drifting (the luminance changed during the reading), unvarying (the same number in each digit several times in a row)"`
	Doubt *string   `lua:"doubt" help:"why the luminance is not that of the patch, in words, if the reading is saturated, underfilled or drifting, or its light had not settled (meter.measure); nil otherwise, also if it is below_floor"`
	Bound *string   `lua:"bound" help:"of a reading from meter.measure, if it is only a bound: upper (the luminance is at most limit, as of a black below the meter's floor) or lower (it is at least limit); nil otherwise"`
	Limit *float64  `lua:"limit" unit:"cd/m2" help:"the luminance that bound speaks of; nil if the reading is no bound, and also if it does not read above zero and the meter's floor is not stated"`
	Spec  *Spectrum `lua:"spectrum" help:"mean spectral radiance, if it was asked for; a correction of the meter does not change it"`
	// Correction is there for scripts that judge what a reading is worth.
	Correction *string `lua:"correction" help:"name of the correction that was applied; nil if there is none"`

	doubt doubt
	step  int // that gave it
}

// LuaName is what scripts call it.
func (Reading) LuaName() string { return "reading" }

func (r *Reading) String() string { return fmt.Sprintf("reading: %g cd/m2", r.Y) }

// Flags say what is wrong with any of the single readings.
type Flags struct {
	BelowFloor     bool `lua:"below_floor" help:"below the lowest luminance that the meter can measure"`
	Saturated      bool `lua:"saturated" help:"too bright for the meter"`
	Underfilled    bool `lua:"underfilled" help:"the window did not fill the field of view"`
	Unsynchronised bool `lua:"unsynchronised" help:"sync was asked for, but the reading does not cover whole refresh periods"`
	Drifting       bool `lua:"drifting" help:"the luminance changed while it was read"`
	Unvarying      bool `lua:"unvarying" help:"the same number in each digit several times in a row: the meter's display is coarse, or it repeats an old reading"`
}

// LuaName is what scripts call it.
func (Flags) LuaName() string { return "set of flags" }

// Spectrum is spectral radiance, regularly sampled.
type Spectrum struct {
	From   float64   `lua:"from" unit:"nm" help:"first wavelength"`
	Step   float64   `lua:"step" unit:"nm" help:"interval between wavelengths"`
	Values []float64 `lua:"values" unit:"W/(sr m2 nm)" help:"one for each wavelength"`
}

// LuaName is what scripts call it.
func (Spectrum) LuaName() string { return "spectrum" }

// average makes a reading of single readings. X, Y and Z are averaged, since
// light adds; chromaticities follow from the means.
func average(samples []sample, known bench.Accuracy) Reading {
	n := len(samples)
	r := Reading{N: n}
	if n == 0 {
		return r
	}
	r.Began, r.Ended = samples[0].Began, samples[n-1].Ended
	r.Flags = flagsOf(samples)
	r.Spec = meanSpectrum(samples)
	r.Y, r.UY = meanOf(samples, known, func(s sample) float64 { return s.Y })
	if r.Flags.Saturated {
		// What a saturated meter gives is a limit; it scatters less the more it is wrong.
		r.UY = nil
		return r
	}
	for _, s := range samples {
		if !s.Colour {
			return r
		}
	}
	x, ux := meanOf(samples, known, func(s sample) float64 { return s.X })
	z, uz := meanOf(samples, known, func(s sample) float64 { return s.Z })
	r.X, r.UX, r.Z, r.UZ = &x, ux, &z, uz
	r.chromaticity(samples)
	return r
}

func (r *Reading) chromaticity(samples []sample) {
	xyz := colour.XYZ{X: *r.X, Y: r.Y, Z: *r.Z}
	xy, err := xyz.XY()
	if err != nil || r.Y <= 0 {
		return
	}
	uv := xy.UV()
	r.Cx, r.Cy, r.U, r.V = &xy.X, &xy.Y, &uv.U, &uv.V
	// All x, then all y, u' and v'. Each begins at an even place: where numbers do
	// not lie at a multiple of 16 bytes, gonum adds them up in another order.
	n := len(samples)
	stride := n + n%2
	each := make([]float64, 4*stride)
	for k, s := range samples {
		xy, err := colour.XYZ{X: s.X, Y: s.Y, Z: s.Z}.XY()
		if err != nil || s.Y <= 0 {
			return
		}
		uv := xy.UV()
		for i, v := range [...]float64{xy.X, xy.Y, uv.U, uv.V} {
			each[i*stride+k] = v
		}
	}
	for i, u := range [...]**float64{&r.Ucx, &r.Ucy, &r.Uu, &r.Uv} {
		_, *u = scatter(each[i*stride : i*stride+n])
	}
}

// meanOf is a mean and its standard uncertainty: from scatter where there are
// several readings, from what is stated of its level or the stated repeatability for a single one.
func meanOf(samples []sample, known bench.Accuracy, of func(sample) float64) (float64, *float64) {
	values := make([]float64, len(samples))
	for i, s := range samples {
		values[i] = of(s)
	}
	m, u := scatter(values)
	if len(values) == 1 && known.Noise != nil {
		stated := statedOf(bench.Identity{Accuracy: known})
		single := stated.Single(m)
		u = &single
	} else if len(values) == 1 && known.Repeatability > 0 {
		single := math.Hypot(known.Repeatability/100*m, known.Dark)
		u = &single
	}
	return m, u
}

// scatter is the mean of values and its standard uncertainty, s/√n times the
// factor that few readings ask for; nil for a single one.
func scatter(values []float64) (mean float64, u *float64) {
	mean = meanFloat(values)
	n := len(values)
	if n < 2 {
		return mean, nil
	}
	e := sdFloat(values) / math.Sqrt(float64(n)) * fewFactor(n)
	return mean, &e
}

// fewFactor makes a standard error from n readings as wide as one that is
// known: the quantile of Student's t with n-1 degrees of freedom that bounds
// the same 68.27 % as one standard deviation of a normal distribution. Of five
// readings it is 1.14, of two 1.84.
//
// Source: JCGM 100:2008, annex G.3 and table G.2.
func fewFactor(n int) float64 {
	if n < len(fewFactors) {
		return fewFactors[n]
	}
	return 1
}

var fewFactors = func() (f [200]float64) {
	const oneSigma = 0.841344746068543 // of a normal distribution, one-sided
	for n := 2; n < len(f); n++ {
		f[n] = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(n - 1)}.Quantile(oneSigma)
	}
	return f
}()

// settledMean says whether the mean luminance is known well enough: to a
// share of it, but never better than the meter's floor.
func settledMean(samples []sample, percent, floor float64) bool {
	mean, u := meanOf(samples, bench.Accuracy{}, func(s sample) float64 { return s.Y })
	return u != nil && *u <= math.Max(percent/100*math.Abs(mean), floor)
}

func flagsOf(samples []sample) (f Flags) {
	for _, s := range samples {
		f.BelowFloor = f.BelowFloor || slices.Contains(s.Flags, bench.BelowFloor)
		f.Saturated = f.Saturated || slices.Contains(s.Flags, bench.Saturated)
		f.Underfilled = f.Underfilled || slices.Contains(s.Flags, bench.Underfilled)
		f.Unsynchronised = f.Unsynchronised || slices.Contains(s.Flags, bench.Unsynchronised)
		f.Drifting = f.Drifting || slices.Contains(s.Flags, bench.Drifting)
		f.Unvarying = f.Unvarying || slices.Contains(s.Flags, bench.Unvarying)
	}
	return f
}

// meanSpectrum is nil unless every sample has a spectrum of the same shape.
func meanSpectrum(samples []sample) *Spectrum {
	first := samples[0].Spectrum
	if first == nil {
		return nil
	}
	out := &Spectrum{From: first.From, Step: first.Step, Values: make([]float64, len(first.Values))}
	for _, s := range samples {
		if s.Spectrum == nil || s.Spectrum.From != first.From || s.Spectrum.Step != first.Step || len(s.Spectrum.Values) != len(first.Values) {
			return nil
		}
		for i, v := range s.Spectrum.Values {
			out.Values[i] += v / float64(len(samples))
		}
	}
	return out
}

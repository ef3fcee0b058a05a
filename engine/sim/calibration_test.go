package sim

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"candelua/colour"
	"candelua/engine/bench"
)

// certified makes a world whose meters have no noise, but errors.
func certified(t testing.TB, seed uint64, edit func(*MeterParams)) *World {
	t.Helper()
	p, err := Load("ideal")
	if err != nil {
		t.Fatal(err)
	}
	edit(&p.Meter)
	edit(&p.Reference)
	w, err := New(p, seed, 0)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func oneReading(t testing.TB, w *World, k bench.Kind, p bench.Patch) colour.XYZ {
	t.Helper()
	show1(t, w, p)
	var xyz colour.XYZ
	err := device[bench.Meter](t, w, k).Read(t.Context(), bench.ReadRequest{Most: 1}, func(s bench.Sample) error {
		xyz = colour.XYZ{X: s.X, Y: s.Y, Z: s.Z}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return xyz
}

// TestErrorsAsStated: over many seeds the errors of a meter have the standard
// deviations that its certificate states, within four standard errors of such,
// 1/√(2n), and the mean 0, within four of 1/√n.
func TestErrorsAsStated(t *testing.T) {
	const n = 2000
	edit := func(m *MeterParams) { m.Scale, m.XY, m.Dark, m.ErrorsSeed = 2, 0.002, 0.01, 0 }
	var all [6][]float64
	for seed := range uint64(n) {
		w := certified(t, seed+1, edit)
		about := device[bench.Meter](t, w, bench.KindMeter).About().Accuracy
		if about.Scale != 2 || about.XY != 0.002 || about.Dark != 0.01 {
			t.Fatalf("the certificate states %+v", about)
		}
		k := device[*meter](t, w, bench.KindMeter).optics.errors
		for i, x := range []float64{100 * (k.gain - 1) / 2, k.dx / 0.002, k.dy / 0.002, k.dark.X / 0.01, k.dark.Y / 0.01, k.dark.Z / 0.01} {
			all[i] = append(all[i], x)
		}
	}
	for i, name := range []string{"scale", "x", "y", "dark X", "dark Y", "dark Z"} {
		mean, squares := 0.0, 0.0
		for _, x := range all[i] {
			mean += x / n
			squares += x * x / n
		}
		near(t, "mean of "+name, mean, 0, 0, 4/math.Sqrt(n))
		near(t, "standard deviation of "+name, math.Sqrt(squares), 1, 4/math.Sqrt(2*n), 0)
	}
}

// TestErrorsOfReading: what a meter reads is its light times one factor, at one
// shift of chromaticity from it whatever the colour, and one amount more.
func TestErrorsOfReading(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		seed := rapid.Uint64Range(1, 1e6).Draw(r, "seed")
		scale, xy := rapid.Float64Range(0, 5).Draw(r, "scale"), rapid.Float64Range(0, 0.004).Draw(r, "xy")
		p := patch(1, 10)
		for i := range p.RGB {
			p.RGB[i] = rapid.Float64Range(0.3, 1).Draw(r, "signal")
		}
		w := certified(t, seed, func(m *MeterParams) { m.Scale, m.XY = scale, xy })
		k := device[*meter](t, w, bench.KindMeter).optics.errors
		right := oneReading(t, certified(t, seed, func(*MeterParams) {}), bench.KindMeter, p)
		got := oneReading(t, w, bench.KindMeter, p)
		near(t, "luminance", got.Y, right.Y*k.gain, 1e-12, 0)
		a, err := right.XY()
		if err != nil {
			t.Fatal(err)
		}
		b, err := got.XY()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "x", b.X, a.X+k.dx, 0, 1e-12)
		near(t, "y", b.Y, a.Y+k.dy, 0, 1e-12)
		dark := certified(t, seed, func(m *MeterParams) { m.Dark = 0.01 })
		with := oneReading(t, dark, bench.KindMeter, p)
		e := device[*meter](t, dark, bench.KindMeter).optics.errors.dark
		near(t, "dark level", with.Y-right.Y, e.Y, 0, 1e-9)
	})
}

// TestErrorsSeed: with errors_seed the runs of all seeds have one meter, by name
// and serial number, but each its own dark level; without, each has another.
func TestErrorsSeed(t *testing.T) {
	edit := func(errors int, serial string) func(*MeterParams) {
		return func(m *MeterParams) {
			m.Scale, m.XY, m.Dark, m.ErrorsSeed, m.Name, m.Serial = 1, 0.001, 0.01, errors, "meter", serial
		}
	}
	of := func(seed uint64, errors int, serial string, k bench.Kind) calibration {
		return device[*meter](t, certified(t, seed, edit(errors, serial)), k).optics.errors
	}
	a := of(1, 7, "A", bench.KindMeter)
	same := of(2, 7, "A", bench.KindReference)
	if a.gain != same.gain || a.dx != same.dx || a.dy != same.dy {
		t.Errorf("one meter has the errors %+v and %+v", a, same)
	}
	if a.dark == same.dark {
		t.Error("two runs have one dark level")
	}
	for name, other := range map[string]calibration{
		"another serial number": of(1, 7, "B", bench.KindMeter), "another errors_seed": of(1, 8, "A", bench.KindMeter),
		"another meter for each seed": of(1, 0, "A", bench.KindMeter),
	} {
		if a.gain == other.gain || a.dx == other.dx {
			t.Errorf("%s has the same errors", name)
		}
	}
	serial := func(seed uint64, errors int) string {
		return device[bench.Meter](t, certified(t, seed, edit(errors, "A")), bench.KindMeter).About().Serial
	}
	if a, b, c := serial(1, 7), serial(2, 7), serial(2, 0); a != "A" || b != "A" || c != "A/2" {
		t.Errorf("the serial numbers are %q, %q and %q, want A, A and A/2", a, b, c)
	}
	if of(1, 0, "A", bench.KindMeter).gain == of(2, 0, "A", bench.KindMeter).gain {
		t.Error("without errors_seed two seeds have the same meter")
	}
}

// TestZeroLeavesAnother: when a meter takes its dark level it is left with
// another error, and after a resumption with the same one.
func TestZeroLeavesAnother(t *testing.T) {
	edit := func(m *MeterParams) { m.Dark = 0.01 }
	w := certified(t, 3, edit)
	m := device[*meter](t, w, bench.KindMeter)
	first := m.optics.errors.dark
	began := w.Now()
	if err := m.Zero(t.Context()); err != nil {
		t.Fatal(err)
	}
	second := m.optics.errors.dark
	if first == second {
		t.Error("the dark level is as before")
	}
	again := certified(t, 3, edit)
	recalled := device[*meter](t, again, bench.KindMeter)
	if err := recalled.Relive(bench.Kept{Request: bench.ZeroRequest{}, Began: began, Ended: w.Now()}); err != nil {
		t.Fatal(err)
	}
	if got := recalled.optics.errors.dark; got != second {
		t.Errorf("the recalled dark level is %+v, want %+v", got, second)
	}
}

// TestStatedDark: a level that drifts is stated to be as uncertain as that.
func TestStatedDark(t *testing.T) {
	w := certified(t, 1, func(m *MeterParams) { m.Dark, m.DarkDrift = 0.003, 0.004 })
	near(t, "stated dark level", device[bench.Meter](t, w, bench.KindMeter).About().Accuracy.Dark, 0.005, 1e-12, 0)
}

// TestLightMeterErrs: over many seeds the light meter's scale and zero have the standard deviations that it states, within four
// standard errors; with lux_errors_seed the runs of all seeds have one scale, and each its own zero.
func TestLightMeterErrs(t *testing.T) {
	const n = 2000
	lux := func(seed uint64, of int) (luxErrors, bench.Identity) {
		p := quietParams(t, "ideal")
		p.Rig.LuxScale, p.Rig.LuxZero, p.Rig.LuxErrorsSeed = 3, 0.1, of
		w, err := New(p, seed, 0)
		if err != nil {
			t.Fatal(err)
		}
		return w.lux, device[bench.Rig](t, w, bench.KindRig).About()
	}
	scale, zero := 0., 0.
	for seed := range uint64(n) {
		e, _ := lux(seed, 0)
		scale, zero = scale+math.Pow((e.gain-1)/0.03, 2)/n, zero+math.Pow(e.zero/0.1, 2)/n
	}
	near(t, "scale", math.Sqrt(scale), 1, 4/math.Sqrt(2*n), 0)
	near(t, "zero", math.Sqrt(zero), 1, 4/math.Sqrt(2*n), 0)
	a, one := lux(1, 7)
	b, other := lux(2, 7)
	if a.gain != b.gain || a.zero == b.zero || one.Serial != other.Serial || one.Lux.Scale != 3 || one.Lux.Zero != 0.1 {
		t.Errorf("one light meter has the errors %+v and %+v, and states %+v and %+v", a, b, one, other)
	}
	if _, another := lux(1, 0); another.Serial == "" {
		t.Error("light meters of different seeds have one serial number")
	}
}

// TestSpectraErr: a spectroradiometer with errors of wavelengths and response reads the same luminance as one without, of another
// shape; the errors are the meter's, and have the standard deviations that it states.
func TestSpectraErr(t *testing.T) {
	spectrum := func(seed uint64, edit func(*MeterParams)) (s bench.Sample) {
		w := certified(t, seed, edit)
		show1(t, w, patch(1, 10))
		err := device[bench.Meter](t, w, bench.KindMeter).Read(t.Context(), bench.ReadRequest{Most: 1, Spectrum: true}, func(x bench.Sample) error {
			s = x
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	luminance := func(s bench.Sample) (y float64) {
		o := newObserver()
		for i, v := range s.Spectrum.Values {
			y += v * o.y[i]
		}
		return y
	}
	right := spectrum(1, func(*MeterParams) {})
	wrong := spectrum(1, func(m *MeterParams) { m.Wavelength, m.Response = 1, 3 })
	near(t, "luminance", luminance(wrong), luminance(right), 1e-9, 0)
	near(t, "X", wrong.X, right.X, 0, 0)
	if again := spectrum(1, func(m *MeterParams) { m.Wavelength, m.Response = 1, 3 }); again.Spectrum.Values[30] != wrong.Spectrum.Values[30] || wrong.Spectrum.Values[30] == right.Spectrum.Values[30] {
		t.Error("the errors are not the meter's")
	}
	const n = 1000
	shift, response := 0., 0.
	for seed := range uint64(n) {
		w := certified(t, seed, func(m *MeterParams) { m.Wavelength, m.Response, m.ErrorsSeed = 0.5, 2, 0 })
		k := device[*meter](t, w, bench.KindMeter).optics.errors
		shift += math.Pow(k.shift/0.5, 2) / n
		for _, f := range k.response {
			response += math.Pow((f-1)/0.02, 2) / n / bands
		}
	}
	near(t, "wavelengths", math.Sqrt(shift), 1, 4/math.Sqrt(2*n), 0)
	near(t, "response", math.Sqrt(response), 1, 0.06, 0)
}

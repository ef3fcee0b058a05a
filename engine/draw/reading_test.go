package draw

import (
	"math"
	"slices"
	"testing"
)

// fullReading is one with every component.
func fullReading() Reading {
	meter, run := "line-meter 17", "tern-1"
	return Reading{
		Mean: MeanOf(fewSingles), Colour: true, scatter: spreadOf(fewSingles).mean(5),
		Accuracy: Accuracy{Scale: 1, XY: 0.001, Dark: 0.002, Drift: 0.001}, Hours: 2,
		Typed: Typed{Place: XYZ{Y: 0.1}},
		Keys: Keys{
			Scatter: NewKey("scatter").Text(run).Number(3), Scale: NewKey("scale").Text(meter).Text("2031"),
			Chroma: NewKey("xy").Text("crake-dusk"), Dark: NewKey("dark").Text(meter).Text("monday"),
			Drift: NewKey("drift").Text(meter).Text("monday"), Digit: NewKey("digit").Text(run).Number(3),
		},
	}
}

// typedDigit is no component of a budget: what is typed is part of the rest.
const typedDigit = components

// only leaves a reading no components of error but these.
func only(r Reading, cs ...Component) Reading {
	full := r
	r.scatter, r.Typed, r.Accuracy = meanScatter{}, Typed{}, Accuracy{}
	for _, c := range cs {
		switch c {
		case Scatter:
			r.scatter = full.scatter
		case typedDigit:
			r.Typed = full.Typed
		case Scale:
			r.Accuracy.Scale = full.Accuracy.Scale
		case Chroma:
			r.Accuracy.XY = full.Accuracy.XY
		case DarkLevel:
			r.Accuracy.Dark = full.Accuracy.Dark
		case Drift:
			r.Accuracy.Drift = full.Accuracy.Drift
		}
	}
	return r
}

func chromaticity(a XYZ) (x, y float64) {
	sum := a.X + a.Y + a.Z
	return a.X / sum, a.Y / sum
}

// Each component alone has the size that is stated of it, to 1 % in 100,000
// draws, and moves nothing else. The sizes are closed forms: half-width/√3 of a
// rectangular distribution [JCGM101, 6.4.2.2].
func TestComponentsAlone(t *testing.T) {
	const n = 100000
	base := fullReading()
	of := func(cs ...Component) []Component { return cs }
	light := func(a XYZ) float64 { return a.Y }
	cx := func(a XYZ) float64 { x, _ := chromaticity(a); return x }
	cy := func(a XYZ) float64 { _, y := chromaticity(a); return y }
	ratio := func(a XYZ) float64 { return a.X / a.Y }
	x := func(a XYZ) float64 { return a.X }
	z := func(a XYZ) float64 { return a.Z }
	for _, c := range []struct {
		name string
		set  []Component
		of   func(XYZ) float64
		want float64
	}{
		{"scale moves Y", of(Scale), light, 0.01 * base.Mean.Y},
		{"and no chromaticity", of(Scale), ratio, 0},
		{"chromaticity moves x", of(Chroma), cx, 0.001},
		{"and y", of(Chroma), cy, 0.001},
		{"and no luminance", of(Chroma), light, 0},
		{"dark moves Y", of(DarkLevel), light, 0.002},
		{"and X", of(DarkLevel), x, 0.002},
		{"and Z", of(DarkLevel), z, 0.002},
		{"drift grows with the hours", of(Drift), light, 0.002},
		{"a digit moves Y", of(typedDigit), light, 0.05 / math.Sqrt(3)},
		{"scatter moves Y", of(Scatter), light, base.scatter.luminance() * math.Sqrt(2)}, // t of 4: √(4/2)
		{"two together", of(Scale, DarkLevel), light, math.Hypot(0.01*base.Mean.Y, 0.002)},
		{"none", nil, light, 0},
	} {
		r := only(base, c.set...)
		draws := numbers(n, func(i int) float64 { return c.of(r.draw(i).Apply(r.Mean)) })
		mean, sd := moments(draws)
		tolerance := 0.01 * c.want
		if slices.Contains(c.set, Scatter) {
			tolerance = 0.05 * c.want // its fourth moment is infinite
		}
		if math.Abs(sd-c.want) > tolerance+1e-13 {
			t.Errorf("%s: standard deviation is %v, want %v", c.name, sd, c.want)
		}
		if want := c.of(r.Mean); math.Abs(mean-want) > 5*c.want/math.Sqrt(n)+1e-12 {
			t.Errorf("%s: mean is %v, want %v", c.name, mean, want)
		}
	}
}

// Readings share just what their keys share.
func TestReadingsShare(t *testing.T) {
	of := func(cs ...Component) []Component { return cs }
	a, b := fullReading(), fullReading()
	b.Keys.Scatter, b.Keys.Digit = NewKey("scatter").Text("tern-2").Number(3), NewKey("digit").Text("tern-2").Number(3)
	for _, c := range []struct {
		set  []Component
		same bool
	}{
		{of(Scale, Chroma, DarkLevel, Drift), true},
		{of(Scatter), false},
		{of(typedDigit), false},
	} {
		a, b := only(a, c.set...), only(b, c.set...)
		if same := a.draw(4) == b.draw(4); same != c.same {
			t.Errorf("two readings share %v: %v", c.set, same)
		}
	}
}

// All singles move alike, so that their scatter stays; without colour only Y is drawn.
func TestApply(t *testing.T) {
	r := fullReading()
	shifts := only(r, Scatter, DarkLevel, Drift, typedDigit)
	d := shifts.draw(9)
	moved := make([]XYZ, len(fewSingles))
	for i, s := range fewSingles {
		moved[i] = d.Apply(s)
	}
	if a, b := spreadOf(moved).luminance(), spreadOf(fewSingles).luminance(); math.Abs(a-b) > 1e-12 {
		t.Errorf("singles scatter by %v, before by %v", a, b)
	}
	r.Colour = false
	if d := r.draw(9); d.Add.X != 0 || d.Add.Z != 0 || d.ToX != 0 || d.ToZ != 0 || d.Add.Y == 0 {
		t.Errorf("without colour the draw is %+v", d)
	}
}

// In darkness there is no chromaticity to shift, and nothing that is not finite.
func TestDrawInDarkness(t *testing.T) {
	for _, mean := range []XYZ{{}, {0.001, -0.0002, 0.001}, {-1, 1e-9, -1}, {0.01, 1e-6, 0.05}, {1e-300, 1e-300, 1e-300}} {
		r := fullReading()
		r.Mean, r.Typed = mean, Typed{Place: XYZ{Y: 0.01}, X: 0.001, Y: 0.001}
		for i := range 1000 {
			out := r.draw(i).Apply(mean)
			if s := out.X + out.Y + out.Z; math.IsNaN(s) || math.IsInf(s, 0) || math.Abs(s) > 100 {
				t.Fatalf("draw %d of %v is %v", i, mean, out)
			}
		}
	}
}

// A shift gives the chromaticity that was asked for, exactly.
func TestShift(t *testing.T) {
	mean := XYZ{41.24, 21.26, 1.93} // BT.709 red
	toX, toZ := shift(mean, 0.003, -0.002)
	x0, y0 := chromaticity(mean)
	x, y := chromaticity(Drawn{ToX: toX, ToZ: toZ, Gain: 1}.Apply(mean))
	if math.Abs(x-x0-0.003) > 1e-15 || math.Abs(y-y0+0.002) > 1e-15 {
		t.Errorf("shifted by %v, %v, want 0.003, -0.002", x-x0, y-y0)
	}
	if a, b := shift(mean, 0, -y0); a != 0 || b != 0 {
		t.Errorf("shift as large as y is %v, %v, want none", a, b)
	}
}

func TestLastPlace(t *testing.T) {
	for text, want := range map[string]float64{"352.1": 0.1, "350": 1, "0.0023": 1e-4, "1.2e3": 100, "1,25": 0.01, " -3.0 ": 0.1, "5e-3": 1e-3, "7.": 1, "1E2": 100} {
		if got, err := LastPlace(text); err != nil || got != want {
			t.Errorf("last place of %q is %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "nan", "Inf", "0x1p3", "1 2", "1.2.3", "1_000", "1,2,3"} {
		if got, err := LastPlace(text); err == nil || err.Error() != `typed number is "`+text+`"; it must be a decimal number such as 352.1` {
			t.Errorf("last place of %q is %v, %v", text, got, err)
		}
	}
}

// A typed line of Y, x and y: what half a unit of each last digit allows, and
// no more.
func TestTypedChromaticity(t *testing.T) {
	x0, y0 := 0.3127, 0.3290
	r := Reading{Mean: XYZ{100 * x0 / y0, 100, 100 * (1 - x0 - y0) / y0}, Colour: true,
		Typed: Typed{Place: XYZ{Y: 0.1}, X: 0.0001, Y: 0.001}, Keys: Keys{Digit: NewKey("digit")}}
	var most [3]float64
	for i := range 20000 {
		out := r.draw(i).Apply(r.Mean)
		x, y := chromaticity(out)
		for j, d := range []float64{out.Y - 100, x - x0, y - y0} {
			most[j] = max(most[j], math.Abs(d))
		}
	}
	for j, want := range []float64{0.05, 0.00005, 0.0005} {
		if most[j] > want*(1+1e-9) || most[j] < 0.999*want {
			t.Errorf("number %d moves by up to %v, want %v", j, most[j], want)
		}
	}
}

func TestComponents(t *testing.T) {
	if Drift.String() != "drift" || Component(99).String() != "unknown component" {
		t.Errorf("components are %v and %v", Drift, Component(99))
	}
}

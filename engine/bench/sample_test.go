package bench

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// known is a meter with a floor and a dark level that is known better than that: five
// uncertainties are 0.025 cd/m².
var known = Identity{Floor: 0.005, Accuracy: Accuracy{Dark: 0.002}}

// lit returns a sample of luminance Y and chromaticity x, y.
func lit(Y, x, y float64) Sample {
	return Sample{X: x * Y / y, Y: Y, Z: (1 - x - y) * Y / y, Colour: true}
}

func TestCheckSamplePasses(t *testing.T) {
	for _, tt := range []struct {
		name  string
		s     Sample
		flags []Flag
	}{
		{"D65 [BT709]", lit(100, 0.3127, 0.3290), nil},
		// The BT.2020 primaries lie on the spectrum's edge: x + y is 1.000
		// for the red one [BT2020].
		{"red of BT.2020", lit(60, 0.708, 0.292), nil},
		{"green of BT.2020", lit(60, 0.170, 0.797), nil},
		{"blue of BT.2020", lit(60, 0.131, 0.046), nil},
		{"red, Z a little negative", Sample{X: 48, Y: 20, Z: -0.05, Colour: true}, nil},
		{"spectrum", Sample{Y: 1, Spectrum: &Spectrum{From: 380, Step: 5, Values: []float64{0, -1e-6, 1}}}, nil},
		{"luminance alone", Sample{Y: 100, X: math.NaN()}, nil},
		{"black", Sample{Colour: true}, []Flag{BelowFloor}},
		{"noise around black", Sample{X: 0.003, Y: -0.009, Z: -0.004, Colour: true}, []Flag{BelowFloor}},
		{"dim blue, y lost in noise", Sample{X: 0.01, Y: -0.001, Z: 0.05, Colour: true}, []Flag{BelowFloor}},
		{"at the floor", Sample{Y: 0.005}, nil},
		{"noise of a meter that scatters", Sample{X: -0.4, Y: -0.3, Z: -0.9, Colour: true}, []Flag{BelowFloor}},
		{"chromaticity of noise", Sample{X: -0.4, Y: 0.3, Z: 0.2, Colour: true}, nil},
		{"flagged already", Sample{Y: 0.001, Flags: []Flag{BelowFloor}}, []Flag{BelowFloor}},
		{"other flags stay", Sample{Y: 0.001, Flags: []Flag{Drifting}}, []Flag{Drifting, BelowFloor}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := CheckSample(tt.s, known)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(tt.flags, got.Flags); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestCheckSampleRefuses(t *testing.T) {
	const look = "check that the meter sees the patch, then read again"
	const anew = "measure the meter's dark level again, then read again"
	const want = "; x must be at least 0, y above 0, and x + y at most 1"
	inf, nan := math.Inf(1), math.NaN()
	for _, tt := range []struct {
		name          string
		s             Sample
		about         Identity
		message, hint string
	}{
		{"X not finite", Sample{X: inf, Y: 1, Z: 1, Colour: true}, known, "X is +Inf; it must be a finite number of cd/m²", ""},
		{"Z not a number", Sample{X: 1, Y: 1, Z: nan, Colour: true}, known, "Z is NaN; it must be a finite number of cd/m²", ""},
		{"Y alone not a number", Sample{Y: nan}, known, "Y is NaN; it must be a finite number of cd/m²", ""},
		{"spectrum", Sample{Y: 1, Spectrum: &Spectrum{From: 380, Step: 5, Values: []float64{0, inf}}}, known, "spectrum is +Inf at 385 nm; it must be a finite number", ""},
		{"negative", Sample{Y: -1.03}, known, "luminance is -1.03 cd/m²; it must be at least -1 cd/m²", anew},
		{"negative, dark level less certain", Sample{Y: -3}, Identity{Floor: 0.1, Accuracy: Accuracy{Dark: 0.5}}, "luminance is -3 cd/m²; it must be at least -2.5 cd/m²", anew},
		{"negative, floor known", Sample{Y: -3}, Identity{Floor: 0.5}, "luminance is -3 cd/m²; it must be at least -2.5 cd/m²", anew},
		{"negative, nothing known", Sample{Y: -1.5}, Identity{}, "luminance is -1.5 cd/m²; it must be at least -1 cd/m²", anew},
		{"sum negative, dark", Sample{X: -1.5, Y: -0.9, Z: -1.1, Colour: true}, known, "X + Y + Z is -3.5 cd/m²; it must be above 0", anew},
		{"x negative", lit(100, -0.01, 0.3), known, "chromaticity is x -0.0100, y 0.3000" + want, look},
		{"y of nothing", Sample{X: 5, Z: 5, Colour: true}, known, "chromaticity is x 0.5000, y 0.0000" + want, look},
		{"x + y over 1", lit(100, 0.7, 0.31), known, "chromaticity is x 0.7000, y 0.3100" + want, look},
		{"sum negative", Sample{X: -200, Y: 100, Z: 1, Colour: true}, known, "X + Y + Z is -99 cd/m²; it must be above 0", anew},
		{"sum overflows", Sample{X: math.MaxFloat64, Y: 1, Z: math.MaxFloat64, Colour: true}, known, "chromaticity is x 0.0000, y 0.0000" + want, look},
		{"ended early", Sample{Y: 1, Began: 2 * time.Second, Ended: time.Second}, known, "reading ended at 1s, before it began at 2s", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := CheckSample(tt.s, tt.about)
			fails(t, err, CodeBadReading, tt.message, tt.hint)
			if !errors.Is(err, ErrBadReading) {
				t.Error("the error is no ErrBadReading")
			}
		})
	}
}

// Flags of the caller's sample are not written to.
func TestCheckSampleKeepsItsInput(t *testing.T) {
	flags := make([]Flag, 1, 4)
	flags[0] = Drifting
	if _, err := CheckSample(Sample{Flags: flags}, known); err != nil {
		t.Fatal(err)
	}
	if spare := flags[:2][1]; spare != "" {
		t.Errorf("%q was written behind the caller's flags", spare)
	}
}

// Whatever light a real chromaticity and luminance make, it passes.
func TestCheckSampleTakesAnyLight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.Float64Range(1e-3, 1).Draw(t, "y")
		x := rapid.Float64Range(0, 1-y).Draw(t, "x")
		if _, err := CheckSample(lit(rapid.Float64Range(0, 1e5).Draw(t, "Y"), x, y), known); err != nil {
			t.Fatal(err)
		}
	})
}

// A meter that is known to be off in chromaticity may see a red of BT.2020
// beyond the spectrum's edge.
func TestCheckSampleBesideTheEdge(t *testing.T) {
	red := lit(200, 0.711, 0.293) // Z is -2.7 cd/m², more than noise
	if _, err := CheckSample(red, known); err == nil {
		t.Error("x + y of 1.004 passes where the meter is not said to be off")
	}
	about := known
	about.Accuracy.XY = 0.001
	if _, err := CheckSample(red, about); err != nil {
		t.Error(err)
	}
}

// Whatever a meter states of itself, noise around black passes: it is flagged where the
// meter has a floor, and never called a chromaticity. What is refused is described by
// what is wrong with it: the message's numbers break the rule that it states.
func TestCheckSampleOfTheDark(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		about := Identity{Floor: rapid.Float64Range(0, 0.1).Draw(t, "floor"), Accuracy: Accuracy{Dark: rapid.Float64Range(0, 0.1).Draw(t, "dark")}}
		scatter := rapid.Float64Range(0, 0.3).Draw(t, "scatter") // of the meter, in cd/m²
		noise := func(name string) float64 { return scatter * rapid.Float64Range(-3.3, 3.3).Draw(t, name) }
		s := Sample{X: noise("X"), Y: noise("Y"), Z: noise("Z"), Colour: rapid.Bool().Draw(t, "colour")}
		got, err := CheckSample(s, about)
		if err != nil {
			t.Fatal(err)
		}
		if s.Y < about.Floor && !slices.Contains(got.Flags, BelowFloor) {
			t.Fatalf("%v has flags %v with a floor of %v", s, got.Flags, about.Floor)
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		any := rapid.Float64Range(-300, 300)
		s := Sample{X: any.Draw(t, "X"), Y: any.Draw(t, "Y"), Z: any.Draw(t, "Z"), Colour: true}
		_, err := CheckSample(s, known)
		if err == nil {
			return
		}
		var x, y, v, least float64
		switch text := err.Error(); {
		case scan(text, "chromaticity is x %f, y %f;", &x, &y):
			if x >= 0 && y > 0 && x+y <= 1 {
				t.Fatalf("%v: %s", s, text)
			}
		case scan(text, "luminance is %f cd/m²; it must be at least %f", &v, &least):
			if v >= least {
				t.Fatalf("%v: %s", s, text)
			}
		case scan(text, "X + Y + Z is %f cd/m²; it must be above 0", &v):
			if v > 0 {
				t.Fatalf("%v: %s", s, text)
			}
		default:
			t.Fatalf("%v: %s", s, text)
		}
	})
}

func scan(text, format string, into ...any) bool {
	n, _ := fmt.Sscanf(text, format, into...)
	return n == len(into)
}

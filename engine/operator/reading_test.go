package operator

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"candelua/engine/bench"
)

// The tristimulus values of D65's chromaticity 0.3127, 0.3290 [BT709] and of
// 0.31272, 0.32903 at a Y of 100 are published as 95.0456 100 108.9058 and
// 95.047 100 108.883 [E308]; the latter come from more digits than x and y have.
func TestReadingOfPublishedWhites(t *testing.T) {
	for _, tt := range []struct {
		line      string
		X, Y, Z   float64
		tolerance float64
	}{
		{"100 0.3127 0.3290", 95.0456, 100, 108.9058, 1e-4},
		{"100 0.31272 0.32903", 95.047, 100, 108.883, 0.006},
		{"xyz 95.047 100 108.883", 95.047, 100, 108.883, 0},
	} {
		r, err := parseReading(tt.line)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.X-tt.X) > tt.tolerance || r.Y != tt.Y || math.Abs(r.Z-tt.Z) > tt.tolerance || !r.colour {
			t.Errorf("%s is %v", tt.line, r)
		}
	}
}

// What each way to write numbers means.
func TestParseNumbers(t *testing.T) {
	for _, tt := range []struct {
		text   string
		want   []float64
		commas bool
	}{
		{"200", []float64{200}, false},
		{" 200\t0.31  0.33 ", []float64{200, 0.31, 0.33}, false},
		{"2e2 3.1E-1 +.33", []float64{200, 0.31, 0.33}, false},
		{"200;0.31;0.33", []float64{200, 0.31, 0.33}, false},
		{"200; 0.31 ; 0.33", []float64{200, 0.31, 0.33}, false},
		{"200,0.31,0.33", []float64{200, 0.31, 0.33}, false},
		{"200, 0.31, 0.33", []float64{200, 0.31, 0.33}, false},
		{"200, 0.31 0.33", []float64{200, 0.31, 0.33}, false},
		{"200\u00a00.31\u20090.33", []float64{200, 0.31, 0.33}, false}, // spaces of a table
		{"−0.002", []float64{-0.002}, false},                           // a typeset minus
		{"200.", []float64{200}, false},
		{"200,5", []float64{200.5}, true},
		{"0,312", []float64{0.312}, true},
		{"200 0,31 0,33", []float64{200, 0.31, 0.33}, true},
		{"200,5 0,31 0,33", []float64{200.5, 0.31, 0.33}, true},
		{"200,5;0,31;0,33", []float64{200.5, 0.31, 0.33}, true},
		{"2,5e2", []float64{250}, true},
	} {
		got, commas, err := parseNumbers(tt.text)
		if d := cmp.Diff(tt.want, got); err != nil || d != "" || commas != tt.commas {
			t.Errorf("%q: %v, commas %v, error %v", tt.text, got, commas, err)
		}
	}
}

func TestParseReadingRefuses(t *testing.T) {
	const several = " could mean several things: please type a point for decimals, and blanks between numbers"
	const chromaticity = ": x is 0 or more, y is over 0, and x + y is at most 1; please type Y x y in this order"
	for _, tt := range []struct{ line, want string }{
		{" ", "please type a reading: Y x y, or xyz X Y Z, or Y alone"},
		{"xyz", "there is no number in this line"},
		{";", "there is no number in this line"},
		{"xyzzy 1 2", `"xyzzy" is not a number`},
		{"two", `"two" is not a number`},
		{"two, or three", `"two" is not a number`},
		{"200 cd/m2", `"cd/m2" is not a number`},
		{"200 0.31", "a reading is one number (Y) or three (Y x y); there are 2"},
		{"1 2 3 4", "a reading is one number (Y) or three (Y x y); there are 4"},
		{"xyz 100", "please type three numbers after xyz, X Y Z; there is 1"},
		{"xyz 1 2 3 4", "please type three numbers after xyz, X Y Z; there are 4"},
		{"1,200", `the comma in "1,200"` + several},
		{"1,200.5", `the comma in "1,200.5"` + several},
		{"12,345,678.5", "no light has the chromaticity x 345, y 678.5" + chromaticity},
		{"200.5 0,31 0,33", `the comma in "200.5 0,31 0,33"` + several},
		{"1,2,3,4", `the comma in "1,2,3,4"` + several},
		{"200,5 0,31", `the comma in "200,5 0,31"` + several},
		{"200,,0.33", `the comma in "200,,0.33"` + several},
		{"200,", `the comma in "200,"` + several},
		{"xyz 95,047 100", `the comma in "95,047 100"` + several},
		{"xyz 95,047\u00a0100", `the comma in "95,047 100"` + several},
		{"xyz 95,47 100", `the comma in "95,47 100"` + several},
		{",", `the comma in ","` + several},
		{"200 0 0", "no light has the chromaticity x 0, y 0" + chromaticity},
		{"200 -0.1 0.3", "no light has the chromaticity x -0.1, y 0.3" + chromaticity},
		{"200 0.7 0.31", "no light has the chromaticity x 0.7, y 0.31" + chromaticity},
		{"1e308 0.5 1e-9", "these numbers are too large for a reading in cd/m²"},
		{"1e309", `"1e309" is too large a number`},
		{"1e99999", `"1e99999" is not a number`},
		{"0x1p4", `"0x1p4" is not a number`},
		{"1_000", `"1_000" is not a number`},
		{"NaN", `"NaN" is not a number`},
		{"-inf", `"-inf" is not a number`},
		{strings.Repeat("é", 50), `"` + strings.Repeat("é", 40) + `…" is not a number`},
	} {
		if r, err := parseReading(tt.line); err == nil || err.Error() != tt.want {
			t.Errorf("%q gives %v, error\n    %v\nwant\n    %s", tt.line, r, err, tt.want)
		}
	}
}

func TestReadingOfBlack(t *testing.T) {
	for line, colour := range map[string]bool{"0 0 0": true, "0 0.3 0.3": true, "xyz 0 0 0": true, "0": false} {
		r, err := parseReading(line)
		if err != nil || r.X != 0 || r.Y != 0 || r.Z != 0 || r.colour != colour {
			t.Errorf("%q is %v, colour %v, error %v", line, r, r.colour, err)
		}
	}
}

// The chromaticity of what was made of Y, x, y is x, y again.
func TestReadingKeepsItsChromaticity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		Y := rapid.Float64Range(1e-4, 1e5).Draw(t, "Y")
		y := rapid.Float64Range(1e-3, 1).Draw(t, "y")
		x := rapid.Float64Range(0, 1-y).Draw(t, "x")
		r, err := reading{}.fromYxy(Y, x, y)
		if err != nil {
			t.Fatal(err)
		}
		sum := r.X + r.Y + r.Z
		if math.Abs(r.X/sum-x) > 1e-12 || math.Abs(r.Y/sum-y) > 1e-12 || r.Y != Y {
			t.Fatalf("x %v, y %v, Y %v", r.X/sum, r.Y/sum, r.Y)
		}
	})
}

func TestLooksLikeReading(t *testing.T) {
	for line, want := range map[string]bool{
		"200 0.31": true, "1,200": true, "xyz 1": true, "XYZ": true, "12": true,
		"": false, "back": false, "done 3 times": false, "-": false, "e": false,
	} {
		if got := looksLikeReading(line); got != want {
			t.Errorf("%q: %v", line, got)
		}
	}
}

// Whatever is typed, a reading is finite, or the error says something. What is a
// reading is never taken for a word.
func FuzzParseReading(f *testing.F) {
	for _, line := range []string{"200 0.31 0.33", "xyz 1 2 3", "2e2", "200,5 0,31 0,33", "1,2,3", "−1;2;,3", "xyz,1,2,3", "help"} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		r, err := parseReading(line)
		if err != nil {
			if err.Error() == "" || len(err.Error()) > 1000 {
				t.Errorf("error is %q", err)
			}
			return
		}
		for _, v := range []float64{r.X, r.Y, r.Z} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("%q is %v", line, r)
			}
		}
		if r.line != line {
			t.Errorf("line %q is kept as %q", line, r.line)
		}
		switch strings.ToLower(strings.TrimSpace(line)) {
		case wordBack, wordPause, wordHelp, "", "ok", "yes", "no":
			t.Errorf("%q is a reading", line)
		}
		if r.colour && r.Y > 1 && r.X >= 0 && r.Z >= 0 && r.X+r.Y+r.Z < 20*r.Y {
			s := bench.Sample{X: r.X, Y: r.Y, Z: r.Z, Colour: true}
			if _, err := bench.CheckSample(s, bench.Identity{}); err != nil {
				t.Errorf("%q is refused: %v", line, err)
			}
		}
	})
}

// What no meter reads is refused at every prompt that takes a reading, in every way to write it.
func TestImplausible(t *testing.T) {
	for _, l := range []string{"1e308", "-1e308", "1e10", "10000001", "1e8 0.31 0.33", "xyz 1 2 1e300", "xyz -1e300 1 1", "1e6 0.9 0.05", "480300000000"} {
		s := newStory(t, Options{}, l, "480.3")
		s.read("meter", bench.ReadRequest{Most: 1})
		if text := s.text.String(); !strings.Contains(text, "is too large for a reading: it can be at most 10000000 cd/m²; please type it again.") ||
			!strings.HasSuffix(text, "typed \"480.3\", flags []\n") {
			t.Errorf("reading %q:\n%s", l, text)
		}
		s = newStory(t, Options{}, l, "")
		s.set(dim...)
		s.read("meter", bench.ReadRequest{Most: 1})
		if text := s.text.String(); !strings.Contains(text, "is too large for a reading") || !strings.HasSuffix(text, "the input ended before the answer (resume the run at a terminal, or give more lines in the input)\n") {
			t.Errorf("typed ahead, %q:\n%s", l, text)
		}
	}
	for _, l := range []string{"1e308", "1e8 lux"} {
		s := newStory(t, Options{}, l, "250")
		lux, err := s.bench.Rig.(bench.LightSensor).Lux(t.Context(), bench.AtScreen)
		if text := s.text.String(); lux != (bench.Illuminance{Lux: 250, Typed: "250"}) || err != nil || !strings.Contains(text, "is too large: an illuminance is at most 10000000 lux; please type it again.") {
			t.Errorf("illuminance %q: %v, %v\n%s", l, lux, err, text)
		}
	}
	for _, l := range []string{"0", "10000000", "-0.01", "1e-9", "9e6 0.31 0.33"} {
		if _, err := parseReading(l); err != nil {
			t.Errorf("%q: %v", l, err)
		}
	}
}

package report

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"candelua/engine/result"

	"pgregory.net/rapid"
)

func TestDisplay(t *testing.T) {
	for _, c := range []struct {
		f    float64
		want string
	}{
		{0, "0"}, {math.Copysign(0, -1), "0"}, {1, "1"}, {100, "100"}, {-2.5, "-2.5"}, {0.3127, "0.3127"},
		{0.30000000000000004, "0.30000"}, {812.4321, "812.43"}, {1234567, "1234600"}, {9999999, "1.0000e7"},
		{1e7, "1e7"}, {12345678, "1.2346e7"}, {1e-4, "0.0001"}, {0.000123456, "0.00012346"}, {0.00005, "5e-5"},
		{0.0000123456, "1.2346e-5"}, {-99999.6, "-100000"}, {math.MaxFloat64, "1.7977e308"}, {5e-324, "5e-324"},
	} {
		if got := Display(c.f); got != c.want {
			t.Errorf("Display(%v) = %q, want %q", c.f, got, c.want)
		}
	}
}

// Five digits are right to half a unit of the fifth.
func TestDisplayIsNear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(-1e12, 1e12).Draw(t, "f")
		back, err := strconv.ParseFloat(Display(f), 64)
		if err != nil || math.Abs(back-f) > 0.5001e-4*math.Abs(f) {
			t.Fatalf("%v is shown as %s", f, Display(f))
		}
	})
}

// What results.json says is what is shown: [result.Round] has the worked examples.
func TestWithUncertainty(t *testing.T) {
	for _, c := range []struct {
		value, u float64
		want     string
		wantU    string
	}{
		{12345, 123, "12340", "120"}, // half way, the even one
		{812.4321, 8.13, "812.4", "8.1"},
		{-0.00001, 0.05, "0.000", "0.050"},
		{1.2345e-6, 2e-8, "1.234e-6", "0.020e-6"},
		{0, 3e-6, "0.0e-6", "3.0e-6"},
	} {
		got, gotU := withUncertainty(c.value, c.u)
		if got != c.want || gotU != c.wantU {
			t.Errorf("%v ± %v is shown as %s ± %s, want %s ± %s", c.value, c.u, got, gotU, c.want, c.wantU)
		}
	}
}

// The terminal rounds as `rounded` does, whatever the numbers.
func TestTerminalShowsRounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := math.Pow(10, rapid.Float64Range(-9, 9).Draw(t, "log u"))
		x := math.Round(rapid.Float64Range(-1e5, 1e5).Draw(t, "v/u")) * u / 2
		v := &result.Value{Name: "a", Value: &x, U: &u, Rounded: result.Round(x, u).String()}
		number, shownU := quantity(v)
		digits := strings.NewReplacer("(", "", ")", "", "e", " ").Replace(v.Rounded)
		for _, part := range []string{number, shownU} {
			if mantissa, _, _ := strings.Cut(part, "e"); !strings.Contains(digits, mantissa) {
				t.Fatalf("%v ± %v is %s in the file, %s %s on the terminal", x, u, v.Rounded, number, shownU)
			}
		}
	})
}

package result

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The rows that name a clause are its worked examples, JCGM 100:2008, from
// memory; the others follow from the rule.
func TestRound(t *testing.T) {
	for _, c := range []struct {
		value, u float64
		want     string
	}{
		{10.05762, 0.0273, "10.058 ± 0.027"},          // 7.2.6: y = 10.057 62 Ω with 27 mΩ is 10.058 Ω
		{100.02147, 0.00035, "100.02147 ± 0.00035"},   // 7.2.2: m = 100.021 47 g with 0.35 mg
		{50.000838, 0.000032, "50.000838 ± 0.000032"}, // H.1.5, in mm
		{352.1234, 1.234, "352.1 ± 1.2"},
		{352.1234, 9.96, "352 ± 10"},
		{352.1234, 9.94, "352.1 ± 9.9"},
		{352.1234, 99.6, "350 ± 100"},
		{12345, 123, "12340 ± 120"}, // 12345 to tens: half way, the even one
		{12355, 123, "12360 ± 120"},
		{1, 0.125, "1.00 ± 0.12"}, // half way, the even one
		{1, 0.135, "1.00 ± 0.14"},
		{0.125, 0.11, "0.12 ± 0.11"},
		{0.135, 0.11, "0.14 ± 0.11"},
		{0.03, 1.2, "0.0 ± 1.2"},
		{-0.03, 1.2, "0.0 ± 1.2"}, // no negative nought
		{-0.06, 1.2, "-0.1 ± 1.2"},
		{-352.15, 1.2, "-352.2 ± 1.2"},
		{0, 0.5, "0.00 ± 0.50"},
		{3, 15, "3 ± 15"},
		{3, 150, "0 ± 150"},
		{7, 150, "10 ± 150"},
		{99.999, 0.011, "99.999 ± 0.011"},
		{99.9999, 0.011, "100.000 ± 0.011"},
		{0.000012345, 1.2e-7, "(1.234 ± 0.012)e-5"}, // half way, the even one
		{1.2345e-5, 3.4e-3, "0.0000 ± 0.0034"},
		{123456789, 1234, "(1.234568 ± 0.000012)e8"},
		{9999999.9, 12, "(1.0000000 ± 0.0000012)e7"}, // it has become 10⁷
		{1e300, 1.5e298, "(1.000 ± 0.015)e300"},
		{5e-324, 5e-324, "(5.0 ± 5.0)e-324"},
		{math.MaxFloat64, math.MaxFloat64, "(1.8 ± 1.8)e308"},
		{2.5, 0, "2.5 ± 0"},
		{math.Copysign(0, -1), 0, "0 ± 0"},
		{2.5, -1, "2.5"},
		{2.5, math.Inf(1), "2.5"},
		{2.5, math.NaN(), "2.5"},
		{math.NaN(), 1, "NaN"},
		{math.Inf(-1), 1, "-Inf"},
		{1.5, 1.23e-30, "1.5 ± 1.2e-30"},
	} {
		if got := Round(c.value, c.u).String(); got != c.want {
			t.Errorf("Round(%v, %v) = %q, want %q", c.value, c.u, got, c.want)
		}
	}
}

// Whatever the numbers: the value is right to half a unit of its last place, u
// to 5 % (half a unit of 10), and both end at the same place.
func TestRoundIsNear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := math.Pow(10, rapid.Float64Range(-12, 12).Draw(t, "log u"))
		v := u * rapid.Float64Range(-1e4, 1e4).Draw(t, "v/u")
		r := Round(v, u)
		back := func(s string) float64 {
			f, err := strconv.ParseFloat(s+"e"+strconv.Itoa(r.Exponent), 64)
			if err != nil {
				t.Fatal(err)
			}
			return f
		}
		if d := math.Abs(back(r.U)/u - 1); d > 0.05001 {
			t.Fatalf("u %v is shown as %s, %g off", u, r, d)
		}
		if d := math.Abs(back(r.Value)-v) / u; d > 0.0501 {
			t.Fatalf("%v with %v is shown as %s, %g u off", v, u, r, d)
		}
		_, a, _ := strings.Cut(r.Value, ".")
		_, b, _ := strings.Cut(r.U, ".")
		if len(a) != len(b) {
			t.Fatalf("%s ends at two places", r)
		}
		digits := len(strings.Trim(strings.ReplaceAll(r.U, ".", ""), "0"))
		if digits > 2 {
			t.Fatalf("%s has more than two digits of u", r)
		}
	})
}

// To a place is as Round does where the place is u's.
func TestToPlaceAsRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := math.Pow(10, rapid.Float64Range(-3, 3).Draw(t, "log u"))
		v := u * rapid.Float64Range(-1e2, 1e2).Draw(t, "v/u")
		r := Round(v, u)
		if got := ToPlace(v, Place(u)); got != r.Value {
			t.Fatalf("%v to the place of %v is %s, want %s", v, u, got, r.Value)
		}
		if got := ToPlace(u, Place(u)); got != r.U {
			t.Fatalf("%v to its place is %s, want %s", u, got, r.U)
		}
	})
}

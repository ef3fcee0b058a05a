package report

import (
	"math"
	"strconv"
	"strings"

	"candelua/engine/result"
)

// The significant digits to which a number without an uncertainty is shown: of
// a value on its own, and in a table (see [usualColumn]).
const (
	significant        = 5
	significantInTable = 4
)

// Display writes a number for people: as it is if it has up to five significant
// digits, else rounded to five. A number of 1e7 or more, or below 1e-4, has an
// exponent.
func Display(f float64) string { return display(f, significant) }

func display(f float64, digits int) string {
	short := strconv.FormatFloat(f, 'e', -1, 64)
	if mantissa, _, _ := strings.Cut(short, "e"); len(strings.Trim(mantissa, "-.")) > digits+1 {
		short = strconv.FormatFloat(f, 'e', digits-1, 64)
	}
	mantissa, exponent := split(short)
	if f == 0 {
		return "0"
	}
	if exponent >= 7 || exponent < -4 {
		return mantissa + "e" + strconv.Itoa(exponent)
	}
	_, fraction, _ := strings.Cut(mantissa, ".")
	return fixed(f, len(fraction)-exponent)
}

// withUncertainty writes a value and its standard uncertainty u (finite, above 0)
// for people, as [result.Round] has them: what results.json says is shown.
func withUncertainty(value, u float64) (string, string) {
	r := result.Round(value, u)
	if r.Exponent == 0 {
		return r.Value, r.U
	}
	tail := "e" + strconv.Itoa(r.Exponent)
	return r.Value + tail, r.U + tail
}

// split parts "-1.23e+04" into "-1.23" and 4.
func split(s string) (mantissa string, exponent int) {
	mantissa, tail, _ := strings.Cut(s, "e")
	exponent, _ = strconv.Atoi(tail)
	return mantissa, exponent
}

// fixed rounds to a number of decimals, which may be negative, and never
// writes a negative nought.
func fixed(f float64, decimals int) string {
	if decimals < 0 {
		unit := math.Pow(10, float64(-decimals))
		f, decimals = math.Round(f/unit)*unit, 0
	}
	s := strconv.FormatFloat(f, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

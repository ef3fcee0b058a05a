package result

import (
	"math"
	"strconv"
	"strings"
)

// Rounded is a value and its standard uncertainty for people. Both have the
// same last decimal place, and the power of ten that follows them, if any.
type Rounded struct {
	Value, U string
	Exponent int // of the power of ten; 0 for none
}

// The sizes of value or uncertainty, whichever is larger, from which on and
// below which both are written with a power of ten.
const (
	plainBelow = 7  // 10⁷
	plainFrom  = -4 // 10⁻⁴
	mostDigits = 17 // of a value: more are not in the number
)

// Round rounds u to two significant digits and the value to the same decimal
// place, both to the nearest and, half way, to the even digit of what is
// written in the fewest digits: 0.125 gives 0.12, 9.96 gives 10. Two digits and
// never one, since 0.14 as 0.1 would be 30 % off. A value that is
// all uncertainty is 0, without a sign.
//
// Where u is 0, negative or not finite there is nothing to round to: the value
// is in as few digits as tell it from others, U is "0" or empty. So it is where
// u is too small for the value's digits to reach it; U then stands for itself.
//
// Source: [JCGM100], 7.2.6; half to even: ISO 80000-1:2009, B.3 rule A, from
// memory.
func Round(value, u float64) Rounded {
	if u == 0 {
		return Rounded{Value: shortest(value), U: "0"}
	}
	if !(u > 0) || !finite(u) || !finite(value) {
		return Rounded{Value: shortest(value)}
	}
	v, d, place := decimalOf(value), decimalOf(u), Place(u)
	if value != 0 && v.exponent-place >= mostDigits {
		return Rounded{Value: shortest(value), U: strconv.FormatFloat(u, 'e', 1, 64)}
	}
	largest := place + max(len(v.units(place)), len(d.units(place))) - 1
	r := Rounded{}
	if largest >= plainBelow || largest < plainFrom {
		r.Exponent = largest
	}
	r.U = pointed(d.units(place), place-r.Exponent)
	r.Value = pointed(v.units(place), place-r.Exponent)
	if value < 0 && strings.Trim(r.Value, "0.") != "" {
		r.Value = "-" + r.Value
	}
	return r
}

// Place returns the decimal place to which [Round] rounds by an uncertainty that is
// finite and above 0: that of its second digit, -1 for tenths, 2 for hundreds.
func Place(u float64) int {
	d := decimalOf(u)
	place := d.exponent - 1
	if len(d.units(place)) > 2 { // 9.96 has become 10.0
		place++
	}
	return place
}

// ToPlace writes a finite number to a decimal place, rounded as [Round] does, and
// without an exponent. What is all rounded away is 0, without a sign.
func ToPlace(f float64, place int) string {
	text := pointed(decimalOf(f).units(place), place)
	if f < 0 && strings.Trim(text, "0.") != "" {
		text = "-" + text
	}
	return text
}

// String writes "352.1 ± 1.2", or "(1.234 ± 0.012)e-6".
func (r Rounded) String() string {
	switch {
	case r.U == "":
		return r.Value
	case r.Exponent == 0:
		return r.Value + " ± " + r.U
	}
	return "(" + r.Value + " ± " + r.U + ")e" + strconv.Itoa(r.Exponent)
}

// decimal is a number without its sign in as few decimal digits as tell it
// from others, the first standing for 10^exponent.
type decimal struct {
	digits   string
	exponent int
}

func decimalOf(f float64) decimal {
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(math.Abs(f), 'e', -1, 64), "e")
	e, _ := strconv.Atoi(exponent) // FormatFloat wrote it
	return decimal{strings.Replace(mantissa, ".", "", 1), e}
}

// units returns how many units of 10^place the number is, to the nearest, half
// way to the even one, in decimal digits.
func (d decimal) units(place int) string {
	keep := d.exponent - place + 1
	if keep >= len(d.digits) {
		return trimmed(d.digits + strings.Repeat("0", keep-len(d.digits)))
	}
	if keep < 0 {
		return "0"
	}
	kept, rest := "0"+d.digits[:keep], d.digits[keep:]
	odd := (kept[len(kept)-1]-'0')%2 == 1
	if rest > "5" || rest == "5" && odd {
		kept = next(kept)
	}
	return trimmed(kept)
}

// trimmed takes leading noughts off, but not the last.
func trimmed(digits string) string {
	return strings.TrimLeft(digits[:len(digits)-1], "0") + digits[len(digits)-1:]
}

// next returns the decimal number, that begins with a 0, plus one.
func next(digits string) string {
	b := []byte(digits)
	for i := len(b) - 1; i >= 0; i-- {
		if b[i] < '9' {
			b[i]++
			break
		}
		b[i] = '0'
	}
	return string(b)
}

// pointed writes so many units of 10^place.
func pointed(units string, place int) string {
	if place >= 0 {
		if units == "0" {
			return units
		}
		return units + strings.Repeat("0", place)
	}
	if short := 1 - place - len(units); short > 0 {
		units = strings.Repeat("0", short) + units
	}
	point := len(units) + place
	return units[:point] + "." + units[point:]
}

// shortest writes a number in as few digits as tell it from others.
func shortest(f float64) string {
	if f == 0 {
		return "0"
	}
	return strconv.FormatFloat(f, 'g', -1, 64)
}

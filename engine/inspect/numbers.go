package inspect

import "strconv"

func decimals(x float64, places int) string { return strconv.FormatFloat(x, 'f', places, 64) }

// significant writes a number above 0 to so many digits, never with an exponent where it is above 1.
func significant(x float64, digits int) string {
	if x >= 10 {
		return strconv.FormatFloat(x, 'f', 0, 64)
	}
	return strconv.FormatFloat(x, 'g', digits, 64)
}

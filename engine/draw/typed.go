package draw

import (
	"fmt"
	"strconv"
	"strings"
)

// Typed is the resolution of a typed reading: the unit of the last digit of each
// number, 0 for a number that was not typed. A person types either tristimulus
// values, or Y with or without the chromaticity.
type Typed struct {
	Place XYZ     // cd/m²
	X, Y  float64 // chromaticity x and y
}

// LastPlace returns the unit of the last digit of a typed number: 0.1 of
// "352.1", 1 of "350", 100 of "1.2e3". A decimal comma is a point. Whole
// numbers are taken to be read to the unit, whatever noughts they end in.
func LastPlace(number string) (float64, error) {
	digits := strings.Replace(strings.TrimSpace(number), ",", ".", 1)
	if _, err := strconv.ParseFloat(digits, 64); err != nil || strings.Trim(digits, "+-.0123456789eE") != "" {
		return 0, fmt.Errorf("typed number is %q; it must be a decimal number such as 352.1", number)
	}
	mantissa, exponent, _ := strings.Cut(strings.ToLower(digits), "e")
	_, decimals, _ := strings.Cut(mantissa, ".")
	power, _ := strconv.Atoi(exponent) // empty, or ParseFloat has read it
	return strconv.ParseFloat("1e"+strconv.Itoa(power-len(decimals)), 64)
}

// draw returns the deviation that half a unit of each last digit allows.
func (t Typed) draw(mean XYZ, k Key, draw int) XYZ {
	d := XYZ{
		Y: float64(t.Place.Y / 2 * k.rectangular(draw)),
		X: float64(t.Place.X / 2 * k.part(1).rectangular(draw)),
		Z: float64(t.Place.Z / 2 * k.part(2).rectangular(draw)),
	}
	if t.X == 0 && t.Y == 0 || !lit(mean) {
		return d
	}
	// X and Z were made of Y, x and y, so that they go with Y.
	toX, toZ := shift(mean, t.X/2*k.part(1).rectangular(draw), t.Y/2*k.part(2).rectangular(draw))
	y := mean.Y + d.Y
	d.X += float64(d.Y*(mean.X/mean.Y)) + float64(toX*y)
	d.Z += float64(d.Y*(mean.Z/mean.Y)) + float64(toZ*y)
	return d
}

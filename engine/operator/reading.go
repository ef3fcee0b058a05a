package operator

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

// reading is what a person typed: tristimulus values in cd/m², or Y alone.
type reading struct {
	X, Y, Z float64
	colour  bool
	commas  bool   // it was written with decimal commas
	line    string // as typed
}

// String writes the values back, so that the person can see how they were taken.
func (r reading) String() string {
	if !r.colour {
		return fmt.Sprintf("Y %.6g cd/m²", r.Y)
	}
	return fmt.Sprintf("X %.6g, Y %.6g, Z %.6g cd/m²", r.X, r.Y, r.Z)
}

// parseReading reads a line with a reading: "Y x y", "xyz X Y Z" or "Y". Numbers
// are separated by blanks or tabs, and optionally by ";" or ",". A comma is taken
// for a decimal one where it can be nothing else ("200,5 0,31 0,33"). The error
// is a sentence for the person.
func parseReading(line string) (reading, error) {
	rest, tristimulus := cutXYZ(line)
	values, commas, err := parseNumbers(rest)
	if err != nil {
		return reading{}, err
	}
	r := reading{line: line, commas: commas}
	switch {
	case tristimulus && len(values) == 3:
		r.X, r.Y, r.Z, r.colour = values[0], values[1], values[2], true
	case tristimulus:
		return reading{}, fmt.Errorf("xyz takes three numbers, X Y Z; there %s.", count(len(values)))
	case len(values) == 3:
		return r.fromYxy(values[0], values[1], values[2])
	case len(values) == 1:
		r.Y = values[0]
	default:
		return reading{}, fmt.Errorf("A reading is one number, Y, or three, Y x y; there %s.", count(len(values)))
	}
	return r, nil
}

func count(n int) string {
	if n == 1 {
		return "is 1"
	}
	return "are " + strconv.Itoa(n)
}

// fromYxy sets the tristimulus values.
//
//	X = x Y / y    Z = (1 − x − y) Y / y
//
// Black is "0 0 0" on many meters, and black here. Source: [CIE15], 7.3.
func (r reading) fromYxy(Y, x, y float64) (reading, error) {
	r.colour = true
	if Y == 0 && x == 0 && y == 0 {
		return r, nil
	}
	const slack = 0.002 // as bench.CheckSample allows
	if x < 0 || y <= 0 || x+y > 1+slack {
		return reading{}, fmt.Errorf("No light has the chromaticity x %v, y %v: x and y are over 0, and together 1 at the most. The order is Y x y.", x, y)
	}
	r.X, r.Y, r.Z = x*Y/y, Y, (1-x-y)*Y/y
	if math.IsInf(r.X, 0) || math.IsInf(r.Z, 0) {
		return reading{}, errors.New("These numbers are too large for a reading in cd/m².")
	}
	return r, nil
}

// cutXYZ takes the word xyz off the line.
func cutXYZ(line string) (rest string, found bool) {
	line = strings.TrimSpace(line)
	if len(line) < 3 || !strings.EqualFold(line[:3], "xyz") {
		return line, false
	}
	rest = line[3:]
	return rest, rest == "" || strings.IndexFunc(rest, isSeparator) == 0
}

func isSeparator(r rune) bool { return unicode.IsSpace(r) || r == ';' }

// looksLikeReading tells whether a line was meant as a reading, right or not.
func looksLikeReading(line string) bool {
	_, tristimulus := cutXYZ(line)
	return tristimulus || strings.IndexFunc(line, unicode.IsDigit) >= 0 && strings.Trim(line, "0123456789+-−.,;eE \t") == ""
}

var (
	// number is what may be typed as one, and thousands what could be a
	// number with a comma that groups digits.
	number    = regexp.MustCompile(`^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$`)
	thousands = regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(,\d{3})+$`)
)

// parseNumbers reads numbers. commas says that they have decimal commas.
//
// A comma separates where that gives one or three numbers, and is a decimal one
// where only that does. What could also be grouped thousands ("1,200"), and
// what mixes decimal points and decimal commas, is refused.
func parseNumbers(text string) (values []float64, commas bool, err error) {
	text = strings.ReplaceAll(text, "−", "-")
	if !strings.Contains(text, ",") {
		values, err = numbers(strings.FieldsFunc(text, isSeparator))
		return values, false, err
	}
	if values, err = numbers(splitAtCommas(text)); err == nil && (len(values) == 1 || len(values) == 3) {
		return values, false, nil
	}
	fields := strings.FieldsFunc(text, isSeparator)
	for i, f := range fields {
		if thousands.MatchString(f) || strings.Contains(text, ".") {
			return nil, false, fmt.Errorf("The comma in %q could mean several things: please write a point for decimals and blanks between numbers.", short(f))
		}
		fields[i] = strings.Replace(f, ",", ".", 1)
	}
	values, err = numbers(fields)
	if err != nil || len(values) != 1 && len(values) != 3 {
		return nil, false, fmt.Errorf("The commas in %q could mean several things: please write a point for decimals and blanks between numbers.", short(text))
	}
	return values, true, nil
}

// splitAtCommas splits at blanks, semicolons and commas. An empty field between
// two commas is kept, so that it is refused: a value may be missing there.
func splitAtCommas(text string) []string {
	var fields []string
	for _, part := range strings.Split(text, ",") {
		sub := strings.FieldsFunc(part, isSeparator)
		if len(sub) == 0 {
			sub = []string{""}
		}
		fields = append(fields, sub...)
	}
	return fields
}

func numbers(fields []string) ([]float64, error) {
	if len(fields) == 0 {
		return nil, errors.New("A reading is wanted here: Y x y, or xyz X Y Z, or Y alone.")
	}
	values := make([]float64, len(fields))
	for i, f := range fields {
		v, err := parseNumber(f)
		if err != nil {
			return nil, err
		}
		values[i] = v
	}
	return values, nil
}

// parseNumber reads one number with a decimal point. What the number would be
// too large for is refused, and so are words such as "inf" and hexadecimals.
func parseNumber(s string) (float64, error) {
	if !number.MatchString(s) {
		return 0, fmt.Errorf("%q is not a number.", short(s))
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is too large a number.", short(s))
	}
	return v, nil
}

package operator

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
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

// mostLight is more than any display, lamp or room gives, in cd/m² and in lux; daylight at noon has 1.3e5 lux (common
// practice, no source). A larger number is a slip of the hand.
const mostLight = 1e7

// parseReading reads a line that can be a reading. The error is for the person, see [sentence].
func parseReading(line string) (reading, error) {
	r, err := readingOf(line)
	if err != nil {
		return reading{}, err
	}
	for _, v := range []float64{r.X, r.Y, r.Z} {
		if math.Abs(v) > mostLight {
			return reading{}, fmt.Errorf("%q is too large for a reading: it can be at most %.0f cd/m²; please type it again", short(line), mostLight)
		}
	}
	return r, nil
}

// readingOf reads a line with a reading: "Y x y", "xyz X Y Z" or "Y". Numbers
// are separated by blanks or tabs, and optionally by ";" or ",". A comma is read
// as a decimal comma if it can be nothing else ("200,5 0,31 0,33"). The error
// is for the person, see [sentence].
func readingOf(line string) (reading, error) {
	if strings.TrimSpace(line) == "" {
		return reading{}, errors.New("please type a reading: Y x y, or xyz X Y Z, or Y alone")
	}
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
		return reading{}, fmt.Errorf("please type three numbers after xyz, X Y Z; there %s", count(len(values)))
	case len(values) == 3:
		return r.fromYxy(values[0], values[1], values[2])
	case len(values) == 1:
		r.Y = values[0]
	default:
		return reading{}, fmt.Errorf("a reading is one number (Y) or three (Y x y); there %s", count(len(values)))
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
		return reading{}, fmt.Errorf("no light has the chromaticity x %v, y %v: x is 0 or more, y is over 0, and x + y is at most 1; please type Y x y in this order", x, y)
	}
	r.X, r.Y, r.Z = x*Y/y, Y, (1-x-y)*Y/y
	if math.IsInf(r.X, 0) || math.IsInf(r.Z, 0) {
		return reading{}, errors.New("these numbers are too large for a reading in cd/m²")
	}
	return r, nil
}

// cutXYZ takes the word xyz off the line.
func cutXYZ(line string) (rest string, found bool) {
	line = strings.TrimSpace(line)
	if len(line) < 3 || !strings.EqualFold(line[:3], "xyz") {
		return line, false
	}
	if rest = line[3:]; rest != "" && strings.IndexFunc(rest, isSeparator) != 0 {
		return line, false
	}
	return rest, true
}

func isSeparator(r rune) bool { return unicode.IsSpace(r) || r == ';' }

// looksLikeReading says whether a line was meant as a reading, right or not.
func looksLikeReading(line string) bool {
	_, tristimulus := cutXYZ(line)
	return tristimulus || strings.IndexFunc(line, unicode.IsDigit) >= 0 && strings.Trim(line, "0123456789+-−.,;eE \t") == ""
}

var (
	// number is what may be typed as one.
	number = regexp.MustCompile(`^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$`)
	// decimal is a number with a decimal comma, thousands what could be one
	// with commas that group digits.
	decimal   = regexp.MustCompile(`^[+-]?\d+(,\d+)?([eE][+-]?\d{1,3})?$`)
	thousands = regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(,\d{3})+$`)
	// tightComma is a comma between digits, openGap a gap without a comma:
	// where both are, the comma may be a decimal one or may separate.
	tightComma = regexp.MustCompile(`\d,[\d.+-]`)
	openGap    = regexp.MustCompile(`[^\s;,][\s;]+[^\s;,]`)
)

// parseNumbers reads numbers. commas says that they have decimal commas.
//
// Commas separate numbers if that makes one or three numbers and all gaps are alike
// ("200,0.31,0.33"). They are decimal commas if only that makes one or three
// numbers ("200,5 0,31 0,33"). Refused is a number that could be grouped thousands
// ("1,200"), and a line that mixes decimal points and decimal commas.
func parseNumbers(text string) (values []float64, commas bool, err error) {
	text = strings.Map(typewritten, text)
	if !strings.Contains(text, ",") {
		values, err = numbers(strings.FieldsFunc(text, isSeparator))
		return values, false, err
	}
	parts := splitAtCommas(text)
	for _, p := range parts {
		if p != "" && !number.MatchString(p) {
			return nil, false, notANumber(p)
		}
	}
	if !tightComma.MatchString(text) || !openGap.MatchString(text) {
		values, err = numbers(parts)
		if err == nil && fits(parts) {
			return values, false, nil
		}
	}
	fields := strings.FieldsFunc(text, isSeparator)
	if !fits(fields) || slices.ContainsFunc(fields, notDecimal) {
		return nil, false, fmt.Errorf("the comma in %q could mean several things: please type a point for decimals, and blanks between numbers", short(strings.TrimSpace(text)))
	}
	values, err = numbers(strings.FieldsFunc(strings.ReplaceAll(text, ",", "."), isSeparator))
	return values, true, err
}

// typewritten makes typeset blanks and minus signs those of a keyboard.
func typewritten(r rune) rune {
	switch {
	case unicode.IsSpace(r):
		return ' '
	case r == '−':
		return '-'
	}
	return r
}

// fits says whether a reading can have so many numbers.
func fits(fields []string) bool { return len(fields) == 1 || len(fields) == 3 }

// notDecimal says whether a number's commas may be something other than decimal
// commas.
func notDecimal(field string) bool {
	return !decimal.MatchString(field) || thousands.MatchString(field)
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
		return nil, errors.New("there is no number in this line")
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

func notANumber(s string) error { return fmt.Errorf("%q is not a number", short(s)) }

// parseNumber reads one number with a decimal point. It refuses a number that is
// too large, words such as "inf", and hexadecimals.
func parseNumber(s string) (float64, error) {
	if !number.MatchString(s) {
		return 0, notANumber(s)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is too large a number", short(s))
	}
	return v, nil
}

package sandbox

import (
	"math"
	"math/bits"
	"strconv"
	"strings"

	lua "github.com/yuin/gopher-lua"
)

const spaces = " \t\n\v\f\r"

// toNumber converts as Lua 5.1 does where C's strtod is that of C99: what written
// matches, with white space around it. As for C, text ends at a zero byte.
func toNumber(v lua.LValue) (lua.LNumber, bool) {
	switch v := v.(type) {
	case lua.LNumber:
		return v, true
	case lua.LString:
		return readNumber(string(v))
	}
	return 0, false
}

func readNumber(s string) (lua.LNumber, bool) {
	s, _, _ = strings.Cut(s, "\x00")
	s = strings.Trim(s, spaces)
	switch word := strings.TrimPrefix(strings.TrimPrefix(s, "-"), "+"); {
	case plainDigits(s): // as most are
	case len(word) < len(s)-1: // "-+"
		return 0, false
	case len(word) > 1 && (word[:2] == "0x" || word[:2] == "0X"):
		exponent, ok := hexadecimal(word[2:])
		if !ok {
			return 0, false
		}
		if !exponent { // Go wants one
			s += "p0"
		}
	case len(word) < 3 || !isInfinity(word):
		return lua.LNumber(math.NaN()), isNaN(word) // C keeps a sign of nan; nothing shows it here
	}
	n, err := strconv.ParseFloat(s, 64)
	return lua.LNumber(n), err == nil || math.IsInf(n, 0)
}

func isInfinity(word string) bool {
	return strings.EqualFold(word, "inf") || strings.EqualFold(word, "infinity")
}

// isNaN says whether a word is what C reads as nan: the word, and letters and digits in
// brackets behind it, if any.
func isNaN(word string) bool {
	if len(word) < 3 || !strings.EqualFold(word[:3], "nan") {
		return false
	}
	inside := word[3:]
	if inside == "" {
		return true
	}
	if inside[0] != '(' || inside[len(inside)-1] != ')' || len(inside) < 2 {
		return false
	}
	for _, c := range []byte(inside[1 : len(inside)-1]) {
		if !isLetter(c) && !isDigit(c) {
			return false
		}
	}
	return true
}

// hexadecimal says whether text is a hexadecimal number as C reads it after its 0x: digits with
// a point among them, and an exponent to base two, if any.
func hexadecimal(s string) (exponent, ok bool) {
	digits, power := s, ""
	if at := strings.IndexAny(s, "pP"); at >= 0 {
		digits, power, exponent = s[:at], s[at+1:], true
		power = strings.TrimPrefix(strings.TrimPrefix(power, "-"), "+")
		if power == "" || strings.Trim(power, "0123456789") != "" || len(s)-at-1-len(power) > 1 {
			return exponent, false
		}
	}
	whole, fraction, _ := strings.Cut(digits, ".")
	const hex = "0123456789abcdefABCDEF"
	return exponent, whole+fraction != "" && strings.Trim(whole, hex) == "" && strings.Trim(fraction, hex) == ""
}

// numberCost is what it costs to read a number in text.
func numberCost(s string) int64 { return 4 + int64(len(s)) }

// plainDigits says whether text has nothing but what a decimal number is made of.
func plainDigits(s string) bool {
	return strings.Trim(s, "+-.eE0123456789") == ""
}

// wholeNumber reads a whole number in a base as C's strtoul does: with a sign, in base 16 with
// 0x before it, below zero counted from 2^64, and at most 2^64-1.
func wholeNumber(s string, base int) (lua.LNumber, bool) {
	s, _, _ = strings.Cut(s, "\x00")
	s = strings.Trim(s, spaces)
	digits := strings.TrimPrefix(s, "-")
	negative := digits != s
	if !negative {
		digits = strings.TrimPrefix(s, "+")
	}
	if base == 16 && len(digits) > 2 && (strings.HasPrefix(digits, "0x") || strings.HasPrefix(digits, "0X")) {
		digits = digits[2:]
	}
	if digits == "" {
		return 0, false
	}
	n, over := uint64(0), false
	for i := range len(digits) {
		d, ok := digitOf(digits[i])
		if !ok || d >= base {
			return 0, false
		}
		high, low := bits.Mul64(n, uint64(base))
		low, carry := bits.Add64(low, uint64(d), 0)
		over = over || high+carry > 0
		n = low
	}
	if over {
		return lua.LNumber(math.MaxUint64), true
	}
	if negative {
		n = -n
	}
	return lua.LNumber(n), true
}

// toNumber3 converts as by the rules before 4.
func toNumber3(v lua.LValue) (lua.LNumber, bool) {
	if s, ok := v.(lua.LString); ok {
		return ParseNumber(string(s))
	}
	return toNumber(v)
}

// ParseNumber reads a number as people write it: decimal with fraction and exponent, or whole
// and hexadecimal, with white space around it. Infinity and nan are no numbers.
func ParseNumber(s string) (lua.LNumber, bool) {
	s = strings.Trim(s, spaces)
	digits := strings.TrimLeft(s, "+-")
	if len(s)-len(digits) > 1 || digits == "" || strings.ContainsAny(digits, "_pPiInN") {
		return 0, false // Go's own notations, and words such as inf and nan
	}
	if len(digits) > 2 && digits[0] == '0' && (digits[1] == 'x' || digits[1] == 'X') {
		n, ok := parseBase(digits[2:], 16)
		if strings.HasPrefix(s, "-") {
			n = -n
		}
		return n, ok && !strings.ContainsAny(digits[2:], spaces+"+-")
	}
	f, err := strconv.ParseFloat(s, 64)
	if err != nil && !math.IsInf(f, 0) {
		return 0, false
	}
	return lua.LNumber(f), !strings.ContainsAny(digits, "xX")
}

// parseBase reads a whole number in a base from 2 to 36.
func parseBase(s string, base int) (lua.LNumber, bool) {
	s = strings.Trim(s, spaces)
	sign := lua.LNumber(1)
	if strings.HasPrefix(s, "-") {
		sign, s = -1, s[1:]
	}
	if s == "" {
		return 0, false
	}
	n := 0.0
	for i := range len(s) {
		d, ok := digitOf(s[i])
		if !ok || d >= base {
			return 0, false
		}
		n = float64(n*float64(base)) + float64(d)
	}
	return sign * lua.LNumber(n), true
}

func digitOf(c byte) (int, bool) {
	switch c = lowerByte(c); {
	case '0' <= c && c <= '9':
		return int(c - '0'), true
	case 'a' <= c && c <= 'z':
		return int(c-'a') + 10, true
	}
	return 0, false
}

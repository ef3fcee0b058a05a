package sandbox

import (
	"math"
	"math/bits"
	"regexp"
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

// written is a number that strtod reads.
var written = regexp.MustCompile(`^([+-]?)(?i:(0x)([0-9a-f]+\.?[0-9a-f]*|\.[0-9a-f]+)(p[+-]?[0-9]+)?|([0-9]+\.?[0-9]*|\.[0-9]+)(e[+-]?[0-9]+)?|(inf(inity)?)|(nan(\([0-9a-z_]*\))?))$`)

func readNumber(s string) (lua.LNumber, bool) {
	s, _, _ = strings.Cut(s, "\x00")
	s = strings.Trim(s, spaces)
	if n, err := strconv.ParseFloat(s, 64); err == nil && plainDigits(s) {
		return lua.LNumber(n), true // as most are
	}
	f := written.FindStringSubmatch(s)
	switch {
	case f == nil:
		return 0, false
	case f[9] != "": // C keeps a sign of nan; nothing shows it here
		return lua.LNumber(math.NaN()), true
	case f[2] != "" && f[4] == "": // Go wants an exponent
		s += "p0"
	}
	n, err := strconv.ParseFloat(s, 64)
	return lua.LNumber(n), err == nil || math.IsInf(n, 0)
}

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

package sandbox

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	lua "github.com/yuin/gopher-lua"
)

// mostWidth is the widest field and highest precision of string.format, as in Lua 5.1.
const mostWidth = 99

// verb is one conversion of string.format.
type verb struct {
	flags     string
	width     int
	precision int // -1 where none is given
	letter    byte
}

// stringFormat is string.format with the conversions of Lua 5.1.
func (m *Machine) stringFormat(L *lua.LState) int {
	const who = "string.format"
	format := textArg(L, 1, who)
	m.Charge(int64(len(format)) / 4)
	m.work(int64(len(format)) / compareCost)
	var b strings.Builder
	next := 1
	for i := 0; i < len(format); i++ {
		if format[i] != '%' {
			b.WriteByte(format[i])
			continue
		}
		i++
		if i < len(format) && format[i] == '%' {
			b.WriteByte('%')
			continue
		}
		v, after, err := readVerb(format, i)
		if err != nil {
			throw(L, 1, "%s: %v", who, err)
		}
		i = after
		next++
		m.writeVerb(L, &b, v, next)
		m.checkLength(L, who, b.Len())
	}
	return m.pushText(L, who, b.String())
}

// readVerb reads the conversion at offset i, after its percent sign. It
// returns the offset of its letter.
func readVerb(format string, i int) (verb, int, error) {
	v, start := verb{precision: -1}, i
	for i < len(format) && strings.IndexByte("-+ #0", format[i]) >= 0 && i-start < 5 {
		i++
	}
	v.flags = format[start:i]
	v.width, i = readDigits(format, i)
	if i < len(format) && format[i] == '.' {
		v.precision, i = readDigits(format, i+1)
	}
	if v.width > mostWidth || v.precision > mostWidth {
		return v, i, fmt.Errorf("a width in %q is over %d", format[start-1:min(i+1, len(format))], mostWidth)
	}
	if i >= len(format) || strings.IndexByte("diucxXoeEfgGqs", format[i]) < 0 {
		return v, i, fmt.Errorf("%q is not a conversion; it must be one of d i u c x X o e E f g G q s %%", format[start-1:min(i+1, len(format))])
	}
	v.letter = format[i]
	return v, i, nil
}

// readDigits reads a number; without digits it is 0.
func readDigits(s string, i int) (n, after int) {
	for ; i < len(s) && '0' <= s[i] && s[i] <= '9'; i++ {
		n = min(n*10+int(s[i]-'0'), 1000)
	}
	return n, i
}

func (m *Machine) writeVerb(L *lua.LState, b *strings.Builder, v verb, arg int) {
	const who = "string.format"
	m.work(verbCost)
	switch v.letter {
	case 'd', 'i', 'u', 'x', 'X', 'o':
		b.WriteString(v.whole(truncate(numberArg(L, arg, who))))
	case 'c':
		b.WriteString(m.printed(v.pad(string([]byte{byte(intArg(L, arg, who))}))))
	case 'e', 'E', 'f', 'g', 'G':
		x := numberArg(L, arg, who)
		m.work(v.realCost(x))
		b.WriteString(v.real(x))
	case 'q':
		s := textArg(L, arg, who)
		m.Charge(int64(len(s)) / 4)
		quote(b, s)
	case 's':
		var s string
		value := anyArg(L, arg, who)
		m.holding(b.Cap(), func() { s = m.text(L, value) })
		if v.precision < 0 && len(s) >= longArgument {
			b.WriteString(s)
			return
		}
		s = m.printed(s)
		if v.precision >= 0 {
			s = s[:min(len(s), v.precision)]
		}
		b.WriteString(v.pad(s))
	}
}

// longArgument is the length from which Lua 5.1 takes text as it is, and does not give it
// to C (lstrlib.c, str_format).
const longArgument = 100

// printed is text as C writes it: up to a zero byte. The rules before 4 wrote all.
func (m *Machine) printed(s string) string {
	if !m.lim.Before4 {
		s, _, _ = strings.Cut(s, "\x00")
	}
	return s
}

// verbCost is what a conversion costs.
const verbCost = 25

// realCost is what it costs to write a real number: many digits, and large and small numbers,
// are written by arithmetic with all their digits.
func (v verb) realCost(x float64) int64 {
	_, exponent := math.Frexp(x)
	cost := int64(60)
	if v.precision > 15 || v.letter == 'f' {
		cost += 8*int64(max(v.precision, 0)) + int64(max(exponent, -exponent))
	}
	return cost
}

// truncate cuts a number to 64 bits, the same on every processor.
func truncate(f float64) int64 {
	switch {
	case math.IsNaN(f):
		return math.MinInt64
	case f >= math.MaxInt64:
		return math.MaxInt64
	case f <= math.MinInt64:
		return math.MinInt64
	}
	return int64(f)
}

func (v verb) has(flag byte) bool { return strings.IndexByte(v.flags, flag) >= 0 }

// whole formats an integer as C's printf does.
func (v verb) whole(n int64) string {
	sign, digits := "", ""
	switch v.letter {
	case 'd', 'i':
		digits = strings.TrimPrefix(strconv.FormatInt(n, 10), "-")
		sign = v.sign(n < 0)
	case 'u':
		digits = strconv.FormatUint(uint64(n), 10)
	case 'o':
		digits = strconv.FormatUint(uint64(n), 8)
	default:
		digits = strconv.FormatUint(uint64(n), 16)
		if v.has('#') && n != 0 {
			sign = "0x"
		}
	}
	if v.precision == 0 && n == 0 {
		digits = ""
	}
	digits = strings.Repeat("0", max(0, v.precision-len(digits))) + digits
	if v.letter == 'o' && v.has('#') && !strings.HasPrefix(digits, "0") {
		digits = "0" + digits
	}
	if v.has('0') && v.precision < 0 && !v.has('-') {
		digits = strings.Repeat("0", max(0, v.width-len(sign)-len(digits))) + digits
	}
	s := sign + digits
	if v.letter == 'X' {
		s = strings.ToUpper(s)
	}
	return v.pad(s)
}

func (v verb) sign(negative bool) string {
	switch {
	case negative:
		return "-"
	case v.has('+'):
		return "+"
	case v.has(' '):
		return " "
	}
	return ""
}

// real formats a number as C's printf does. Go's own formatting agrees digit for
// digit; infinities and NaN are spelt as in C.
func (v verb) real(f float64) string {
	precision := v.precision
	if precision < 0 {
		precision = 6
	}
	sign := v.sign(math.Signbit(f) && !math.IsNaN(f))
	f = math.Abs(f)
	if math.IsInf(f, 0) || math.IsNaN(f) {
		s := sign + map[bool]string{true: "inf", false: "nan"}[math.IsInf(f, 0)]
		if v.letter == 'E' || v.letter == 'G' {
			s = strings.ToUpper(s)
		}
		return v.pad(s)
	}
	flag := ""
	if v.has('#') {
		flag = "#"
	}
	digits := fmt.Sprintf("%"+flag+"."+strconv.Itoa(precision)+string(v.letter), f)
	if v.has('0') && !v.has('-') {
		digits = strings.Repeat("0", max(0, v.width-len(sign)-len(digits))) + digits
	}
	return v.pad(sign + digits)
}

// pad fills text up to the field's width.
func (v verb) pad(s string) string {
	fill := strings.Repeat(" ", max(0, v.width-len(s)))
	if v.has('-') {
		return s + fill
	}
	return fill + s
}

// quote writes text so that Lua reads it back.
func quote(b *strings.Builder, s string) {
	b.WriteByte('"')
	for i := range len(s) {
		switch c := s[i]; c {
		case '"', '\\', '\n':
			b.WriteByte('\\')
			b.WriteByte(c)
		case '\r':
			b.WriteString(`\r`)
		case 0:
			b.WriteString(`\000`)
		default:
			b.WriteByte(c)
		}
	}
	b.WriteByte('"')
}

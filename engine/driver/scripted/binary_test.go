package scripted

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/sandbox"
)

// inDriver computes an expression as a driver would.
func inDriver(t *testing.T, expression string) ([]lua.LValue, error) {
	t.Helper()
	proto, err := sandbox.Compile("stint.lua", []byte("return "+expression), limits())
	if err != nil {
		t.Fatal(err)
	}
	s := newSession(context.Background(), &Program{file: "stint.lua"}, nil, nil)
	defer s.m.Close()
	return s.m.Call(s.m.Load(proto), lua.MultRet)
}

// TestNumbers packs and unpacks numbers. The bytes are those of Python's struct.pack.
func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		format, values, hex string
	}{
		{"u8", "200", "C8"},
		{"i8", "-5", "FB"},
		{"u16le", "513", "01 02"},
		{"u16be", "513", "02 01"},
		{"i16le", "-2", "FE FF"},
		{"i16be", "-2", "FF FE"},
		{"u32le", "3735928559", "EF BE AD DE"},
		{"u32be", "3735928559", "DE AD BE EF"},
		{"i32le", "-123456", "C0 1D FE FF"},
		{"i32be", "-123456", "FF FE 1D C0"},
		{"f32le", "0.15625", "00 00 20 3E"},
		{"f32be", "-118.625", "C2 ED 40 00"},
		{"f64le", "1/3", "55 55 55 55 55 55 D5 3F"},
		{"f64be", "1/3", "3F D5 55 55 55 55 55 55"},
		{"u8 u16be i8", "2, 513, -5", "02 02 01 FB"},
	} {
		got, err := inDriver(t, fmt.Sprintf(`bytes.hex(bytes.pack(%q, { %s }))`, c.format, c.values))
		if err != nil || got[0] != lua.LString(c.hex) {
			t.Errorf("%s of %s is %v, %v, want %s", c.format, c.values, got, err, c.hex)
		}
		back, err := inDriver(t, fmt.Sprintf(`bytes.unpack(%q, "x" .. bytes.from_hex(%q), 2)`, c.format, c.hex))
		want, _ := inDriver(t, c.values)
		if err != nil || fmt.Sprint(back) != fmt.Sprint(want) {
			t.Errorf("%s from %s is %v, %v, want %v", c.format, c.hex, back, err, want)
		}
	}
	if got, err := inDriver(t, `bytes.unpack("f32le", "\0\0\192\127")`); err != nil || !math.IsNaN(float64(got[0].(lua.LNumber))) {
		t.Errorf("what is no number is %v, %v", got, err)
	}
}

// TestSums are checksums of "123456789". The check values of the cyclic ones are those by which they are commonly
// told apart (from memory); the first two are binascii.crc_hqx of Python, too.
func TestSums(t *testing.T) {
	for expression, want := range map[string]string{
		`bytes.sum("123456789")`:                                                         "477",
		`bytes.xor("123456789")`:                                                         "49",
		`bytes.crc16("123456789", { start = 0 })`:                                        fmt.Sprint(0x31C3),
		`bytes.crc16("123456789")`:                                                       fmt.Sprint(0x29B1),
		`bytes.crc16("123456789", { polynomial = 0x8005, reflected = true })`:            fmt.Sprint(0x4B37),
		`bytes.crc16("123456789", { polynomial = 0x8005, start = 0, reflected = true })`: fmt.Sprint(0xBB3D),
		`bytes.crc16("123456789", { polynomial = 0x1021, start = 0xFFFF, reflected = true, final = 0xFFFF })`: fmt.Sprint(0x906E),
		`bytes.from_hex("02 4D0a")`: "\x02M\n",
	} {
		if got, err := inDriver(t, expression); err != nil || got[0].String() != want {
			t.Errorf("%s is %v, %v, want %s", expression, got, err, want)
		}
	}
}

// TestBytesErrors are calls that are refused.
func TestBytesErrors(t *testing.T) {
	for expression, want := range map[string]string{
		`bytes.pack("u8", { 256 })`:       "bytes.pack: values[1] is 256; it must be a whole number from 0 to 255 for u8",
		`bytes.pack("i16le", { 1, 2 })`:   "bytes.pack: values is a list of 2 numbers; it must be a list of 1, as many as the format has",
		`bytes.pack("u8", { 0.5 })`:       "bytes.pack: values[1] is 0.5; it must be a whole number from 0 to 255 for u8",
		`bytes.pack("u16", { 1 })`:        `bytes.pack: format is a text with "u16"; it must be made of u8, i8, u16le, `,
		`bytes.pack("", {})`:              "bytes.pack: format is empty; it must be made of names such as \"u8 u16le\"",
		`bytes.unpack("u16le", "a")`:      "bytes.unpack: text is a text of 1 bytes; it must be a text of at least 2, for the format from place 1 on",
		`bytes.unpack("u8", "a", 9)`:      "bytes.unpack: text is a text of 1 bytes; it must be a text of at least 9, for the format from place 9 on",
		`bytes.from_hex("0")`:             `bytes.from_hex: text is "0"; it must be pairs of hexadecimal digits`,
		`bytes.sums("0")`:                 `bytes has no "sums"; did you mean "sum"?`,
		`bytes.crc16("", { start = -1 })`: "bytes.crc16: start is -1; it must be a whole number from 0 to 65535",
	} {
		if _, err := inDriver(t, expression); err == nil || !strings.HasPrefix(err.Error(), "stint.lua:1: "+want) {
			t.Errorf("%s: the error is %v, want %s", expression, err, want)
		}
	}
}

package scripted

import (
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/declare"
	"candelua/engine/fault"
)

// number is a way to write a number as bytes.
type number struct {
	name string
	size int
	min  float64
	max  float64 // 0: any number
	put  func([]byte, float64)
	get  func([]byte) float64
}

var little, big = binary.LittleEndian, binary.BigEndian

// numbers are all ways, by their names: unsigned, signed or with a fraction, bits, and the order of bytes.
var numbers = []number{
	{"u8", 1, 0, 1<<8 - 1, func(b []byte, x float64) { b[0] = byte(x) }, func(b []byte) float64 { return float64(b[0]) }},
	{"i8", 1, -1 << 7, 1<<7 - 1, func(b []byte, x float64) { b[0] = byte(int8(x)) }, func(b []byte) float64 { return float64(int8(b[0])) }},
	{"u16le", 2, 0, 1<<16 - 1, func(b []byte, x float64) { little.PutUint16(b, uint16(x)) }, func(b []byte) float64 { return float64(little.Uint16(b)) }},
	{"u16be", 2, 0, 1<<16 - 1, func(b []byte, x float64) { big.PutUint16(b, uint16(x)) }, func(b []byte) float64 { return float64(big.Uint16(b)) }},
	{"i16le", 2, -1 << 15, 1<<15 - 1, func(b []byte, x float64) { little.PutUint16(b, uint16(int16(x))) }, func(b []byte) float64 { return float64(int16(little.Uint16(b))) }},
	{"i16be", 2, -1 << 15, 1<<15 - 1, func(b []byte, x float64) { big.PutUint16(b, uint16(int16(x))) }, func(b []byte) float64 { return float64(int16(big.Uint16(b))) }},
	{"u32le", 4, 0, 1<<32 - 1, func(b []byte, x float64) { little.PutUint32(b, uint32(x)) }, func(b []byte) float64 { return float64(little.Uint32(b)) }},
	{"u32be", 4, 0, 1<<32 - 1, func(b []byte, x float64) { big.PutUint32(b, uint32(x)) }, func(b []byte) float64 { return float64(big.Uint32(b)) }},
	{"i32le", 4, -1 << 31, 1<<31 - 1, func(b []byte, x float64) { little.PutUint32(b, uint32(int32(x))) }, func(b []byte) float64 { return float64(int32(little.Uint32(b))) }},
	{"i32be", 4, -1 << 31, 1<<31 - 1, func(b []byte, x float64) { big.PutUint32(b, uint32(int32(x))) }, func(b []byte) float64 { return float64(int32(big.Uint32(b))) }},
	{"f32le", 4, 0, 0, func(b []byte, x float64) { little.PutUint32(b, math.Float32bits(float32(x))) }, func(b []byte) float64 { return float64(math.Float32frombits(little.Uint32(b))) }},
	{"f32be", 4, 0, 0, func(b []byte, x float64) { big.PutUint32(b, math.Float32bits(float32(x))) }, func(b []byte) float64 { return float64(math.Float32frombits(big.Uint32(b))) }},
	{"f64le", 8, 0, 0, func(b []byte, x float64) { little.PutUint64(b, math.Float64bits(x)) }, func(b []byte) float64 { return math.Float64frombits(little.Uint64(b)) }},
	{"f64be", 8, 0, 0, func(b []byte, x float64) { big.PutUint64(b, math.Float64bits(x)) }, func(b []byte) float64 { return math.Float64frombits(big.Uint64(b)) }},
}

type packArgs struct {
	Format string    `lua:"format" pos:"1" most:"4096" help:"how each number is written, between spaces, as in \"u8 u16le f32be\": u8, i8, u16, i16, u32, i32, f32 or f64; with le the low byte first, with be the high byte"`
	Values []float64 `lua:"values" pos:"2" help:"the numbers"`
}

type unpackArgs struct {
	Format string `lua:"format" pos:"1" most:"4096" help:"how each number is written, as for bytes.pack"`
	Text   string `lua:"text" pos:"2" most:"1048576" help:"the bytes"`
	At     int    `lua:"at" pos:"3" default:"1" min:"1" help:"place of the first byte"`
}

type textArgs struct {
	Text string `lua:"text" pos:"1" most:"1048576" help:"the bytes"`
}

type crcArgs struct {
	Text       string `lua:"text" pos:"1" most:"1048576" help:"the bytes"`
	Polynomial int    `lua:"polynomial" default:"4129" min:"0" max:"65535" help:"without its highest term, as in 0x1021"`
	Start      int    `lua:"start" default:"65535" min:"0" max:"65535" help:"what it begins with"`
	Reflected  bool   `lua:"reflected" default:"false" help:"true: the lowest bit of each byte goes first"`
	Final      int    `lua:"final" default:"0" min:"0" max:"65535" help:"what the result is combined with by exclusive or"`
}

// bytesFunctions are what the table bytes holds.
var bytesFunctions = []*function{
	declared("bytes.pack", "writes numbers as bytes", "the bytes, as a text", func(_ *session, a packArgs) ([]lua.LValue, error) {
		b, err := pack(a.Format, a.Values)
		return []lua.LValue{lua.LString(b)}, err
	}),
	declared("bytes.unpack", "reads numbers from bytes", "the numbers, one after the other", func(_ *session, a unpackArgs) ([]lua.LValue, error) {
		return unpack(a.Format, a.Text, a.At)
	}),
	declared("bytes.sum", "adds up bytes, for a checksum", "the sum", func(s *session, a textArgs) ([]lua.LValue, error) {
		s.m.Charge(int64(len(a.Text)) / 8)
		n := 0
		for _, c := range []byte(a.Text) {
			n += int(c)
		}
		return []lua.LValue{lua.LNumber(n)}, nil
	}),
	declared("bytes.xor", "combines bytes by exclusive or, for a checksum", "a number from 0 to 255", func(s *session, a textArgs) ([]lua.LValue, error) {
		s.m.Charge(int64(len(a.Text)) / 8)
		var x byte
		for _, c := range []byte(a.Text) {
			x ^= c
		}
		return []lua.LValue{lua.LNumber(x)}, nil
	}),
	declared("bytes.crc16", "computes a cyclic redundancy check of 16 bits", "a number from 0 to 65535", func(s *session, a crcArgs) ([]lua.LValue, error) {
		s.m.Charge(int64(len(a.Text)))
		return []lua.LValue{lua.LNumber(crc16(a))}, nil
	}),
	declared("bytes.hex", "writes bytes so that people can read them", "a text such as \"02 4D 0A\"", func(s *session, a textArgs) ([]lua.LValue, error) {
		s.m.Charge(int64(len(a.Text)))
		return []lua.LValue{lua.LString(fmt.Sprintf("% X", a.Text))}, nil
	}),
	declared("bytes.from_hex", "makes bytes of what bytes.hex writes", "the bytes, as a text", func(s *session, a textArgs) ([]lua.LValue, error) {
		s.m.Charge(int64(len(a.Text)))
		b, err := hex.DecodeString(strings.ReplaceAll(a.Text, " ", ""))
		if err != nil {
			return nil, &fault.ArgError{Arg: "text", Got: declare.Describe(lua.LString(a.Text)), Want: `pairs of hexadecimal digits, as in "02 4D 0A"`}
		}
		return []lua.LValue{lua.LString(b)}, nil
	}),
}

// formats reads a format.
func formats(format string) (all []number, size int, err error) {
	for _, name := range strings.Fields(format) {
		i := slices.IndexFunc(numbers, func(n number) bool { return n.name == name })
		if i < 0 {
			var names []string
			for _, n := range numbers {
				names = append(names, n.name)
			}
			return nil, 0, &fault.ArgError{Arg: "format", Got: "a text with " + declare.Quote(name), Want: "made of " + strings.Join(names, ", ")}
		}
		all, size = append(all, numbers[i]), size+numbers[i].size
	}
	if len(all) == 0 {
		return nil, 0, &fault.ArgError{Arg: "format", Got: "empty", Want: `made of names such as "u8 u16le"`}
	}
	return all, size, nil
}

func pack(format string, values []float64) ([]byte, error) {
	all, size, err := formats(format)
	if err != nil {
		return nil, err
	}
	if len(values) != len(all) {
		return nil, &fault.ArgError{Arg: "values", Got: fmt.Sprintf("a list of %d numbers", len(values)), Want: fmt.Sprintf("a list of %d, as many as the format has", len(all))}
	}
	out := make([]byte, size)
	at := 0
	for i, n := range all {
		x := values[i]
		if n.max > 0 && !(x == math.Trunc(x) && x >= n.min && x <= n.max) {
			return nil, &fault.ArgError{Arg: "values" + declare.Index(i+1), Got: declare.Number(x),
				Want: "a whole number from " + declare.Number(n.min) + " to " + declare.Number(n.max) + " for " + n.name}
		}
		n.put(out[at:], x)
		at += n.size
	}
	return out, nil
}

func unpack(format, text string, at int) ([]lua.LValue, error) {
	all, size, err := formats(format)
	if err != nil {
		return nil, err
	}
	if len(text)-(at-1) < size {
		return nil, &fault.ArgError{Arg: "text", Got: "a text of " + strconv.Itoa(len(text)) + " bytes", Want: fmt.Sprintf("a text of at least %d, for the format from place %d on", size+at-1, at)}
	}
	out := make([]lua.LValue, len(all))
	rest := []byte(text[at-1:])
	for i, n := range all {
		out[i] = lua.LNumber(n.get(rest))
		rest = rest[n.size:]
	}
	return out, nil
}

// crc16 computes bit by bit. Its parameters are those by which such checks are usually stated.
func crc16(a crcArgs) uint16 {
	crc, polynomial := uint16(a.Start), uint16(a.Polynomial)
	if a.Reflected {
		crc, polynomial = reflect16(crc), reflect16(polynomial)
	}
	for _, c := range []byte(a.Text) {
		if a.Reflected {
			crc ^= uint16(c)
		} else {
			crc ^= uint16(c) << 8
		}
		for range 8 {
			crc = step16(crc, polynomial, a.Reflected)
		}
	}
	return crc ^ uint16(a.Final)
}

func step16(crc, polynomial uint16, reflected bool) uint16 {
	if reflected {
		if crc&1 != 0 {
			return crc>>1 ^ polynomial
		}
		return crc >> 1
	}
	if crc&0x8000 != 0 {
		return crc<<1 ^ polynomial
	}
	return crc << 1
}

func reflect16(x uint16) (y uint16) {
	for range 16 {
		x, y = x>>1, y<<1|x&1
	}
	return y
}

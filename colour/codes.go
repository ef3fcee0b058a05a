package colour

import (
	"fmt"
	"math"
)

// Coding says how a signal is written as an integer: the number of bits, and the full range
// of codes or the narrow range of video. Make it with [NewCoding].
type Coding struct {
	bits int
	full bool
}

// NewCoding returns the coding of 8 to 16 bits, of full or narrow range. Other depths are an error.
//
// Source: [BT2100], table 9, for 10 and 12 bits; [BT709], 5, for 8 bits. Other depths follow the same formula.
func NewCoding(bits int, full bool) (Coding, error) {
	if bits < 8 || bits > 16 {
		return Coding{}, fmt.Errorf("code of %d bits; it must be 8 to 16", bits)
	}
	return Coding{bits, full}, nil
}

// Bits returns the number of bits.
func (c Coding) Bits() int { return c.bits }

// Full tells whether the coding is of full range.
func (c Coding) Full() bool { return c.full }

// Black returns the code of signal 0 and White that of signal 1: 64 and 940 in 10 bits narrow.
func (c Coding) Black() int { return c.Code(0) }

// White returns the code of signal 1.
func (c Coding) White() int { return c.Code(1) }

// Code returns the code nearest to a signal.
//
//	D = INT((219 E′ + 16) 2^(n-8))    narrow
//	D = INT((2^n - 1) E′)             full
//
// INT rounds to the nearest integer, halves up. A narrow code may go below black and above white
// but not into the codes that interfaces reserve (0 to 3 and 1020 to 1023 in 10 bits); it is
// limited to the range between them. NaN gives the code of black.
//
// Source: [BT2100], table 9; [BT709], 5.
func (c Coding) Code(signal float64) int {
	if math.IsNaN(signal) {
		signal = 0
	}
	lo, hi := c.limits()
	code := math.Floor(c.exact(signal) + 0.5)
	return int(math.Min(math.Max(code, float64(lo)), float64(hi)))
}

// exact returns the code before it is rounded.
func (c Coding) exact(signal float64) float64 {
	if c.full {
		return float64(c.top()) * signal
	}
	return (219*signal + 16) * float64(c.unit())
}

// Signal returns the signal of a code: below 0 and above 1 for narrow codes outside
// black to white. A code that does not exist at this depth gives the signal that it would have.
//
// Source: [BT2100], table 9, inverted.
func (c Coding) Signal(code int) float64 {
	if c.full {
		return float64(code) / float64(c.top())
	}
	return float64(code-16*c.unit()) / float64(219*c.unit())
}

// unit returns what one step in 8 bits is at this depth.
func (c Coding) unit() int { return 1 << (c.bits - 8) }

// top returns the highest code.
func (c Coding) top() int { return 1<<c.bits - 1 }

// limits returns the lowest and the highest code that may carry a signal.
func (c Coding) limits() (lo, hi int) {
	if c.full {
		return 0, c.top()
	}
	return c.unit(), c.top() - c.unit()
}

package colour

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestCodesAgainstPublished(t *testing.T) {
	codings := map[string]Coding{
		"code10_narrow": must[Coding](t)(NewCoding(10, false)), "code10_full": must[Coding](t)(NewCoding(10, true)),
		"code12_narrow": must[Coding](t)(NewCoding(12, false)), "code12_full": must[Coding](t)(NewCoding(12, true)),
	}
	compared := 0
	for _, r := range published(t, "pq_st2084.csv") {
		for column, c := range codings {
			if r[column] == "" {
				continue
			}
			compared++
			code := int(r.num(t, column))
			near(t, column, float64(c.Code(r.num(t, "signal"))), float64(code), 0)
			if r["kind"] == column {
				near(t, column+" back", c.Signal(code), r.num(t, "signal"), 6e-11)
			}
		}
	}
	if compared < 150 {
		t.Errorf("only %d codes compared", compared)
	}
}

// [BT709], 5, and [BT2100], table 9: black and white of each depth, and the codes that are kept free.
func TestCodesOfBlackAndWhite(t *testing.T) {
	for _, c := range []struct {
		bits                     int
		full                     bool
		black, white, lowest, hi int
	}{
		{8, false, 16, 235, 1, 254}, {10, false, 64, 940, 4, 1019}, {12, false, 256, 3760, 16, 4079},
		{8, true, 0, 255, 0, 255}, {10, true, 0, 1023, 0, 1023}, {12, true, 0, 4095, 0, 4095},
	} {
		k := must[Coding](t)(NewCoding(c.bits, c.full))
		if k.Black() != c.black || k.White() != c.white || k.Code(-9) != c.lowest || k.Code(9) != c.hi {
			t.Errorf("%d bits: %d to %d, at most %d to %d", c.bits, k.Black(), k.White(), k.Code(-9), k.Code(9))
		}
		if k.Bits() != c.bits || k.Full() != c.full || k.Code(math.NaN()) != c.black {
			t.Errorf("%d bits", c.bits)
		}
	}
}

// Halves round up, [BT2100] table 9: 127.5 is 128, and so is the half between two narrow codes.
func TestCodesRoundHalvesUp(t *testing.T) {
	full, narrow := must[Coding](t)(NewCoding(8, true)), must[Coding](t)(NewCoding(8, false))
	for _, c := range []struct{ got, want int }{
		{full.Code(0.5), 128}, {full.Code(0.5 - 1e-4), 127}, {narrow.Code(0.5), 126}, {narrow.Code(0.5 - 1e-4), 125},
	} {
		if c.got != c.want {
			t.Errorf("code %d, want %d", c.got, c.want)
		}
	}
}

func TestCodesInvert(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, err := NewCoding(rapid.IntRange(8, 16).Draw(t, "bits"), rapid.Bool().Draw(t, "full"))
		if err != nil {
			t.Fatal(err)
		}
		lo, hi := c.limits()
		code := rapid.IntRange(lo, hi).Draw(t, "code")
		if got := c.Code(c.Signal(code)); got != code {
			t.Fatalf("%d comes back as %d", code, got)
		}
	})
}

func TestCodingRefuses(t *testing.T) {
	for _, bits := range []int{7, 17, 0, -1} {
		if _, err := NewCoding(bits, true); err == nil {
			t.Errorf("%d bits", bits)
		}
	}
}

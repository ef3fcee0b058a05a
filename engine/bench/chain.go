package bench

import "math"

// Chain is how a patch's signals travel from the source to the unit, as the bench file states
// it. The zero Chain is stated by nobody.
type Chain struct {
	Range       string // "full" or "limited"; empty: not stated
	Encoding    string // "rgb" or "ycbcr"
	Primaries   string // "bt709" or "bt2020": whose luma coefficients make Y'CbCr
	Subsampling string // "4:4:4", "4:2:2" or "4:2:0"
	Bits        int    // 8 to 16; 0: not stated
	Input       string // the unit's input, in the words of its menu
}

// chainKeys are the keys of a chain in a bench file.
var chainKeys = []string{"range", "encoding", "primaries", "subsampling", "bits", "input"}

func readChain(t *table) *Chain {
	c := &Chain{Range: "full", Encoding: "rgb", Primaries: "bt709", Subsampling: "4:4:4", Bits: 8}
	t.only("[patches.chain]", chainKeys)
	t.word("range", &c.Range, "full", "limited")
	t.word("encoding", &c.Encoding, "rgb", "ycbcr")
	t.word("primaries", &c.Primaries, "bt709", "bt2020")
	t.word("subsampling", &c.Subsampling, "4:4:4", "4:2:2", "4:2:0")
	t.whole("bits", &c.Bits, limits{8, 16, ""})
	t.text("input", &c.Input)
	return c
}

// Codes are the code values of a signal of 0 to 1 in the chain: red, green and blue, or
// Y', Cb and Cr. Without a chain they are 8-bit full-range RGB.
//
// Source: Rec. ITU-R BT.709-6, items 3.2 to 3.5 and 4.6; BT.2020-2, tables 4 and 5; BT.2100-2, table 9
// (quantization, narrow and full range); from memory.
func (c *Chain) Codes(rgb [3]float64) [3]int {
	if c == nil {
		c = &Chain{Range: "full", Encoding: "rgb", Bits: 8}
	}
	scale := math.Exp2(float64(c.Bits - 8))
	top := math.Exp2(float64(c.Bits)) - 1
	v := rgb
	if c.Encoding == "ycbcr" {
		v = c.difference(rgb)
	}
	var codes [3]int
	for i, x := range v {
		chroma := c.Encoding == "ycbcr" && i > 0
		switch {
		case c.Range == "limited" && chroma:
			x = (224*x + 128) * scale
		case c.Range == "limited":
			x = (219*x + 16) * scale
		case chroma:
			x = top*x + 128*scale
		default:
			x *= top
		}
		codes[i] = int(min(max(math.Round(x), 0), top))
	}
	return codes
}

// difference is Y', Cb and Cr of a signal; the last two are -0.5 to 0.5.
func (c *Chain) difference(rgb [3]float64) [3]float64 {
	kr, kb := 0.2126, 0.0722
	if c.Primaries == "bt2020" {
		kr, kb = 0.2627, 0.0593
	}
	y := kr*rgb[0] + (1-kr-kb)*rgb[1] + kb*rgb[2]
	return [3]float64{y, (rgb[2] - y) / (2 * (1 - kb)), (rgb[0] - y) / (2 * (1 - kr))}
}

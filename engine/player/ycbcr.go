package player

import "candelua/engine/bench"

// matrix makes luma and chroma of red, green and blue: 10 bits, limited range.
//
//	E'Y = Kr E'R + (1-Kr-Kb) E'G + Kb E'B
//	E'Cb = (E'B - E'Y) / (2 (1-Kb))    E'Cr = (E'R - E'Y) / (2 (1-Kr))
//	D'Y = round((219 E'Y + 16) 4)      D'C = round((224 E'C + 128) 4)
//
// Source: Rec. ITU-R BT.709-6, items 3.2 to 3.5; BT.2020-2, tables 4 and 5; BT.2100-2, tables 6 and 9.
type matrix struct {
	chain  bench.Chain
	kr, kb float64
	code   int // matrix coefficients of Rec. ITU-T H.273, table 4
}

func matrixOf(s bench.Signal) matrix {
	m := matrix{bench.Chain{Range: "limited", Encoding: "ycbcr", Primaries: "bt709", Bits: videoBits}, 0.2126, 0.0722, 1}
	if s != bench.SDR {
		m.chain.Primaries, m.kr, m.kb, m.code = "bt2020", 0.2627, 0.0593, 9
	}
	return m
}

// videoBits are those of a video that televisions play.
const videoBits = 10

// codes are the nearest codes of a signal.
func (m matrix) codes(rgb [3]float64) [3]int { return m.chain.Codes(rgb) }

// signal is what codes stand for, 0 to 1: what lies outside by rounding is shown as the end of the range.
func (m matrix) signal(ycc [3]int) (rgb [3]float64) {
	y := (float64(ycc[0])/4 - 16) / 219
	cb, cr := (float64(ycc[1])/4-128)/224, (float64(ycc[2])/4-128)/224
	rgb[0] = y + 2*(1-m.kr)*cr
	rgb[2] = y + 2*(1-m.kb)*cb
	rgb[1] = (y - m.kr*rgb[0] - m.kb*rgb[2]) / (1 - m.kr - m.kb)
	for i := range rgb {
		rgb[i] = min(max(rgb[i], 0), 1)
	}
	return rgb
}

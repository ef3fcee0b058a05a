package player

import (
	"math"

	"candelua/colour"
	"candelua/engine/bench"
)

// lightOf is about how much light a signal is: for SDR a share of white with a gamma of 2.2, for PQ a share of 200 cd/m², for HLG a share of the
// light at the signal 0.75, whose level is that of diffuse white.
func lightOf(s bench.Signal, rgb [3]float64) float64 {
	shares, decode := colour.BT2020.LuminanceShares(), func(v float64) float64 { return colour.DecodePQ(v) / 200 }
	switch s {
	case bench.SDR:
		shares, decode = colour.BT709.LuminanceShares(), func(v float64) float64 { return math.Pow(v, 2.2) }
	case bench.HLG:
		decode = func(v float64) float64 { return colour.HLGDecodeScene(v) / colour.HLGDecodeScene(0.75) }
	}
	light := 0.0
	for i, v := range rgb {
		light += shares[i] * decode(v)
	}
	return light
}

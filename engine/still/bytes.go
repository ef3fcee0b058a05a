package still

import (
	"encoding/binary"
	"math"

	"candelua/colour"
)

func be16(b []byte, v uint16) []byte { return binary.BigEndian.AppendUint16(b, v) }
func be32(b []byte, v uint32) []byte { return binary.BigEndian.AppendUint32(b, v) }

// masteringColours are red, green, blue and white of BT.2020, in the order of the chunk mDCV.
var masteringColours = func() []colour.XY {
	p := colour.BT2020.Primaries()
	return append(p[:], colour.BT2020.White())
}()

func chromaticity(x float64) uint16 { return uint16(math.Round(x / 0.00002)) }

func luminance(nits float64) uint32 { return uint32(math.Round(math.Min(nits, 10000) / 0.0001)) }

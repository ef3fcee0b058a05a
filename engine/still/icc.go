package still

import (
	"math"
	"sync"

	"candelua/colour"
)

// displayP3 is an ICC profile of Display P3: the primaries of P3 with D65 and the curve of sRGB, as a matrix
// and a parametric curve. It is made of the published chromaticities.
//
// Source: [ICC1], 7 (structure), 8.4.3 (tags of a display profile with a matrix), 10 (types); [SRGB] for the
// curve. The white is adapted to the profile's D50 by the linearised Bradford matrix, [ICC1], annex E.
var displayP3 = sync.OnceValue(func() []byte {
	adapt := bradfordToD50(colour.D65)
	light := colour.P3D65.Matrix()
	columns := adapt.Mul(&light)
	curve := parametric()
	tags := []tag{
		{"desc", text("Display P3")}, {"cprt", text("no copyright, use freely")},
		{"wtpt", xyz(d50)}, {"chad", matrixTag(adapt)},
		{"rXYZ", xyz(column(columns, 0))}, {"gXYZ", xyz(column(columns, 1))}, {"bXYZ", xyz(column(columns, 2))},
		{"rTRC", curve}, {"gTRC", curve}, {"bTRC", curve},
	}
	return profile(tags)
})

// tag is an entry of a profile.
type tag struct {
	name string
	data []byte
}

// d50 is the white of the profile connection space.
//
// Source: [ICC1], 7.2.16.
var d50 = [3]float64{0.9642, 1, 0.8249}

// bradford turns XYZ to cone responses.
//
// Source: [ICC1], annex E.
var bradford = colour.Matrix{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}

// bradfordToD50 adapts tristimulus values from a white.
func bradfordToD50(white colour.XY) colour.Matrix {
	from := white.XYZ(1)
	have, want := bradford.MulVec([3]float64{from.X, from.Y, from.Z}), bradford.MulVec(d50)
	scaled := bradford
	for i := range scaled {
		for j := range scaled[i] {
			scaled[i][j] *= want[i] / have[i]
		}
	}
	back, err := bradford.Inverse()
	if err != nil {
		panic("still: " + err.Error()) // the matrix above
	}
	return back.Mul(&scaled)
}

func column(m colour.Matrix, j int) [3]float64 { return [3]float64{m[0][j], m[1][j], m[2][j]} }

// fixed is a number as s15Fixed16Number.
//
// Source: [ICC1], 4.6.
func fixed(b []byte, v float64) []byte { return be32(b, uint32(int32(math.Round(v*65536)))) }

func kind(signature string) []byte { return append([]byte(signature), 0, 0, 0, 0) }

func xyz(v [3]float64) []byte {
	b := kind("XYZ ")
	for _, x := range v {
		b = fixed(b, x)
	}
	return b
}

func matrixTag(m colour.Matrix) []byte {
	b := kind("sf32")
	for _, row := range m {
		for _, x := range row {
			b = fixed(b, x)
		}
	}
	return b
}

// parametric is the curve of sRGB, type 3: Y = (aX+b)^g for X ≥ d, else cX.
//
// Source: [ICC1], 10.16; [SRGB], 5.2.
func parametric() []byte {
	b := append(kind("para"), 0, 3, 0, 0)
	for _, v := range []float64{2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045} {
		b = fixed(b, v)
	}
	return b
}

// text is a multiLocalizedUnicode of one language.
//
// Source: [ICC1], 10.13.
func text(s string) []byte {
	const record, head = 12, 28
	b := be32(be32(kind("mluc"), 1), record)
	b = append(b, "enUS"...)
	b = be32(be32(b, uint32(2*len(s))), head)
	for _, r := range s { // ASCII alone
		b = be16(b, uint16(r))
	}
	return b
}

// profile puts tags behind a head and a table. Tags with the same data share it. There is no date of making
// other than that of the standard, so that the bytes are always the same.
//
// Source: [ICC1], 7.2 and 7.3.
func profile(tags []tag) []byte {
	const headBytes, entryBytes = 128, 12
	at := headBytes + 4 + entryBytes*len(tags)
	table := be32(nil, uint32(len(tags)))
	var data []byte
	places := map[string]int{}
	for _, t := range tags {
		place, shared := places[string(t.data)]
		if !shared {
			place = at + len(data)
			places[string(t.data)] = place
			data = append(data, t.data...)
			for len(data)%4 != 0 {
				data = append(data, 0)
			}
		}
		table = append(table, t.name...)
		table = be32(be32(table, uint32(place)), uint32(len(t.data)))
	}
	head := be32(nil, uint32(at+len(data)))
	head = append(be32(head, 0), 4, 0x30, 0, 0) // no preferred engine; version 4.3.0.0
	head = append(head, "mntrRGB XYZ "...)
	for _, v := range []uint16{2010, 12, 1, 0, 0, 0} {
		head = be16(head, v)
	}
	head = append(head, "acsp"...)
	head = append(head, make([]byte, 28)...) // platform, flags, device, attributes, perceptual intent
	for _, v := range d50 {
		head = fixed(head, v)
	}
	head = append(head, make([]byte, headBytes-len(head))...)
	return append(append(head, table...), data...)
}

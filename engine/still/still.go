package still

import (
	"fmt"

	"candelua/engine/bench"
	"candelua/engine/paint"
)

// Meaning says what the samples of an image stand for. Its text is the word for people and programs.
type Meaning string

// The meanings of samples.
const (
	SRGB      Meaning = "sRGB"       // gamma-coded, as plain codes are taken by most units
	DisplayP3 Meaning = "Display P3" // the sRGB curve on the primaries of P3 with D65
	PQ        Meaning = "PQ"         // SMPTE ST 2084 on the primaries of BT.2020
	HLG       Meaning = "HLG"        // hybrid log-gamma on the primaries of BT.2020
)

// coding is how a file states a meaning: the code points of colour primaries and transfer characteristics.
//
// Source: [H273], tables 2 and 3: primaries 1 is BT.709, 9 is BT.2020, 12 is P3 with D65; transfer 13 is the
// curve of sRGB, 16 is PQ, 18 is HLG.
type coding struct {
	primaries, transfer byte
	profile             func() []byte // an ICC profile for readers that know no code points; nil for none
	srgb                bool          // for such readers there is a chunk of its own
}

var codings = map[Meaning]coding{
	SRGB:      {primaries: 1, transfer: 13, srgb: true},
	DisplayP3: {primaries: 12, transfer: 13, profile: displayP3},
	PQ:        {primaries: 9, transfer: 16},
	HLG:       {primaries: 9, transfer: 18},
}

// The limits of a picture. A side is what decoders commonly take; the area bounds the time.
const (
	mostSide = 16384
	mostArea = 1 << 28
)

// Refused is a picture that cannot be written.
type Refused struct{ text string }

func (e *Refused) Error() string { return "the picture cannot be written: " + e.text }

func refuse(format string, args ...any) error { return &Refused{fmt.Sprintf(format, args...)} }

// check refuses a picture that is none: without a size, with rectangles outside of it or codes that its bits cannot hold.
func check(p paint.Picture) error {
	w, h := p.Size.Width, p.Size.Height
	switch {
	case w < 1 || h < 1 || w > mostSide || h > mostSide || w*h > mostArea:
		return refuse("its size is %d x %d; each side must be 1 to %d pixels, and the area at most %d", w, h, mostSide, mostArea)
	case p.Bits < 1 || p.Bits > 16:
		return refuse("it has %d bits; they must be 1 to 16", p.Bits)
	}
	for i, r := range p.Rects {
		if r.X < 0 || r.Y < 0 || r.W < 0 || r.H < 0 || r.X > w-r.W || r.Y > h-r.H {
			return refuse("rectangle %d, %d x %d at %d, %d, does not lie within %d x %d", i+1, r.W, r.H, r.X, r.Y, w, h)
		}
		for _, c := range r.Code {
			if c < 0 || c > 1<<p.Bits-1 {
				return refuse("rectangle %d has the code %d; with %d bits it must be 0 to %d", i+1, c, p.Bits, 1<<p.Bits-1)
			}
		}
	}
	return nil
}

// Sample is a code of some bits as it stands in a file: of 8 bits for up to 8, else of 16 bits.
//
//	sample = round(code · (2^n - 1) / (2^bits - 1))    n = 8 or 16
//
// It is exact for 8 and 16 bits, and tells all codes apart.
//
// Source: [PNG3], 12.4 (linear scaling of samples).
func Sample(code, bits int) (sample, of int) {
	of = 16
	if bits <= 8 {
		of = 8
	}
	from, to := 1<<bits-1, 1<<of-1
	return (2*code*to + from) / (2 * from), of
}

// metadata are the chunks that say what an HDR signal states of its content; nil for what it does not state.
//
// Source: [PNG3], mDCV and cLLI: chromaticities in units of 0.00002, luminances in units of 0.0001 cd/m². Primaries and
// white are those of BT.2020: the patch names no other. The lowest luminance is the lowest that can be stated, 0.0001 cd/m².
func metadata(m bench.Metadata) (mastering, light []byte) {
	if m.MasteringPeak > 0 {
		for _, xy := range masteringColours {
			mastering = be16(be16(mastering, chromaticity(xy.X)), chromaticity(xy.Y))
		}
		mastering = be32(be32(mastering, luminance(m.MasteringPeak)), 1)
	}
	if m.MaxCLL > 0 || m.MaxFALL > 0 {
		light = be32(be32(nil, luminance(m.MaxCLL)), luminance(m.MaxFALL))
	}
	return mastering, light
}

// MeaningOf is what the samples of a patch stand for.
func MeaningOf(p bench.Patch) (Meaning, error) {
	switch {
	case p.Signal == bench.SDR && p.Space == bench.Plain:
		return SRGB, nil
	case p.Signal == bench.SDR && p.Space == bench.DisplayP3:
		return DisplayP3, nil
	case p.Signal == bench.PQ && p.Space == bench.Plain:
		return PQ, nil
	case p.Signal == bench.HLG && p.Space == bench.Plain:
		return HLG, nil
	}
	return "", refuse("no still image says that its signal is %q in the space %q", p.Signal, p.Space)
}

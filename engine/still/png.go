package still

import (
	"hash/crc32"
	"io"
	"slices"

	"candelua/engine/bench"
	"candelua/engine/paint"
)

// signature begins each PNG file.
//
// Source: [PNG3], 5.2.
var signature = []byte{0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'}

// PNG writes a picture. Its samples stand for what the meaning says; m is what an HDR signal states of its
// content, which an SDR image leaves out. What no rectangle covers is black. The error is a [Refused] for a
// picture that is none, else the writer's.
//
// Source: [PNG3], 5.3 to 5.6 and 11.
func PNG(w io.Writer, p paint.Picture, what Meaning, m bench.Metadata) error {
	c, known := codings[what]
	if !known {
		return refuse("%q is no meaning of samples", what)
	}
	if err := check(p); err != nil {
		return err
	}
	_, depth := Sample(0, p.Bits)
	head := be32(be32(nil, uint32(p.Size.Width)), uint32(p.Size.Height))
	const truecolour = 2
	file := append(slices.Clone(signature), chunk("IHDR", append(head, byte(depth), truecolour, 0, 0, 0))...)
	const rgb, fullRange = 0, 1
	file = append(file, chunk("cICP", []byte{c.primaries, c.transfer, rgb, fullRange})...)
	if what == PQ || what == HLG {
		mastering, light := metadata(m)
		if mastering != nil {
			file = append(file, chunk("mDCV", mastering)...)
		}
		if light != nil {
			file = append(file, chunk("cLLI", light)...)
		}
	}
	const relativeColorimetric = 1
	if c.srgb {
		file = append(file, chunk("sRGB", []byte{relativeColorimetric})...)
	}
	if c.profile != nil {
		const deflate = 0
		name := append([]byte(what), 0, deflate)
		file = append(file, chunk("iCCP", append(name, compress([]stretch{{c.profile(), 1}})...))...)
	}
	file = append(file, chunk("IDAT", compress(scanlines(p)))...)
	_, err := w.Write(append(file, chunk("IEND", nil)...))
	return err
}

// chunk is a chunk with its length and its check.
//
// Source: [PNG3], 5.3.
func chunk(kind string, data []byte) []byte {
	b := append(be32(nil, uint32(len(data))), kind...)
	b = append(b, data...)
	return be32(b, crc32.ChecksumIEEE(b[4:]))
}

// The filters of a row.
//
// Source: [PNG3], 9.2.
const (
	filterSub = 1 // each byte less that of the pixel to the left
	filterUp  = 2 // less that of the pixel above
)

// scanlines are the filtered rows. The first row of those that are alike is written by its differences from
// pixel to pixel, the others by their differences from the row above, which are all 0.
func scanlines(p paint.Picture) []stretch {
	width := p.Size.Width * pixelBytes(p.Bits)
	same := make([]byte, 1+width)
	same[0] = filterUp
	var rows []stretch
	edges := bands(p)
	row := make([]byte, width)
	for i, y := range edges[:len(edges)-1] {
		paintRow(row, p, y)
		rows = append(rows, stretch{subtracted(row, pixelBytes(p.Bits)), 1})
		if more := edges[i+1] - y - 1; more > 0 {
			rows = append(rows, stretch{same, more})
		}
	}
	return rows
}

func pixelBytes(bits int) int {
	_, depth := Sample(0, bits)
	return 3 * depth / 8
}

// bands are the rows at which the picture may change from one row to the next, with both ends.
func bands(p paint.Picture) []int {
	edges := []int{0, p.Size.Height}
	for _, r := range p.Rects {
		edges = append(edges, r.Y, r.Y+r.H)
	}
	slices.Sort(edges)
	return slices.Compact(edges)
}

// paintRow paints the samples of row y. Later rectangles lie on earlier ones.
func paintRow(row []byte, p paint.Picture, y int) {
	clear(row)
	n := pixelBytes(p.Bits)
	for _, r := range p.Rects {
		if y < r.Y || y >= r.Y+r.H || r.W == 0 {
			continue
		}
		span := row[r.X*n : (r.X+r.W)*n]
		copy(span, pixel(r.Code, p.Bits))
		for done := n; done < len(span); done *= 2 {
			copy(span[done:], span[:done])
		}
	}
}

func pixel(code [3]int, bits int) (b []byte) {
	for _, c := range code {
		sample, depth := Sample(c, bits)
		if depth == 8 {
			b = append(b, byte(sample))
		} else {
			b = be16(b, uint16(sample))
		}
	}
	return b
}

func subtracted(row []byte, n int) []byte {
	out := make([]byte, 1, 1+len(row))
	out[0] = filterSub
	out = append(out, row...)
	for i := len(row) - 1; i >= n; i-- {
		out[1+i] -= row[i-n]
	}
	return out
}

package player

import (
	"encoding/binary"

	"candelua/engine/bench"
	"candelua/engine/paint"
)

// raster is a picture as the samples of a video: planes, the samples of each as two bytes, the lower first, or as one of 8 bits.
type raster struct {
	form  string // ffmpeg's name of the order of planes
	bytes []byte
}

// rasterOf paints the planes of a picture. Of a 4:2:0 video they are Y', and Cb and Cr of half the width and height; of a
// lossless one green, blue and red.
func (l Layout) rasterOf(p bench.Patch, pic paint.Picture) raster {
	sample := func(i int) func([3]int) int {
		return func(code [3]int) int { return l.samples(p, pic, code)[i] }
	}
	if l.Form == Video {
		b := plane(nil, pic, 1, 2, sample(0))
		b = plane(b, pic, 2, 2, sample(1))
		return raster{"yuv420p10le", plane(b, pic, 2, 2, sample(2))}
	}
	bits := fileBits(l.Form, pic.Bits)
	form, size := map[int]string{8: "gbrp", 10: "gbrp10le", 12: "gbrp12le"}[bits], 2
	if bits == 8 {
		size = 1
	}
	var b []byte
	for _, channel := range []int{1, 2, 0} {
		b = plane(b, pic, 1, size, sample(channel))
	}
	return raster{form, b}
}

// plane appends the samples of one plane, of which each stands for by x by pixels.
func plane(b []byte, pic paint.Picture, by, size int, sample func([3]int) int) []byte {
	w, h := pic.Size.Width/by, pic.Size.Height/by
	at := len(b)
	b = append(b, make([]byte, w*h*size)...)
	out := b[at:]
	for _, r := range pic.Rects {
		x, y, rw, rh := r.X/by, r.Y/by, r.W/by, r.H/by
		if rw == 0 || rh == 0 {
			continue
		}
		row := out[(y*w+x)*size : (y*w+x+rw)*size]
		fill := sample(r.Code)
		if size == 1 {
			row[0] = byte(fill)
		} else {
			binary.LittleEndian.PutUint16(row, uint16(fill))
		}
		for done := size; done < len(row); done *= 2 {
			copy(row[done:], row[:done])
		}
		for i := 1; i < rh; i++ {
			copy(out[((y+i)*w+x)*size:], row)
		}
	}
	return b
}

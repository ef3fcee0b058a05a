package player

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"

	"candelua/engine/bench"
	"candelua/engine/paint"
	"candelua/engine/still"
)

// Form is what kind of file a patch is written as.
type Form string

// The forms of files.
const (
	Stills   Form = "png"      // a still image
	Video    Form = "video"    // HEVC 10 bits, 4:2:0, limited range: what televisions play
	Lossless Form = "lossless" // HEVC of red, green and blue, 4:4:4, full range: what some computers play
)

// Codes that a signal is rounded to where a patch states no bits: 8 are what SDR stills have; HDR needs 10, and a video has them.
const (
	bitsSDR = 8
	bitsHDR = 10
)

// Layout is how patches become files: for which screen, and in which form.
type Layout struct {
	Form   Form         `json:"form"`
	Width  int          `json:"width"` // pixels
	Height int          `json:"height"`
	Avoid  []bench.Zone `json:"avoid,omitempty"`
}

// smallestVideo is the least side that the coder takes, in pixels.
const smallestVideo = 16

// check refuses a screen that the form cannot fill.
func (l Layout) check() error {
	switch {
	case l.Width < 1 || l.Height < 1 || l.Width > 16384 || l.Height > 16384:
		return bench.Errorf(bench.CodeUnsupported, "state it as in --size 3840x2160", "the size is %d x %d pixels; each side must be 1 to 16384", l.Width, l.Height)
	case l.Form != Stills && min(l.Width, l.Height) < smallestVideo:
		return bench.Errorf(bench.CodeUnsupported, "give the size of the unit's screen", "the size is %d x %d pixels; a video has at least %d each way", l.Width, l.Height, smallestVideo)
	case l.Form == Video && (l.Width%2 != 0 || l.Height%2 != 0):
		return bench.Errorf(bench.CodeUnsupported, "give an even size, write stills, or use --lossless", "the size is %d x %d pixels; a video of 4:2:0 has even sides", l.Width, l.Height)
	}
	return nil
}

// picture lays a patch out. A picture of a 4:2:0 video is laid out on half the size, and doubled.
func (l Layout) picture(p bench.Patch) (paint.Picture, error) {
	bits := p.Bits
	if bits == 0 {
		bits = bitsHDR
		if p.Signal == bench.SDR && l.Form == Stills {
			bits = bitsSDR
		}
	}
	scale := 1
	if l.Form == Video {
		scale = 2
	}
	pic, err := paint.Of(p, paint.Screen{Size: paint.Size{Width: l.Width / scale, Height: l.Height / scale}, Bits: bits, Avoid: l.Avoid})
	if err != nil {
		return pic, err
	}
	pic.Size = paint.Size{Width: l.Width, Height: l.Height}
	for i := range pic.Rects {
		r := &pic.Rects[i]
		r.X, r.Y, r.W, r.H = r.X*scale, r.Y*scale, r.W*scale, r.H*scale
	}
	return pic, nil
}

// keyOf tells pictures apart: by the samples of their files, and by what these stand for.
func (l Layout) keyOf(p bench.Patch, pic paint.Picture) string {
	bits := fileBits(l.Form, pic.Bits)
	rects := slices.Clone(pic.Rects)
	for i, r := range rects {
		rects[i].Code = l.samples(p, pic, r.Code)
	}
	sum := sha256.New()
	_ = json.NewEncoder(sum).Encode([]any{p.Signal, p.Space, p.Metadata, pic.Size, bits, rects}) // numbers and words alone
	return hex.EncodeToString(sum.Sum(nil)[:16])
}

// samples are the samples of a file for a code of red, green and blue: those of a 4:2:0 video are Y', Cb and Cr.
func (l Layout) samples(p bench.Patch, pic paint.Picture, code [3]int) [3]int {
	if l.Form == Video {
		top := float64(int(1)<<pic.Bits - 1)
		return matrixOf(p.Signal).codes([3]float64{float64(code[0]) / top, float64(code[1]) / top, float64(code[2]) / top})
	}
	bits := fileBits(l.Form, pic.Bits)
	for i, c := range code {
		code[i] = scaled(c, pic.Bits, bits)
	}
	return code
}

// fileBits are those of the samples of a file, for codes of some bits.
func fileBits(f Form, bits int) int {
	switch {
	case f == Video:
		return videoBits
	case bits <= 8:
		return 8
	case f == Stills:
		return 16
	case bits <= 10:
		return 10
	}
	return 12
}

// scaled is a code of some bits in more: round(code · (2^to - 1) / (2^from - 1)).
func scaled(code, from, to int) int {
	return (2*code*(1<<to-1) + (1<<from - 1)) / (2 * (1<<from - 1))
}

// meaning refuses what a form cannot say.
func (l Layout) meaning(p bench.Patch) (still.Meaning, error) {
	m, err := still.MeaningOf(p)
	if err == nil && m == still.DisplayP3 && l.Form != Stills {
		return m, bench.Errorf(bench.CodeUnsupported, "write it as a still, without --video", "a video of these does not say that its colours are those of Display P3")
	}
	if err == nil && l.Form == Lossless && p.Bits > 12 {
		return m, bench.Errorf(bench.CodeUnsupported, "write it as a still, without --lossless", "the patch has %d bits; a lossless video has 12 at most", p.Bits)
	}
	if err != nil {
		return m, bench.Errorf(bench.CodeUnsupported, "", "%w", err)
	}
	return m, nil
}

// code is the code of the patch's own colour.
func code(pic paint.Picture) (codes [3]int) {
	top := float64(int(1)<<pic.Bits - 1)
	for i, v := range pic.RGB {
		codes[i] = int(v*top + 0.5)
	}
	return codes
}

// name is the file's name: its number, so that players list files in order, and what it shows.
func name(number, digits int, p bench.Patch, pic paint.Picture, form Form) string {
	c := code(pic)
	colour := fmt.Sprintf("%d-%d-%d", c[0], c[1], c[2])
	what := string(p.Pattern.Kind)
	if p.Pattern.Kind == bench.Window {
		what = "full"
		if p.Window < 100 {
			what = fmt.Sprintf("window-%.4g", p.Window)
		}
	}
	ending := "png"
	if form != Stills {
		ending = "mp4"
	}
	signal := string(p.Signal)
	if p.Space != bench.Plain {
		signal = string(p.Space)
	}
	return fmt.Sprintf("%0*d-%s-%s-%s.%s", digits, number, signal, what, colour, ending)
}

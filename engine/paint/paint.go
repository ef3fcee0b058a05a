// Package paint says what a patch is in whole pixels: the rectangles that fill the screen, and the code values
// of each. It is the one layout that pages, still images and videos have in common. Nothing here is
// random, dithered or smoothed, and nothing touches the world: the same patch on the same screen is always the same picture.
//
// # Windows
//
// The window of a share s of the screen is the rectangle of whole pixels whose area is nearest to that share, among those
// whose sides are next to √s of the screen's; so it has the screen's shape to within a pixel, and at least one pixel. Its centre is
// at the patch's place; where it would reach over an edge it is moved inside. Places are the screen's: the
// pixel i covers i/width to (i+1)/width.
//
// # Zones
//
// A window keeps clear of the zones of [Screen.Avoid]. It is moved by the least distance that clears it of all. Where none
// does, because the window is too large for the free part of the screen, it stays where it was asked for and [Picture.Covers] names
// what it covers; but the middle of the window, where a meter looks, must be clear, else the patch is refused. The full screen and
// patterns cover everything, and nothing is refused of them.
//
// # Codes
//
// A signal v is the code round(v·(2^bits − 1)), full range. Bits are those of the screen, or of the patch where the screen states
// none, or 8. A patch that states fewer bits than the screen is rounded to its own first; one that states more is refused.
package paint

import (
	"math"

	"candelua/engine/bench"
)

// Size is that of a screen, in pixels.
type Size struct{ Width, Height int }

// Rect is a rectangle of whole pixels from the left and the top, and its code values of red, green and blue.
type Rect struct {
	X, Y, W, H int
	Code       [3]int
}

// Picture is a patch in whole pixels.
type Picture struct {
	Size  Size
	Bits  int    // of the codes
	Rects []Rect // the first covers the whole screen; later ones lie on it, and never on each other
	// Area is the true share of the screen that has the patch's own colour, %: of the window; of a
	// checkerboard's fields; of all but the background of a ladder; 100 of ramps and steps.
	Area float64
	// RGB is the signal of the patch's own colour as its codes say it.
	RGB [3]float64
	// At is the true centre of the window, or of the checkerboard's field in which the patch's place lies.
	At     [2]float64
	Moved  bool     // the window was moved to keep clear of a zone
	Covers []string // zones that a window covers, since there is no place where it would not
}

// Screen is what a patch is painted on.
type Screen struct {
	Size  Size
	Bits  int // 0: those of the patch, or 8
	Avoid []bench.Zone
}

// largest bounds the sides of a screen, so that areas are exact.
const largest = 1 << 16

// Of lays a patch out on a screen. It fails, with a [bench.Error] of code "unsupported", for a screen of less than one
// pixel, a patch that nobody can show, one of more bits than the screen, and a window whose middle lies in a zone
// and that cannot be moved out of it.
func Of(p bench.Patch, s Screen) (Picture, error) {
	if err := check(p, s); err != nil {
		return Picture{}, err
	}
	c := coder{own: p.Bits, bits: s.Bits}
	if c.bits == 0 {
		c.bits = p.Bits
	}
	if c.bits == 0 {
		c.bits = 8
	}
	pic := Picture{Size: s.Size, Bits: c.bits, RGB: c.signal(c.code(p.RGB)), Area: 100, At: p.At}
	pic.Rects = []Rect{{W: s.Size.Width, H: s.Size.Height, Code: c.code(p.Background)}}
	if err := pic.fill(p, c, s.Avoid); err != nil {
		return Picture{}, err
	}
	return pic, nil
}

// fill lays what is not background on it.
func (pic *Picture) fill(p bench.Patch, c coder, avoid []bench.Zone) error {
	switch p.Pattern.Kind {
	case bench.Checkerboard:
		return pic.checkerboard(p, c)
	case bench.Ramp:
		pic.ramp(p, c)
		return nil
	case bench.Steps:
		return pic.steps(p, c)
	case bench.Ladder:
		return pic.ladder(p, c)
	}
	return pic.window(p, c, avoid)
}

func check(p bench.Patch, s Screen) error {
	switch w, h := s.Size.Width, s.Size.Height; {
	case w < 1 || h < 1 || w > largest || h > largest:
		return refuse("", "the screen has %d by %d pixels; it must have 1 to %d each way", w, h, largest)
	case s.Bits < 0 || s.Bits > 16 || p.Bits < 0 || p.Bits > 16:
		return refuse("", "bits are %d for the screen and %d for the patch; they must be 0 to 16", s.Bits, p.Bits)
	case s.Bits > 0 && p.Bits > s.Bits:
		return refuse("leave bits out, or use a source of more bits", "the patch has %d bits, and this source shows %d", p.Bits, s.Bits)
	case p.Pattern.Kind == bench.Window && !(p.Window > 0 && p.Window <= 100):
		return refuse("", "the window is %v %%; it must be more than 0 and at most 100 %%", p.Window)
	}
	for _, list := range [][3]float64{p.RGB, p.Background, {p.At[0], p.At[1]}} {
		for _, v := range list {
			if !(v >= 0 && v <= 1) {
				return refuse("", "a signal or a place is %v; it must be 0 to 1", v)
			}
		}
	}
	return p.Pattern.Check()
}

func refuse(hint, format string, args ...any) error {
	return bench.Errorf(bench.CodeUnsupported, hint, format, args...)
}

// coder makes codes of signals.
type coder struct{ own, bits int }

func (c coder) code(rgb [3]float64) (codes [3]int) {
	for i, v := range rgb {
		if c.own > 0 {
			v = rounded(v, c.own)
		}
		codes[i] = int(math.Round(v * top(c.bits)))
	}
	return codes
}

func (c coder) signal(codes [3]int) (rgb [3]float64) {
	for i, n := range codes {
		rgb[i] = float64(n) / top(c.bits)
	}
	return rgb
}

func top(bits int) float64 { return math.Ldexp(1, bits) - 1 }

func rounded(v float64, bits int) float64 { return math.Round(v*top(bits)) / top(bits) }

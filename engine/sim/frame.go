package sim

import (
	"fmt"
	"math"
	"time"

	"candelua/engine/bench"
)

// frame is what the panel is asked to show, before any phenomenon.
type frame struct {
	window [subpixels]float64 // drive of the window, cd/m² above black
	back   [subpixels]float64 // and of what is around it
	rect   rect               // the window, or what of a pattern has its own colour where a meter looks
	middle [2]float64         // where a meter looks that is not placed
	fields []field            // of a pattern: what covers the screen; nil for a window
	area   float64            // the window's share of the screen, %, in whole pixels
	load   load
}

// field is a part of a pattern, and its drive. The first covers the whole screen, and others lie on it.
type field struct {
	rect  rect
	drive [subpixels]float64
}

// driveAt is the drive that a place of the screen has, and the part of the screen around it that has the same.
func (f *frame) driveAt(at [2]float64) (rect, [subpixels]float64) {
	if f.fields == nil {
		if f.rect.contains(at) {
			return f.rect, f.window
		}
		return f.rect, f.back
	}
	for i := len(f.fields) - 1; i > 0; i-- {
		if f.fields[i].rect.contains(at) {
			return f.fields[i].rect, f.fields[i].drive
		}
	}
	return f.fields[0].rect, f.fields[0].drive
}

// load is what the whole frame asks of the panel.
type load struct {
	// drive is the mean drive over screen and primaries, 1 being the whole
	// screen at full drive.
	drive float64
	// content numbers what is shown; another number is other content.
	content int
	asleep  bool // the unit's screen is off
}

// never is a time that does not come.
const never = time.Duration(math.MaxInt64)

// rect is a part of the screen, from 0 to 1 from the left and the top.
type rect struct{ left, top, right, bottom float64 }

func (r rect) contains(at [2]float64) bool {
	return at[0] >= r.left && at[0] <= r.right && at[1] >= r.top && at[1] <= r.bottom
}

func (r rect) middle() [2]float64 { return [2]float64{(r.left + r.right) / 2, (r.top + r.bottom) / 2} }

// shared returns the area that two parts of the screen share.
func (r rect) shared(o rect) float64 {
	width := min(r.right, o.right) - max(r.left, o.left)
	height := min(r.bottom, o.bottom) - max(r.top, o.top)
	return max(0, width) * max(0, height)
}

// checkPatch refuses a patch that cannot be shown.
func checkPatch(p bench.Patch) error {
	if p.Signal != bench.SDR && p.Signal != bench.PQ && p.Signal != bench.HLG {
		return fmt.Errorf("patch: signal is %q; it must be %q, %q or %q", p.Signal, bench.SDR, bench.PQ, bench.HLG)
	}
	if err := p.Pattern.Check(); err != nil {
		return fmt.Errorf("patch: %w", err)
	}
	if p.Space != bench.Plain && (p.Space != bench.DisplayP3 || p.Signal != bench.SDR) {
		return fmt.Errorf("patch: space is %q with signal %q; it must be %q, or %q with signal %q", p.Space, p.Signal, bench.Plain, bench.DisplayP3, bench.SDR)
	}
	for _, rgb := range [][3]float64{p.RGB, p.Background} {
		for _, v := range rgb {
			if !(v >= 0 && v <= 1) {
				return fmt.Errorf("patch: a signal is %v; it must be 0 to 1", v)
			}
		}
	}
	if !(p.Window > 0 && p.Window <= 100) {
		return fmt.Errorf("patch: window is %v %%; it must be more than 0 and at most 100 %%", p.Window)
	}
	if p.Bits < 0 || p.Bits > 16 {
		return fmt.Errorf("patch: bits is %d; it must be 0 to 16", p.Bits)
	}
	for _, v := range p.At {
		if !(v >= 0 && v <= 1) {
			return fmt.Errorf("patch: at has %v; it must be two numbers from 0 to 1", v)
		}
	}
	return nil
}

// frameOf returns what a patch asks for with the controls as they stand and a
// further factor on light. The window has the screen's shape and covers whole
// pixels; the mean over the screen weighs window and background by that true
// area.
func (w *World) frameOf(p bench.Patch, controls []control, factor float64) frame {
	f := frame{rect: w.windowOf(p), area: w.area(p)}
	f.middle = f.rect.middle()
	if p.Signal != bench.SDR {
		factor = min(factor, 1)
	}
	factor *= lightFactor(controls)
	gains := gainsOf(controls)
	if p.Pattern.Kind != bench.Window {
		w.patternOf(&f, &p, factor, gains)
		return f
	}
	window, back := w.tone.drive(p.RGB, &p), w.tone.drive(p.Background, &p)
	share := f.area / 100
	for i := range window {
		window[i] = factor * min(gains[i]*window[i], w.tone.most(p.Signal))
		back[i] = factor * min(gains[i]*back[i], w.tone.most(p.Signal))
		f.load.drive += (share*window[i] + (1-share)*back[i]) / (3 * w.fullDrive)
	}
	f.window, f.back = w.panel.split(window), w.panel.split(back)
	return f
}

// windowOf returns the part of the screen that a window covers: of the screen's
// shape, in whole pixels, at least one, and moved so far from At that all of it
// is on the screen.
func (w *World) windowOf(p bench.Patch) rect {
	s := w.params.Screen
	side := math.Sqrt(p.Window / 100)
	span := func(pixels int, at float64) (from, to float64) {
		all := float64(pixels)
		size := max(1, math.Round(side*all))
		from = min(max(math.Round(at*all-size/2), 0), all-size)
		return from / all, (from + size) / all
	}
	var r rect
	r.left, r.right = span(s.Width, p.At[0])
	r.top, r.bottom = span(s.Height, p.At[1])
	return r
}

// area returns the share of the screen, in %, that a patch's window covers.
func (w *World) area(p bench.Patch) float64 {
	s := w.params.Screen
	if p.Pattern.Kind != bench.Window {
		pic, _ := w.painted(&p)
		return pic.Area
	}
	side := math.Sqrt(p.Window / 100)
	width := max(1, math.Round(side*float64(s.Width)))
	height := max(1, math.Round(side*float64(s.Height)))
	return 100 * width * height / float64(s.Width*s.Height)
}

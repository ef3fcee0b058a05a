package sim

import (
	"fmt"
	"math"

	"candelua/engine/bench"
)

// frame is what the panel is asked to show, before any phenomenon.
type frame struct {
	window [3]float64 // drive of the window, cd/m² above black
	area   float64    // the window's share of the screen, %, in whole pixels
	load   load
}

// load is what the whole frame asks of the panel.
type load struct {
	// drive is the mean drive over screen and primaries, 1 being the whole
	// screen at full drive.
	drive float64
}

// checkPatch refuses a patch that cannot be shown.
func checkPatch(p bench.Patch) error {
	if p.Signal != bench.SDR && p.Signal != bench.PQ {
		return fmt.Errorf("patch: signal is %q, want %q or %q", p.Signal, bench.SDR, bench.PQ)
	}
	for _, rgb := range [][3]float64{p.RGB, p.Background} {
		for _, v := range rgb {
			if !(v >= 0 && v <= 1) {
				return fmt.Errorf("patch: a signal is %v, want 0 to 1", v)
			}
		}
	}
	if !(p.Window > 0 && p.Window <= 100) {
		return fmt.Errorf("patch: window is %v %%, want above 0 to 100 %%", p.Window)
	}
	if p.Bits < 0 || p.Bits > 16 {
		return fmt.Errorf("patch: bits is %d, want 0 to 16", p.Bits)
	}
	return nil
}

// frameOf returns what a patch asks for with the controls' factor on light. The
// window has the screen's shape and covers whole pixels; the mean over the
// screen weighs window and background by that true area.
func (w *World) frameOf(p bench.Patch, factor float64) frame {
	f := frame{area: w.area(p.Window)}
	f.window = w.tone.drive(p.RGB, p.Signal, p.Bits)
	back := w.tone.drive(p.Background, p.Signal, p.Bits)
	share := f.area / 100
	for i := range f.window {
		f.window[i] *= factor
		f.load.drive += (share*f.window[i] + (1-share)*back[i]*factor) / (3 * w.fullDrive)
	}
	return f
}

// area returns the share of the screen, in %, that a window of the screen's
// shape covers in whole pixels, at least one.
func (w *World) area(window float64) float64 {
	s := w.params.Screen
	side := math.Sqrt(window / 100)
	width := max(1, math.Round(side*float64(s.Width)))
	height := max(1, math.Round(side*float64(s.Height)))
	return 100 * width * height / float64(s.Width*s.Height)
}

package sim

import (
	"candelua/engine/bench"
	"candelua/engine/paint"
)

// painted lays a pattern out on the screen's pixels, as every source does ([paint.Of]). It fails for a pattern that has more
// parts than the screen has pixels.
func (w *World) painted(p *bench.Patch) (paint.Picture, error) {
	s := w.params.Screen
	return paint.Of(*p, paint.Screen{Size: paint.Size{Width: s.Width, Height: s.Height}, Bits: 16})
}

// patternOf makes a frame's fields of a pattern. The panel is driven as a window of each field would drive it; the mean over the
// screen, which power limiting goes by, weighs each by its true area.
func (w *World) patternOf(f *frame, p *bench.Patch, factor float64, gains [3]float64) {
	pic, err := w.painted(p)
	if err != nil {
		return // refused before it is shown, see source.fits
	}
	width, height := float64(pic.Size.Width), float64(pic.Size.Height)
	covered := 0.0
	var whole float64 // the load of the first field, were it alone
	for i, r := range pic.Rects {
		one := field{rect: rect{float64(r.X) / width, float64(r.Y) / height, float64(r.X+r.W) / width, float64(r.Y+r.H) / height}}
		var load float64
		one.drive, load = w.driven(w.signalOf(p, pic, i), p, factor, gains)
		f.fields = append(f.fields, one)
		share := float64(r.W*r.H) / (width * height)
		if i == 0 {
			whole = load
			continue
		}
		covered += share
		f.load.drive += share * load
	}
	f.load.drive += (1 - covered) * whole
	f.area, f.middle = pic.Area, p.Middle()
	f.rect, f.window = f.driveAt(f.middle)
	f.back = f.fields[0].drive
}

// signalOf is the signal of a rectangle of a pattern, before it is rounded to the codes of the signal.
func (w *World) signalOf(p *bench.Patch, pic paint.Picture, i int) (rgb [3]float64) {
	switch {
	case i == 0:
		return p.Background
	case p.Pattern.Kind == bench.Checkerboard:
		return p.RGB
	case p.Pattern.Kind != bench.Ramp:
		return p.Level(i-1, p.Pattern.Count)
	}
	for k, code := range pic.Rects[i].Code {
		rgb[k] = float64(code) / 65535
	}
	return rgb
}

// driven is what a colour of a patch makes of the subpixels, and its mean drive as a share of full drive.
func (w *World) driven(rgb [3]float64, p *bench.Patch, factor float64, gains [3]float64) (all [subpixels]float64, load float64) {
	drive := w.tone.drive(rgb, p)
	for i := range drive {
		drive[i] = factor * min(gains[i]*drive[i], w.tone.most(p.Signal))
		load += drive[i] / (3 * w.fullDrive)
	}
	return w.panel.split(drive), load
}

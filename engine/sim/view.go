package sim

import "math"

// view is how a meter looks at the screen.
type view struct {
	at         [2]float64         // the place
	field      float64            // what is seen around it, % of the screen
	window     float64            // share of the field that the window fills
	back       float64            // and the background
	mean       [subpixels]float64 // of a pattern: the drive over the field; window is what of it is as at the place
	factors    [subpixels]float64 // of angle and place
	horizontal float64            // degrees
	vertical   float64
}

// factor is the factor on a primary's light at a place. Model of our own:
// with ξ = |2x − 1|ⁿ and η = |2y − 1|ⁿ, 0 in the middle and 1 at the edges,
//
//	g_i = (1 − dim_x·ξ)·(1 − dim_y·η)·(1 + c_i·ξ)
//
// A white subpixel has no colour of its own.
func (p *EdgeParams) factor(at [2]float64, primary int) float64 {
	x, y := math.Pow(math.Abs(2*at[0]-1), p.Power), math.Pow(math.Abs(2*at[1]-1), p.Power)
	g := (1 - p.Dim[0]/100*x) * (1 - p.Dim[1]/100*y)
	if primary < subWhite {
		g *= 1 + p.Colour[primary]/100*x
	}
	return g
}

// factor is the factor on a primary's light off the axis. Model of our own: at
// an angle θ from straight on,
//
//	g_i = max(0, 1 + (c_i − dim)·2·(1 − cos θ))    cos θ = cos h · cos v
//
// so that dim and c_i are what 60 degrees show.
func (p *AngleParams) factor(horizontal, vertical float64, primary int) float64 {
	away := 2 * (1 - math.Cos(horizontal*math.Pi/180)*math.Cos(vertical*math.Pi/180))
	change := -p.Dim
	if primary < subWhite {
		change += p.Colour[primary]
	}
	return math.Max(0, 1+change/100*away)
}

// viewOf returns how a meter with a field sees the present frame, from a place
// and an angle. The field has the screen's shape; what of it lies beyond the
// screen is dark.
func (w *World) viewOf(at [2]float64, field, horizontal, vertical float64) view {
	v := view{at: at, field: field, horizontal: horizontal, vertical: vertical}
	switch {
	case w.frame.fields != nil:
		w.viewPattern(&v)
	case field == 0:
		if v.window = 0; w.frame.rect.contains(at) {
			v.window = 1
		}
		v.back = 1 - v.window
	default:
		half := math.Sqrt(field/100) / 2
		seen := rect{at[0] - half, at[1] - half, at[0] + half, at[1] + half}
		all := seen.shared(seen)
		v.window = seen.shared(w.frame.rect) / all
		v.back = max(0, seen.shared(rect{0, 0, 1, 1})/all-v.window)
	}
	// The rounding of areas is no background.
	if v.window > 1-1e-12 {
		v.window, v.back = 1, 0
	}
	for i := range v.factors {
		v.factors[i] = w.params.Edge.factor(at, i) * w.params.Angle.factor(horizontal, vertical, i)
	}
	return v
}

// viewPattern is how a meter with a field sees a pattern: the mean of what its field covers.
func (w *World) viewPattern(v *view) {
	own, drive := w.frame.driveAt(v.at)
	if v.field == 0 {
		v.window, v.mean = 1, drive
		return
	}
	half := math.Sqrt(v.field/100) / 2
	seen := rect{v.at[0] - half, v.at[1] - half, v.at[0] + half, v.at[1] + half}
	all := seen.shared(seen)
	left := seen.shared(rect{0, 0, 1, 1}) / all
	v.window, v.back = 0, left
	for i, f := range w.frame.fields {
		share := seen.shared(f.rect) / all
		if i == 0 || share == 0 {
			continue
		}
		left -= share
		for k, d := range f.drive {
			v.mean[k] += share * d
		}
		if f.rect == own {
			v.window = share
		}
	}
	left = max(0, left)
	for k, d := range w.frame.fields[0].drive {
		v.mean[k] += left * d
	}
	if own == w.frame.fields[0].rect {
		v.window = left
	}
	v.back -= v.window
}

package sim

import (
	"candelua/colour"
	"candelua/engine/bench"
)

// look is how a truth is looked at: straight on, at the middle of the window
// and in the dark unless it says otherwise.
type look struct {
	at                   *[2]float64        // place, 0 to 1 from the left and the top
	horizontal, vertical float64            // degrees off the axis
	lamps                map[string]float64 // levels in percent; nil: dark, without stray light
}

// TruthXYZ returns the tristimulus values, in cd/m², that an ideal meter would
// read of a patch on a warm panel, after everything has settled. Noise, latency and
// what was shown before have no effect: there is no retention, and no dimming of
// static content or by heat. The controls are in the positions that give most light,
// and brightness does not follow the room, unless the settings state something else.
//
// It fails if the patch cannot be shown or a setting cannot be set.
func (w *World) TruthXYZ(p bench.Patch, settings ...bench.Setting) (colour.XYZ, error) {
	return w.truthSeen(p, look{}, settings...)
}

// truthLuminance returns the Y of [World.TruthXYZ].
func (w *World) truthLuminance(p bench.Patch, settings ...bench.Setting) (float64, error) {
	c, err := w.TruthXYZ(p, settings...)
	return c.Y, err
}

// truthSeen is [World.TruthXYZ] from elsewhere, off the axis or in a lit room.
// It also fails where there is no such lamp.
func (w *World) truthSeen(p bench.Patch, look look, settings ...bench.Setting) (colour.XYZ, error) {
	a, err := w.truthAmounts(p, look, settings)
	if err != nil {
		return colour.XYZ{}, err
	}
	return w.panel.xyzOf(a), nil
}

// truthAmounts returns the steady light of the window, or of the background
// where the look is at that.
func (w *World) truthAmounts(p bench.Patch, look look, settings []bench.Setting) (a amounts, err error) {
	if err := w.fits(p); err != nil {
		return a, err
	}
	lux, sensor, err := w.truthLux(look.lamps)
	if err != nil {
		return a, err
	}
	controls, err := w.truthControls(settings)
	if err != nil {
		return a, err
	}
	follows := followsRoom(controls, w.params.Adaptive.Control)
	f := w.frameOf(p, controls, w.adaptive.settled(follows, sensor))
	at, drive := f.middle, f.window
	if look.at != nil {
		at = *look.at
		_, drive = f.driveAt(at)
	}
	for i := range drive {
		a[i] = drive[i] * w.params.Edge.factor(at, i) * w.params.Angle.factor(look.horizontal, look.vertical, i)
		for _, ph := range w.phenomena {
			a[i] *= ph.steady(f.load, i)
		}
	}
	a[lightBlack] = w.params.Light.Black
	a[lightRoom] = w.room.reflected(lux)
	return a, nil
}

// truthLux returns the illuminance of screen and ambient sensor with warm lamps
// at these levels.
func (w *World) truthLux(lamps map[string]float64) (screen, sensor float64, err error) {
	sensor = w.params.Room.Stray
	if lamps != nil {
		screen = w.params.Room.Stray
	}
	for name := range lamps {
		if _, err := w.room.find(name); err != nil {
			return 0, 0, err
		}
	}
	for i := range w.room.lamps { // in order, so that sums are always the same
		p := &w.room.lamps[i].p
		screen += p.Lux * lamps[p.Name] / 100
		sensor += p.Sensor * lamps[p.Name] / 100
	}
	return screen, sensor * (1 - w.params.Meter.Shade/100), nil
}

// truthControls returns the controls where they give most light, or where the
// settings say.
func (w *World) truthControls(settings []bench.Setting) ([]control, error) {
	controls := make([]control, len(w.controls))
	for i := range w.controls {
		controls[i].p = w.controls[i].p
		controls[i].at = controls[i].brightest(w.params.Adaptive.Control)
	}
	for _, s := range settings {
		c, err := find(controls, s.Name)
		if err != nil {
			return nil, err
		}
		if c.at, err = c.position(s.Value); err != nil {
			return nil, err
		}
	}
	return controls, nil
}

// brightest returns the position that gives most light; for what follows the
// room that is off, and for one with gains their zero.
func (c *control) brightest(adaptive string) (at float64) {
	f := c.p.Factors
	switch {
	case len(c.p.Values) > 0:
		for i, word := range c.p.Values {
			if c.p.is(adaptive) && word == "off" {
				return float64(i)
			}
			if len(f) > 0 && f[i] > f[int(at)] {
				at = float64(i)
			}
		}
		return at
	case c.p.Gains != [3]float64{}:
		return min(max(0, c.p.Min), c.p.Max)
	case len(f) == 2 && f[0] > f[1]:
		return c.p.Min
	}
	return c.p.Max
}

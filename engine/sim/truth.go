package sim

import (
	"candelua/colour"
	"candelua/engine/bench"
)

// TruthXYZ returns the tristimulus values, in cd/m², that an ideal meter would
// read of a patch which has been shown until all has settled, on a warm panel.
// Noise, latency and history play no part. The controls stand where they give
// most light, but for those that the settings name.
//
// It fails where the patch cannot be shown or a setting not be set.
func (w *World) TruthXYZ(p bench.Patch, settings ...bench.Setting) (colour.XYZ, error) {
	d, err := w.truthDrive(p, settings)
	if err != nil {
		return colour.XYZ{}, err
	}
	light := w.panel.light(w.params.Light.Black, d)
	return w.observer.xyz(&light), nil
}

// TruthLuminance returns the Y of [World.TruthXYZ].
func (w *World) TruthLuminance(p bench.Patch, settings ...bench.Setting) (float64, error) {
	c, err := w.TruthXYZ(p, settings...)
	return c.Y, err
}

// truthDrive returns the steady drive of the window's primaries.
func (w *World) truthDrive(p bench.Patch, settings []bench.Setting) (d [3]float64, err error) {
	if err := checkPatch(p); err != nil {
		return d, err
	}
	factor, err := w.truthFactor(settings)
	if err != nil {
		return d, err
	}
	f := w.frameOf(p, factor)
	for i := range d {
		d[i] = f.window[i]
		for _, ph := range w.phenomena {
			d[i] *= ph.steady(f.load, i)
		}
	}
	return d, nil
}

// truthFactor returns the controls' factor on light.
func (w *World) truthFactor(settings []bench.Setting) (float64, error) {
	controls := make([]control, len(w.controls))
	for i := range w.controls {
		controls[i].p = w.controls[i].p
		controls[i].at = controls[i].brightest()
	}
	for _, s := range settings {
		c, err := find(controls, s.Name)
		if err != nil {
			return 0, err
		}
		if c.at, err = c.position(s.Value); err != nil {
			return 0, err
		}
	}
	return lightFactor(controls), nil
}

// brightest returns the position that gives most light.
func (c *control) brightest() (at float64) {
	f := c.p.Factors
	switch {
	case len(c.p.Values) > 0:
		for i := range f {
			if f[i] > f[int(at)] {
				at = float64(i)
			}
		}
		return at
	case len(f) == 2 && f[0] > f[1]:
		return c.p.Min
	}
	return c.p.Max
}

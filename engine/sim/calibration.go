package sim

import (
	"fmt"
	"hash/fnv"
	"math"

	"candelua/colour"
	"candelua/engine/bench"
)

// calibration is what a meter's certificate states the uncertainty of: its own
// scale and chromaticity, the same in all that it reads, and the dark level
// that it has been left with, the same until it takes that anew.
type calibration struct {
	gain   float64
	dx, dy float64 // of the chromaticity of all light; the luminance stays
	dark   colour.XYZ
}

// newCalibration draws a meter's errors, normal with the standard uncertainties
// that its parameters state. Scale and chromaticity belong to the meter, by name
// and serial number, and to errors_seed: with that, they are the same in the runs of
// all seeds, as those of one meter are; without, each seed is another meter.
func (w *World) newCalibration(p MeterParams) calibration {
	seed := w.noise.seed
	if p.ErrorsSeed > 0 {
		seed = uint64(p.ErrorsSeed)
	}
	name := fnv.New64a()
	_, _ = name.Write([]byte(p.Name + "\x00" + p.Serial)) // never fails
	draw := newNoise(seed).at(mix(name.Sum64())^noiseMeterErrors, -1)
	return calibration{
		gain: 1 + p.Scale/100*draw.NormFloat64(),
		dx:   p.XY * draw.NormFloat64(),
		dy:   p.XY * draw.NormFloat64(),
	}
}

// serialOf is the meter's serial number. Where the seed says which meter it is, it
// is a part of that: what is drawn of one meter must not serve for another.
func (w *World) serialOf(p *MeterParams) string {
	if p.ErrorsSeed == 0 && (p.Scale > 0 || p.XY > 0) {
		return fmt.Sprintf("%s/%d", p.Serial, w.noise.seed)
	}
	return p.Serial
}

// darkError draws the dark level that a meter is left with when it takes it:
// at the beginning, and by [meter.Zero]. It belongs to the run.
func (m *meter) darkError() colour.XYZ {
	p := &m.optics.p
	if p.Dark == 0 {
		return colour.XYZ{}
	}
	when, zeroed := m.w.zeroed[m.kind]
	if !zeroed {
		when = -1
	}
	draw := m.w.noise.at(m.kind+(noiseMeterLevel-noiseMeter), when)
	return colour.XYZ{X: p.Dark * draw.NormFloat64(), Y: p.Dark * draw.NormFloat64(), Z: p.Dark * draw.NormFloat64()}
}

// misread makes of what the meter would read of a light, c, what it reads. The
// light itself, without noise, says what a shift of chromaticity adds:
//
//	X + Y·((x + dx)/(y + dy) - x/y),  Z likewise
//
// so that x and y move by as much whatever the colour.
//
// Source: [CIE15], chromaticity coordinates.
func (k *calibration) misread(c, light colour.XYZ) colour.XYZ {
	if xy, err := light.XY(); err == nil && (k.dx != 0 || k.dy != 0) && math.Abs(k.dy) < xy.Y/2 {
		x, y := xy.X+k.dx, xy.Y+k.dy
		c.X += light.Y * (x/y - xy.X/xy.Y)
		c.Z += light.Y * ((1-x-y)/y - (1-xy.X-xy.Y)/xy.Y)
	}
	return colour.XYZ{X: c.X*k.gain + k.dark.X, Y: c.Y*k.gain + k.dark.Y, Z: c.Z*k.gain + k.dark.Z}
}

// statedAccuracy is what the certificate states. A dark level that drifts is
// as uncertain as it drifts, whenever it was taken.
func (o *optics) statedAccuracy() bench.Accuracy {
	return bench.Accuracy{Scale: o.p.Scale, XY: o.p.XY, Dark: math.Hypot(o.p.Dark, o.p.DarkDrift), Repeatability: o.statedRepeatability()}
}

package builtins

import (
	"slices"
	"strings"

	"candelua/colour"
	"candelua/engine/bench"
	"candelua/engine/result"
	"candelua/engine/script"
)

// correctionOf is the correction of the meter that a call speaks to, nil where
// it has none.
func correctionOf(c *script.Call) *bench.Correction { return c.Host().Corrections[c.Device()] }

// corrected multiplies each single reading by the matrix of the meter's
// correction, XYZ' = M XYZ, before anything is made of it. What the journal
// keeps stays as the meter read it, so that another correction can be put in
// its place later.
//
// Flags stay the meter's own: its floor and its saturation are limits of what
// it read. What a saturated meter gives is multiplied all the same, and is a limit
// only as far as the colour is right. A stated repeatability is taken as a share of
// the corrected value. A spectrum stays as measured: a matrix corrects filters, and
// nothing follows from it for a spectrum.
func corrected(c *script.Call, samples []sample) ([]sample, error) {
	by := correctionOf(c)
	if by == nil {
		return samples, nil
	}
	m := colour.Matrix(by.Matrix)
	out := slices.Clone(samples)
	for i := range out {
		s := &out[i]
		if !s.Colour {
			return nil, noColour(c, by)
		}
		xyz := m.Apply(colour.XYZ{X: s.X, Y: s.Y, Z: s.Z})
		s.X, s.Y, s.Z = xyz.X, xyz.Y, xyz.Z
	}
	return out, nil
}

// canCorrect refuses a single reading that no matrix can correct before it is
// kept, so that it can be read again.
func canCorrect(c *script.Call, s bench.Sample) error {
	if by := correctionOf(c); by != nil && !s.Colour {
		return noColour(c, by)
	}
	return nil
}

func noColour(c *script.Call, by *bench.Correction) error {
	return bench.Errorf(bench.CodeBadReading, "give the chromaticity x and y too, or remove the correction from the bench file",
		"the %s returned a luminance only, and the correction %q needs X, Y and Z", c.Device(), by.Name)
}

// tellMisfit notes, at the first reading of a meter, why its correction may not hold for what it reads. A run warns of that before it begins; the
// results say it to those who were not there. Before the rules 5 they did not.
func (s *scene) tellMisfit(c *script.Call) error {
	by, place := correctionOf(c), c.Device()
	if by == nil || s.told["correction "+place] || !c.Since(5) {
		return nil
	}
	s.told["correction "+place] = true
	h := c.Host()
	for _, why := range by.Misfits(place, h.Devices[place], bench.Subject{Unit: h.Unit, Panel: h.Panel, Day: h.Day}) {
		if err := c.Results().Note(result.Note{Text: strings.ToUpper(why[:1]) + why[1:] + ".", Level: doubtLevel(c), Where: c.Where()}); err != nil {
			return err
		}
	}
	return nil
}

// nameOf is what a correction is called, nil where there is none.
func nameOf(by *bench.Correction) *string {
	if by == nil {
		return nil
	}
	return &by.Name
}

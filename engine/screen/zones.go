package screen

import (
	"fmt"
	"math"

	"candelua/engine/bench"
)

// UseUnit implements [bench.Acquainted].
func (d *driver) UseUnit(u *bench.UnitFile) { d.unit = u }

// zones are the parts of the screen that windows keep clear of, as it is held.
//
// An angle of 90 degrees says that the picture is turned clockwise, because the unit is turned the other way. Source:
// Screen Orientation (W3C), from memory.
func zones(u *bench.UnitFile, s *state) ([]bench.Zone, error) {
	if u == nil || len(u.Zones()) == 0 {
		return nil, nil
	}
	if s.Angle < 0 {
		return nil, bench.Errorf(bench.CodeUnsupported, "use another browser, or take the parts to avoid out of the unit file",
			"the unit file states parts of the screen to avoid, and the browser does not say how the screen is held")
	}
	quarters := -s.Angle / 90
	w, h := u.Pixels()
	if quarters%2 != 0 {
		w, h = h, w
	}
	if shape := float64(w) / float64(h) * float64(s.Box[1]) / float64(s.Box[0]); math.Abs(shape-1) > 0.02 {
		return nil, bench.Errorf(bench.CodeUnsupported, "correct the size in the unit file, or turn the unit",
			"the unit file states parts of the screen to avoid, on a screen of %d x %d pixels as it is held now; the page has %d x %d, which is another shape", w, h, s.Box[0], s.Box[1])
	}
	var all []bench.Zone
	for _, z := range u.Zones() {
		all = append(all, z.Turned(quarters))
	}
	return all, nil
}

// scaled says that the unit file states another size than the page has; empty where it does not.
func scaled(u *bench.UnitFile, s *state) string {
	if u == nil {
		return ""
	}
	w, h := u.Pixels()
	if w == 0 || h == 0 || s.Box == [2]int{w, h} || s.Box == [2]int{h, w} {
		return ""
	}
	return fmt.Sprintf("The unit file states %d x %d pixels, and the page has %d x %d: the unit may scale the picture, and windows may have soft edges.", w, h, s.Box[0], s.Box[1])
}

package bench

import (
	"maps"
	"slices"
)

// screen is the unit's panel. Zero means that nothing is stated.
type screen struct {
	diagonal float64 // inches
	width    int     // pixels
	height   int     // pixels
	zones    []Zone
}

// Pixels is the size of the unit's screen in pixels; 0 where it is not stated.
func (u *UnitFile) Pixels() (width, height int) { return u.screen.width, u.screen.height }

// Zones are the parts of the screen that windows keep clear of, the screen held as its width and
// height say; nil where none is stated.
func (u *UnitFile) Zones() []Zone { return u.screen.zones }

// Acquainted is a driver that is told which unit is under test, before its first device is opened.
type Acquainted interface {
	UseUnit(*UnitFile)
}

// roundedCorner is what a corner is called in words.
const roundedCorner = "rounded corner"

func (s *screen) read(t *table) {
	t.only("[screen]", []string{"diagonal", "width", "height", "corner", "avoid"})
	t.number("diagonal", &s.diagonal, limits{0.5, 1000, "inches"})
	t.whole("width", &s.width, limits{1, 100_000, ""})
	t.whole("height", &s.height, limits{1, 100_000, ""})
	for _, key := range []string{"corner", "avoid"} {
		if t.has(key) && (s.width == 0 || s.height == 0) {
			t.doc.fail(t.lineOf(key), "state the size of the screen too, as in width = 1080 and height = 2400", "%s is given in pixels, and the screen has no width or no height", t.named(key))
			return
		}
	}
	s.readCorners(t)
	if all := t.table("avoid"); all != nil {
		for _, name := range slices.Sorted(maps.Keys(all.values)) {
			if z := all.table(name); z != nil {
				s.zones = append(s.zones, s.readZone(name, z))
			}
		}
	}
}

// readCorners reads the radius of the corners, in pixels.
func (s *screen) readCorners(t *table) {
	radius := 0.0
	t.number("corner", &radius, limits{0, float64(min(s.width, s.height)) / 2, "pixels"})
	if radius == 0 {
		return
	}
	x, y := radius/float64(s.width), radius/float64(s.height)
	for _, left := range []float64{0, 1 - x} {
		for _, top := range []float64{0, 1 - y} {
			s.zones = append(s.zones, Zone{What: roundedCorner, Left: left, Top: top, Right: left + x, Bottom: top + y, Rounded: true})
		}
	}
}

// readZone reads a rectangle in pixels, which must be on the screen.
func (s *screen) readZone(name string, t *table) Zone {
	t.only("a part of the screen to avoid", []string{"x", "y", "width", "height"})
	var x, y, width, height float64
	for _, n := range []struct {
		key  string
		to   *float64
		most int
	}{{"x", &x, s.width}, {"y", &y, s.height}, {"width", &width, s.width}, {"height", &height, s.height}} {
		if !t.has(n.key) {
			t.doc.fail(t.line, "state its left and its upper edge, and its size, in pixels: { x = 440, y = 0, width = 200, height = 80 }", "%s is missing", t.named(n.key))
			return Zone{}
		}
		t.number(n.key, n.to, limits{0, float64(n.most), "pixels"})
	}
	if x+width > float64(s.width) || y+height > float64(s.height) || width == 0 || height == 0 {
		t.doc.fail(t.line, "", "%s reaches from %s, %s to %s, %s; it must be a part of the screen of %d by %d pixels, and not empty",
			t.named("x"), plain(x), plain(y), plain(x+width), plain(y+height), s.width, s.height)
	}
	w, h := float64(s.width), float64(s.height)
	return Zone{What: name, Left: x / w, Top: y / h, Right: (x + width) / w, Bottom: (y + height) / h}
}

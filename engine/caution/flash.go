package caution

import (
	"cmp"
	"math"
	"slices"
	"time"

	"candelua/colour"
	"candelua/engine/bench"
)

// Lit is a patch, and when it was lit.
type Lit struct {
	Patch bench.Patch
	At    time.Duration
}

// The general flash threshold and the red flash threshold of WCAG 2.2 (success criterion 2.3.1, and "general flash and
// red flash thresholds" in its glossary; the numbers are from memory).
const (
	mostFlashes  = 3                              // within any one second
	second       = time.Second - time.Millisecond // what times are uncertain by must not make more of exactly three
	generalStep  = 0.10
	generalDark  = 0.80 // the darker of two states is below it
	saturatedRed = 0.80 // R / (R + G + B) of linear light
	redStep      = 20.0 / 320
	redDistance  = 0.2 // in u'v'
)

// hdrUnit is the luminance that counts as 1 for an HDR signal, in cd/m², so that the thresholds are 20 cd/m² and, of the
// darker state, 160 cd/m². Above that a step counts by its contrast: 1/17 by Michelson is the step from 0.8 to 0.9, where
// the two conditions meet. WCAG assumes ordinary brightness and counts no step between bright states; HDR is
// cautioned earlier (the numbers are those of ITU-R BT.1702, from memory).
const (
	hdrUnit     = 200
	hdrContrast = 1.0 / 17
)

// Flashes says whether the screen flashes more than three times within the second that ends as the last patch is lit:
// whether some point of it changes to and fro more than six times in less than a second. The patches are in the
// order of their times. To judge a whole list, judge each of its beginnings.
//
// The criterion lets small areas flash: less than a quarter of any 10° of the field of view. On a large screen, or one
// that is near, any window is that large, so every window counts here.
func Flashes(shown []Lit) bool {
	shown = withinSecond(shown)
	if len(shown) <= changes {
		return false
	}
	windows, inside, around := make([]rect, len(shown)), make([]light, len(shown)), make([]light, len(shown))
	for i, s := range shown {
		windows[i] = windowOf(s.Patch)
		inside[i], around[i] = lightOf(s.Patch.RGB, s.Patch.Signal), lightOf(s.Patch.Background, s.Patch.Signal)
	}
	at := points(windows)
	if len(at)*len(shown) > mostWork {
		return true // so many windows in one second that no source shows them in peace
	}
	for _, p := range at {
		if seen := seenAt(p, windows, inside, around); longest(seen, general) > changes || longest(seen, red) > changes {
			return true
		}
	}
	return false
}

// changes are those of [mostFlashes] flashes: each is a change and the one back.
const changes = 2 * mostFlashes

// mostWork bounds the points of the screen that are looked at, times the patches.
const mostWork = 1 << 16

// withinSecond are the patches that are seen in the second that ends with the last: those that were lit in
// it, and the one before.
func withinSecond(shown []Lit) []Lit {
	if len(shown) == 0 {
		return nil
	}
	from, _ := slices.BinarySearchFunc(shown, shown[len(shown)-1].At-second, func(s Lit, t time.Duration) int {
		if s.At > t {
			return 1
		}
		return -1
	})
	return shown[max(0, from-1):]
}

// Recent are the patches that still matter for [Flashes] of a later one.
func Recent(shown []Lit) []Lit { return slices.Clone(withinSecond(shown)) }

// rect is a part of the screen, whose sides are 1 long.
type rect struct{ left, top, right, bottom float64 }

func (r rect) holds(p [2]float64) bool {
	return r.left < p[0] && p[0] < r.right && r.top < p[1] && p[1] < r.bottom
}

// windowOf is where a patch's window is: of the screen's shape, and moved so far that all of it is on the screen.
func windowOf(p bench.Patch) rect {
	side := math.Sqrt(min(max(p.Window, 0), 100) / 100)
	span := func(at float64) (from, to float64) {
		from = min(max(at-side/2, 0), 1-side)
		return from, from + side
	}
	var r rect
	r.left, r.right = span(p.At[0])
	r.top, r.bottom = span(p.At[1])
	return r
}

// points are one of each part of the screen that the edges of the windows make.
func points(windows []rect) [][2]float64 {
	across, down := []float64{0, 1}, []float64{0, 1}
	for _, w := range windows {
		across, down = append(across, w.left, w.right), append(down, w.top, w.bottom)
	}
	var all [][2]float64
	for _, x := range between(across) {
		for _, y := range between(down) {
			all = append(all, [2]float64{x, y})
			if len(all) > mostWork {
				return all
			}
		}
	}
	return all
}

// between are the middles between neighbouring edges.
func between(edges []float64) []float64 {
	slices.Sort(edges)
	edges = slices.Compact(edges)
	middles := make([]float64, len(edges)-1)
	for i := range middles {
		middles[i] = (edges[i] + edges[i+1]) / 2
	}
	return middles
}

// light is what a point of the screen shows.
type light struct {
	y       float64 // relative luminance, as [relative] makes it
	redness float64 // R - G - B of linear light, 0 or more
	isRed   bool    // saturated
	hdr     bool
	uv      colour.UV
	dark    bool // no light, so no chromaticity
}

// seenAt is what a point shows, one after the other; what stays as it is counts once.
func seenAt(p [2]float64, windows []rect, inside, around []light) []light {
	var seen []light
	for i, w := range windows {
		l := around[i]
		if w.holds(p) {
			l = inside[i]
		}
		if len(seen) == 0 || l != seen[len(seen)-1] {
			seen = append(seen, l)
		}
	}
	return seen
}

func lightOf(rgb [3]float64, signal bench.Signal) light {
	linear, y := relative(rgb, signal)
	l := light{y: y, hdr: signal == bench.PQ}
	l.redness = max(0, linear[0]-linear[1]-linear[2])
	sum := linear[0] + linear[1] + linear[2]
	l.isRed = sum > 0 && linear[0]/sum >= saturatedRed
	space := colour.BT709
	if l.hdr {
		space = colour.BT2020
	}
	uv, err := space.ToXYZ(linear).UV()
	l.uv, l.dark = uv, err != nil
	return l
}

// relative is the light of a signal: 1 is SDR white, or 200 cd/m² of an HDR signal. The luminance of sRGB is as
// WCAG 2.2 defines relative luminance.
func relative(rgb [3]float64, signal bench.Signal) (linear [3]float64, y float64) {
	shares := [3]float64{0.2126, 0.7152, 0.0722}
	if signal == bench.PQ {
		shares = colour.BT2020.LuminanceShares()
	}
	for i, v := range rgb {
		linear[i] = colour.DecodeSRGB(v)
		if signal == bench.PQ {
			linear[i] = colour.DecodePQ(v) / hdrUnit
		}
		y += shares[i] * linear[i]
	}
	return linear, y
}

// general says whether the change from a to b counts for a general flash: 1 for an increase, -1 for a decrease, 0 for
// none.
func general(a, b light) int {
	dark, bright := min(a.y, b.y), max(a.y, b.y)
	switch {
	case dark < generalDark && bright-dark >= generalStep,
		dark >= generalDark && (a.hdr || b.hdr) && (bright-dark)/(bright+dark) >= hdrContrast:
		return cmp.Compare(b.y, a.y)
	}
	return 0
}

// red says the same for a red flash. It takes both working definitions of WCAG: that of 2.0, by the change of R - G - B, and
// that of 2.2, by the distance in u'v'.
func red(a, b light) int {
	if !a.isRed && !b.isRed {
		return 0
	}
	apart := !a.dark && !b.dark && a.uv.Distance(b.uv) > redDistance
	if math.Abs(a.redness-b.redness) > redStep || apart {
		return cmp.Compare(b.redness, a.redness)
	}
	return 0
}

// longest is the largest number of changes to and fro that can be picked from what a point showed.
func longest(seen []light, change func(a, b light) int) int {
	if len(seen) <= changes {
		return 0
	}
	most := 0
	up, down := make([]int, len(seen)), make([]int, len(seen)) // that end here with an increase, a decrease
	for j := range seen {
		for i := range j {
			switch change(seen[i], seen[j]) {
			case 1:
				up[j] = max(up[j], down[i]+1)
			case -1:
				down[j] = max(down[j], up[i]+1)
			}
		}
		most = max(most, up[j], down[j])
	}
	return most
}

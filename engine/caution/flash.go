package caution

import (
	"cmp"
	"fmt"
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

// Switched is a lamp, or a control of the unit, as it was set, and when.
type Switched struct {
	What  string // by its name
	Value any    // a number counts by its direction, of anything else each change
	At    time.Duration
}

// Flashes says whether there are more than three flashes within the second that ends with the last patch or switch:
// whether some point of the screen changes to and fro more than six times in less than a second, together with what
// lamps and controls do meanwhile. Patches and switches are in the order of their times. To judge a whole list, judge
// each of its beginnings.
//
// The criterion lets small areas flash: less than a quarter of any 10° of the field of view. On a large screen, or one
// that is near, any window is that large, so every window counts here. How much light a lamp or a control changes is
// not known, so each of their steps counts.
func Flashes(shown []Lit, switched ...Switched) bool {
	end := time.Duration(math.MinInt64)
	if n := len(shown); n > 0 {
		end = shown[n-1].At
	}
	if n := len(switched); n > 0 {
		end = max(end, switched[n-1].At)
	}
	left := changes - toAndFro(switched, end)
	if left < 0 {
		return true
	}
	shown = withinSecond(shown, end, litAt)
	if len(shown) <= left {
		return false
	}
	pictures := make([]picture, len(shown))
	for i, s := range shown {
		pictures[i] = pictureOf(s.Patch)
	}
	at := points(pictures)
	if len(at)*len(shown) > mostWork {
		return true // so many windows in one second that no source shows them in peace
	}
	for _, p := range at {
		if seen := seenAt(p, pictures); longest(seen, left, general) > left || longest(seen, left, red) > left {
			return true
		}
	}
	return false
}

// changes are those of [mostFlashes] flashes: each is a change and the one back.
const changes = 2 * mostFlashes

// mostWork bounds the points of the screen that are looked at, times the patches.
const mostWork = 1 << 16

// withinSecond are those of a list that are seen in the second before end: those that came in it, and the one before.
func withinSecond[T any](all []T, end time.Duration, at func(T) time.Duration) []T {
	from, _ := slices.BinarySearchFunc(all, end-second, func(one T, t time.Duration) int {
		if at(one) > t {
			return 1
		}
		return -1
	})
	return all[max(0, from-1):]
}

func litAt(l Lit) time.Duration { return l.At }

func switchedAt(s Switched) time.Duration { return s.At }

// Recent are the patches that still matter for [Flashes] of a later one. One that is shown again changes nothing, so that
// it does not, however often a script shows it.
func Recent(shown []Lit) []Lit {
	if len(shown) == 0 {
		return nil
	}
	recent := slices.Clone(withinSecond(shown, litAt(shown[len(shown)-1]), litAt))
	return slices.CompactFunc(recent, func(a, b Lit) bool { return a.Patch == b.Patch })
}

// RecentSwitches are those that still matter for [Flashes] of a later one: of each thing by itself, and without those
// that set again what was set.
func RecentSwitches(switched []Switched) []Switched {
	var all []Switched
	if len(switched) == 0 {
		return nil
	}
	for _, of := range eachOf(switched) {
		recent := withinSecond(of, switched[len(switched)-1].At, switchedAt)
		all = append(all, slices.CompactFunc(recent, func(a, b Switched) bool { return direction(a.Value, b.Value) == 0 })...)
	}
	slices.SortStableFunc(all, func(a, b Switched) int { return cmp.Compare(a.At, b.At) })
	return all
}

// eachOf takes apart what was switched, in the order in which each thing comes first.
func eachOf(switched []Switched) (all [][]Switched) {
	place := map[string]int{}
	for _, s := range switched {
		i, known := place[s.What]
		if !known {
			i = len(all)
			place[s.What], all = i, append(all, nil)
		}
		all[i] = append(all[i], s)
	}
	return all
}

// toAndFro counts the changes to and fro of all that was switched in the second before end.
func toAndFro(switched []Switched, end time.Duration) int {
	count := 0
	for _, of := range eachOf(switched) {
		of = withinSecond(of, end, switchedAt)
		was := 0
		for i := 1; i < len(of); i++ {
			if d := direction(of[i-1].Value, of[i].Value); d != 0 && (d != was || d == anyWay) {
				count, was = count+1, d
			}
		}
	}
	return count
}

const anyWay = 2 // a change that has no direction

func direction(a, b any) int {
	from, aNumber := a.(float64)
	to, bNumber := b.(float64)
	switch {
	case aNumber && bNumber:
		return cmp.Compare(to, from)
	case fmt.Sprint(a) != fmt.Sprint(b):
		return anyWay
	}
	return 0
}

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

// points are one of each part of the screen that the edges of the pictures make.
func points(pictures []picture) [][2]float64 {
	across, down := []float64{0, 1}, []float64{0, 1}
	for i := range pictures {
		x, y := pictures[i].edges()
		across, down = append(across, x...), append(down, y...)
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
func seenAt(p [2]float64, pictures []picture) []light {
	var seen []light
	for i := range pictures {
		if l := pictures[i].at(p); len(seen) == 0 || l != seen[len(seen)-1] {
			seen = append(seen, l)
		}
	}
	return seen
}

func lightOf(rgb [3]float64, signal bench.Signal) light {
	linear, y := relative(rgb, signal)
	l := light{y: y, hdr: isHDR(signal)}
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

func isHDR(s bench.Signal) bool { return s == bench.PQ || s == bench.HLG }

// hlgPeak is the peak, in cd/m², that an HLG signal is judged for: the unit's is not known here, and BT.2100 names this one.
const hlgPeak = 1000

// relative is the light of a signal: 1 is SDR white, or 200 cd/m² of an HDR signal. The luminance of sRGB is as
// WCAG 2.2 defines relative luminance.
func relative(rgb [3]float64, signal bench.Signal) (linear [3]float64, y float64) {
	shares := [3]float64{0.2126, 0.7152, 0.0722}
	if isHDR(signal) {
		shares = colour.BT2020.LuminanceShares()
	}
	if signal == bench.HLG {
		if curve, err := colour.NewHLG(hlgPeak, 0); err == nil { // it has one for this peak
			linear = curve.DecodeRGB(rgb)
		}
	}
	for i, v := range rgb {
		switch signal {
		case bench.PQ:
			linear[i] = colour.DecodePQ(v) / hdrUnit
		case bench.HLG:
			linear[i] /= hdrUnit
		default:
			linear[i] = colour.DecodeSRGB(v)
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

// longest is the largest number of changes to and fro that can be picked from what a point showed; 0 where they
// cannot be more than least.
func longest(seen []light, least int, change func(a, b light) int) int {
	if len(seen) <= least {
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

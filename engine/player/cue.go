package player

import (
	"math"
	"time"

	"candelua/engine/bench"
)

// A video of a whole procedure begins with dark and bright fields over the whole screen, by which a meter finds out
// when it was started. No field is shorter than two seconds: the screen does not flash.
const (
	fieldDark   = 0 // of fieldGreys
	fieldBright = 1
)

// cueFields are the fields in units of the schedule, dark and bright in turn, the first dark. No two are alike that have the same
// neighbours, so that the pattern fits in one place alone.
var cueFields = [...]int{6, 3, 2, 4, 3}

// cueUnits is how long they are together.
const cueUnits = 18

// fieldGreys are the signals of the fields. The dark one is not black, which a meter may read for many seconds.
func fieldGreys(s bench.Signal) [2]float64 {
	if s == bench.SDR {
		return [2]float64{0.2, 0.7}
	}
	return [2]float64{0.25, 0.55}
}

// seen is a reading of the light.
type seen struct{ from, to, light float64 } // s, s, cd/m²

func seenOf(s bench.Sample) seen { return seen{s.Began.Seconds(), s.Ended.Seconds(), s.Y} }

// steps are moments at which the light changes between two levels, in s from their own start; it is low before the first.
type steps []float64

// cueSteps are those of the pattern.
func cueSteps(unit int) steps {
	var all steps
	at := 0
	for _, units := range cueFields[:len(cueFields)-1] {
		at += units * unit
		all = append(all, float64(at))
	}
	return all
}

// high is the share of a time in which the light is high, for steps that begin at start.
func (s steps) high(start, from, to float64) (share float64) {
	for i, at := range s {
		end := math.Inf(1)
		if i+1 < len(s) {
			end = start + s[i+1]
		}
		if i%2 == 0 {
			share += max(min(end, to)-max(start+at, from), 0)
		}
	}
	if to <= from {
		return 0
	}
	return share / (to - from)
}

// fitted is how well steps fit readings.
type fitted struct {
	start     float64 // s
	within    float64 // its standard uncertainty, s
	low, high float64 // the light, cd/m²
	explained float64 // share of the variance of the readings, 0 to 1
}

// fit finds by least squares when steps began that a meter saw, from a first to a last possible start: a reading is the mean of
// the light over its time. The uncertainty is that of the fit and that of when, within its time, a reading is taken: a meter
// may not look all the time.
//
// Source: JCGM 100:2008, 4.3.7 (rectangular distribution); the curvature of the sum of squares gives the variance of a parameter,
// as in any text on non-linear least squares, from memory.
func fit(s steps, all []seen, first, last float64) fitted {
	const step = 0.02 // s
	best, rss := fitted{}, math.Inf(1)
	for start := first; start <= last+step/2; start += step {
		if f, r := levels(s, all, start); r < rss {
			best, rss = f, r
		}
	}
	if math.IsInf(rss, 1) {
		return best
	}
	const h = 0.1 // s, over which the curvature is taken
	_, before := levels(s, all, best.start-h)
	_, after := levels(s, all, best.start+h)
	variance := rss / math.Max(1, float64(len(all)-3))
	length := 0.0
	for _, r := range all {
		length = max(length, r.to-r.from)
	}
	best.within = math.Hypot(step, length/math.Sqrt(12))
	if curvature := (before + after - 2*rss) / (h * h); curvature > 0 && !math.IsInf(curvature, 0) {
		best.within = math.Hypot(best.within, math.Sqrt(2*variance/curvature))
	}
	return best
}

// beyond is how far a level may lie outside of all readings, as a share of what they differ by: readings that are longer than
// a field see no level whole.
const beyond = 0.3

// levels are the two levels that fit readings best for one start, and the sum of squares that is left.
func levels(s steps, all []seen, start float64) (fitted, float64) {
	var n, sx, sy, sxx, sxy, syy float64
	least, most := math.Inf(1), math.Inf(-1)
	for _, r := range all {
		least, most = min(least, r.light), max(most, r.light)
		x, y := s.high(start, r.from, r.to), r.light
		n, sx, sy, sxx, sxy, syy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y, syy+y*y
	}
	vx, vy, vxy := sxx-sx*sx/n, syy-sy*sy/n, sxy-sx*sy/n
	if n < 3 || vx < 1e-9 || vy <= 0 {
		return fitted{start: start}, math.Inf(1)
	}
	slope := vxy / vx
	low := (sy - slope*sx) / n
	if room := beyond * (most - least); min(low, low+slope) < least-room || max(low, low+slope) > most+room {
		return fitted{start: start}, math.Inf(1) // a level that no reading is near to
	}
	return fitted{start: start, low: low, high: low + slope, explained: vxy * vxy / (vx * vy)}, max(vy-vxy*vxy/vx, 0)
}

// What counts as found (model of our own): the pattern explains nearly all that the readings differ by, its bright fields are
// clearly brighter, and each field was read.
const (
	cueExplained = 0.97
	cueContrast  = 2.0
	cueReadings  = 9
)

// findCue looks for the pattern in readings, the last of which has just ended. It is found once it is over, the last step with half of
// the field behind it.
func findCue(unit int, all []seen) (fitted, bool) {
	s := cueSteps(unit)
	ended := all[len(all)-1].to
	last := s[len(s)-1] + float64(cueFields[len(cueFields)-1]*unit)/2
	newest := ended - last
	// Only the newest place is looked at: the older ones were when their readings came.
	oldest := newest - 2*longest(all) - 0.5
	lead := 2.0 * float64(unit) // of the first dark field, the least that must be seen
	var part []seen
	for _, r := range all {
		if r.to > oldest+s[0]-lead {
			part = append(part, r)
		}
	}
	if len(part) < cueReadings || part[0].from > newest+s[0]-lead/2 {
		return fitted{}, false
	}
	f := fit(s, part, oldest, newest)
	if f.start > newest-0.1 || f.start < oldest+0.1 {
		return f, false // a better place may lie beyond
	}
	return f, f.explained >= cueExplained && f.low >= -0.05*f.high && f.high > cueContrast*math.Max(f.low, 0) && f.high > 0 && everyFieldSeen(s, part, f.start)
}

// longest is how long the longest reading took, from its start to the next one's.
func longest(all []seen) (seconds float64) {
	for i, r := range all {
		seconds = max(seconds, r.to-r.from)
		if i > 0 {
			seconds = max(seconds, r.from-all[i-1].from)
		}
	}
	return seconds
}

// everyFieldSeen says whether a reading lies for its greater part in each field between two steps.
func everyFieldSeen(s steps, all []seen, start float64) bool {
	for i := range len(s) - 1 {
		found := false
		for _, r := range all {
			middle := (r.from + r.to) / 2
			found = found || middle > start+s[i] && middle < start+s[i+1]
		}
		if !found {
			return false
		}
	}
	return true
}

func duration(seconds float64) time.Duration { return time.Duration(math.Round(seconds * 1e9)) }

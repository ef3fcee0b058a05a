package report

import (
	"math"
	"slices"
)

// axis maps numbers to 0 to 1 and knows where its ticks are.
type axis struct {
	low, high float64
	log       bool
	ticks     []float64
}

// The numbers that an axis can show: within them there is room for its ends and its ticks
// among the numbers that a processor has.
const (
	farthestShown = 1e300
	leastShown    = 1e-300 // on a logarithmic axis
)

// onAxis says whether an axis can show a number.
func onAxis(v float64, log bool) bool {
	return math.Abs(v) <= farthestShown && (!log || v >= leastShown)
}

// newAxis makes an axis that holds all values, of which there is one at
// least; it can show them all ([onAxis]). It has most ticks at most,
// where that is possible: at 1, 2 and 5 times powers of ten.
func newAxis(values []float64, log bool, most int) axis {
	low, high := slices.Min(values), slices.Max(values)
	if log {
		return logAxis(low, high, most)
	}
	if low > 0 && low <= high/2 {
		low = 0
	}
	if span := high - low; span < leastShown || span <= leastSpan*max(math.Abs(low), math.Abs(high)) {
		half := max(1e-3, math.Abs(low)/2)
		low, high = low-half, low+half
	}
	step := roundUp((high - low) / float64(most-1))
	if math.Ceil(high/step)-math.Floor(low/step) > float64(most-1) {
		step = roundUp(step * 1.01)
	}
	first, last := math.Floor(low/step), math.Ceil(high/step)
	a := axis{low: first * step, high: last * step}
	for i := first; i <= last; i++ {
		a.ticks = append(a.ticks, i*step)
	}
	return a
}

// leastSpan is the least relative difference between the ends of an axis. Numbers
// that are nearer are shown as one number: a double has no digits for ticks between
// them.
const leastSpan = 1e-12

// logAxis ends at 1, 2 or 5 times a power of ten, and has ticks there or,
// where those are too many, at powers of ten only.
func logAxis(low, high float64, most int) axis {
	a := axis{low: roundDown(low), high: roundUp(high), log: true}
	if a.low == a.high {
		a.low, a.high = roundDown(low*0.99), roundUp(high*1.01)
	}
	for _, factors := range [][]float64{{1, 2, 5}, {1}} {
		a.ticks = nil
		for e := math.Floor(math.Log10(a.low)); e <= math.Ceil(math.Log10(a.high)); e++ {
			for _, f := range factors {
				if v := f * math.Pow(10, e); v >= a.low*0.999 && v <= a.high*1.001 {
					a.ticks = append(a.ticks, v)
				}
			}
		}
		if len(a.ticks) <= most {
			return a
		}
	}
	for len(a.ticks) > most { // every second, fourth, … power
		kept := a.ticks[:0]
		for i := 0; i < len(a.ticks); i += 2 {
			kept = append(kept, a.ticks[i])
		}
		a.ticks = kept
	}
	return a
}

// at returns where a value lies, 0 to 1.
func (a axis) at(v float64) float64 {
	if a.log {
		if whole := a.high / a.low; !math.IsInf(whole, 0) {
			return math.Log(v/a.low) / math.Log(whole)
		}
		return (math.Log(v) - math.Log(a.low)) / (math.Log(a.high) - math.Log(a.low))
	}
	return (v - a.low) / (a.high - a.low)
}

// roundUp returns the least of 1, 2, 5 times a power of ten that is not below
// v, which is above 0.
func roundUp(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, f := range []float64{1, 2, 5} {
		if v <= f*p*(1+1e-9) {
			return f * p
		}
	}
	return 10 * p
}

// roundDown returns the greatest of them that is not above v.
func roundDown(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, f := range []float64{5, 2} {
		if v >= f*p*(1-1e-9) {
			return f * p
		}
	}
	return p
}

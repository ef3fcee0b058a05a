package sim

import (
	"math"
	"time"
)

// adaptive is brightness that follows the room. Model of our own: the curve gives
// the factor on light for E₀, the illuminance that the unit follows. Another
// illuminance E becomes the new E₀ when it has differed by more than the
// hysteresis during the whole delay,
//
//	|ln((E + 1)/(E₀ + 1))| > ln(1 + hysteresis)
//
// where 1 lux is added so that small changes in the dark do not count. The
// factor then goes to its new value with a time constant. When automatic
// brightness is switched off, the factor goes to 1.
type adaptive struct {
	p AdaptiveParams

	on       bool
	followed float64 // E₀, lux
	changed  time.Duration

	since    time.Duration
	from, to float64
}

func newAdaptive(p AdaptiveParams) *adaptive {
	return &adaptive{p: p, changed: never, from: 1, to: 1}
}

func (a *adaptive) at(t time.Duration) float64 {
	return a.to + (a.from-a.to)*math.Exp(-(t-a.since).Seconds()/a.p.Seconds)
}

// begin starts with the factor settled.
func (a *adaptive) begin(on bool, lux float64) {
	a.on, a.followed = on, lux
	a.to = a.settled(on, lux)
	a.from = a.to
}

// settled returns the factor after it has settled.
func (a *adaptive) settled(on bool, lux float64) float64 {
	if !on || len(a.p.Curve) == 0 {
		return 1
	}
	return linear(a.p.Curve, lux)
}

// sense takes in, at t, how bright the room is and whether automatic brightness is on.
func (a *adaptive) sense(t time.Duration, on bool, lux float64) {
	a.from, a.since = a.at(t), t
	switch {
	case !on:
		a.on, a.changed, a.to = false, never, 1
		return
	case !a.on: // just switched on: it follows at once
		a.on, a.changed, a.followed = true, never, lux
	case math.Abs(math.Log((lux+1)/(a.followed+1))) <= math.Log1p(a.p.Hysteresis/100):
		a.changed = never
	case a.changed == never:
		a.changed = t
	}
	if a.changed != never && t >= a.next() {
		a.followed, a.changed = lux, never
	}
	a.to = a.settled(true, a.followed)
}

// next returns when the unit begins to follow a change of the room.
func (a *adaptive) next() time.Duration {
	if a.changed == never {
		return never
	}
	return a.changed + seconds(a.p.Delay)
}

// turn does nothing: [adaptive.sense] comes before it.
func (*adaptive) turn(time.Duration, load) {}

// appendFactor appends the factor relative to the value that it goes to, because
// the frame contains that value already.
func (a *adaptive) appendFactor(dst expSum, t time.Duration, _ int, _ [2]float64) expSum {
	dst = append(dst, expTerm{coef: 1})
	if a.to == 0 {
		return dst
	}
	return appendExp(dst, a.at(t)/a.to-1, 1/a.p.Seconds)
}

func (*adaptive) steady(load, int) float64 { return 1 }

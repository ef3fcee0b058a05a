package sim

import (
	"math"
	"time"
)

// limiter is the panel's power limiting. Model of our own:
//
//	F = curve(drive)      f(t) = F + (f₀ − F)·exp(−t/τ)
//
// drive is the share of full drive that the whole frame asks for, window and
// background, greys included, before limiting; f multiplies all light but the
// black level. f₀ is the factor when the frame came.
type limiter struct {
	curve   [][2]float64
	seconds float64

	since time.Duration
	from  float64
	to    float64
}

func newLimiter(p LimitParams) *limiter {
	l := &limiter{curve: p.Curve, seconds: p.Seconds}
	l.to = l.target(0)
	l.from = l.to
	return l
}

// target returns the factor that a drive leads to: linear between the points
// of the curve, level beyond them, 1 without a curve.
func (l *limiter) target(drive float64) float64 {
	if len(l.curve) == 0 {
		return 1
	}
	return linear(l.curve, drive)
}

func (l *limiter) at(t time.Duration) float64 {
	if l.seconds == 0 {
		return l.to
	}
	return l.to + (l.from-l.to)*math.Exp(-(t-l.since).Seconds()/l.seconds)
}

func (l *limiter) turn(t time.Duration, d load) {
	l.from, l.to, l.since = l.at(t), l.target(d.drive), t
}

func (l *limiter) appendFactor(dst expSum, t time.Duration, _ int, _ [2]float64) expSum {
	dst = append(dst, expTerm{coef: l.to})
	if l.seconds > 0 {
		dst = appendExp(dst, l.at(t)-l.to, 1/l.seconds)
	}
	return dst
}

func (*limiter) next() time.Duration { return never }

func (l *limiter) steady(d load, _ int) float64 { return l.target(d.drive) }

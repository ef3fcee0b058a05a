package sim

import (
	"math"
	"time"
)

// heat dims a panel that was driven hard for long. Model of our own: heat h
// goes to the drive D that the frame asks for, before any dimming, as a share
// of full drive; above a threshold the light has a factor of its own,
//
//	h(t) = D + (h₀ − D)·exp(−t/τ)
//	f    = 1 − by·max(0, h − from)/(1 − from)
//
// Where h crosses the threshold is an event. Steady truths are without it, as
// of a panel that had a rest.
type heat struct {
	p ThermalParams

	since    time.Duration
	from, to float64
	above    bool
}

// onThreshold is how near to the threshold counts as on it.
const onThreshold = 1e-9

func newHeat(p ThermalParams) *heat { return &heat{p: p} }

func (h *heat) at(t time.Duration) float64 {
	return h.to + (h.from-h.to)*math.Exp(-(t-h.since).Seconds()/h.p.Seconds)
}

func (h *heat) turn(t time.Duration, l load) {
	h.from, h.since = h.at(t), t
	h.to = math.Min(l.drive, 1)
	if off := h.from - h.p.From; math.Abs(off) > onThreshold {
		h.above = off > 0
	} else {
		h.above = h.to > h.p.From
	}
}

// next returns when the heat crosses the threshold.
func (h *heat) next() time.Duration {
	now, end := h.from-h.p.From, h.to-h.p.From
	if h.p.By == 0 || math.Abs(now) <= onThreshold || now*end >= 0 {
		return never
	}
	crossing := h.p.Seconds * math.Log((h.from-h.to)/(h.p.From-h.to))
	if crossing > 1e9 {
		return never
	}
	return h.since + max(1, seconds(crossing))
}

func (h *heat) appendFactor(dst expSum, t time.Duration, _ int, _ [2]float64) expSum {
	if !h.above || h.p.By == 0 {
		return append(dst, expTerm{coef: 1})
	}
	slope := h.p.By / 100 / (1 - h.p.From)
	dst = append(dst, expTerm{coef: 1 - slope*(h.to-h.p.From)})
	return appendExp(dst, -slope*(h.at(t)-h.to), 1/h.p.Seconds)
}

func (*heat) steady(load, int) float64 { return 1 }

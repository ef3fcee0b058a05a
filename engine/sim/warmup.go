package sim

import (
	"math"
	"time"
)

// warmth is the panel's drift with temperature. Model of our own: each term k
// has a warmth w_k from 0 (as cold as the room) to 1 (warm), which goes to what
// the picture sustains, with its own time constant,
//
//	w_k(t) = W + (w_k₀ − W)·exp(−t/τ_k)
//	W      = idle + (1 − idle)·min(1, drive/full_drive)
//	W      = 0 where the unit sleeps
//
// and the light of primary i has the factor
//
//	g_i = 1 + Σ_k a_k·(1 − w_k) + c_i·(1 − w_1)
//
// with the terms' amplitudes a_k and the primaries' c_i; a white subpixel has
// none. Steady truths are
// those of a warm panel, g_i = 1.
type warmth struct {
	p     WarmupParams
	since time.Duration
	from  []float64 // w_k₀
	to    float64   // W
}

// newWarmth returns a panel that has been on already, and waits for its first turn.
func newWarmth(p WarmupParams) *warmth {
	w := &warmth{p: p, from: make([]float64, len(p.Terms))}
	for k, term := range p.Terms {
		w.from[k] = -math.Expm1(-p.OnFor / term[0])
	}
	return w
}

// target returns the warmth that a picture sustains.
func (w *warmth) target(d load) float64 {
	switch {
	case d.asleep:
		return 0
	case d.drive >= w.p.FullDrive:
		return 1
	}
	return w.p.Idle + (1-w.p.Idle)*d.drive/w.p.FullDrive
}

// excess returns w_k − W at a time.
func (w *warmth) excess(k int, t time.Duration) float64 {
	return (w.from[k] - w.to) * math.Exp(-(t-w.since).Seconds()/w.p.Terms[k][0])
}

func (w *warmth) turn(t time.Duration, d load) {
	for k := range w.from {
		w.from[k] = w.to + w.excess(k, t)
	}
	w.to, w.since = w.target(d), t
}

func (w *warmth) appendFactor(dst expSum, t time.Duration, primary int, _ [2]float64) expSum {
	first := len(dst)
	dst = append(dst, expTerm{coef: 1})
	for k, term := range w.p.Terms {
		share := term[1] / 100
		if k == 0 && primary < subWhite {
			share += w.p.Colour[primary] / 100
		}
		dst[first].coef += share * (1 - w.to)
		dst = appendExp(dst, -share*w.excess(k, t), 1/term[0])
	}
	return dst
}

func (*warmth) next() time.Duration { return never }

func (*warmth) steady(load, int) float64 { return 1 }

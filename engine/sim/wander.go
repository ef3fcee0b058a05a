package sim

import (
	"math"
	"time"
)

// wander is a slow, smooth random course with mean 0 and standard deviation 1.
// Model of our own: four sinusoids whose periods and phases are drawn once,
//
//	w(t) = Σ √(2/4)·sin(2π·t/P_j + φ_j)
//
// so that its value, and its mean over any time, are known in closed form.
type wander [4]struct{ omega, phase float64 }

// periods are those of the parts, as shares of the stated one; each is drawn
// to within a fifth of it.
var periods = [4]float64{2.3, 1.3, 0.9, 0.6}

// newWander draws a course of a kind.
func (n *noise) newWander(kind uint64, period float64) *wander {
	draw := n.at(kind, -1)
	var w wander
	for j := range w {
		w[j].omega = 2 * math.Pi / (period * periods[j] * (0.8 + 0.4*draw.Float64()))
		w[j].phase = 2 * math.Pi * draw.Float64()
	}
	return &w
}

// mean returns the mean over so many seconds from t on.
//
//	mean = Σ √(2/4)·sin(ω·(t + T/2) + φ)·sin(ωT/2)/(ωT/2)
func (w *wander) mean(t time.Duration, over float64) (sum float64) {
	for _, part := range w {
		v := math.Sqrt(0.5) * math.Sin(part.omega*(t.Seconds()+over/2)+part.phase)
		if half := part.omega * over / 2; half > 0 {
			v *= math.Sin(half) / half
		}
		sum += v
	}
	return sum
}

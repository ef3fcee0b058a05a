package builtins

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"candelua/engine/bench"
)

// Of a drift within one reading (model of our own).
const (
	leastForDrift = 5     // single readings
	leastDrift    = 0.3   // % of the luminance, from the first single reading to the last
	sureOfDrift   = 4.0   // standard uncertainties, where the meter's repeatability is stated
	chanceOfDrift = 0.001 // of a false alarm, where it is not
)

// drifts says whether the luminance changed while it was read, as that of a
// panel does which has not settled. Where the meter's repeatability is known,
// the first single reading is compared with the mean of the last three; else a
// straight line through all of them must slope beyond its own scatter.
//
// The repeatability is a share of the luminance, and holds in bright light. In
// the dark a meter scatters by its floor at least, and the fewer photons, the
// more; so what the single readings scatter about any smooth change counts where
// that is more. Without it every dark reading would seem to drift.
func drifts(samples []sample, known bench.Identity) bool {
	n := len(samples)
	if n < leastForDrift {
		return false
	}
	y := make([]float64, n)
	for i, s := range samples {
		y[i] = s.Y
	}
	mean := meanFloat(y)
	if mean <= 0 {
		return false
	}
	least := leastDrift / 100 * mean
	if share := known.Accuracy.Repeatability; share > 0 {
		noise := math.Max(math.Hypot(share/100*mean, math.Max(known.Accuracy.Dark, known.Floor)), roughness(y[1:]))
		return math.Abs(y[0]-meanFloat(y[n-3:])) > math.Max(least, sureOfDrift*noise*math.Sqrt(1+1./3))
	}
	t := make([]float64, n)
	for i, s := range samples {
		t[i] = (s.Began + s.Ended) / 2
	}
	l, err := fitLine(t, y, nil)
	if err != nil || l.USlope == nil || math.Abs(l.Slope*(t[n-1]-t[0])) <= least {
		return false
	}
	critical := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(n - 2)}.Quantile(1 - chanceOfDrift/2)
	return math.Abs(l.Slope) > critical**l.USlope
}

// roughness is the standard deviation of noise on numbers that change smoothly,
// from their second differences, whose variance is 1 + 4 + 1 times that of one:
//
//	s² = Σ (y[i-1] - 2 y[i] + y[i+1])² / (6 (n - 2))
func roughness(y []float64) float64 {
	sum := 0.0
	for i := 1; i < len(y)-1; i++ {
		d := y[i-1] - 2*y[i] + y[i+1]
		sum += d * d
	}
	return math.Sqrt(sum / float64(6*(len(y)-2)))
}

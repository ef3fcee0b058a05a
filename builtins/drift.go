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
// the dark a meter scatters by about its floor, which stands in for the scatter
// there: without it every dark reading would seem to drift.
func drifts(samples []sample, known bench.Identity) bool {
	n := len(samples)
	if n < leastForDrift {
		return false
	}
	t, y := make([]float64, n), make([]float64, n)
	for i, s := range samples {
		t[i], y[i] = (s.Began+s.Ended)/2, s.Y
	}
	mean := meanFloat(y)
	if mean <= 0 {
		return false
	}
	least := leastDrift / 100 * mean
	if share := known.Accuracy.Repeatability; share > 0 {
		noise := math.Hypot(share/100*mean, math.Max(known.Accuracy.Dark, known.Floor))
		return math.Abs(y[0]-meanFloat(y[n-3:])) > math.Max(least, sureOfDrift*noise*math.Sqrt(1+1./3))
	}
	l, err := fitLine(t, y, nil)
	if err != nil || l.USlope == nil || math.Abs(l.Slope*(t[n-1]-t[0])) <= least {
		return false
	}
	critical := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(n - 2)}.Quantile(1 - chanceOfDrift/2)
	return math.Abs(l.Slope) > critical**l.USlope
}

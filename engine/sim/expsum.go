package sim

import "math"

// expTerm is coef·exp(−rate·t); t in s, rate in 1/s. Rate 0 is a constant.
type expTerm struct{ coef, rate float64 }

// expSum is a sum of exponentials of the time, in seconds, from some anchor.
// Such sums are closed under multiplication, which is what makes the mean of
// a product of phenomena over an integration exact.
type expSum []expTerm

// negligible is a part of a factor on light that no sum of doubles would show.
const negligible = 1e-17

// appendExp appends coef·exp(−rate·t) to dst unless it is negligible.
func appendExp(dst expSum, coef, rate float64) expSum {
	if math.Abs(coef) < negligible {
		return dst
	}
	return append(dst, expTerm{coef, rate})
}

// appendProduct appends a·b to dst and returns it.
func appendProduct(dst, a, b expSum) expSum {
	for _, p := range a {
		for _, q := range b {
			dst = append(dst, expTerm{p.coef * q.coef, p.rate + q.rate})
		}
	}
	return dst
}

// mean returns the mean of the sum from its anchor over the given seconds.
//
//	mean = Σ coef · (1 − exp(−rate·T)) / (rate·T)
//
// For T = 0 it is the value at the anchor.
func (s expSum) mean(seconds float64) float64 {
	var sum float64
	for _, e := range s {
		if x := e.rate * seconds; x > 0 {
			sum += e.coef * -math.Expm1(-x) / x
		} else {
			sum += e.coef
		}
	}
	return sum
}

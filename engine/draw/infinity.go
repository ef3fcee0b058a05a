package draw

import (
	"math"
	"slices"
)

// How draws look that go through infinity: at least this share of them has the other sign, none lies about 0, and
// some are far out. A normal distribution about a number near 0 has draws there, and none that are far out.
const (
	otherSign = 0.02
	noneBelow = 0.1 // of the median size
	someAbove = 8   // times the median size
)

// throughInfinity says whether the draws lie on both sides of infinity.
func (s sorted) throughInfinity() bool {
	n := len(s.at)
	negative, _ := slices.BinarySearch(s.at, 0)
	if least := max(2, int(math.Ceil(otherSign*float64(n)))); min(negative, n-negative) < least {
		return false
	}
	sizes := make([]float64, n)
	for i, x := range s.at {
		sizes[i] = math.Abs(x)
	}
	slices.Sort(sizes)
	median := sizes[n/2]
	return sizes[0] > noneBelow*median && sizes[n-1] > someAbove*median
}

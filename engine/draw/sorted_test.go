package draw

import (
	"math"
	"testing"
)

// The i-th of n draws is the quantile (i - ½)/n; between two of them, the outermost too,
// it is in proportion, and beyond them the last one. Source: JCGM 101, D.3.
func TestQuantile(t *testing.T) {
	s := sortedOf([]float64{8, 1, math.NaN(), 2, 4})
	for _, c := range []struct{ p, want float64 }{
		{0, 1}, {0.125, 1}, {0.1875, 1.25}, {0.25, 1.5}, {0.375, 2}, {0.5, 3}, {0.625, 4}, {0.75, 6}, {0.8125, 7}, {0.875, 8}, {1, 8},
	} {
		if got := s.quantile(c.p); got != c.want {
			t.Errorf("quantile %v is %v, want %v", c.p, got, c.want)
		}
	}
}

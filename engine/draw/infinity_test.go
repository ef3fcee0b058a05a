package draw

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"candelua/testdata/campaign"
)

// TestThroughInfinity: quotients whose divisor may be 0 have no interval; numbers of all other kinds do, also those
// about 0. The divisor is m standard deviations from 0.
func TestThroughInfinity(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	normal := random.NormFloat64
	members := campaign.Of(t, 100, 2000)
	for _, c := range []struct {
		name string
		draw func(m float64) func() float64
		from float64 // of m, to
		to   float64
		want float64 // share that has none, at the least or, where below 0.5, at the most
	}{
		{"quotient", func(m float64) func() float64 { return func() float64 { return 470 / (m + normal()) } }, 0, 1.5, 0.97},
		{"negative quotient", func(m float64) func() float64 { return func() float64 { return -470 / (m + normal()) } }, 0, 1.5, 0.97},
		{"sum of a quotient", func(m float64) func() float64 { return func() float64 { return 1 + 470/(m+normal()) } }, 0, 1.5, 0.97},
		{"normal", func(m float64) func() float64 { return func() float64 { return m + normal() } }, -3, 3, 0.002},
		{"t with two degrees of freedom", func(m float64) func() float64 {
			return func() float64 { return m + normal()/math.Sqrt(random.ExpFloat64()) }
		}, -3, 3, 0.01},
		{"quotient that is known", func(m float64) func() float64 { return func() float64 { return 470 / (m + normal()) } }, 4, 40, 0.002},
		{"ratio of two that are noise", func(m float64) func() float64 { return func() float64 { return (m + normal()) / (10 + normal()) } }, -3, 3, 0.002},
		{"logarithm", func(m float64) func() float64 { return func() float64 { return math.Log10(math.Abs(m + normal())) } }, 0, 3, 0.002},
		{"one of two signs", func(float64) func() float64 { return func() float64 { return math.Copysign(1, normal()) } }, 0, 1, 0.002},
	} {
		none := 0
		for range members {
			draw := c.draw(c.from + (c.to-c.from)*random.Float64())
			draws := make([]float64, 200)
			for i := range draws {
				draws[i] = draw()
			}
			_, err := Evaluate(draw(), draws)
			if errors.Is(err, ErrThroughInfinity) {
				none++
			}
		}
		share := float64(none) / float64(members)
		slack := 3 * math.Sqrt(c.want*(1-c.want)/float64(members))
		if c.want > 0.5 && share < c.want-slack || c.want < 0.5 && share > c.want+slack {
			t.Errorf("%s: %.4f have no interval, want %g", c.name, share, c.want)
		}
	}
}

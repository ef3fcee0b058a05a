package draw

import (
	"math"
	"math/rand/v2"
	"testing"
)

// sheetOf enters a mean of n readings at each of some levels, whose scatter is a
// share of the level and an amount that every level has.
func sheetOf(r *rand.Rand, levels []float64, n int, share, amount, target float64) *Sheet {
	s := &Sheet{}
	for step, level := range levels {
		singles := make([]XYZ, n)
		for i := range singles {
			singles[i].Y = level + (share*level*r.NormFloat64() + amount*r.NormFloat64())
		}
		s.Enter(step, 0, "meter", singles, Taken{Repeatability: 100 * share, UntilSteady: target > 0, Target: target},
			Reading{Mean: MeanOf(singles), Keys: Keys{Scatter: NewKey("scatter").Number(step)}})
	}
	s.finish()
	return s
}

// TestPooledLevels: levels too far apart to be alike serve each other where each
// has few readings, which a fifth too much variance is the price of: what seems to
// scatter more than its neighbours keeps its own. Where the scatter does not go
// with the level, not more than a third of the variance is lost in the mean.
func TestPooledLevels(t *testing.T) {
	levels := []float64{100, 40, 16, 6.4, 2.5}
	for _, tt := range []struct {
		name          string
		share, amount float64
		low, high     float64 // of the mean variance, relative to the true one
	}{
		{"in proportion", 0.001, 0, 0.9, 1.3},
		{"the same everywhere", 0, 0.01, 0.66, 1.6},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(1, 2))
			const sheets = 400
			variance, dof := make([]float64, len(levels)), make([]float64, len(levels))
			for range sheets {
				s := sheetOf(r, levels, 5, tt.share, tt.amount, 0)
				for i := range levels {
					m := s.drawn[i].Scatter
					true2 := (tt.share*tt.share*levels[i]*levels[i] + tt.amount*tt.amount) / 5
					variance[i] += m.Luminance() * m.Luminance() / true2 / sheets
					dof[i] += m.DoF() / sheets
				}
			}
			for i, v := range variance {
				if i == 0 && tt.amount > 0 {
					continue // the brightest has the others' amounts in proportion: far on the safe side
				}
				if v < tt.low || (v > tt.high && tt.amount == 0) {
					t.Errorf("at %v cd/m2 the variance is %.2f of the true one, want %v to %v", levels[i], v, tt.low, tt.high)
				}
			}
			if tt.amount == 0 && dof[2] < 9 {
				t.Errorf("the middle level is known by %.1f degrees of freedom, want most of 12", dof[2])
			}
		})
	}
}

// TestEasyTarget: a series that could not but end at once is widened by nothing;
// one that ended by luck is.
func TestEasyTarget(t *testing.T) {
	for _, tt := range []struct {
		target float64 // %
		want   float64
	}{{10, 1}, {0.06, StoppingFactor}, {0.03, StoppingFactor}} {
		with := sheetOf(rand.New(rand.NewPCG(3, 4)), []float64{100, 100, 100, 100}, 5, 0.001, 0, tt.target)
		plain := sheetOf(rand.New(rand.NewPCG(3, 4)), []float64{100, 100, 100, 100}, 5, 0.001, 0, 0)
		a, b := with.drawn[0].Scatter.Luminance(), plain.drawn[0].Scatter.Luminance()
		floored := math.Max(b, 0.1/math.Sqrt(5))
		if tt.want == 1 {
			floored = b
		}
		if math.Abs(a/floored-tt.want) > 1e-9 {
			t.Errorf("with a target of %v %% the scatter is %.4g, want %.4g", tt.target, a, floored*tt.want)
		}
	}
}

// TestEasyTargetCovers: with a target that is easily reached, the t interval of
// what is drawn holds the truth in 95 % of series that are read until steady, within three
// standard errors, though they are not widened.
func TestEasyTargetCovers(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	const series, sigma, target = 4000, 0.1, 0.25
	held := 0
	for range series {
		singles := readUntil(r, sigma, target)
		m, err := ScatterOf(singles, Taken{Repeatability: sigma, UntilSteady: true, Target: target})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(MeanOf(singles).Y-100) <= tQuantile975(m.DoF())*m.Luminance() {
			held++
		}
	}
	share, se := float64(held)/series, math.Sqrt(0.05*0.95/series)
	if share < 0.95-3*se || share > 0.985 {
		t.Errorf("the interval holds the truth in %.3f of the series, want 0.95 or a little more", share)
	}
}

// readUntil reads 100 cd/m² until s/√n, with the t factor of 68.27 %, is the
// target in %, at least five times.
func readUntil(r *rand.Rand, sigma, target float64) (singles []XYZ) {
	for {
		singles = append(singles, XYZ{Y: 100 + sigma*r.NormFloat64()})
		n := len(singles)
		s := SpreadOf(singles).Luminance()
		if n >= 5 && 1.14*s/math.Sqrt(float64(n)) <= target || n >= 50 {
			return singles
		}
	}
}

// tQuantile975 of a few degrees of freedom (JCGM 100, table G.2, 95 %).
func tQuantile975(dof float64) float64 {
	table := map[float64]float64{4: 2.78, 5: 2.57, 6: 2.45, 7: 2.36, 8: 2.31}
	if q, ok := table[dof]; ok {
		return q
	}
	return 1.96
}

package draw

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

var fewSingles = []XYZ{{95.1, 100.2, 108.7}, {94.8, 99.7, 109.1}, {95.3, 100.1, 108.2}, {95.0, 100.4, 108.9}, {94.9, 99.6, 108.5}}

// rows are vectors for gonum, in the order X, Y, Z.
func rows(v []XYZ) *mat.Dense {
	m := mat.NewDense(len(v), 3, nil)
	for i, x := range v {
		m.SetRow(i, []float64{x.X, x.Y, x.Z})
	}
	return m
}

// The covariance against gonum's.
func TestSpreadOf(t *testing.T) {
	var want mat.SymDense
	stat.CovarianceMatrix(&want, rows(fewSingles), nil)
	s := spreadOf(fewSingles)
	for i, a := range []int{1, 0, 2} { // Y first
		for j, b := range []int{1, 0, 2} {
			if math.Abs(s.cov[i][j]-want.At(a, b)) > 1e-12 {
				t.Errorf("covariance %d %d is %v, gonum has %v", i, j, s.cov[i][j], want.At(a, b))
			}
		}
	}
	if s.dof != 4 || spreadOf(fewSingles[:1]) != (spread{}) || spreadOf(nil) != (spread{}) || MeanOf(nil) != (XYZ{}) {
		t.Errorf("degrees of freedom are %v, want 4", s.dof)
	}
}

// The draws of a mean have the covariance C/n times dof/(dof-2), that of a
// multivariate t distribution [JCGM102, 5.3.2], to 2 % of its diagonal, and
// each of Y, X, Z and two combinations is t with n - 1 degrees of freedom by
// Kolmogorov and Smirnov at 0.1 %, gonum's distribution function.
func TestMeanScatter(t *testing.T) {
	const n = 200_000
	s := spreadOf(append(fewSingles, XYZ{95.4, 100.0, 109.3}, XYZ{94.7, 100.3, 108.4}, XYZ{95.2, 99.8, 108.0}, XYZ{95, 100, 108.8}))
	m := s.mean(9)
	k := NewKey("scatter").Number(1)
	drawn := make([]XYZ, n)
	for i := range drawn {
		drawn[i] = m.draw(k, i)
	}
	var cov mat.SymDense
	stat.CovarianceMatrix(&cov, rows(drawn), nil)
	for i, a := range []int{1, 0, 2} {
		for j, b := range []int{1, 0, 2} {
			want := s.cov[i][j] / 9 * 8 / 6
			if tolerance := 0.02 * math.Sqrt(s.cov[i][i]*s.cov[j][j]) / 9 * 8 / 6; math.Abs(cov.At(a, b)-want) > tolerance {
				t.Errorf("covariance %d %d of the draws is %v, want %v", i, j, cov.At(a, b), want)
			}
		}
	}
	for _, w := range [][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {1, -1, 0}, {1, 1, 1}} { // of Y, X, Z
		variance := 0.
		for i := range w {
			for j := range w {
				variance += w[i] * w[j] * s.cov[i][j] / 9
			}
		}
		x := numbers(100000, func(i int) float64 { return w[0]*drawn[i].Y + w[1]*drawn[i].X + w[2]*drawn[i].Z })
		if d := kolmogorov(x, distuv.StudentsT{Sigma: math.Sqrt(variance), Nu: 8}.CDF); d > 1.949 {
			t.Errorf("combination %v of Y, X, Z: D√n is %.3f", w, d)
		}
	}
}

// Two readings have a line of deviations, and a meter without colour only Y.
func TestMeanScatterOfLess(t *testing.T) {
	k := NewKey("scatter")
	two := spreadOf(fewSingles[:2]).mean(2)
	one := spreadOf([]XYZ{{Y: 1}, {Y: 1.2}, {Y: 1.1}}).mean(3)
	still := spreadOf([]XYZ{{1, 1, 1}, {1, 1, 1}}).mean(2)
	for i := range 100 {
		d := two.draw(k, i)
		if math.Abs(d.X/d.Y-(-0.3/-0.5)) > 1e-9 || math.Abs(d.Z/d.Y-(0.4/-0.5)) > 1e-9 {
			t.Fatalf("draw %d of two readings is %v, off the line between them", i, d)
		}
		if d := one.draw(k, i); d.X != 0 || d.Z != 0 || d.Y == 0 {
			t.Fatalf("draw %d of luminances is %v", i, d)
		}
		if d := still.draw(k, i); d != (XYZ{}) {
			t.Fatalf("draw %d of equal readings is %v", i, d)
		}
		if d := (&meanScatter{}).draw(k, i); d != (XYZ{}) {
			t.Fatalf("draw %d of nothing known is %v", i, d)
		}
	}
	if math.Abs(one.luminance()-0.1/math.Sqrt(3)) > 1e-15 || one.dof != 2 {
		t.Errorf("scale is %v with %v degrees of freedom", one.luminance(), one.dof)
	}
}

func TestPool(t *testing.T) {
	a, b := spreadOf(fewSingles), spreadOf(fewSingles[:3])
	p := pooled(a, spread{}, b)
	if want := (4*a.cov[0][0] + 2*b.cov[0][0]) / 6; p.dof != 6 || math.Abs(p.luminance()-math.Sqrt(want)) > 1e-12 {
		t.Errorf("pooled %v with %v degrees of freedom, want √%v with 6", p.luminance(), p.dof, want)
	}
	stated := a.scaled(2)
	stated.dof = math.Inf(1)
	if pooled(a, stated) != stated || pooled() != (spread{}) || pooled(spread{}) != (spread{}) {
		t.Error("what is certain does not outweigh, or nothing pooled is something")
	}
	if got := a.scaled(3).luminance(); math.Abs(got-3*a.luminance()) > 1e-12 {
		t.Errorf("scaled by 3 it is %v", got)
	}
}

// scattered is how a lone reading is taken to scatter.
func scattered(singles []XYZ, taken Taken) (meanScatter, error) {
	s := &Sheet{}
	s.Enter(0, 0, "meter", singles, taken, Reading{Mean: MeanOf(singles)})
	s.finish()
	if s.unknown > 0 {
		return scatterOf(singles, taken, testimony{})
	}
	return s.drawn[0].scatter, nil
}

func TestScatterOf(t *testing.T) {
	own := spreadOf(fewSingles)
	white, black := []XYZ{{95, 100, 109}}, []XYZ{{0.01, 0.01, 0.01}}
	noise := StatedScatter{Noise: []NoiseAt{{0, 0.0004, 0}, {100, 0.2, 0.5}}}
	beside := func(stated float64) float64 { // own's 4 degrees of freedom and those of a statement
		return math.Sqrt((4*own.cov[0][0] + statedDoF*stated*stated) / (4 + statedDoF) / 5)
	}
	for _, c := range []struct {
		name    string
		singles []XYZ
		taken   Taken
		scale   float64 // of Y
		dof     float64
	}{
		{"several", fewSingles, Taken{}, own.luminance() / math.Sqrt(5), 4},
		{"several, stated", fewSingles, Taken{Stated: StatedScatter{Noise: []NoiseAt{{0, 0.25, 0}}}}, beside(0.25), 16},
		{"several, stated far too small", fewSingles, Taken{Stated: StatedScatter{Noise: []NoiseAt{{0, 0.1, 0}}}}, own.luminance() / math.Sqrt(5), 4},
		{"one, noise stated", white, Taken{Stated: noise}, 0.2, 12},
		{"one, repeatability", white, Taken{Stated: StatedScatter{Repeatability: 0.2}}, 0.2, 12},
		{"one, repeatability, dimmer", times(white, 0.01), Taken{Stated: StatedScatter{Repeatability: 0.2}}, 0.02, 12},
		{"one, black", black, Taken{Stated: StatedScatter{Repeatability: 0.2, Dark: 0.0015}}, 0.0025, 12}, // 0.2 % of √(100·0.01), and 0.0015
		{"one, darkness", []XYZ{{}}, Taken{Stated: noise}, 0.0004, 12},
		{"until steady", fewSingles, Taken{UntilSteady: true}, own.luminance() / math.Sqrt(5) * 1.15, 4},
		{"unsynchronised", fewSingles, Taken{Unsynchronised: true}, own.luminance(), 4},
	} {
		m, err := scattered(c.singles, c.taken)
		if err != nil || !(math.Abs(m.luminance()-c.scale) <= 0.03*c.scale) || !(math.Abs(m.dof-c.dof) < 0.01) {
			t.Errorf("%s: scale %v with %v degrees of freedom, %v; want %v with %v", c.name, m.luminance(), m.dof, err, c.scale, c.dof)
		}
	}
	for singles, want := range map[int]string{0: "there is no single reading", 1: "take two or more readings, or state noise or repeatability"} {
		if _, err := scatterOf(fewSingles[:singles], Taken{}, testimony{}); !errors.Is(err, errNoScatter) || !strings.Contains(err.Error(), want) {
			t.Errorf("%d readings of which nothing is known: %v", singles, err)
		}
	}
}

// times are readings of so many times the light.
func times(singles []XYZ, f float64) []XYZ {
	out := make([]XYZ, len(singles))
	for i, x := range singles {
		out[i] = x.times(f)
	}
	return out
}

// The more others say of a level, the less a series that went on until it agreed is widened. One
// whose target is reached whatever the readings are is not widened: where n readings would
// still do if they scattered by 1.5 times as much, by the t factor 1.14 of the five readings
// that a series has at least. The target is in % of Y.
func TestSeriesUntilSteady(t *testing.T) {
	for _, light := range []float64{1, 2.5} {
		singles := times(fewSingles, light)
		own := spreadOf(singles)
		just := 100 * 1.5 * 1.14 * own.luminance() / math.Sqrt(5) / MeanOf(singles).Y
		for _, c := range []struct {
			name   string
			target float64
			level  known
			wider  float64
		}{
			{"all of it its own", 0, known{own.cov[0][0], 4}, 1.15},
			{"half of it its own", 0, known{own.cov[0][0], 8}, 1.075},
			{"a quarter", just * 0.9999, known{own.cov[0][0], 16}, 1 + 0.15/4},
			{"just easy", just * 1.0001, known{own.cov[0][0], 16}, 1},
			{"easy, but the level scatters more", just * 1.0001, known{4 * own.cov[0][0], 20}, 1 + 0.15/5},
			{"easy by the level, which scatters less", just * 0.9999, known{own.cov[0][0] / 4, 20}, 1},
		} {
			m, err := scatterOf(singles, Taken{UntilSteady: true, Target: c.target}, testimony{level: c.level, colour: own})
			want := math.Sqrt(c.level.variance/5) * c.wider
			if err != nil || !(math.Abs(m.luminance()-want) <= 1e-12) || m.dof != c.level.dof {
				t.Errorf("%s, light %v: scale %v with %v degrees of freedom, %v; want %v with %v", c.name, light, m.luminance(), m.dof, err, want, c.level.dof)
			}
		}
	}
}

// The level has its say of Y. What X and Z have beside Y stays, with the degrees of freedom by
// which it is known.
func TestLevelled(t *testing.T) {
	own := spreadOf(fewSingles)
	alone := own.mean(5)
	m := alone.levelled(known{9 * own.cov[0][0], 12}, 5)
	if want := 3 * alone.luminance(); !(math.Abs(m.luminance()-want) <= 1e-12) || m.dof != 12 || m.rest != 4 || m.root[1][1] != alone.root[1][1] || m.root[2][2] != alone.root[2][2] ||
		math.Abs(m.root[1][0]/m.root[0][0]-alone.root[1][0]/alone.root[0][0]) > 1e-12 {
		t.Errorf("by the level it is %+v; of its own %+v, want a Y of %v", m, alone, want)
	}
	equal := spreadOf([]XYZ{{1, 2, 3}, {1.2, 2, 3.1}, {0.9, 2, 2.8}}) // of Y, by chance
	if m = equal.mean(3).levelled(known{4, 10}, 3); !(math.Abs(m.luminance()-2/math.Sqrt(3)) < 1e-12) || m.dof != 10 {
		t.Errorf("three that are equal in Y are %+v", m)
	}
}

// What X and Z have beside Y is drawn by its own degrees of freedom, where either
// has any: t of 3 reaches beyond 6 in 1 % of the draws, a normal number in none.
func TestRestIsDrawnByItsOwn(t *testing.T) {
	for _, of := range []int{1, 2} {
		m := meanScatter{dof: math.Inf(1), rest: 3}
		m.root[0][0], m.root[of][of] = 1, 1
		far := [3]int{}
		for i := range 4000 {
			for k, x := range m.draw(NewKey("rest"), i).vector() {
				if math.Abs(x) > 6 {
					far[k]++
				}
			}
		}
		if far[0] > 0 || far[of] < 20 || far[of] > 60 {
			t.Errorf("beside Y only %d: beyond 6 are %v of 4000 draws of Y, X, Z", of, far)
		}
	}
}

// Scatter is in proportion, down to a black whose variance is next to nothing.
func TestMeanScatterInProportion(t *testing.T) {
	const f = 1e-9
	bright, black := spreadOf(fewSingles).mean(5), spreadOf(times(fewSingles, f)).mean(5)
	for i := range bright.root {
		for j := range bright.root[i] {
			if math.Abs(black.root[i][j]-f*bright.root[i][j]) > 1e-6*f {
				t.Errorf("root %d %d is %v of so little light, want %v", i, j, black.root[i][j], f*bright.root[i][j])
			}
		}
	}
}

// The study behind stoppingFactor: series of normal readings that go on, for
// at least 5 and at most 50, until s/√n times the t factor of few is the target.
func TestStoppingFactor(t *testing.T) {
	const series = 8000
	worst, worstWidened := 1., 1.
	for _, needed := range []float64{2, 5, 10, 20, 30} { // readings that a known σ of 1 would ask for
		within, widened := 0, 0
		for e := range series {
			k := NewKey("series").Number(e)
			mean, se, n := untilSteady(k, 1/math.Sqrt(needed))
			limit := se * quantile95[n]
			if math.Abs(mean) <= limit {
				within++
			}
			if math.Abs(mean) <= limit*stoppingFactor {
				widened++
			}
		}
		worst = min(worst, float64(within)/series)
		worstWidened = min(worstWidened, float64(widened)/series)
	}
	t.Logf("coverage at the worst: %.3f, widened %.3f", worst, worstWidened)
	if worst > 0.93 || worstWidened < 0.943 { // three standard errors of 8000 series: 0.007
		t.Errorf("coverage at the worst is %.3f, want below 0.93 (or the factor is idle); widened %.3f, want 0.95", worst, worstWidened)
	}
}

var quantile68, quantile95 = func() (a, b [51]float64) {
	for n := 2; n <= 50; n++ {
		d := distuv.StudentsT{Sigma: 1, Nu: float64(n - 1)}
		a[n], b[n] = d.Quantile(p8413), d.Quantile(0.975)
	}
	return a, b
}()

func untilSteady(k Key, target float64) (mean, se float64, n int) {
	squares := 0.
	for n < 50 {
		x := k.Number(n).normal(0)
		n++
		d := x - mean
		mean += d / float64(n)
		squares += d * (x - mean)
		if n < 5 {
			continue
		}
		se = math.Sqrt(squares / float64(n-1) / float64(n))
		if se*quantile68[n] <= target {
			break
		}
	}
	return mean, se, n
}

package draw

import (
	"math"
	"math/rand/v2"
	"slices"
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
		s.Enter(step, 0, "meter", singles, Taken{UntilSteady: target > 0, Target: target},
			Reading{Mean: MeanOf(singles), Keys: Keys{Scatter: NewKey("scatter").Number(step)}})
	}
	s.finish()
	return s
}

// TestPooledLevels: of five readings at each of many levels, each is known by the
// degrees of freedom of all that is near, and its variance is right in the mean
// within a tenth less and a fifth more, however scatter goes with the level.
func TestPooledLevels(t *testing.T) {
	levels := []float64{400, 320, 250, 200, 150, 100, 70, 40, 25, 16, 10, 6.4, 4, 2.5, 1, 0.4, 0.1, 0.04, 0}
	for _, tt := range []struct {
		name          string
		share, amount float64
	}{
		{"in proportion", 0.001, 1e-5},
		{"the same everywhere", 0, 0.01},
		{"both", 0.001, 0.01},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(1, 2))
			const sheets = 300
			variance, dof := make([]float64, len(levels)), make([]float64, len(levels))
			for range sheets {
				s := sheetOf(r, levels, 5, tt.share, tt.amount, 0)
				for i, level := range levels {
					m := s.drawn[i].scatter
					known := (tt.share*tt.share*level*level + tt.amount*tt.amount) / 5
					variance[i] += m.luminance() * m.luminance() / known / sheets
					dof[i] += m.dof / sheets
				}
			}
			for i, v := range variance {
				least := 0.9
				most := 1.2
				if levels[i] < 0.1 {
					least, most = 0.8, 1.4 // where the others hardly say what there is
				}
				if v < least || v > most {
					t.Errorf("at %v cd/m2 the variance is %.2f of the true one", levels[i], v)
				}
				if levels[i] > 2 && dof[i] < 20 {
					t.Errorf("%v cd/m2 is known by %.1f degrees of freedom", levels[i], dof[i])
				}
			}
		})
	}
}

// TestScatterOfItsOwn: a level at which readings scatter five times as much as the
// noise elsewhere has it keeps its own, of which in the mean no more than a tenth is
// lost. Those beside it, that pool it with seven others, are drawn twice as far as they
// scatter: on the safe side.
func TestScatterOfItsOwn(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	const sheets = 400
	odd, other, beside := 0., 0., 0.
	for range sheets {
		s := &Sheet{}
		for step, level := range []float64{100, 70, 50, 20, 14, 10, 4, 2.8, 2} {
			share := 0.001
			if level == 14 {
				share = 0.005
			}
			singles := make([]XYZ, 5)
			for i := range singles {
				singles[i].Y = level * (1 + share*r.NormFloat64())
			}
			s.Enter(step, 0, "meter", singles, Taken{}, Reading{Mean: MeanOf(singles), Keys: Keys{Scatter: NewKey("scatter").Number(step)}})
		}
		s.finish()
		relative := func(i int, level, share float64) float64 {
			x := s.drawn[i].scatter.luminance() / level / share
			return x * x * 5 / sheets
		}
		odd += relative(4, 14, 0.005)
		other += relative(0, 100, 0.001)
		beside += relative(3, 20, 0.001)
	}
	if odd < 0.85 || odd > 1.1 {
		t.Errorf("the level that scatters more has %.2f of its variance", odd)
	}
	for _, v := range []float64{other, beside} {
		if want := (7 + 25.) / 8; v < 1 || v > 1.1*want {
			t.Errorf("another has %.2f of its variance, want at most %.2f", v, want)
		}
	}
}

// TestByChance: quantiles of χ²/ν, 99 % (tables of χ², e.g. NIST/SEMATECH e-Handbook
// 1.3.6.7.4: 13.277 of 4, 23.209 of 10, 50.892 of 30).
func TestByChance(t *testing.T) {
	for dof, want := range map[float64]float64{4: 13.277 / 4, 10: 2.3209, 30: 50.892 / 30} {
		if got := byChance(dof); math.Abs(got/want-1) > 0.005 {
			t.Errorf("of %v degrees of freedom: %.4f, want %.4f", dof, got, want)
		}
	}
	if !math.IsInf(byChance(0), 1) {
		t.Error("of nothing known there is a largest")
	}
}

// TestEasyTarget: a series that could not but end at once is widened by nothing;
// one that ended by luck is, and the less the more others say of the scatter: they are
// asked until 30 degrees of freedom are together, of which each series has four.
func TestEasyTarget(t *testing.T) {
	for _, tt := range []struct {
		target float64 // %
		series int
		want   float64
	}{{10, 1, 1}, {0.035, 1, 1.15}, {0.03, 1, 1.15}, {0.03, 4, 1 + 0.15/4}, {0.03, 9, 1 + 0.15*4/30}} {
		levels := slices.Repeat([]float64{100}, tt.series)
		with := sheetOf(rand.New(rand.NewPCG(3, 4)), levels, 5, 0.001, 0, tt.target)
		plain := sheetOf(rand.New(rand.NewPCG(3, 4)), levels, 5, 0.001, 0, 0)
		a, b := with.drawn[0].scatter.luminance(), plain.drawn[0].scatter.luminance()
		if math.Abs(a/b-tt.want) > 1e-9 {
			t.Errorf("%d series with a target of %v %%: the scatter is %.4g, want %.4g", tt.series, tt.target, a, b*tt.want)
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
		m, err := scattered(singles, Taken{UntilSteady: true, Target: target})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(MeanOf(singles).Y-100) <= tQuantile975(m.dof)*m.luminance() {
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
		s := spreadOf(singles).luminance()
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

// TestNoScatter: a single reading of a meter that nobody states a repeatability of has no
// scatter, until another of the same meter says how it scatters.
func TestNoScatter(t *testing.T) {
	one := []XYZ{{Y: 352}}
	s := &Sheet{}
	s.Enter(1, 0, "typed", one, Taken{}, Reading{Mean: one[0]})
	s.Enter(2, 0, "typed", one, Taken{}, Reading{Mean: one[0]})
	s.Enter(3, 0, "stated", one, Taken{Stated: StatedScatter{Repeatability: 0.2}}, Reading{Mean: one[0]})
	if n := s.NoScatter(); n != 2 {
		t.Errorf("%d readings have no scatter, want 2", n)
	}
	s = &Sheet{}
	s.Enter(1, 0, "typed", one, Taken{}, Reading{Mean: one[0]})
	s.Enter(2, 0, "typed", []XYZ{{Y: 352}, {Y: 353}}, Taken{}, Reading{Mean: XYZ{Y: 352.5}})
	if n := s.NoScatter(); n != 0 {
		t.Errorf("%d readings have no scatter beside one that shows it", n)
	}
}

// TestFarScatter: a black beside a white that was read five times is counted, unless another black says how it
// scatters, or the bench does.
func TestFarScatter(t *testing.T) {
	white := []XYZ{{Y: 400}, {Y: 401}, {Y: 400.5}, {Y: 399.8}, {Y: 400.1}}
	black := []XYZ{{Y: 0.2}}
	for _, tt := range []struct {
		stated StatedScatter
		blacks int
		want   int
	}{{StatedScatter{}, 1, 1}, {StatedScatter{}, 3, 0}, {StatedScatter{Repeatability: 0.2}, 1, 0}, {StatedScatter{Noise: []NoiseAt{{0, 0.001, 0}}}, 1, 0}} {
		s := &Sheet{}
		s.Enter(0, 0, "meter", white, Taken{Stated: tt.stated}, Reading{Mean: MeanOf(white)})
		for i := range tt.blacks {
			black[0].Y += 0.001
			s.Enter(1+i, 0, "meter", slices.Clone(black), Taken{Stated: tt.stated, Stimulus: "black", Began: float64(i)}, Reading{Mean: black[0]})
		}
		if n := s.FarScatter(); n != tt.want {
			t.Errorf("%+v, %d blacks: %d are concluded from another level, want %d", tt.stated, tt.blacks, n, tt.want)
		}
	}
}

// TestRest: what no cause explains is named by what readings have of their own.
func TestRest(t *testing.T) {
	typed, one, two := Typed{Place: XYZ{Y: 1}}, []XYZ{{Y: 352}}, []XYZ{{Y: 352}, {Y: 353}}
	for _, tt := range []struct {
		want    string
		singles []XYZ
		stated  float64
		typed   Typed
	}{
		{"scatter", two, 0, Typed{}},
		{"scatter", one, 0, Typed{}},
		{"resolution", one, 0, typed},
		{"scatter and resolution", one, 0.2, typed},
		{"scatter and resolution", two, 0, typed},
	} {
		s := &Sheet{}
		s.Enter(1, 0, "meter", tt.singles, Taken{Stated: StatedScatter{Repeatability: tt.stated}}, Reading{Mean: MeanOf(tt.singles), Typed: tt.typed})
		s.Enter(2, 0, "meter", one, Taken{Stated: StatedScatter{Repeatability: tt.stated}}, Reading{Mean: one[0]})
		if got := s.Rest(); got != tt.want {
			t.Errorf("%d readings, %v %% stated, typed %+v: the rest is %q, want %q", len(tt.singles), tt.stated, tt.typed, got, tt.want)
		}
	}
}

// TestColoursApart: readings of saturated colours by a meter whose X, Y and Z go up and
// down together scatter in luminance as all of them do, and in chromaticity a
// hundred times less, each as its own. Pooled whole, blue would lend its Z to green.
func TestColoursApart(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	colours := []XYZ{{100, 50, 5}, {40, 90, 10}, {60, 25, 320}, {140, 140, 20}, {100, 110, 330}, {160, 75, 325}, {200, 210, 230}}
	const sheets, gain, own = 100, 0.002, 2e-5
	squares, luminance, dof := make([]float64, len(colours)), 0., 0.
	for range sheets {
		s := &Sheet{}
		for step, c := range colours {
			singles := make([]XYZ, 5)
			for i := range singles {
				g := 1 + gain*r.NormFloat64()
				singles[i] = XYZ{c.X * g * (1 + own*r.NormFloat64()), c.Y * g * (1 + own*r.NormFloat64()), c.Z * g * (1 + own*r.NormFloat64())}
			}
			s.Enter(step, 0, "meter", singles, Taken{}, Reading{Mean: MeanOf(singles), Colour: true, Keys: Keys{Scatter: NewKey("scatter").Number(step)}})
		}
		const draws = 100
		for step, c := range colours {
			for j := range draws {
				d, _ := s.Draw(step, 0, j)
				moved := d.Apply(c)
				squares[step] += math.Pow(moved.X/moved.Y/(c.X/c.Y)-1, 2) / draws / sheets
			}
			luminance += math.Pow(s.drawn[step].scatter.luminance()/c.Y/gain, 2) * 5 / sheets / float64(len(colours))
			dof += s.drawn[step].scatter.dof / sheets / float64(len(colours))
		}
	}
	for step, square := range squares {
		want := own * math.Sqrt(2./5) * math.Sqrt2 // of t with four degrees of freedom
		if got := math.Sqrt(square); got < want/1.6 || got > want*1.6 {
			t.Errorf("colour %d: X/Y scatters by %.2g, want %.2g", step, got, want)
		}
	}
	if luminance < 0.9 || luminance > 1.15 || dof < 20 {
		t.Errorf("the luminance has %.2f of its variance, by %.0f degrees of freedom", luminance, dof)
	}
}

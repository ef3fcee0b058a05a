package draw

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// seriesOf are single readings of a light, and their times.
func seriesOf(r *rand.Rand, n int, sigma float64, light func(t float64) float64) (singles []XYZ, times []float64) {
	for i := range n {
		t := float64(3*i + i%2) // not even
		times = append(times, t)
		singles = append(singles, XYZ{Y: light(t) + sigma*r.NormFloat64()})
	}
	return singles, times
}

// The second estimate is right in the mean, has the scatter that its degrees of freedom say (a
// variance of ν has the relative variance 2/ν), and does not see a straight line.
func TestLocalSpread(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const rounds, n = 4000, 20
	var sum, squares, dof float64
	for range rounds {
		s := localSpread(seriesOf(r, n, 1, func(t float64) float64 { return 100 + 5*t }))
		sum += s.cov[0][0] / rounds
		squares += s.cov[0][0] * s.cov[0][0] / rounds
		dof = s.dof
	}
	if math.Abs(sum-1) > 0.03 {
		t.Errorf("of a variance of 1 it finds %.3f", sum)
	}
	if found := 2 / (squares/(sum*sum) - 1); math.Abs(found/dof-1) > 0.15 {
		t.Errorf("it scatters as by %.1f degrees of freedom, and says %.1f", found, dof)
	}
	if s := localSpread(seriesOf(r, n, 0, func(t float64) float64 { return 100 + 5*t })); s.cov[0][0] > 1e-20 {
		t.Errorf("of a straight line it finds %v", s.cov[0][0])
	}
}

// A light that is steady has all degrees of freedom. One that rises smoothly does not count as scatter,
// unless slow changes are errors of the readings.
func TestSeriesSpread(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	still, times := seriesOf(r, 20, 0.1, func(float64) float64 { return 100 })
	if s := seriesSpread(still, times, false); s != spreadOf(still) {
		t.Errorf("of a steady light it is %+v", s)
	}
	rising, times := seriesOf(r, 20, 0.1, func(t float64) float64 { return 100 * math.Exp(t/500) })
	if s := seriesSpread(rising, times, false); s.luminance() > 0.2 || s.luminance() < 0.05 {
		t.Errorf("of a rising light with a noise of 0.1 it is %v", s.luminance())
	}
	if s := seriesSpread(rising, times, true); s.luminance() < 3 {
		t.Errorf("where slow changes are errors it is %v", s.luminance())
	}
}

// Single readings of one stimulus say how they scatter, all of a run together: not those of another
// stimulus or meter, nor of no stimulus, nor a few that are far apart in time.
func TestSeriesOfAStimulus(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	s, step := &Sheet{}, 0
	enter := func(meter, stimulus string, n int, apart float64) (first int) {
		first = step
		for i := range n {
			y := []XYZ{{Y: 100 + r.NormFloat64()}}
			s.Enter(step, 0, meter, y, Taken{Stimulus: stimulus, Began: apart * float64(i)}, Reading{Mean: y[0], Keys: Keys{Scatter: NewKey("s").Number(step)}})
			step++
		}
		return first
	}
	long, lone := enter("a", "white", 70, 2), enter("b", "white", 1, 2)
	few, far, four, none := enter("c", "white", 3, 2), enter("d", "white", 3, 200), enter("e", "white", 4, 200), enter("f", "", 9, 2)
	unknown := s.NoScatter()
	for _, c := range []struct {
		name string
		step int
		dof  float64
	}{{"the first of 70", long, 31}, {"the last of 70", long + 69, 5}, {"three that follow each other", few, 2}, {"four far apart", four, 3},
		{"one of another meter", lone, 0}, {"three far apart", far, 0}, {"of no stimulus", none, 0}} {
		if got := s.readings[c.step].own; got.dof != c.dof || c.dof > 0 && (got.luminance() < 0.05 || got.luminance() > 3) {
			t.Errorf("%s: %v by %v degrees of freedom, want %v", c.name, got.luminance(), got.dof, c.dof)
		}
		if known := s.drawn[c.step].scatter.dof > 0; known != (c.dof > 0) {
			t.Errorf("%s: its scatter is known: %t", c.name, known)
		}
	}
	if unknown != 1+3+9 {
		t.Errorf("%d readings have no scatter", unknown)
	}
}

// No reading is left alone at the end of a long run of them.
func TestSeriesEnd(t *testing.T) {
	s := &Sheet{}
	for step := range seriesLength + 1 {
		y := []XYZ{{Y: 100 + float64(step%3)}}
		s.Enter(step, 0, "a", y, Taken{Stimulus: "white"}, Reading{Mean: y[0]})
	}
	s.finish()
	if last := s.readings[seriesLength]; last.own.dof != seriesLength || last.from != 0 {
		t.Errorf("the last is of %+v", last.own)
	}
}

// A black between other patches, read once each time, is drawn by what its readings scatter, and not by a
// white that was read five times.
func TestBlackBesideWhite(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	s := &Sheet{}
	for step := range 60 {
		level := []float64{0.2, 0.2 + float64(step)/50}[step%2]
		y := []XYZ{{Y: level + 0.0016*r.NormFloat64()}}
		s.Enter(step, 0, "a", y, Taken{Stimulus: fmt.Sprint(level), Began: float64(step)}, Reading{Mean: y[0]})
	}
	white := make([]XYZ, 5)
	for i := range white {
		white[i].Y = 400 + 0.4*r.NormFloat64()
	}
	s.Enter(60, 0, "a", white, Taken{Stimulus: "white"}, Reading{Mean: MeanOf(white)})
	s.finish()
	for _, step := range []int{0, 58} {
		if got := s.drawn[step].scatter.luminance(); got < 0.0012 || got > 0.0021 {
			t.Errorf("black of step %d is drawn by %v, want 0.0016", step, got)
		}
	}
	if got := s.drawn[60].scatter.luminance() * math.Sqrt(5); got < 0.2 || got > 0.8 {
		t.Errorf("white is drawn by %v, want 0.4", got)
	}
}

package draw

import (
	"fmt"
	"testing"

	"candelua/testdata/campaign"
)

// study is a measurement that is repeated: true levels, the scatter of single
// readings, and what is concluded of the means.
type study struct {
	name    string
	truth   []XYZ         // of each reading
	sigma   func(XYZ) XYZ // of single readings, per channel
	pooled  bool          // all readings scatter alike, and are pooled
	results []result      // several conclusions of the same readings
}

type result struct {
	name  string
	of    func([]XYZ) float64
	least float64 // coverage that the chosen interval must reach
	limit float64 // upper limit that is said; 0 for none said
}

const (
	experiments = 1000
	perDraws    = 300
	perReading  = 5
)

// tally counts for one conclusion how often each method's interval held the truth.
type tally struct {
	held                          map[Method]int
	chosen, below, above, evasive int
	width, bias                   float64
}

func (s study) run() []tally {
	tallies := make([]tally, len(s.results))
	truth := make([]float64, len(s.results))
	for i, r := range s.results {
		truth[i] = r.of(s.truth)
		tallies[i].held = map[Method]int{}
	}
	for e := range experiments {
		for i, r := range s.runs(e) {
			tallies[i].add(r.Estimate, truth[i], r.Draws, s.results[i].limit)
		}
	}
	return tallies
}

// runs is one measurement, concluded and drawn.
func (s study) runs(e int) []Run {
	means, scatter, keys := s.measure(e)
	out := make([]Run, len(s.results))
	for i, r := range s.results {
		out[i] = Run{r.of(means), make([]float64, perDraws)}
	}
	drawn := make([]XYZ, len(means))
	for j := range perDraws {
		for i, m := range means {
			drawn[i] = m.plus(scatter[i].draw(keys[i], j))
		}
		for i, r := range s.results {
			out[i].Draws[j] = r.of(drawn)
		}
	}
	return out
}

func (s study) measure(e int) (means []XYZ, scatter []meanScatter, keys []Key) {
	spreads := make([]spread, len(s.truth))
	for i, level := range s.truth {
		world := NewKey("world").Text(s.name).Number(e).Number(i)
		sigma := s.sigma(level)
		singles := make([]XYZ, perReading)
		for j := range singles {
			g := channels(world.Number(j), 0)
			singles[j] = level.plus(XYZ{sigma.X * g.X, sigma.Y * g.Y, sigma.Z * g.Z})
		}
		means = append(means, MeanOf(singles))
		spreads[i] = spreadOf(singles)
		keys = append(keys, NewKey("scatter").Text(s.name).Number(e).Number(i))
	}
	for _, own := range spreads {
		if s.pooled {
			own = pooled(spreads...)
		}
		scatter = append(scatter, own.mean(perReading))
	}
	return means, scatter, keys
}

func (t *tally) add(estimate, truth float64, draws []float64, limit float64) {
	u, err := Evaluate(estimate, draws)
	if limit > 0 {
		u, err = EvaluateWithin(estimate, draws, Limits{0, limit})
	}
	if err != nil {
		t.evasive++
		return
	}
	switch {
	case truth < u.Low:
		t.below++
	case truth > u.High:
		t.above++
	default:
		t.chosen++
	}
	t.width += (u.High - u.Low) / experiments
	s := sortedOf(draws)
	t.bias += s.bias(estimate) / experiments
	for _, m := range []Method{Percentile, Reflected, biasCorrected} {
		low, high := s.interval(m, estimate, 0.95, scale{}) // reflected plainly, without squares
		if m == biasCorrected {
			low, high = s.biasCorrected(estimate, 0.95)
		}
		if low <= truth && truth <= high {
			t.held[m]++
		}
	}
}

func studies() []study {
	all := []study{}
	for _, pooled := range []bool{false, true} {
		all = append(all,
			study{"mean of 4", luminances(100, 101, 99, 100), noisy(0.5, 0), pooled, []result{{"mean", meanY, 0.93, 0}}},
			study{"one reading", luminances(100), noisy(0.5, 0), pooled, []result{{"mean", meanY, 0.93, 0}}},
			study{"9 places alike", luminances(100, 100, 100, 100, 100, 100, 100, 100, 100), noisy(0.5, 0), pooled, []result{{"lowest over highest", lowestOverHighest, 0.65, 0}, {"the same, at most 1", lowestOverHighest, 0.93, 1}}},
			study{"9 places", luminances(100, 97, 93, 95, 98, 91, 96, 94, 90), noisy(0.5, 0), pooled, []result{{"lowest over highest", lowestOverHighest, 0.93, 0}}},
		)
		for _, m := range []float64{0, 1, 3, 5, 10} {
			all = append(all, study{fmt.Sprintf("colour errors of %g", m), colourErrors(m), alike, pooled,
				[]result{{"mean", meanNorm, 0.93, 0}, {"median", medianNorm, 0.88, 0}, {"largest", maxNorm, 0.91, 0}}})
		}
	}
	return append(all,
		study{"contrast, black 5 %", luminances(100, 0.02), noisy(0.2, 0.001), false, []result{{"ratio", ratioY, 0.93, 0}}},
		study{"contrast, black 20 %", luminances(100, 0.02), noisy(0.2, 0.004), false, []result{{"ratio", ratioY, 0.93, 0}}},
		study{"tone", tone(2.2), noisy(0.5, 0.01), false, []result{{"exponent", exponent, 0.93, 0}}},
		study{"decay", decay(), noisy(0.5, 0), false, []result{{"crossing", crossing, 0.93, 0}}},
		study{"noisy decay", decay(), noisy(5, 0), false, []result{{"crossing", crossing, 0.93, 0}}},
	)
}

// The numbers of the package comment are those that this logs: intervals of what is
// concluded of one measurement, and of differences of two. Each member is whole in the
// brief form too, since fewer measurements would decide by chance.
func TestCoverage(t *testing.T) {
	type member struct {
		name  string
		check func(*testing.T)
	}
	var all []member
	for _, s := range studies() {
		all = append(all, member{fmt.Sprintf("%s, pooled %v", s.name, s.pooled), s.check})
	}
	lengths := [][2]float64{{0, 0}, {3, 3}, {0, 3}, {1, 3}, {3, 10}}
	if !campaign.Full() { // each costs as much as fifteen of the others
		lengths = nil
	}
	for _, lengths := range lengths {
		all = append(all, member{fmt.Sprint("differences of ", lengths), func(t *testing.T) { checkDifferences(t, lengths[0], lengths[1]) }})
	}
	for _, m := range campaign.Some(t, all, 3) {
		t.Run(m.name, func(t *testing.T) {
			t.Parallel()
			m.check(t)
		})
	}
}

// check asks for two standard errors (0.014 together) below 0.95, and for less where
// the package comment says so.
func (s study) check(t *testing.T) {
	for i, got := range s.run() {
		r := s.results[i]
		share := func(n int) float64 { return float64(n) / float64(experiments-got.evasive) }
		t.Logf("%s: bias %+.2f; percentile %.3f, reflected %.3f, bias-corrected %.3f; chosen %.3f (truth below %.3f, above %.3f), width %.3g; not evaluated %d",
			r.name, got.bias, share(got.held[Percentile]), share(got.held[Reflected]), share(got.held[biasCorrected]),
			share(got.chosen), share(got.below), share(got.above), got.width, got.evasive)
		if share(got.chosen) < r.least || got.evasive > experiments/100 {
			t.Errorf("%s: the interval held the truth in %.3f of %d, want %.2f; %d not evaluated", r.name, share(got.chosen), experiments, r.least, got.evasive)
		}
	}
}

// checkDifferences compares colour errors: of equal charts, where pushes cancel, and of a
// good one and a bad one, where they do not. 2,000 pairs each; the package comment
// says what is less than 0.95.
func checkDifferences(t *testing.T, a, b float64) {
	for _, c := range differences(a, b) {
		t.Logf("%s: held %.3f", c.name, c.share)
		if c.share < c.least {
			t.Errorf("%s: the interval held the truth in %.3f, want %.2f", c.name, c.share, c.least)
		}
	}
}

type held struct {
	name         string
	share, least float64
}

func differences(a, b float64) []held {
	const pairs = 2000
	results := []result{{"mean", meanNorm, 0.925, 0}, {"median", medianNorm, 0.84, 0}, {"largest", maxNorm, 0.88, 0}}
	studies := []study{
		{fmt.Sprint("first, ", a), colourErrors(a), alike, true, results},
		{fmt.Sprint("second, ", b), colourErrors(b), alike, true, results},
	}
	out := make([]held, len(results))
	for e := range pairs {
		first, second := studies[0].runs(e), studies[1].runs(e)
		for i, r := range results {
			truth := r.of(studies[0].truth) - r.of(studies[1].truth)
			out[i].name, out[i].least = r.name, r.least
			if d, err := Difference(first[i], second[i]); err == nil && d.Low <= truth && truth <= d.High {
				out[i].share += 1. / pairs
			}
		}
	}
	return out
}

// biasCorrected is an interval that the package does not use, for comparison.
const biasCorrected Method = "bias-corrected"

// biasCorrected returns the percentiles Φ(2z₀ ∓ z) where Φ(z₀) is the share of
// draws below the estimate.
//
// Source: B. Efron, "Nonparametric standard errors and confidence intervals",
// Can. J. Stat. 9 (1981) 139-172, from memory.
func (s sorted) biasCorrected(estimate, share float64) (low, high float64) {
	below := 0.5
	for _, y := range s.at {
		if y < estimate {
			below++
		} else if y == estimate {
			below += 0.5
		}
	}
	z0 := normalQuantile(below / float64(len(s.at)+1))
	z := normalQuantile(0.5 + share/2)
	return s.quantile(normalShare(2*z0 - z)), s.quantile(normalShare(2*z0 + z))
}

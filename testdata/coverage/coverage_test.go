package main

import (
	"bytes"
	"context"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"candelua/engine/trial"
)

// atLeast is the number of intervals that hold the truth below which, of n, a value
// whose true coverage is p falls with a chance of at most a thousandth.
func atLeast(n int, p float64) int {
	b := distuv.Binomial{N: float64(n), P: p}
	k := 0
	for b.CDF(float64(k)) < 0.001 {
		k++
	}
	return k
}

// TestAtLeast checks the bound against a sum of the binomial formula.
func TestAtLeast(t *testing.T) {
	n, p, k := 60, 0.93, atLeast(60, 0.93)
	below := 0.0
	for i := range k {
		a, _ := math.Lgamma(float64(n + 1))
		b, _ := math.Lgamma(float64(i + 1))
		c, _ := math.Lgamma(float64(n - i + 1))
		below += math.Exp(a - b - c + float64(i)*math.Log(p) + float64(n-i)*math.Log(1-p))
	}
	if below >= 0.001 || k < 45 {
		t.Errorf("fewer than %d of %d have a chance of %v, want below 0.001", k, n, below)
	}
}

// TestCoverage is the study in short, in the worlds that do not drift: it fails
// where intervals that should hold the truth in 93 % and more hold it in far
// fewer. That they hold it too often it does not find: the long study does.
func TestCoverage(t *testing.T) {
	for _, tt := range []struct {
		study, value string
		runs         int
	}{
		{"window-sweep", "peak-luminance", 60}, {"contrast", "sequential-contrast", 60},
		{"gamut", "coverage-p3-uv", 40}, {"tone-response", "gamma", 20},
	} {
		t.Run(tt.study, func(t *testing.T) {
			rep, _, err := study(t.Context(), tt.study, choice{runs: tt.runs, draws: 100, world: "steady"})
			if err != nil {
				t.Fatal(err)
			}
			c := checkOf(t, rep, tt.value)
			if want := atLeast(tt.runs, 0.93); c.Intervals != tt.runs || c.Covered < want {
				t.Errorf("%s: %d of %d intervals hold the truth, want %d or more of %d", tt.value, c.Covered, c.Intervals, want, tt.runs)
			}
			if c.U == nil || c.Scatter == nil || *c.U / *c.Scatter < 0.7 || *c.U / *c.Scatter > 3 {
				t.Errorf("%s: the uncertainty is %v, and the value scatters by %v", tt.value, c.U, c.Scatter)
			}
		})
	}
}

func checkOf(t *testing.T, rep *trial.Report, value string) trial.Check {
	t.Helper()
	for _, c := range rep.Worlds[0].Checks {
		if c.ID == value {
			return c
		}
	}
	t.Fatalf("the study has no value %q", value)
	return trial.Check{}
}

// TestPairs: the ratio of two units, measured with one meter, is known some ten
// times better than each, and holds the truth; with two meters it is known worse than each.
func TestPairs(t *testing.T) {
	const pairs = 12
	p, err := newPairer(t.Context(), 100)
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range []bool{true, false} {
		got, err := p.measure(t.Context(), pairs, 1, pairFactor, one)
		if err != nil {
			t.Fatal(err)
		}
		width := got.width / got.alone
		if one && width > 0.2 || !one && (width < 1.1 || width > 1.8) { // √2 with two meters
			t.Errorf("one meter %v: the interval is %.2f times as wide as one's own", one, width)
		}
		if want := atLeast(pairs, 0.93); got.covered < want {
			t.Errorf("one meter %v: %d of %d intervals hold the truth, want %d or more", one, got.covered, pairs, want)
		}
	}
}

// TestStudiesRun: every study runs and is printed, and a wrong name is refused.
func TestStudiesRun(t *testing.T) {
	for _, name := range []string{"window-sweep", "chart"} {
		var out bytes.Buffer
		if err := studies(t.Context(), &out, []string{name}, choice{runs: 1, draws: 100, world: "steady"}); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(out.String(), "| steady | 1 |") {
			t.Errorf("%s is printed as\n%s", name, out.String())
		}
	}
	err := studies(context.Background(), &bytes.Buffer{}, []string{"gamma"}, choice{runs: 1})
	if err == nil || !strings.Contains(err.Error(), `there is no study "gamma", want one of chart, contrast, gamut`) {
		t.Errorf("got %v", err)
	}
}

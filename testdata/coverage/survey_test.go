package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"candelua/engine/sim"
	"candelua/testdata/campaign"
)

func num(x float64) *float64 { return &x }

// number is a value with its interval.
func numbered(x, low, high float64, unit string) stated {
	return stated{ID: "a", Value: &x, Interval: &[2]float64{low, high}, Unit: unit, Method: "percentile"}
}

// TestHolds: an interval holds the truth where it is in it, angles by whole turns, and a limit where the
// truth is on its side. What is not stated is not judged.
func TestHolds(t *testing.T) {
	is := func(x float64) stated { return stated{Value: &x} }
	limit := func(x float64, side string) stated { return stated{Value: &x, Bound: side} }
	for _, c := range []struct {
		name          string
		stated, truth stated
		holds, judged bool
	}{
		{"in it", numbered(2, 1, 3, ""), is(2.9), true, true},
		{"at its end", numbered(2, 1, 3, ""), is(3), true, true},
		{"above it", numbered(2, 1, 3, ""), is(3.1), false, true},
		{"across 360", numbered(359, 357, 361, "deg"), is(0.5), true, true},
		{"across 0", numbered(1, -1, 3, "degrees"), is(359.5), true, true},
		{"an angle outside", numbered(1, -1, 3, "°"), is(350), false, true},
		{"no angle", numbered(359, 357, 361, ""), is(0.5), false, true},
		{"below an upper limit", limit(0.01, "upper"), is(0.005), true, true},
		{"above an upper limit", limit(0.01, "upper"), is(0.02), false, true},
		{"below a lower limit", limit(100, "lower"), is(90), false, true},
		{"the truth is a limit, and may be in it", numbered(2, 1, 3, ""), limit(1.5, "upper"), true, true},
		{"the truth is a limit, and cannot be in it", numbered(2, 1, 3, ""), limit(0.5, "upper"), false, true},
		{"two limits alike", limit(2, "lower"), limit(3, "lower"), true, true},
		{"two limits that exclude each other", limit(2, "lower"), limit(1, "upper"), false, true},
		{"the same words", stated{Text: "blue"}, stated{Text: "blue"}, true, true},
		{"other words", stated{Text: "blue"}, stated{Text: "red"}, false, true},
		{"not known", is(2), is(2), false, false},
		{"withheld", stated{}, is(2), false, false},
		{"any answer is true", stated{Text: "blue"}, stated{}, false, false},
	} {
		if holds, judged := c.stated.holds(&c.truth); holds != c.holds || judged != c.judged {
			t.Errorf("%s: holds %v, judged %v; want %v, %v", c.name, holds, judged, c.holds, c.judged)
		}
	}
}

// TestTally counts the kinds of what runs state, and finds width and need: 95 % of a normal distribution are 3.92 standard
// deviations wide.
func TestTally(t *testing.T) {
	s := surveyed{script: "s", truth: once{Values: []stated{{ID: "a", Value: num(10)}}}, runs: []once{
		{Values: []stated{numbered(9, 8, 10.5, "")}},
		{Values: []stated{numbered(11, 10.2, 12.2, "")}},
		{Values: []stated{{ID: "a", Value: num(12), Bound: "upper"}}},
		{Values: []stated{{ID: "a", Value: num(8), Bound: "upper"}}},
		{Values: []stated{{ID: "a", Why: "too dark"}}},
		{Values: []stated{{ID: "a", Value: num(10), Why: "too many draws gave no value"}}},
		{Error: "failed"},
	}}
	got := s.tally()[0]
	if got.judged != 2 || got.covered != 1 || got.limits != 2 || got.held != 1 {
		t.Errorf("%d of %d intervals and %d of %d limits hold the truth; want 1 of 2 each", got.covered, got.judged, got.held, got.limits)
	}
	if want := map[kind]int{interval: 2, bound: 2, withheld: 2, unknown: 1}; !reflect.DeepEqual(got.kinds, want) {
		t.Errorf("kinds are %v, want %v", got.kinds, want)
	}
	if want := 3.92 * 1; math.Abs(got.need-want) > 1e-12 || got.bias != 0 || got.width != 2 {
		t.Errorf("need %v, bias %v, width %v; want %v, 0, 2", got.need, got.bias, got.width, want)
	}
	if got.class() != missed || got.why != "too dark" {
		t.Errorf("class %v, why %q", got.class(), got.why)
	}
}

// TestClasses: what is wrong with a value is named, the worst that holds first.
func TestClasses(t *testing.T) {
	of := func(covered, judged, left int, width float64) *tallied {
		return &tallied{runs: judged + left, covered: covered, judged: judged, kinds: map[kind]int{interval: judged, withheld: left}, need: 1, width: width}
	}
	limits := &tallied{runs: 100, limits: 100, held: 90, kinds: map[kind]int{bound: 100}}
	for _, c := range []struct {
		t    *tallied
		want class
	}{
		{of(80, 100, 0, 1), missed}, {of(92, 100, 0, 1), perhaps}, {of(95, 100, 0, 1), good}, {of(95, 100, 0, 1.5), wide},
		{of(94, 100, 0, 1.39), good}, {of(90, 94, 6, 1), leftOut}, {of(100, 100, 0, 1), always}, {limits, missed},
	} {
		if got := c.t.class(); got != c.want {
			t.Errorf("%d of %d, %d limits wrong, width %v: %q, want %q", c.t.covered, c.t.judged, c.t.limits-c.t.held, c.t.width, classNames[got], classNames[c.want])
		}
	}
	// 91 of 100 where 93 % are right: 1 less the sum of the binomial formula from 92 to 100.
	above := 0.0
	for k := 92; k <= 100; k++ {
		n, _ := math.Lgamma(101)
		a, _ := math.Lgamma(float64(k + 1))
		b, _ := math.Lgamma(float64(101 - k))
		above += math.Exp(n - a - b + float64(k)*math.Log(0.93) + float64(100-k)*math.Log(0.07))
	}
	if got := chance(91, 100); math.Abs(got-(1-above)) > 1e-9 {
		t.Errorf("chance %v, want %v", got, 1-above)
	}
}

// TestSurvey runs some of the scripts with a few meters: all runs of a script end well, what they state is
// counted, and most intervals hold the truth. It is the long survey in short, and finds only what is far off.
func TestSurvey(t *testing.T) {
	s := survey{folder: "scripts", draws: 100, workers: 2, runs: campaign.Of(t, 3, 20), told: t.Logf,
		only: []string{"01-uniformity-nine", "05-log-slope", "07-pink-hues", "18-one-look", "25-same-twice", "29-tone-table", "39-gamut-and-sum"}}
	all, err := s.run(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	covered, judged := 0, 0
	for i := range all {
		for _, r := range append(all[i].runs, all[i].truth) {
			if r.Error != "" {
				t.Errorf("%s, seed %d: %s", all[i].script, r.Seed, r.Error)
			}
		}
		for _, v := range all[i].tally() {
			covered, judged = covered+v.covered, judged+v.judged
			if v.judged == 0 && v.limits == 0 && v.truth.Value != nil && v.kinds[unknown] == 0 {
				t.Errorf("%s/%s: nothing is judged: %v", v.script, v.id, v.kinds)
			}
		}
	}
	// The values of a script hang together: one in four counts, as if the others told nothing.
	if want := atLeast(judged/4, 0.8); covered/4 < want {
		t.Errorf("%d of %d intervals hold the truth; a quarter of that must be %d or more", covered, judged, want)
	}
	var text, table bytes.Buffer
	printSurvey(&text, all)
	if !strings.Contains(text.String(), "05-log-slope/exponent-51-to-204") || !strings.Contains(text.String(), "7 scripts, ") {
		t.Errorf("printed is\n%s", text.String())
	}
	if err := writeCSV(&table, all); err != nil {
		t.Fatal(err)
	}
	if rows, err := csv.NewReader(&table).ReadAll(); err != nil || len(rows) < 15 {
		t.Errorf("%d rows, %v", len(rows), err)
	}
}

// TestEveryScriptRuns: every script of the folder runs on exact instruments, where all seeds state the same; and has
// the truths that it states.
func TestEveryScriptRuns(t *testing.T) {
	s := survey{folder: "scripts", told: t.Logf}
	names, err := s.names()
	if err != nil || len(names) != 40 {
		t.Fatalf("%d scripts, %v; want 40", len(names), err)
	}
	world, err := s.params()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range campaign.Some(t, names, 10) {
		s.only = []string{name}
		all, err := s.run(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		truth := all[0].truth
		if truth.Error != "" || len(truth.Values) == 0 {
			t.Errorf("%s: %d values, %s", name, len(truth.Values), truth.Error)
		}
		of, _, err := s.load(t.Context(), name)
		if err != nil {
			t.Fatal(err)
		}
		for seed := range uint64(2) {
			again, err := of.once(t.Context(), exact(world), seed+1, noDraws)
			if err != nil {
				t.Fatal(err)
			}
			one, err := of.once(t.Context(), exact(world), 1, noDraws)
			if seed > 0 && shuffles(t, name) {
				continue // another seed is another order of the patches, and so another truth
			}
			if err != nil || !reflect.DeepEqual(again.Values, one.Values) {
				t.Errorf("%s: exact instruments state\n%+v, and with another seed\n%+v (%v)", name, one.Values, again.Values, err)
			}
		}
	}
}

// shuffles says whether the order of a script's steps follows from the run's seed.
func shuffles(t *testing.T, name string) bool {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("scripts", name+".lua"))
	if err != nil {
		t.Fatal(err)
	}
	return strings.Contains(string(src), "run.shuffle")
}

// TestSurveyGoesOn: what was kept is not run again, a torn line is, and runs of another number of draws are refused.
// The same survey in one go states the same.
func TestSurveyGoesOn(t *testing.T) {
	s := survey{folder: "scripts", draws: 100, workers: 2, runs: 3, told: t.Logf, only: []string{"18-one-look"}}
	want, err := s.run(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	s.keep, s.runs = t.TempDir(), 2
	if _, err := s.run(t.Context()); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(s.keep, "18-one-look.jsonl")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data[:len(data)-20], 0o600); err != nil {
		t.Fatal(err)
	}
	s.runs = 3
	got, err := s.run(t.Context())
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v: in parts it is\n%+v\nand at once\n%+v", err, got, want)
	}
	if after, err := os.ReadFile(path); err != nil || bytes.Count(after, []byte("\n")) != 4 || !bytes.HasPrefix(after, data[:bytes.IndexByte(data, '\n')]) {
		t.Errorf("kept are %d lines, %v; want the head and 3 runs", bytes.Count(after, []byte("\n")), err)
	}
	s.draws = 101
	if _, err := s.run(t.Context()); err == nil || !strings.Contains(err.Error(), "keep these runs in another folder") {
		t.Errorf("got %v", err)
	}
}

// TestSurveyRefuses: each thing that is wrong is said.
func TestSurveyRefuses(t *testing.T) {
	empty := t.TempDir()
	bad := t.TempDir()
	for name, text := range map[string]string{"a.lua": "-- truth: none = 1: of nothing\nreturn procedure { title = \"A\", purpose = \"B.\", needs = {}, run = function() end }", "steady.toml": "format = 1\nbase = \"default\"\n"} {
		if err := os.WriteFile(filepath.Join(bad, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		s    survey
		want string
	}{
		{survey{folder: empty}, "there is no script in " + empty},
		{survey{folder: "scripts", only: []string{"nine"}}, `there is no script "nine", want one of 01-uniformity-nine, `},
		{survey{folder: "scripts", world: "nowhere"}, "nowhere"},
		{survey{folder: shippedFolder}, "name the world for the shipped procedures: "},
		{survey{folder: bad}, "it states the truth of none, and records no such value"},
	} {
		if _, err := c.s.run(context.Background()); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("got %v, want %q", err, c.want)
		}
	}
}

// TestAnyMeter: each seed has another meter, and what a caller's world has is not changed.
func TestAnyMeter(t *testing.T) {
	w := sim.Default()
	m, e := anyMeter(w), exact(w)
	if m.Meter.ErrorsSeed != 0 || m.Meter.Scale == 0 || e.Meter.Scale != 0 || e.Meter.DarkNoise != 0 {
		t.Errorf("any meter %+v, exact %+v", m.Meter, e.Meter)
	}
	if len(w.Lamps) == 0 || w.Lamps[0].Drift == 0 || m.Lamps[0].Drift != 0 {
		t.Errorf("lamps were %+v and are %+v", w.Lamps, m.Lamps)
	}
}

package trial_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"candelua/engine/trial"
	"candelua/testdata/campaign"
)

// part makes a share of the shipped trials of this test, and sends it through a file.
func part(t *testing.T, share trial.Share, procedure string, sources ...string) *trial.Part {
	t.Helper()
	r := runner()
	r.Procedure = procedure
	var all []*trial.Outcome
	for i, src := range sources {
		tr, err := trial.Parse(t.Context(), fmt.Sprintf("t%d.lua", i), []byte(src), "")
		if err != nil {
			t.Fatal(err)
		}
		o, err := r.Outcome(t.Context(), tr, share)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, o)
	}
	data, err := json.Marshal(trial.NewPart("9.9", share, all))
	if err != nil {
		t.Fatal(err)
	}
	p, err := trial.ParsePart(data)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// mixed are trials with all that an outcome can hold: several worlds, values that are
// wrong, missing, not evaluated, bounds, intervals, and runs that end with an error.
var mixed = []string{
	whiteTrial,
	`return trial { procedure = "white", draws = 100, seeds = 5, world = { base = "default", ["meter.scale"] = 1.5 },
	  expect = { white = { truth = "light.white", within = 0.4, covers = 0.1 }, nothing = { truth = 1, within = 1, or_not_evaluated = true }, nowhere = { truth = 2, within = 1 } } }`,
	`return trial { procedure = "white", refuses = "no such thing", seeds = 7 }`,
	`return trial { procedure = "white", seeds = 3, faults = { { kind = "timeout", at_reading = 1 } }, expect = { white = { truth = 1, within = 1 } } }`,
}

// The parts of any division, in any order, give what one command gives, byte for byte.
func TestMergeIsOneRun(t *testing.T) {
	report := func(all []*trial.Outcome) string {
		var reports []*trial.Report
		for _, o := range all {
			rep, err := o.Report()
			if err != nil {
				t.Fatal(err)
			}
			reports = append(reports, rep)
		}
		data, err := json.Marshal(reports)
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	want := report(part(t, trial.Share{Number: 1, Of: 1}, "", mixed...).Trials)
	random := rand.New(rand.NewPCG(1, 1))
	for _, of := range campaign.Some(t, []int{1, 2, 3, 7, 40}, 2) {
		var parts []*trial.Part
		for n := 1; n <= of; n++ {
			parts = append(parts, part(t, trial.Share{Number: n, Of: of}, "", mixed...))
		}
		random.Shuffle(of, func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
		all, err := trial.Merge(parts)
		if err != nil {
			t.Fatal(err)
		}
		if got := report(all); got != want {
			t.Errorf("%d parts give\n%s\nwant\n%s", of, got, want)
		}
	}
}

// The parts of a division differ by few runs.
func TestSharesAreEven(t *testing.T) {
	for _, before := range campaign.Numbers(t, 8, 3) {
		of := before + 1
		var least, most = 1 << 30, 0
		for n := 1; n <= of; n++ {
			runs := 0
			for _, o := range part(t, trial.Share{Number: n, Of: of}, "", mixed...).Trials {
				runs += len(o.Runs)
			}
			least, most = min(least, runs), max(most, runs)
		}
		if most-least > len(mixed) {
			t.Errorf("of %d parts one has %d runs, another %d", of, least, most)
		}
	}
}

func TestMergeRefuses(t *testing.T) {
	one := func(n, of int) *trial.Part { return part(t, trial.Share{Number: n, Of: of}, "", mixed[0]) }
	a, b := one(1, 2), one(2, 2)
	changed := func(change func(p *trial.Part)) *trial.Part {
		p := one(2, 2)
		change(p)
		return p
	}
	for _, tt := range []struct {
		name  string
		parts []*trial.Part
		want  string
	}{
		{"none", nil, "no part is given"},
		{"one lacks", []*trial.Part{b}, "1 of 2 parts are given; missing: 1; make them with candelua trial --shard N/2"},
		{"many lack", []*trial.Part{one(3, 30)}, "missing: 1, 2, 4, 5, 6, 7, 8, 9, …;"},
		{"twice", []*trial.Part{a, b, a}, "part 1/2 is given twice"},
		{"other divisions", []*trial.Part{a, one(2, 3)}, "part 1/2 and part 2/3 are of different divisions"},
		{"another version", []*trial.Part{a, changed(func(p *trial.Part) { p.Version = "10" })}, "made by candelua 9.9, and part 2/2 by 10"},
		{"more trials", []*trial.Part{a, part(t, trial.Share{Number: 2, Of: 2}, "", mixed[0], mixed[2])}, "part 1/2 has 1 trials, and part 2/2 has 2"},
		{"another trial", []*trial.Part{a, part(t, trial.Share{Number: 2, Of: 2}, "", mixed[2])}, "trial t0: part 1/2 and part 2/2 do not belong together"},
		{"another world", []*trial.Part{a, part(t, trial.Share{Number: 2, Of: 2}, "", strings.Replace(mixed[0], "300", "301", 1))}, "they were made of different files or parameters"},
		{"another tolerance", []*trial.Part{a, part(t, trial.Share{Number: 2, Of: 2}, "", strings.Replace(mixed[0], "within = 60", "within = 61", 1))}, "they state different trials"},
		{"other seeds", []*trial.Part{a, part(t, trial.Share{Number: 2, Of: 2}, "", strings.Replace(mixed[0], "seeds = 6", "seeds = 8", 1))}, "they state different trials"},
		{"a run lacks", []*trial.Part{a, changed(func(p *trial.Part) { p.Trials[0].Runs = p.Trials[0].Runs[1:] })}, "has 11 runs; it must have 12"},
		{"a run twice", []*trial.Part{a, changed(func(p *trial.Part) { p.Trials[0].Runs[0] = p.Trials[0].Runs[1] })}, "the parts are damaged: trial t0 has no run"},
		{"values lack", []*trial.Part{a, changed(func(p *trial.Part) { p.Trials[0].Runs[0].Values = nil })}, "has 0 values; it must have 2"},
		{"a verdict", []*trial.Part{a, changed(func(p *trial.Part) { p.Trials[0].Runs[0].Values[0].Verdict = "good" })}, `has the verdict "good"`},
	} {
		if _, err := trial.Merge(tt.parts); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want %q", tt.name, err, tt.want)
		}
	}
	before := slices.Clone([]*trial.Part{b, a})
	if _, err := trial.Merge(before); err != nil || before[0] != b {
		t.Errorf("parts in another order: %v, and sorted for the caller: %v", err, before[0] != b)
	}
}

func TestParsePartRefuses(t *testing.T) {
	for _, tt := range []struct{ data, want string }{
		{"", "it is no part of a trial"},
		{"{}", "it is no part of a trial"},
		{`{"finding":"pass","trials":[]}`, "it must be a file that candelua trial --shard wrote, whole"},
		{`{"kind":"candelua trial part","format":1,"number":1,"of":2,"trials":[`, "it is no part of a trial"},
		{`{"kind":"candelua trial part","format":2,"version":"0.9"}`, `its format is 2; this candelua reads format 1; use the candelua that wrote it, version "0.9"`},
		{`{"kind":"candelua trial part","format":1,"number":3,"of":2}`, "it is damaged: it is part 3/2"},
		{`{"kind":"candelua trial part","format":1,"number":1,"of":2,"trials":[null]}`, "it is damaged"},
	} {
		if _, err := trial.ParsePart([]byte(tt.data)); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want %q", tt.data, err, tt.want)
		}
	}
}

func TestParseShare(t *testing.T) {
	for _, text := range []string{"", "3", "/", "0/3", "4/3", "-1/2", "1/0", "1/100001", "a/b", "1/2/3", "1.5/2", " 1/2"} {
		if s, err := trial.ParseShare(text); err == nil {
			t.Errorf("%q is taken as %v", text, s)
		}
	}
	if s, err := trial.ParseShare("3/16"); err != nil || s != (trial.Share{Number: 3, Of: 16}) {
		t.Errorf("3/16 is %v, %v", s, err)
	}
}

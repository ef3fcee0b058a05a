package engine_test

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/testdata/campaign"
)

// recorded are the runs that released versions made of the shipped procedures, by their
// folders in testdata/runs. Some of those that are quick are drawn in the brief form too.
var recorded = []struct {
	folder, name string
	quick        bool
}{
	{"shipped", "banding", false}, {"shipped", "chart", false}, {"shipped", "contrast", true}, {"shipped", "gamut", true}, {"shipped", "hdr-tracking", false},
	{"shipped", "near-black", false}, {"shipped", "retention", false}, {"shipped", "tone-response", true}, {"shipped", "warm-up", false}, {"shipped", "window-sweep", true},
	{"shipped-0.4", "banding", false}, {"shipped-0.4", "chart", true}, {"shipped-0.4", "contrast", true}, {"shipped-0.4", "gamut", true}, {"shipped-0.4", "hdr-tracking", false},
	{"shipped-0.4", "near-black", true}, {"shipped-0.4", "retention", false}, {"shipped-0.4", "tone-response", true}, {"shipped-0.4", "warm-up", false}, {"shipped-0.4", "window-sweep", true},
	{"shipped-0.5", "banding", false}, {"shipped-0.5", "chart", false}, {"shipped-0.5", "contrast", true}, {"shipped-0.5", "gamut", false}, {"shipped-0.5", "hdr-tracking", false},
	{"shipped-0.5", "meter-health", true}, {"shipped-0.5", "meter-match", false}, {"shipped-0.5", "near-black", false}, {"shipped-0.5", "retention", false}, {"shipped-0.5", "spectrum", false},
	{"shipped-0.5", "tone-response", true}, {"shipped-0.5", "warm-up", false}, {"shipped-0.5", "window-sweep", true},
}

// recordedDraws is how many draws each of these runs has.
const recordedDraws = 100

// eachRecorded hands over a copy of each recorded run, with a setup that draws as often as
// the run did where that is quick, briefly in a third of those. Of those where it is slow,
// the full form draws in a quarter, and the brief form and the race detector in none. They
// are others each day. Each must come to draws again where they are made. A check that gives nil leaves a run out.
func eachRecorded(t *testing.T, check func(t *testing.T, folder, name, path string, s engine.Setup) *result.Results) {
	names := map[string][]string{}
	var quick, slow []string
	for _, r := range recorded {
		if name := r.folder + " " + r.name; r.quick {
			quick = append(quick, name)
		} else {
			slow = append(slow, name)
		}
	}
	drawn := campaign.Some(t, quick, len(quick)/3)
	if campaign.Full() && !campaign.Race {
		drawn = slices.Concat(drawn, campaign.Part(t, slow, 1, len(slow)/4))
	}
	for _, r := range recorded {
		names[r.folder] = append(names[r.folder], r.name)
		t.Run(r.folder+" "+r.name, func(t *testing.T) {
			s, want := plain(), recordedDraws
			if !slices.Contains(drawn, r.folder+" "+r.name) {
				want = 0
				s.Draws = &want
			}
			results := check(t, r.folder, r.name, copyOf(t, filepath.Join(runFixtures, r.folder, r.name)), s)
			if results == nil {
				return
			}
			count := 0
			if d := results.Draws(); d != nil {
				count = d.Count
			}
			if count != want {
				t.Errorf("%d draws were made, want %d", count, want)
			}
		})
	}
	for folder, all := range names {
		wantRuns(t, folder, all)
	}
}

// TestRecordedRunsReplay replays runs of the shipped procedures that an earlier
// version made, by the scripts that it kept beside them.
func TestRecordedRunsReplay(t *testing.T) {
	eachRecorded(t, func(t *testing.T, _, _, path string, s engine.Setup) *result.Results {
		rep := wants(t, journal.Done)(engine.Replay(context.Background(), path, s))
		for _, d := range rep.Differences {
			t.Error(d)
		}
		return rep.Results
	})
}

// measuredOtherwise are the procedures that take other steps since the runs of 0.2: they
// read by meter.measure, and watch large windows.
var measuredOtherwise = []string{"chart", "contrast", "gamut", "hdr-tracking", "near-black", "tone-response", "window-sweep"}

// TestRecordedRunsByTheScriptsOfToday analyses the same runs again by the scripts
// that are shipped now. They find the parameters that they need under their former names.
// Where they take the same steps, they come to the same numbers; where they take others,
// they are refused at the first of these, because the readings are not what they asked for.
func TestRecordedRunsByTheScriptsOfToday(t *testing.T) {
	for _, name := range measuredOtherwise {
		t.Run(name+" is refused", func(t *testing.T) {
			path := copyOf(t, filepath.Join(runFixtures, "shipped", name))
			re, err := engine.Reanalyse(context.Background(), path, plain(), engine.Changes{With: shipped(t, name)})
			if err == nil {
				err = re.Err
			}
			var other *play.DivergenceError
			if !errors.As(err, &other) {
				t.Errorf("it ends with %v, want the step that differs", err)
			}
		})
	}
	eachRecorded(t, func(t *testing.T, folder, name, path string, s engine.Setup) *result.Results {
		if folder == "shipped" && slices.Contains(measuredOtherwise, name) {
			return nil
		}
		re := get(engine.Reanalyse(context.Background(), path, s, engine.Changes{With: shipped(t, name)}))(t)
		if re.Status != journal.Done || len(re.Results.Values()) == 0 {
			t.Errorf("it is %s with %d values, %v", re.Status, len(re.Results.Values()), re.Err)
		}
		for _, d := range re.Differences {
			if isOfNumbers(d.String()) {
				t.Error(d)
			}
		}
		for _, d := range differentNumbers(re.Before, re.Results) {
			t.Error(d)
		}
		return re.Results
	})
}

// isOfNumbers says whether a difference is in a value or in the draws. What people
// read may be put better later: texts and notes, titles, heads of columns.
func isOfNumbers(difference string) bool {
	kind, rest, _ := strings.Cut(difference, " ")
	return kind == "draws" || kind == "value" && !strings.Contains(rest, ": text is recorded as ")
}

// differentNumbers compares all tables by the place of their columns, whatever
// these are called now.
func differentNumbers(was, now *result.Results) (all []string) {
	if len(was.Tables()) != len(now.Tables()) {
		all = append(all, fmt.Sprintf("%d tables are recorded and %d are there now", len(was.Tables()), len(now.Tables())))
	}
	for _, a := range was.Tables() {
		b, ok := now.TableByID(a.ID)
		if !ok || unitsOf(a) != unitsOf(b) || a.Len() != b.Len() {
			all = append(all, fmt.Sprintf("table %s is missing, or has other columns or rows", a.ID))
			continue
		}
		for row := range a.Len() {
			for i, c := range a.Columns() {
				if !sameCell(a.Cell(row, i), b.Cell(row, i)) {
					all = append(all, fmt.Sprintf("table %s, row %d: %s is recorded as %v and is %v now",
						a.ID, row+1, c.Name, a.Cell(row, i), b.Cell(row, i)))
				}
			}
		}
	}
	return all
}

// sameCell wants two numbers to agree, and words to be words.
func sameCell(was, now result.Cell) bool {
	a, _ := was.Float()
	b, _ := now.Float()
	return was.Kind() == now.Kind() && result.Same(a, b)
}

// unitsOf are the units of a table's columns in their order.
func unitsOf(table *result.Table) string {
	var all []string
	for _, c := range table.Columns() {
		all = append(all, c.Unit)
	}
	return strings.Join(all, ", ")
}

// Numbers that differ are found; a word and a head may differ.
func TestDifferentNumbers(t *testing.T) {
	made := func(unit, head string, cells ...any) *result.Results {
		r := result.New()
		table := get(r.Table("T", "t", []result.Column{{Name: head, Unit: unit}, {Name: "finding"}}))(t)
		must(t, table.Add(map[string]any{head: cells[0], "finding": cells[1]}))
		return r
	}
	for _, c := range []struct {
		now  *result.Results
		want string // "": nothing differs
	}{
		{made("%", "new", 1.0, "knee"), ""},
		{made("%", "new", 1.1, "knee"), "old is recorded as 1 "},
		{made("%", "new", 1.0, true), "finding is recorded as bend "},
		{made("K", "new", 1.0, "bend"), "has other columns"},
		{result.New(), "1 tables are recorded and 0 are there now"},
	} {
		got := strings.Join(differentNumbers(made("%", "old", 1.0, "bend"), c.now), "; ")
		if !strings.Contains(got, c.want) || (got == "") != (c.want == "") {
			t.Errorf("these differ: %q, want %q", got, c.want)
		}
	}
}

package result

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// changed gives the sample after a change, read from the sample so that
// nothing is shared.
func changed(t *testing.T, change func(r *Results)) *Results {
	t.Helper()
	r := filled(t)
	change(r)
	return r
}

func TestCompare(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(r *Results)
		want   []string
	}{
		{"nothing", func(*Results) {}, nil},
		{"a number by less than the tolerance", func(r *Results) { *r.values[0].Value *= 1 + 0.9e-9 }, nil},
		{"a number by more", func(r *Results) { *r.values[0].Value = 813 }, []string{"value peak-luminance: value is recorded as 812.4 and is 813 now"}},
		{"script lines", func(r *Results) { r.values[0].Where, r.tables[0].Where, r.notes[0].Where = "b:1", "b:2", "b:3" }, nil},
		{"no draws", func(r *Results) { r.values[0].U, r.values[0].Interval = nil, nil }, nil},
		{"other draws", func(r *Results) { *r.values[0].U, r.values[0].Interval[1] = 9, 830 },
			[]string{"value peak-luminance: u is recorded as 8.1 and is 9 now", "value peak-luminance: interval's upper end is recorded as 829 and is 830 now"}},
		{"order of values", func(r *Results) { slices.Reverse(r.values) }, nil},
		{"value to nothing", func(r *Results) { r.values[1].Value = nil }, []string{"value delta-u-v-1-so: value is recorded as 1e-7 and is empty now"}},
		{"tolerance and finding", func(r *Results) { r.values[2].Tolerance, r.values[2].Finding = nil, "" },
			[]string{"value half-life: tolerance max is recorded as 60 and is empty now", `value half-life: finding is recorded as "not_evaluated" and is "" now`}},
		{"words", func(r *Results) {
			r.values[0].Name, r.values[0].Unit, r.values[0].Text, r.values[0].Bound = "Peak", "nt", "bright", Lower
		}, []string{`value peak-luminance: name is recorded as "Peak luminance" and is "Peak" now`, `value peak-luminance: text is recorded as "" and is "bright" now`,
			`value peak-luminance: unit is recorded as "cd/m2" and is "nt" now`, `value peak-luminance: bound is recorded as "" and is "lower" now`}},
		{"one value for another", func(r *Results) { r.values[2].ID = "half-time" },
			[]string{"value half-life: is recorded and is missing now", "value half-time: is not recorded and is there now"}},
		{"cells", func(r *Results) { r.tables[0].rows[1] = []Cell{Num(11), Text("805.5"), {}} },
			[]string{"table sweep: row 2, window is recorded as 10 and is 11 now", `table sweep: row 2, luminance is recorded as 805.5 and is "805.5" now`,
				`table sweep: row 2, flag is recorded as "drifting" and is empty now`}},
		{"rows", func(r *Results) { r.tables[0].rows = r.tables[0].rows[:2] }, []string{"table sweep: has 3 rows recorded and 2 now"}},
		{"columns", func(r *Results) { r.tables[1].columns = []Column{{"a", "s"}, {"b", ""}} }, []string{"table none-yet: columns are recorded as a and are a (s), b now"}},
		{"tables", func(r *Results) { r.tables[1].Name, r.tables = "N", r.tables[1:] },
			[]string{"table sweep: is recorded and is missing now", `table none-yet: name is recorded as "None yet" and is "N" now`}},
		{"plot", func(r *Results) {
			*r.plots[0] = Plot{ID: r.plots[0].ID, Title: "S", Table: "none-yet", X: "a", Y: []string{"a", "b"}, LogY: true}
		},
			[]string{`plot sweep-luminance-window: title is recorded as "Sweep" and is "S" now`, `plot sweep-luminance-window: table is recorded as "sweep" and is "none-yet" now`,
				`plot sweep-luminance-window: x is recorded as "window" and is "a" now`, `plot sweep-luminance-window: y is recorded as "luminance" and is "a, b" now`,
				"plot sweep-luminance-window: log_x is recorded as true and is false now", "plot sweep-luminance-window: log_y is recorded as false and is true now"}},
		{"note", func(r *Results) { r.notes[0].Text, r.notes[0].Level = "warm", "" },
			[]string{`note 1: text is recorded as "cold" and is "warm" now`, `note 1: level is recorded as "caution" and is "" now`}},
		{"one more note", func(r *Results) { r.notes = append(r.notes, Note{Text: "b"}) }, []string{"note 2: is not recorded and is there now"}},
		{"no note", func(r *Results) { r.notes = nil }, []string{"note 1: is recorded and is missing now"}},
	} {
		var got []string
		for _, d := range Compare(filled(t), changed(t, c.change)) {
			got = append(got, d.String())
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}

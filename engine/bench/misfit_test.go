package bench

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A correction is held against what a run is of: only what both state can differ. Days are counted by the calendar.
func TestMisfits(t *testing.T) {
	made := Correction{Name: "Dusk", Meter: Maker{"Tern Street filter", "TF-04"}, Unit: "Crake 2", Panel: "RGB OLED", Date: "2026-01-31", ValidFor: 30}
	meter := Identity{Name: "Tern Street filter", Serial: "TF-04"}
	crake := Subject{Unit: "Crake 2", Panel: "rgb oled", Day: "2026-03-02"} // 30 days
	for name, tt := range map[string]struct {
		meter Identity
		of    Subject
		want  []string
	}{
		"all fits":                 {meter, crake, nil},
		"nothing is stated of run": {meter, Subject{Unit: DefaultUnit().Name}, nil},
		"another meter": {Identity{Name: "Tern Street filter", Serial: "TF-05"}, crake,
			[]string{`the correction "Dusk" was made for the meter Tern Street filter TF-04, and the meter is Tern Street filter TF-05: its readings may be further off with it than without`}},
		"read by hand": {Identity{Name: "read by hand", ByHand: true}, crake, nil},
		"another unit and panel": {meter, Subject{Unit: "Fulmar 55", Panel: "WRGB OLED", Day: "2026-02-01"}, []string{
			`the correction "Dusk" was made on Crake 2, and the unit is Fulmar 55: it holds only where both have the same primaries`,
			`the correction "Dusk" was made on a panel of the kind "RGB OLED", and the unit's is "WRGB OLED": it holds only for the kind that it was made on`}},
		"too old": {meter, Subject{Unit: "Crake 2", Day: "2026-03-03"},
			[]string{`the correction "Dusk" was made 31 days before this run, and is valid for 30: filters and panels age, so make it again`}},
		"too new": {meter, Subject{Unit: "Crake 2", Day: "2025-12-31"},
			[]string{`the correction "Dusk" was made 31 days after this run, and is valid for 30: filters and panels age, so make it again`}},
	} {
		if d := cmp.Diff(tt.want, made.Misfits("meter", tt.meter, tt.of)); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
	bare := Correction{Name: "Dusk", Meter: Maker{Name: "Tern Street filter"}, Date: "2020-01-01"}
	if why := bare.Misfits("meter", meter, crake); why != nil {
		t.Errorf("what is not stated does not fit: %q", why)
	}
}

package trial_test

import (
	"errors"
	"strings"
	"testing"

	"candelua/engine/fault"
	"candelua/engine/result"
	"candelua/engine/trial"
)

// coversTrial reads white by a meter whose scale errs by 1 %; the truth is moved
// to where few intervals reach.
func coversTrial(draws, truth, covers string) string {
	return `return trial { procedure = "white", ` + draws + ` world = { ["light.white"] = 300, ["limit.curve"] = {}, ["meter.scale"] = 1 },
  expect = { white = { truth = ` + truth + `, within = 100, unit = "%", covers = ` + covers + ` } }, seeds = 12 }`
}

// TestCovers: a trial that asks for it counts the intervals that hold the truth, and
// fails where too few do, though every value is near enough.
func TestCovers(t *testing.T) {
	for _, tt := range []struct {
		name, truth string
		finding     result.Finding
	}{
		{"the truth", `{ luminance = { window = 10 } }`, result.Pass},
		{"2 % beside it", `294`, result.Fail}, // two standard uncertainties: half of the intervals hold it
		{"far from it", `200`, result.Fail},
	} {
		t.Run(tt.name, func(t *testing.T) {
			rep, err := runner().Run(t.Context(), parse(t, coversTrial("draws = 100,", tt.truth, "0.75")))
			if err != nil {
				t.Fatal(err)
			}
			w := rep.Worlds[0]
			c := w.Checks[0]
			if rep.Finding != tt.finding || w.Finding != tt.finding || w.Passed != 12 || c.Intervals != 12 || c.Covers != 0.75 {
				t.Errorf("the report is %+v, want %s with 12 intervals", rep, tt.finding)
			}
			if short := c.Covered < 9; short != (c.Uncovered != "") || short != (tt.finding == result.Fail) {
				t.Errorf("%d of 12 held the truth, and it says %q", c.Covered, c.Uncovered)
			}
			if c.Uncovered != "" && !strings.HasSuffix(c.Uncovered, "of 12 runs; at least 9 are needed (covers = 0.75)") {
				t.Errorf("it says %q", c.Uncovered)
			}
		})
	}
}

func TestCoversNeedsDraws(t *testing.T) {
	for _, tt := range []struct{ src, want string }{
		{coversTrial("", "300", "0.9"), `some.lua:2: expect["white"].covers is 0.9 without draws; add draws = 200`},
		{coversTrial("draws = 99,", "300", "0.9"), `some.lua:1: draws is 99; it must be 0 or at least 100`},
		{coversTrial("draws = -1,", "300", "0.9"), `draws is -1; it must be a whole number from 0 to 100000`},
		{coversTrial("draws = 200,", "300", "1.5"), `covers is 1.5; it must be 0 to 1`},
	} {
		_, err := trial.Parse(t.Context(), "some.lua", []byte(tt.src), "")
		if err == nil || !strings.Contains(err.Error(), tt.want) || !errors.Is(err, fault.ErrUsage) {
			t.Errorf("%s\n\tgot %v\n\twant wrong use with %q", tt.src, err, tt.want)
		}
	}
}

package scripts_test

import (
	"fmt"
	"testing"

	"candelua/testdata/campaign"
)

// Drawn readings have their noise twice, and a procedure that weighs its readings
// against their noise would withhold of them what it states of the readings
// themselves. So its choices are decisions: every number that it states has an
// interval, and none that noise could move has one of no width.
func TestDrawsFollowWhatIsStated(t *testing.T) {
	const oneTerm = `world = { ["retention.terms"] = { { 20, 35, 3, 0.002 } } }`
	for _, tt := range campaign.Part(t, []struct {
		name  string
		seeds int
		text  string
		exact bool // counts: noise does not move them
	}{
		{"retention", 3, `procedure = "retention", ` + oneTerm + `, expect = {
			["time-constant"] = { truth = 0, within = 1e6 }, ["time-to-threshold"] = { truth = 0, within = 1e6 },
			["initial-residual"] = { truth = 0, within = 1e6 } }`, false},
		{"retention, nothing to be seen", 2, `procedure = "retention", world = "dunlin-27", expect = {
			["initial-residual"] = { truth = 0, within = 1e6 } }`, false},
		{"near-black", 3, `procedure = "near-black", expect = {
			["first-step-above-black"] = { truth = 0, within = 1e6 }, ["crushed-steps"] = { truth = 0, within = 1e6 } }`, true},
		{"banding", 3, `procedure = "banding", expect = {
			["merged-steps"] = { truth = 0, within = 1e6 }, ["jumps"] = { truth = 0, within = 1e6 } }`, true},
		{"warm-up, a drift of 0", 3, `procedure = "warm-up", params = { white_for = 0 }, world = { ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 } }, expect = {
			["warm-up-drift"] = { truth = 0, within = 1e6 } }`, false},
		{"warm-up, nothing lost", 1, `procedure = "warm-up", world = { ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 } }, expect = {
			["thermal-dimming"] = { truth = 0, within = 1e6 } }`, false},
		{"contrast, black just over the floor", 2, `procedure = "contrast", world = "awkward", expect = {
			["black-luminance"] = { truth = 0, within = 1e6 }, ["sequential-contrast"] = { truth = 1e9, within = 1e12 } }`, false},
	}, 1, 3) {
		t.Run(tt.name, func(t *testing.T) {
			seeds := campaign.Of(t, 1, tt.seeds)
			for _, c := range trialText(t, fmt.Sprintf(`return trial { draws = 100, seeds = %d, %s }`, seeds, tt.text)).Worlds[0].Checks {
				numbers := c.Runs - c.NotEvaluated - c.Missing
				hidden := numbers == 0 && seeds == tt.seeds // noise may hide what is asked for in one run
				if hidden || c.Runs < seeds || c.Intervals != numbers {
					t.Errorf("%s: %d of %d numbers of %d runs have an interval: %s", c.ID, c.Intervals, numbers, c.Runs, c.Why)
				}
				if !tt.exact && c.Methods["constant"] > 0 {
					t.Errorf("%s: %d intervals have no width", c.ID, c.Methods["constant"])
				}
			}
		})
	}
}

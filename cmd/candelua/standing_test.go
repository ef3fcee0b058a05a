package main

import (
	"strings"
	"testing"

	"candelua/engine/journal"
	"candelua/engine/survey"
)

// TestStandingNamesNoStepZero: whatever became of a run, steps are counted from 1.
func TestStandingNamesNoStepZero(t *testing.T) {
	for _, status := range []journal.Standing{journal.Paused, journal.Failed, journal.Running} {
		for steps := range 3 {
			text := standing(&survey.Summary{Status: status, Steps: steps, About: 9})
			if (steps == 0) != strings.Contains(text, "before step 1") || strings.Contains(text, "step 0") {
				t.Errorf("%v after %d steps is %q", status, steps, text)
			}
		}
	}
}

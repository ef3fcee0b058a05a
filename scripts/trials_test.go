package scripts_test

import (
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine/result"
	"candelua/engine/sim"
	"candelua/engine/trial"
	"candelua/scripts"
)

// runner runs trials on the simulated bench.
func runner() *trial.Runner {
	return &trial.Runner{Shipped: scripts.Files, Modules: builtins.Modules(),
		Worlds: func(ref trial.WorldRef) (trial.World, error) { return sim.NewSubject(ref.World, ref.Faults, ref.Dir) }}
}

// Every shipped trial passes. The truths are the simulator's own, without
// noise and with the panel warm; its tests check it against published values.
func TestShippedTrials(t *testing.T) {
	names := trial.Shipped(scripts.Files)
	if len(names) == 0 {
		t.Fatal("no trial is shipped")
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			tr, err := trial.Find(t.Context(), name, scripts.Files)
			if err != nil {
				t.Fatal(err)
			}
			rep, err := runner().Run(t.Context(), tr)
			if err != nil {
				t.Fatal(err)
			}
			tell(t, rep)
			if rep.Finding != result.Pass {
				t.Errorf("the trial %s failed", name)
			}
		})
	}
}

// tell logs what a trial came to.
func tell(t *testing.T, rep *trial.Report) {
	t.Helper()
	number := func(x *float64) string {
		if x == nil {
			return "none"
		}
		return result.Number(*x)
	}
	for _, w := range rep.Worlds {
		t.Logf("%s: %s, %d of %d seeds %s", w.World, w.Finding, w.Passed, rep.Seeds, w.Error)
		for _, c := range w.Checks {
			t.Logf("    %s: truth %g, bias %s, scatter %s, worst %s %s; %d wrong, %d not evaluated, %d missing %s", c.ID, c.Truth,
				number(c.Bias), number(c.Scatter), number(c.Worst), strings.TrimSpace(c.Unit), c.Wrong, c.NotEvaluated, c.Missing, c.Why)
		}
	}
}

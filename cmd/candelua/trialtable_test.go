package main

import (
	"bytes"
	"strings"
	"testing"

	"candelua/engine/result"
	"candelua/engine/trial"
)

func ptr[T any](x T) *T { return &x }

// The words below a table agree with its numbers, whatever did not pass.
func TestTrialWords(t *testing.T) {
	for _, tt := range []struct {
		name  string
		check trial.Check
		want  string
	}{
		{"outside", trial.Check{Runs: 20, Passed: 17, Wrong: 3, Within: 0.5, Unit: "%", Worst: ptr(-0.62)}, "w: v: 3 of 20 runs wrong, the worst is off by -0.62 %, 0.12 % more than within allows (0.5 %)"},
		{"several", trial.Check{Runs: 20, Passed: 16, Wrong: 1, NotEvaluated: 2, Missing: 1, Within: 2, Worst: ptr(3.0), Why: "dark"}, "w: v: 1 of 20 runs wrong, the worst is off by 3, 1 more than within allows (2), 2 of 20 runs not evaluated, 1 of 20 runs without the value; dark"},
		{"a false bound", trial.Check{Runs: 1, Wrong: 1, Within: 2, Why: "the bound does not hold"}, "w: v: 1 of 1 run wrong; the bound does not hold"},
		{"another is wrong", trial.Check{Runs: 2, Passed: 1, Wrong: 1, Within: 2, Worst: ptr(1.0), Why: "it is a text"}, "w: v: 1 of 2 runs wrong; it is a text"},
		{"intervals", trial.Check{Runs: 2, Passed: 2, Uncovered: "1 of 2 hold"}, "w: v: 1 of 2 hold"},
	} {
		tt.check.ID = "v"
		rep := &trial.Report{Trial: "t", Finding: result.Fail, Seeds: 20, Pass: 0.9, Worlds: []trial.WorldReport{{World: "w", Finding: result.Fail, Passed: 17, Checks: []trial.Check{tt.check}}}}
		text := printed(t, rep)
		for _, want := range []string{tt.want, "w: 17 of 20 seeds passed; at least 18 must", "17 of 20 runs passed."} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %s\nlacks %q", tt.name, text, want)
			}
		}
		if strings.Contains(text, "Nearest") {
			t.Errorf("%s: of a trial that fails it says what is nearest to its limit", tt.name)
		}
	}
}

// Of what passes, the words name the value that is nearest to its limit, in all worlds.
func TestTrialNearest(t *testing.T) {
	check := func(id string, within, worst float64) trial.Check {
		return trial.Check{ID: id, Runs: 1, Passed: 1, Within: within, Unit: "%", Worst: &worst}
	}
	rep := &trial.Report{Trial: "t", Finding: result.Pass, Seeds: 1, Pass: 1, Worlds: []trial.WorldReport{
		{World: "a", Finding: result.Pass, Passed: 1, Checks: []trial.Check{check("far", 10, 1), check("near", 1, -0.9)}},
		{World: "b", Finding: result.Pass, Passed: 1, Checks: []trial.Check{check("far", 10, 8), {ID: "bound", Runs: 1, Passed: 1}}},
	}}
	if text, want := printed(t, rep), "All 2 runs passed. Nearest to its limit: near in a, off by up to 0.9 of 1 %."; !strings.Contains(text, want) {
		t.Errorf("%s\nlacks %q", text, want)
	}
}

// printed is the report as it is printed, without the breaks of its lines.
func printed(t *testing.T, rep *trial.Report) string {
	t.Helper()
	var b bytes.Buffer
	if err := printTrial(&b, rep, false); err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

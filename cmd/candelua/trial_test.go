package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/trial"
	"candelua/scripts"
)

// trialOf runs candelua trial and gives what it prints and its status. It is
// called with the words after the command's name.
func trialOf(ctx context.Context, t *testing.T, args ...string) (stdout, stderr string, status int) {
	t.Helper()
	errFile, err := os.Create(filepath.Join(t.TempDir(), "stderr"))
	if err != nil {
		t.Fatal(err)
	}
	defer errFile.Close()
	a := &app{line: newStatusLine(errFile)}
	root := a.root()
	var out bytes.Buffer
	args = append([]string{"trial"}, args...)
	root.SetArgs(args)
	root.SetOut(&out)
	root.SetErr(a.line.screen)
	cmd, err := root.ExecuteContextC(ctx)
	status = a.exitStatus(cmd, args, err)
	said, err := os.ReadFile(errFile.Name())
	if err != nil {
		t.Fatal(err)
	}
	return out.String(), string(said), status
}

func TestTrialCommand(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	fails := file("fails.lua", `return trial { procedure = "window-sweep", params = { windows = { 10, 50 } }, seeds = 2,
  expect = { ["peak-luminance"] = { truth = 1, within = 1 }, ["full-screen-luminance"] = { truth = 1, within = 1 } } }`)
	broken := file("broken.lua", `return trial {`)
	breaks := file("breaks.lua", `return procedure { title = "B", purpose = "b", run = function() error("lost count") end }`)
	refuses := file("refuses.lua", `return trial { procedure = "./breaks.lua", refuses = "lost count", seeds = 3 }`)
	for _, tt := range []struct {
		args           string
		status         int
		stdout, stderr []string
	}{
		{"window-sweep-pq --seeds 2", statusDone, []string{"window-sweep-pq: pass (window-sweep in 3 worlds, 2 seeds each)", "  clips      2/2 pass", "peak-luminance         950    0.5 %   2/2", "All 6 runs passed. Nearest to its limit: full-screen-luminance in clips, off\n  by up to 0."}, nil},
		{"window-sweep-pq window-sweep-slow --seeds 1", statusDone, []string{"window-sweep-pq: pass", "\n\nwindow-sweep-slow: pass (window-sweep in 3 worlds, 1 seed each)"}, nil},
		{fails, statusFailed, []string{"fails: fail", "0/2 fail", "default: full-screen-luminance: 2 of 2 runs not evaluated; no window of 100 %\n    was measured", "default: peak-luminance: 2 of 2 runs wrong, the worst is off by 4", "default: 0 of 2 seeds passed; at least 2 must", "0 of 2 runs passed."}, nil},
		{fails + " --procedure window-sweep --seeds 1", statusFailed, []string{"fails: fail"}, nil},
		{refuses, statusDone, []string{"refuses: pass (breaks in 1 world, 3 seeds each)\n  world    seeds passed\n  default  3/3 pass\n  All 3 runs passed.\n"}, nil},
		{"tone-response-srgb --seeds 1 --procedure " + breaks, statusFailed, []string{"note: the procedure has no parameter target", "another family: 1 run did not end as expected, first with seed 1:", "lost count"}, nil},
		{"--list", statusDone, []string{"window-sweep-slow"}, nil},
		{"nope", statusUsage, nil, []string{`there is no trial called "nope"`, "shipped trials; the path of a trial file ends in .lua"}},
		{"window-swep", statusUsage, nil, []string{"did you mean window-sweep?"}},
		{"./no.lua", statusUsage, nil, []string{"the trial cannot be read"}},
		{broken, statusUsage, nil, []string{"broken.lua:1"}},
		{"window-sweep --procedure nope", statusUsage, nil, []string{`there is no procedure called "nope"`}},
		{"--procedure window-sweep", statusUsage, nil, []string{"--procedure is given without a TRIAL"}},
		{"--seeds 0", statusUsage, nil, []string{"--seeds is 0; it must be 1 or more"}},
		{"--seeds x", statusUsage, nil, []string{`--seeds is "x"`}},
	} {
		t.Run(tt.args, func(t *testing.T) {
			stdout, stderr, status := trialOf(t.Context(), t, strings.Fields(tt.args)...)
			if status != tt.status {
				t.Errorf("status %d, want %d", status, tt.status)
			}
			for _, want := range tt.stdout {
				if !strings.Contains(stdout, want) {
					t.Errorf("stdout lacks %q:\n%s", want, stdout)
				}
			}
			for _, want := range tt.stderr {
				if !strings.Contains(stderr, want) {
					t.Errorf("stderr lacks %q:\n%s", want, stderr)
				}
			}
			if len(tt.stderr) == 0 && stderr != "" {
				t.Errorf("stderr: %s", stderr)
			}
		})
	}
}

func TestTrialJSON(t *testing.T) {
	stdout, _, status := trialOf(t.Context(), t, "window-sweep-pq", "--seeds", "3", "--json")
	var got struct {
		Finding string
		Trials  []trial.Report
		Error   *errorJSON
	}
	if err := json.Unmarshal([]byte(stdout), &got); err != nil || status != statusDone {
		t.Fatalf("status %d, %v:\n%s", status, err, stdout)
	}
	if got.Finding != "pass" || len(got.Trials) != 1 || len(got.Trials[0].Worlds) != 3 || *got.Trials[0].Worlds[0].Checks[1].Bias == 0 {
		t.Errorf("got %+v", got)
	}
	stdout, _, status = trialOf(t.Context(), t, "nope", "--json")
	if err := json.Unmarshal([]byte(stdout), &got); err != nil || status != statusUsage || got.Error == nil || got.Error.Code != "usage" {
		t.Errorf("status %d, %v: %s", status, err, stdout)
	}
	stdout, _, status = trialOf(t.Context(), t, "--list", "--json")
	if err := json.Unmarshal([]byte(stdout), &got); err != nil || status != statusDone || len(got.Trials) != len(trial.Shipped(scripts.Files)) {
		t.Errorf("status %d, %v: %s", status, err, stdout)
	}
}

// Bounds are counted apart from numbers, in the table and in JSON; one that is
// too far from the truth does not pass.
func TestTrialOfBounds(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bounds.lua")
	for within, want := range map[string]struct {
		status, passed int
		text           string
	}{
		"0.005": {statusDone, 2, "0              0        2, up to 0.0042 off"},
		"0.004": {statusFailed, 0, "the upper bound 0.005 holds, but lies farther from the truth than bound_within"},
	} {
		src := `return trial { procedure = "contrast", expect = { ["black-luminance"] = { truth = "light.black", within = 0.001, bound = "upper", bound_within = ` + within + ` } } }`
		if err := os.WriteFile(path, []byte(src), 0o666); err != nil {
			t.Fatal(err)
		}
		stdout, stderr, status := trialOf(t.Context(), t, path, "--seeds", "2")
		if status != want.status || !strings.Contains(strings.Join(strings.Fields(stdout), " "), strings.Join(strings.Fields(want.text), " ")) {
			t.Errorf("bound_within %s: status %d, want %d and %q:\n%s%s", within, status, want.status, want.text, stdout, stderr)
		}
		stdout, _, _ = trialOf(t.Context(), t, path, "--seeds", "2", "--json")
		var got struct{ Trials []trial.Report }
		if err := json.Unmarshal([]byte(stdout), &got); err != nil {
			t.Fatal(err)
		}
		if c := got.Trials[0].Worlds[0].Checks[0]; c.Bounds != 2 || c.Passed != want.passed || c.Passed+c.NotEvaluated != 2 || *c.Farthest != 0.0042 {
			t.Errorf("bound_within %s: %+v, want two bounds, %d of them passed", within, c, want.passed)
		}
	}
}

// Errors are written to three digits, and no digit before the point is made a nought.
func TestTrialDigits(t *testing.T) {
	for _, tt := range []struct {
		x    float64
		want string
	}{
		{-475, "-475"}, {-475.26, "-475"}, {12345.6, "12346"}, {1.23456, "1.23"}, {0.000123456, "0.000123"}, {-0.0999999, "-0.1"},
		{999.7, "1000"}, {0, "0"}, {2.1e-14, "0"}, {1.23456e9, "1.23e9"}, {math.MaxFloat64, "1.7977e308"},
	} {
		if got := errorText(&tt.x); got != tt.want {
			t.Errorf("%g is written %s, want %s", tt.x, got, tt.want)
		}
	}
	if got := errorText(nil); got != "-" {
		t.Errorf("no error is written %s, want -", got)
	}
}

// A stopped trial is a failure: there is nothing to resume.
func TestTrialStopped(t *testing.T) {
	ctx, cancel := context.WithCancelCause(t.Context())
	cancel(play.ErrInterrupted)
	stdout, stderr, status := trialOf(ctx, t, "window-sweep", "--seeds", "50")
	if status != statusFailed || !strings.Contains(stderr, "the trial was stopped; nothing of it is kept") || stdout != "" {
		t.Errorf("status %d, stdout %q, stderr %q", status, stdout, stderr)
	}
}

// What the help shows is a trial.
func TestTrialOfTheHelp(t *testing.T) {
	_, text, _ := strings.Cut(trialHelp(), "  return trial {")
	source, _, found := strings.Cut(text, "\n  }\n")
	if !found {
		t.Fatal("the help shows no trial")
	}
	path := filepath.Join(t.TempDir(), "help.lua")
	if err := os.WriteFile(path, []byte("return trial {"+source+"\n}\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if stdout, stderr, status := trialOf(t.Context(), t, path); status != statusDone {
		t.Errorf("status %d:\n%s%s", status, stdout, stderr)
	}
}

func TestTrialCompletion(t *testing.T) {
	a := &app{line: newStatusLine(os.Stderr)}
	words, _ := a.trialCommand().ValidArgsFunction(nil, nil, "")
	if strings.Join(words, " ") != strings.Join(trial.Shipped(scripts.Files), " ") || len(words) == 0 {
		t.Errorf("completes %q", words)
	}
}

// A world in which every seed passed, and the intervals did not hold the truth often
// enough, says what failed.
func TestTrialFailsByItsIntervals(t *testing.T) {
	rep := &trial.Report{Trial: "t", Procedure: "p", Seeds: 5, Finding: result.Fail, Worlds: []trial.WorldReport{{World: "default", Passed: 5, Finding: result.Fail,
		Checks: []trial.Check{{ID: "peak", Runs: 5, Passed: 5, Intervals: 5, Covers: 0.9, Uncovered: "holds the truth in 0 of 5 runs"}}}}}
	var out strings.Builder
	if err := printTrial(&out, rep, false); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(out.String(), "  default  5/5 fail (intervals)  peak ") {
		t.Errorf("it prints\n%s", out.String())
	}
}

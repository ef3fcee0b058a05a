//go:build unix

package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"candelua/testdata/campaign"
)

// fewDraws names the variable that tells the command, as a test runs it, how many
// draws a run has where its arguments do not say. Most tests look at none, and draws
// take most of the time of a short run: briefly such runs have none. A test that looks
// at intervals sets the variable to as few as there can be, and one of the number that
// users get by default sets it to nothing.
const fewDraws = "FEW_DRAWS"

// allTests are the tests, with the variables that their commands inherit.
type allTests struct{ *testing.M }

func (a allTests) Run() int {
	if !campaign.Full() {
		os.Setenv(fewDraws, "0")
	}
	return a.M.Run()
}

// The command runs from the test binary, as a process of its own.
func TestMain(m *testing.M) {
	testscript.Main(allTests{m}, map[string]func(){"candelua": func() {
		status := run(withFewDraws(os.Args[1:]))
		if path := os.Getenv("STATUS_FILE"); path != "" {
			if err := os.WriteFile(path, []byte(strconv.Itoa(status)), 0o644); err != nil {
				panic(err)
			}
		}
		os.Exit(status)
	}})
}

// withFewDraws adds the number of draws to arguments that do not say it.
func withFewDraws(args []string) []string {
	n := os.Getenv(fewDraws)
	says := func(arg string) bool { return strings.HasPrefix(arg, "--draws") }
	if n == "" || len(args) == 0 || args[0] != "run" || slices.ContainsFunc(args, says) {
		return args
	}
	return append([]string{"run", "--draws", n}, args[1:]...)
}

// statusFile is where the command leaves its exit status for a story, which
// learns from the runner only whether it is 0.
const statusFile = ".status"

func TestStories(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("STATUS_FILE", filepath.Join(env.WorkDir, statusFile))
			env.Setenv(fewDraws, os.Getenv(fewDraws))
			return nil
		},
		Condition: func(cond string) (bool, error) {
			if cond != "full" {
				return false, fmt.Errorf("the only condition is [full]: campaigns are run in full")
			}
			return campaign.Full(), nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"object":  checkRunObject,
			"failure": checkFailure,
			"whole":   checkWhole,
			"replace": replaceInFile,
			"cut":     cutFile,
			"replays": replays,
			"status":  checkStatus,
			"serve":   serveInstrument,
			"unit":    openUnit,
		},
	})
}

// checkStatus compares the exit status of the last command.
func checkStatus(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 1 {
		ts.Fatalf("usage: status NUMBER")
	}
	if got := ts.ReadFile(statusFile); got != args[0] {
		ts.Fatalf("the exit status is %s, want %s", got, args[0])
	}
}

// checkRunObject wants stdout to be one object with the keys that a run's
// always has, and then what checkWhole wants.
func checkRunObject(ts *testscript.TestScript, neg bool, args []string) {
	o := decodeOne(ts)
	for _, key := range []string{"run", "procedure", "status", "simulated", "values", "tables"} {
		if _, ok := o[key]; !ok {
			ts.Fatalf("the object has no %q", key)
		}
	}
	match(ts, o, args)
}

// checkFailure wants stdout to be one object with an error and nothing else.
func checkFailure(ts *testscript.TestScript, neg bool, args []string) {
	o := decodeOne(ts)
	if len(o) != 1 || o["error"] == nil {
		ts.Fatalf("want an error and nothing else, got %v", o)
	}
	match(ts, o, args)
}

// checkWhole wants stdout to be one object in which each path=pattern matches.
func checkWhole(ts *testscript.TestScript, neg bool, args []string) {
	match(ts, decodeOne(ts), args)
}

func decodeOne(ts *testscript.TestScript) map[string]any {
	d := json.NewDecoder(strings.NewReader(ts.ReadFile("stdout")))
	var o map[string]any
	if err := d.Decode(&o); err != nil {
		ts.Fatalf("stdout is not one object: %v", err)
	}
	if _, err := d.Token(); err != io.EOF {
		ts.Fatalf("something follows the object on stdout")
	}
	return o
}

// match looks up each "path=pattern"; "!path" must not be there.
func match(ts *testscript.TestScript, o map[string]any, args []string) {
	for _, arg := range args {
		if path, ok := strings.CutPrefix(arg, "!"); ok {
			if v, there := lookUp(o, path); there {
				ts.Fatalf("%s is %v, and should not be there", path, v)
			}
			continue
		}
		path, pattern, _ := strings.Cut(arg, "=")
		v, there := lookUp(o, path)
		if !there {
			ts.Fatalf("there is no %s", path)
		}
		if got := fmt.Sprint(v); !regexp.MustCompile(pattern).MatchString(got) {
			ts.Fatalf("%s is %q, want it to match %q", path, got, pattern)
		}
	}
}

func lookUp(v any, path string) (any, bool) {
	for key := range strings.SplitSeq(path, ".") {
		switch at := v.(type) {
		case map[string]any:
			next, ok := at[key]
			if !ok {
				return nil, false
			}
			v = next
		case []any:
			i, err := strconv.Atoi(key)
			if err != nil || i >= len(at) {
				return nil, false
			}
			v = at[i]
		default:
			return nil, false
		}
	}
	return v, true
}

// replaceInFile replaces the first of a text in a file, which must be there.
func replaceInFile(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 3 {
		ts.Fatalf("usage: replace FILE OLD NEW")
	}
	text := ts.ReadFile(args[0])
	if !strings.Contains(text, args[1]) {
		ts.Fatalf("%s has no %q in it", args[0], args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Replace(text, args[1], args[2], 1)), 0o644))
}

// cutFile takes bytes off the end of a file.
func cutFile(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: cut FILE BYTES")
	}
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	text := []byte(ts.ReadFile(args[0]))
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), text[:len(text)-n], 0o644))
}

// replays wants the first run of a procedure, which failed, to come to the same
// error again in a replay, and says so as an object.
func replays(ts *testscript.TestScript, neg bool, args []string) {
	folder := "runs/" + args[0] + "-1"
	first := lastError(ts.ReadFile("stderr"))
	ts.Check(ts.Exec("candelua", "replay", "--json", folder))
	match(ts, decodeOne(ts), []string{"status=^failed$", "agrees=^true$"})
	message, _ := lookUp(decodeOne(ts), "error.message")
	if text, ok := message.(string); !ok || !strings.HasSuffix(first, text) {
		ts.Fatalf("the replay's error is %v, and the run's was %s", message, first)
	}
}

func lastError(stderr string) string {
	for line := range strings.Lines(stderr) {
		if text, ok := strings.CutPrefix(line, "candelua: error: "); ok {
			return strings.TrimSpace(text)
		}
	}
	return ""
}

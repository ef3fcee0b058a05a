package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"candelua/builtins"
	"candelua/engine/fault"
	"candelua/engine/procedure"
	"candelua/engine/sim"
	"candelua/scripts"
	"candelua/testdata/campaign"
)

// misspelt are spellings of a word that people type for it: in capitals, with a letter too many,
// and with two letters swapped.
func misspelt(word string) []string {
	if word == "" {
		return nil
	}
	wrong := []string{word + "q", strings.ToUpper(word), strings.ToUpper(word[:1]) + word[1:]}
	if n := len(word); n > 3 {
		wrong = append(wrong, word[:n-2]+word[n-1:]+word[n-2:n-1])
	}
	return slices.DeleteFunc(wrong, func(w string) bool { return w == word })
}

// hinted runs a command line and returns the hint of its error, "" if there is no error.
func hinted(t *testing.T, args ...string) string {
	t.Helper()
	a := &app{line: newStatusLine(os.Stderr)}
	root := a.root()
	root.SetArgs(args)
	var out bytes.Buffer
	root.SetIn(&out)
	root.SetOut(&out)
	root.SetErr(&out)
	if _, err := root.ExecuteContextC(context.Background()); err != nil {
		return fault.HintOf(err)
	}
	return ""
}

// TestKnownWordsAreHinted: whatever takes one of some words names the one that was meant by a
// misspelt one: each flag that a shell completes, a mode, an argument and each parameter with words. The brief form
// tries a quarter of the spellings a day.
func TestKnownWordsAreHinted(t *testing.T) {
	out := t.TempDir()
	t.Chdir(out) // where runs would be
	type slip struct {
		word, wrong string
		args        []string
	}
	var slips []slip
	check := func(word string, line func(wrong string) []string) {
		for _, wrong := range misspelt(word) {
			slips = append(slips, slip{word, wrong, line(wrong)})
		}
	}
	everyCommand(func(path []string, cmd *cobra.Command) {
		cmd.Flags().VisitAll(func(f *pflag.Flag) {
			complete, ok := cmd.GetFlagCompletionFunc(f.Name)
			if !ok || f.Name == "log-level" { // of all commands, see below
				return
			}
			words, _ := complete(cmd, nil, "")
			for _, w := range words {
				check(w, func(wrong string) []string {
					return slices.Concat(path, []string{"window-sweep", "--" + f.Name, wrong})
				})
			}
		})
	})
	for _, level := range logLevels {
		check(level, func(wrong string) []string { return []string{"version", "--log-level", wrong} })
	}
	for _, m := range sim.Default().Modes {
		check(m.Name, func(wrong string) []string { return []string{"run", "window-sweep", "--mode", wrong, "--out", out} })
	}
	for _, shell := range shells {
		check(shell, func(wrong string) []string { return []string{"completion", wrong} })
	}
	for _, name := range procedure.Shipped(scripts.Files) {
		p, err := procedure.Find(name, scripts.Files)
		if err != nil {
			t.Fatal(err)
		}
		loaded, err := procedure.Load(t.Context(), p, builtins.Modules())
		if err != nil {
			t.Fatal(err)
		}
		for _, param := range loaded.Contract.Params {
			for _, w := range param.OneOf {
				check(w, func(wrong string) []string {
					return []string{"run", name, "--set", param.Name + "=" + wrong, "--out", out}
				})
			}
		}
	}
	for _, place := range []string{"meter", "reference"} {
		check(place, func(wrong string) []string { return []string{"replay", "x", "--correction", wrong + "=none"} })
	}
	check(noCorrection, func(wrong string) []string { return []string{"replay", "x", "--correction", wrong} })
	tried := 0
	for _, s := range campaign.Some(t, slips, len(slips)/4) {
		hint := hinted(t, s.args...)
		if hint == "" && strings.EqualFold(s.wrong, s.word) && slices.Contains(s.args, "--log-level") {
			continue // capitals are the same there
		}
		tried++
		if !strings.HasPrefix(hint, "did you mean ") || !strings.Contains(strings.SplitAfter(hint, "?")[0], s.word) {
			t.Errorf("%q: hint is %q, want one that names %s", s.args, hint, s.word)
		}
	}
	if len(slips) < 100 || tried < len(slips)/6 {
		t.Errorf("only %d of %d misspelt words were tried", tried, len(slips))
	}
	if left, _ := filepath.Glob(out + "/*"); len(left) > 0 {
		t.Errorf("something was run: %q", left)
	}
}

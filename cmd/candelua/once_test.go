package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// everyCommand calls do with each command, and with what makes it anew: a command
// keeps what it was given.
func everyCommand(do func(path []string, cmd *cobra.Command)) {
	var walk func(path []string, cmd *cobra.Command)
	walk = func(path []string, cmd *cobra.Command) {
		do(path, cmd)
		for _, c := range cmd.Commands() {
			walk(append(path[:len(path):len(path)], c.Name()), c)
		}
	}
	walk(nil, (&app{line: newStatusLine(os.Stderr)}).root())
}

// mistake runs a command line that must be refused before anything is done.
func mistake(t *testing.T, args ...string) string {
	t.Helper()
	a := &app{line: newStatusLine(os.Stderr)}
	root := a.root()
	root.SetArgs(args)
	root.SetOut(io.Discard)
	root.SetErr(io.Discard)
	_, err := root.ExecuteContextC(context.Background())
	if err == nil || !isFlagError(err) {
		t.Errorf("candelua %s: error is %v, want wrong use", strings.Join(args, " "), err)
		return ""
	}
	return err.Error()
}

// plausible is a value that a flag takes.
func plausible(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "uint64", "int", "float64":
		return "3"
	case "bool":
		return "true"
	}
	return "a=1"
}

// Every flag of every command that takes one value is refused a second one, the same
// or another, and every flag that takes a text is refused an empty one.
func TestFlagsAreGivenOnceAndInFull(t *testing.T) {
	seen := map[string]int{}
	everyCommand(func(path []string, cmd *cobra.Command) {
		cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
			kind := f.Value.Type()
			seen[kind]++
			call := func(values ...string) []string {
				args := append([]string{}, path...)
				for _, v := range values {
					args = append(args, fmt.Sprintf("--%s=%s", f.Name, v))
				}
				return args
			}
			if one := plausible(f); kind != "stringArray" {
				if got, want := mistake(t, call(one, one)...), "--"+f.Name+" is given twice; give it once"; got != want {
					t.Errorf("%v: %s, want %s", call(one, one), got, want)
				}
			}
			if kind != "string" && kind != "stringArray" {
				return
			}
			for _, empty := range []string{"", "  "} {
				if got, want := mistake(t, call(empty)...), fmt.Sprintf("--%s is empty; give a ", f.Name); !strings.HasPrefix(got, want) {
					t.Errorf("%v: %s, want %s", call(empty), got, want)
				}
			}
		})
	})
	for _, kind := range []string{"bool", "string", "stringArray", "int", "uint64", "float64"} {
		if seen[kind] == 0 {
			t.Errorf("no flag is of kind %s: %v", kind, seen)
		}
	}
}

// Every command that takes arguments refuses an empty one.
func TestArgumentsAreNotEmpty(t *testing.T) {
	asked := 0
	everyCommand(func(path []string, cmd *cobra.Command) {
		for _, args := range [][]string{{""}, {" "}} {
			if len(path) == 0 || !cmd.Runnable() || cmd.Args != nil && cmd.Args(cmd, args) != nil {
				continue
			}
			asked++
			got := mistake(t, append(append([]string{}, path...), args...)...)
			if want := "argument 1 of candelua " + strings.Join(path, " ") + " is empty"; got != want && cmd.Name() != "help" {
				t.Errorf("%v: %s, want %s", path, got, want)
			}
		}
	})
	if asked < 10 {
		t.Errorf("only %d command lines were tried", asked)
	}
}

package main

import (
	"errors"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// printing are the arguments with which a command prints; those that are not named take none.
var printing = map[string][]string{
	"describe": {"gamut"}, "completion": {"bash"}, "resume": {"runs/slow-1", "--from", "1", "--because", "b"}, "replay": {"runs/slow-1"}, "run": {"./slow.lua"}, "check": {"gamut"}, "rehearse": {"gamut"},
	"bench check": {"sim", "--readings", "2"}, "new": {"tern-street", "--kind", "bench"}, "patches": {"./slow.lua", "--to", "shown", "--size", "32x18"}, "repair": {"runs/damaged"}, "trial": {"window-sweep", "--seeds", "1"},
}

// TestFullOutput: every command, in each form in which it prints something, fails and says so where its output
// does not get through, once and with a status that is not 0.
func TestFullOutput(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer full.Close()
	dir := folderWith(t, "slow", slow)
	if p := start(t, dir, "run", "./slow.lua"); p.status(t) != 0 {
		t.Fatal(p.err.String())
	}
	try := func(args ...string) {
		if args[0] == "repair" {
			damage(t, dir)
		}
		cmd := exec.CommandContext(t.Context(), "candelua", args...)
		var stderr lockedBuffer
		cmd.Dir, cmd.Stdout, cmd.Stderr = dir, full, &stderr
		var exit *exec.ExitError
		if err := cmd.Run(); !errors.As(err, &exit) || exit.ExitCode() != statusFailed {
			t.Errorf("candelua %s ended with %v", strings.Join(args, " "), err)
		}
		if n := strings.Count(stderr.String(), "no space left on device"); n != 1 || !strings.Contains(stderr.String(), "candelua: error: the ") {
			t.Errorf("candelua %s says the error %d times:\n%s", strings.Join(args, " "), n, &stderr)
		}
	}
	try("--version")
	try("help")
	try("help", "run")
	try("api", "meter.read")
	try("api", "meter")
	try("runs", "runs/slow-1")
	try("runs", "runs/slow-1", "--steps")
	everyCommand(func(path []string, cmd *cobra.Command) {
		try(append(slices.Clone(path), "--help")...)
		if len(path) == 0 || cmd.Hidden {
			return
		}
		line := append(slices.Clone(path), printing[strings.Join(path, " ")]...)
		try(line...)
		cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if f.Name == "json" || f.Name == "list" && path[0] != "trial" {
				try(append(slices.Clone(line), "--"+f.Name)...)
			}
		})
	})
	try("trial", "--list")
}

// damage makes a run's folder that can be repaired.
func damage(t *testing.T, dir string) {
	t.Helper()
	if err := os.RemoveAll(dir + "/runs/damaged"); err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(dir+"/runs/damaged", os.DirFS(dir+"/runs/slow-1")); err != nil {
		t.Fatal(err)
	}
	journal := read(t, dir, "runs/damaged/journal.jsonl")
	lines := strings.SplitAfter(string(journal), "\n")
	lines[3] = strings.Replace(lines[3], `"step":`, `"stop":`, 1)
	if err := os.WriteFile(dir+"/runs/damaged/journal.jsonl", []byte(strings.Join(lines, "")), 0o644); err != nil {
		t.Fatal(err)
	}
}

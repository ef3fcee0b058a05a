//go:build unix

package main

import (
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"

	"candelua/engine/store"
)

// output runs the command in a folder and gives what it prints.
func output(t *testing.T, dir string, args ...string) string {
	t.Helper()
	cmd := exec.Command("candelua", args...)
	cmd.Dir = dir
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("candelua %s: %v", strings.Join(args, " "), err)
	}
	return string(out)
}

// A run that another process has open is told like any other, and so is what it
// has measured so far; repair keeps away from it.
func TestRunsThatAreRunning(t *testing.T) {
	dir := folderWith(t, "slow", slow)
	output(t, dir, "run", "./slow.lua")
	held, err := store.Open(filepath.Join(dir, "runs", "slow-1"))
	if err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"runs"}, {"runs", "runs/slow-1"}} {
		text := output(t, dir, args...)
		for _, part := range []string{"running, at step 6 of about 6", "it is open in process "} {
			if !strings.Contains(text, part) {
				t.Errorf("candelua %s lacks %q:\n%s", strings.Join(args, " "), part, text)
			}
		}
	}
	if text := output(t, dir, "runs", "--json"); !strings.Contains(text, `"status": "running"`) {
		t.Errorf("the object is %s", text)
	}
	refused := exec.Command("candelua", "repair", "runs/slow-1")
	refused.Dir = dir
	if text, err := refused.CombinedOutput(); err == nil || !strings.Contains(string(text), "is open in process") {
		t.Errorf("repair says %s, %v", text, err)
	}
	if err := held.Close(); err != nil {
		t.Fatal(err)
	}
	if text := output(t, dir, "runs"); !strings.Contains(text, "done, 6 steps") {
		t.Errorf("once it is closed:\n%s", text)
	}
}

// What is printed on a terminal fits it.
func TestRunsFitTheTerminal(t *testing.T) {
	dir := folderWith(t, "slow", slow)
	output(t, dir, "run", "./slow.lua")
	for _, columns := range []uint16{50, 80, 100, 300} {
		for _, args := range [][]string{{"runs"}, {"runs", "runs/slow-1"}, {"runs", "runs/slow-1", "--steps"}} {
			c := atTerminal(t, dir, columns, args...)
			for line := range strings.SplitSeq(c.screen(t), "\n") {
				if word := longestWord(line); runewidth.StringWidth(line) > int(columns) && runewidth.StringWidth(word) < int(columns)/2 {
					t.Errorf("at %d columns, %v prints %q", columns, args, line)
				}
			}
		}
	}
}

// longestWord of a line, which no line can be narrower than.
func longestWord(line string) (longest string) {
	for _, word := range strings.Fields(line) {
		if len(word) > len(longest) {
			longest = word
		}
	}
	return longest
}

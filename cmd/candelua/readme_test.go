//go:build unix

package main

import (
	"os"
	"os/exec"
	"strings"
	"testing"
)

// The README shows what its command really prints; " …" stands for lines that
// are left out.
func TestOutputOfTheReadme(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(text), "<!-- output of: candelua run window-sweep -->\n```\n")
	shown, _, found := strings.Cut(rest, "```")
	if !found {
		t.Fatal("the README shows no output")
	}
	cmd := exec.Command("candelua", "run", "window-sweep")
	cmd.Dir, cmd.Env = t.TempDir(), append(os.Environ(), fewDraws+"=")
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range strings.Split(shown, " …\n") {
		if !strings.Contains(string(out), part) {
			t.Errorf("the README shows\n%s\nand the command prints\n%s", part, out)
		}
	}
}

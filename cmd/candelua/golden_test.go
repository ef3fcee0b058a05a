//go:build unix

package main

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"candelua/engine/procedure"
	"candelua/scripts"
	"candelua/testdata/campaign"
)

var update = flag.Bool("update", false, "write testdata/golden anew")

// quick are the procedures that run and are drawn in a fraction of a second.
var quick = []string{"contrast", "gamut", "near-black", "tone-response", "window-sweep"}

// What each shipped procedure prints at its end, read and found good. After a
// change that means to change it: go test ./cmd/candelua -run Golden -update, and
// read the difference. The brief form has two a day of those that are quick, and
// one of the others.
func TestGolden(t *testing.T) {
	var names []string
	slow := slices.DeleteFunc(procedure.Shipped(scripts.Files), func(name string) bool { return slices.Contains(quick, name) })
	if *update {
		names = slices.Concat(quick, slow)
	} else {
		names = slices.Concat(campaign.Some(t, quick, 2), campaign.Some(t, slow, 1))
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) { checkGolden(t, name) })
	}
}

// checkGolden runs a procedure, and wants it to print what is kept.
func checkGolden(t *testing.T, name string) {
	t.Helper()
	cmd := exec.Command("candelua", "run", name, "--draws", "100", "--accept-cautions", "--yes")
	cmd.Dir = t.TempDir()
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	path := filepath.Join("../../testdata/golden", name+".txt")
	if *update {
		if err := os.WriteFile(path, out, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	was, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(was, out) {
		t.Errorf("%s prints other than in %s", name, path)
	}
}

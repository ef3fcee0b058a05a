//go:build unix

package main

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"candelua/engine/procedure"
	"candelua/scripts"
)

var update = flag.Bool("update", false, "write testdata/golden anew, and make the runs that are missing in testdata/runs/shipped")

const (
	golden      = "../../testdata/golden"
	shippedRuns = "../../testdata/runs/shipped"
)

// Each shipped procedure, run with draws, comes to the same journal, the same
// results and the same terminal output, to the byte.
func TestGolden(t *testing.T) {
	for _, name := range procedure.Shipped(scripts.Files) {
		cmd := exec.Command("candelua", "run", name, "--draws", "100", "--accept-cautions", "--yes")
		cmd.Dir = t.TempDir()
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		folder := filepath.Join(cmd.Dir, "runs", name+"-1")
		kept := filepath.Join(shippedRuns, name)
		if *update {
			keep(t, name, out, folder, kept)
		}
		same(t, name+": the terminal output", out, filepath.Join(golden, name+".txt"))
		for _, file := range []string{"journal.jsonl", "results.json"} {
			now, err := os.ReadFile(filepath.Join(folder, file))
			if err != nil {
				t.Fatal(err)
			}
			same(t, name+": "+file, now, filepath.Join(kept, file))
		}
	}
}

// keep writes what a run printed and, where there is none yet, its folder,
// without what follows from the rest: drawings and the list of readings.
func keep(t *testing.T, name string, out []byte, folder, kept string) {
	if err := os.WriteFile(filepath.Join(golden, name+".txt"), out, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(kept); err == nil {
		return
	}
	for _, left := range []string{"plots", "lock", ".lock", "readings.csv", "readings.json", "tables"} {
		if err := os.RemoveAll(filepath.Join(folder, left)); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.CopyFS(kept, os.DirFS(folder)); err != nil {
		t.Fatal(err)
	}
}

func same(t *testing.T, what string, now []byte, path string) {
	was, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(was, now) {
		t.Errorf("%s is not as it was in %s", what, path)
	}
}

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

var update = flag.Bool("update", false, "write testdata/golden anew")

// What each shipped procedure prints at its end, read and found good. After a
// change that means to change it: go test ./cmd/candelua -run Golden -update, and
// read the difference.
func TestGolden(t *testing.T) {
	for _, name := range procedure.Shipped(scripts.Files) {
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
}

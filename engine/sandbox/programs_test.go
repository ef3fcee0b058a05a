package sandbox

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestPrograms runs the pinned programs, so that the comparison with the reference
// interpreter is kept where that is missing. Each is followed by what lua5.1 printed.
// PIN=1 writes random ones anew.
func TestPrograms(t *testing.T) {
	if os.Getenv("PIN") != "" {
		pin(t)
	}
	files, err := filepath.Glob("testdata/programs/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatalf("no programs: %v", err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for piece := range strings.SplitSeq(string(text), "\n=====\n") {
			src, want, ok := strings.Cut(piece, "\n-----\n")
			if !ok {
				t.Fatalf("%s: a program has no output", file)
			}
			if got := answer(t, src); strings.TrimSpace(got) != strings.TrimSpace(want) {
				t.Errorf("%s: %s\n%s", file, src, firstDifference(got, want))
			}
		}
	}
}

// pin writes random programs with what the reference interpreter prints.
func pin(t *testing.T) {
	path := reference(t)
	var pieces []string
	for seed := uint64(0); len(pieces) < 40; seed++ {
		ours, theirs := variants(program(seed))
		want := ask(t, path, []string{theirs})[0]
		if len(want) < 2000 && len(ours) < 4000 {
			pieces = append(pieces, strings.TrimSpace(prelude)+"\n"+ours+"\n-----\n"+want)
		}
	}
	if err := os.WriteFile("testdata/programs/random.txt", []byte(strings.Join(pieces, "\n=====\n")), 0o644); err != nil {
		t.Fatal(err)
	}
}

package trial

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"candelua/builtins"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/sim"
	"candelua/engine/uncertainty"
	"candelua/scripts"
)

var update = flag.Bool("update", false, "write testdata/golden/trials.txt anew")

// The seeds of each world, and the draws of each run, that are looked at.
const (
	goldenSeeds = 2
	goldenDraws = 20
)

// Every shipped trial comes to the same journals and the same results, with
// draws, to the byte: a change that is meant to move code alone moves nothing
// else. After a change that means to change them: go test ./engine/trial -run Golden -update
func TestGolden(t *testing.T) {
	var lines []string
	var mu sync.Mutex
	for _, name := range Shipped(scripts.Files) {
		tr, err := Find(t.Context(), name, scripts.Files)
		if err != nil {
			t.Fatal(err)
		}
		changed := *tr
		changed.Draws = goldenDraws
		r := &Runner{Shipped: scripts.Files, Modules: builtins.Modules(), Seeds: goldenSeeds,
			Worlds: func(ref WorldRef) (World, error) { return sim.NewSubject(ref.World, ref.Faults, ref.Dir) },
			kept: func(world int, seed uint64, j *journal.Journal, res *result.Results) {
				mu.Lock()
				defer mu.Unlock()
				lines = append(lines, fmt.Sprintf("%s/%s/%d %s", name, tr.Worlds[world].Name, seed, digest(t, j, res)))
			}}
		if _, err := r.Run(t.Context(), &changed); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	slices.Sort(lines)
	now := strings.Join(lines, "\n") + "\n"
	const path = "../../testdata/golden/trials.txt"
	if *update {
		if err := os.WriteFile(path, []byte(now), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	was, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i, line := range strings.Split(strings.TrimSuffix(string(was), "\n"), "\n") {
		if i >= len(lines) || line != lines[i] {
			t.Fatalf("line %d: the runs of this trial are others than they were: %s", i+1, line)
		}
	}
}

// digest is the sums of a run's records and of what it concluded.
func digest(t *testing.T, j *journal.Journal, res *result.Results) string {
	var records bytes.Buffer
	for _, r := range j.All() {
		text, err := json.Marshal(r)
		if err != nil {
			t.Error(err)
		}
		records.Write(text)
	}
	text, err := json.Marshal(res)
	if err != nil {
		t.Error(err)
	}
	return fmt.Sprintf("%x %x", sha256.Sum256(records.Bytes()), sha256.Sum256(text))
}

func TestMain(m *testing.M) {
	uncertainty.CollectSeldom()
	os.Exit(m.Run())
}

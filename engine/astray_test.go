package engine_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"candelua/engine/journal"
	"candelua/engine/play"
)

// TestJournalRemoved removes or replaces the journal before each step of a run, and of one that goes on. The
// run ends as if nobody had, says so once, and its journal is whole.
func TestJournalRemoved(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	for _, attack := range []func(path string) error{
		os.Remove,
		func(path string) error { return os.Truncate(path, 0) },
		func(path string) error { return os.WriteFile(path, []byte("another\n"), 0o644) },
	} {
		for step := 1; step <= journalOf(t, w.path).Steps(); step++ {
			h := &heard{}
			s := simSpec(t, procedureOf(parted))
			s.Out, s.Setup = memoryDir(t), h.setup()
			path := filepath.Join(s.Out, "probe-1")
			s.Tell = play.Steps(func(p play.Progress) {
				if p.Step == step {
					must(t, attack(filepath.Join(path, "journal.jsonl")))
				}
			})
			ran(t, s, journal.Done)
			if len(h.warnings) != 1 || !strings.Contains(h.warnings[0], "it was written anew, and nothing is lost") {
				t.Errorf("step %d: warnings are %q", step, h.warnings)
			}
			w.equals(t, path, "with the journal removed")
			replayed(t, path, journal.Done)
		}
	}
}

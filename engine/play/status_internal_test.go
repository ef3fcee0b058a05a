package play

import (
	"errors"
	"fmt"
	"testing"

	"candelua/engine/journal"
	"candelua/engine/sandbox"
)

// TestStatusOfLimits tells what a script used up, which it does each time, from a heap that
// grew too large, which others have a part in.
func TestStatusOfLimits(t *testing.T) {
	for cause, want := range map[error]journal.Standing{
		sandbox.ErrHeap: journal.Paused, sandbox.ErrMemory: journal.Failed, sandbox.ErrBudget: journal.Failed, errors.New("another"): journal.Failed,
	} {
		if got := statusOf(fmt.Errorf("x.lua:1: %w", cause)); got != want {
			t.Errorf("%v: %s, want %s", cause, got, want)
		}
	}
}

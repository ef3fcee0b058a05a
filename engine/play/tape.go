package play

import (
	"candelua/engine/journal"
	"candelua/engine/script"
)

// tape is the steps of a journal, read once for many executions.
type tape struct {
	steps []journal.Step
	memos []script.Memo
}

func newTape(j *journal.Journal) (*tape, error) {
	t := &tape{steps: make([]journal.Step, j.Steps()), memos: make([]script.Memo, j.Steps())}
	for n := range t.steps {
		s, err := j.Step(n + 1)
		if err != nil {
			return nil, err
		}
		t.steps[n] = s
	}
	return t, nil
}

package engine

import (
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/store"
	"context"
	"errors"
)

// Replay recomputes a run's results from its scripts and journal, without any
// instrument, and compares them with the recorded ones. Nothing is written.
func Replay(ctx context.Context, path string, s Setup) (rep *Report, err error) {
	folder, err := store.OpenReadOnly(path)
	if err != nil {
		return nil, usage(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	j, err := journal.Load(folder.JournalPath())
	if err != nil {
		return nil, err
	}
	var h Head
	if err := j.Head(&h); err != nil {
		return nil, err
	}
	program, _, err := stored(ctx, folder, h, j, s.Modules)
	if err != nil {
		return nil, err
	}
	out, err := (&Job{Program: program, Head: h, Journal: j, Setup: s}).Replay(ctx)
	if err != nil {
		return nil, err
	}
	rep = &Report{Outcome: out, Path: folder.Path(), Head: h, Recorded: recordedStatus(j)}
	recorded, err := folder.ReadResults()
	if err != nil {
		return rep, err
	}
	rep.Differences = result.Compare(recorded, out.Results)
	return rep, nil
}

// recordedStatus is how a run ended; one that was cut off is paused.
func recordedStatus(j *journal.Journal) Status {
	if last, ended := j.Ended(); ended {
		return Status(last.Status)
	}
	return Paused
}

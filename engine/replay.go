package engine

import (
	"context"
	"errors"

	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/store"
)

// Replay recomputes a run's results from its scripts and journal, without any
// instrument, and compares them with the recorded ones. Nothing is written.
// Uncertainties are drawn anew where some were recorded, or as often as is asked;
// they are compared where as many draws were made.
func Replay(ctx context.Context, path string, s Setup) (rep *Report, err error) {
	folder, err := store.OpenReadOnly(path)
	if err != nil {
		return nil, usage(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	job, err := keptJob(ctx, folder, s)
	if err != nil {
		return nil, err
	}
	out, err := job.Replay(ctx)
	if err != nil {
		return nil, err
	}
	rep = &Report{Outcome: out, Path: folder.Path(), Head: job.Head, Recorded: recordedStatus(job.Journal)}
	recorded, err := folder.ReadResults()
	if err != nil {
		return rep, err
	}
	rep.Differences = result.Compare(recorded, out.Results)
	n := s.drawsOf(recorded)
	if n == 0 || out.Status != Done {
		return rep, nil
	}
	if err := job.uncertainties(ctx, out.Results, n); err != nil {
		return rep, err
	}
	if was := recorded.Draws(); was != nil && was.Count == n {
		rep.Differences = result.Compare(recorded, out.Results)
	}
	return rep, nil
}

// keptJob is what a run's folder holds, to be executed over its whole journal.
func keptJob(ctx context.Context, folder *store.Run, s Setup) (*Job, error) {
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
	return &Job{Program: program, Head: h, Journal: j, Setup: s}, nil
}

// recordedStatus is how a run ended; one that was cut off is paused.
func recordedStatus(j *journal.Journal) Status {
	if last, ended := j.Ended(); ended {
		return Status(last.Status)
	}
	return Paused
}

// drawsOf is how many draws a replay makes.
func (s *Setup) drawsOf(recorded *result.Results) int {
	switch was := recorded.Draws(); {
	case s.Draws != nil:
		return *s.Draws
	case was != nil:
		return was.Count
	}
	return 0
}

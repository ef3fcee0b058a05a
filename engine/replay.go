package engine

import (
	"context"
	"errors"

	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/store"
)

// Replay recomputes a run's results from its scripts and journal, without any
// instrument, and compares them with the recorded ones, which stay as they are.
// Uncertainties are drawn anew where some were recorded, or as often as is asked;
// they are compared where as many draws were made. Where the run has none from so
// many draws, what was drawn is kept in a new folder of the run's, replays/<n>; a
// folder that cannot be written is no failure, and warned of.
func Replay(ctx context.Context, path string, s Setup) (*Report, error) {
	rep, files, err := replay(ctx, path, s)
	if err != nil || files == nil {
		return rep, err
	}
	if rep.Kept, err = keepDrawn(rep, files, s.Version); err != nil {
		s.warn("the uncertainties are not kept: %v", err)
	}
	return rep, nil
}

// replay gives the scripts too where there are uncertainties to be kept.
func replay(ctx context.Context, path string, s Setup) (rep *Report, files *procedure.Loaded, err error) {
	folder, err := store.OpenReadOnly(path)
	if err != nil {
		return nil, nil, fault.Usage(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	job, files, err := keptJob(ctx, folder, s)
	if err != nil {
		return nil, nil, err
	}
	out, err := job.Replay(ctx)
	if err != nil {
		return nil, nil, err
	}
	rep = &Report{Outcome: out, Path: folder.Path(), Head: job.Head, Recorded: job.History.Standing()}
	recorded, err := folder.ReadResults()
	if err != nil {
		return rep, nil, err
	}
	rep.compare(recorded)
	n := s.drawsOf(recorded)
	if n == 0 || out.Status != journal.Done {
		return rep, nil, nil
	}
	if err := s.uncertainties(ctx, job, out.Results, n); err != nil {
		return rep, nil, err
	}
	if was := recorded.Draws(); was != nil && was.Count == n {
		rep.compare(recorded)
		return rep, nil, nil
	}
	if len(rep.Differences) > 0 {
		return rep, nil, nil // of another version or a changed file, and no finding of this run
	}
	return rep, files, nil
}

// compare says in what a replay differs from what was recorded.
func (rep *Report) compare(recorded *result.Results) {
	rep.Differences, rep.Older = setOlderApart(&rep.Head, result.Compare(recorded, rep.Results))
}

// keepDrawn writes results with their uncertainties into a folder of their own.
func keepDrawn(rep *Report, files *procedure.Loaded, version string) (path string, err error) {
	folder, err := store.Open(rep.Path)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	h := rep.Head
	used := Used{Engine: version, Procedure: h.Procedure, File: files.Procedure.File, Scripts: files.Sums(), InPlaceOf: map[string]string{}, Status: rep.Status}
	if used.Corrections, _, err = usedCorrections(h); err != nil {
		return "", err
	}
	return keepReplay(folder, &Reanalysis{Report: rep, Used: used}, files)
}

// keptJob is what a run's folder holds, to be executed over its whole journal, with
// its scripts.
func keptJob(ctx context.Context, folder *store.Run, s Setup) (*play.Job, *procedure.Loaded, error) {
	j, err := journal.Load(folder.JournalPath())
	if err != nil {
		return nil, nil, err
	}
	h, err := history.Read(j)
	if err != nil {
		return nil, nil, err
	}
	loaded, err := procedure.Stored(ctx, folder, h, s.Modules)
	if err != nil {
		return nil, nil, err
	}
	return s.jobOf(loaded.Program, h), loaded, nil
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

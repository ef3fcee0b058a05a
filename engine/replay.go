package engine

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"candelua/engine/archive"
	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/result"
	"candelua/engine/store"
	"candelua/engine/uncertainty"
)

// Replay recomputes a run's results from its scripts and journal, without any
// instrument, and compares them with the recorded ones, which stay as they are.
// Uncertainties are drawn anew where some were recorded, or as often as is asked;
// they are compared where as many draws were made. Where the run has none from so
// many draws, what was drawn is kept in a new folder of the run's, replays/<n>; a
// folder that cannot be written is no failure, and warned of.
//
// The files that were written of them are compared by the sums in run.json, which
// is named itself where it cannot be read. A run of an older version has no sums,
// and none of its files is compared.
//
// Where the recorded results are missing or damaged, nothing is compared, and
// Uncompared of the report says why.
func Replay(ctx context.Context, path string, s Setup) (*Report, error) {
	rep, drawn, err := s.replay(ctx, path)
	if rep != nil && len(rep.Differences) > 0 { // which say in what results.json is another
		rep.Files = slices.DeleteFunc(rep.Files, func(c store.FileChange) bool { return c.Name == store.ResultsName })
	}
	if err != nil || drawn == nil {
		return rep, err
	}
	if rep.Kept, err = drawn.keepIn(rep.Path); err != nil {
		s.warn("the uncertainties were not saved: %v", err)
	}
	return rep, nil
}

// replay gives what it looked at too where there are uncertainties to be kept.
func (s *Setup) replay(ctx context.Context, path string) (rep *Report, drawn *look, err error) {
	folder, err := store.OpenReadOnly(path)
	if err != nil {
		return nil, nil, notOpened(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	l, err := s.lookAt(ctx, folder, Changes{})
	if err != nil {
		return nil, nil, err
	}
	rep = l.report(folder)
	var m archive.Meta
	if err := folder.ReadMeta(&m); err != nil { // and with it the sums of all others
		rep.Files = folder.Unread(err)
	} else {
		if !m.Follows(l.job.History) {
			return rep, nil, &fault.UsageError{Err: errors.New("the recorded results are older than the journal: the run was resumed, and cut off before its results were written"),
				Tip: "bring the run to its end with: candelua resume " + plain.Word(folder.Path())}
		}
		rep.Files = m.FilesChanged(folder, l.job.History)
		if rep.Recorded == journal.Done && m.Status != journal.Done {
			s.warn("everything was measured, but not all results were written; write them with: candelua resume %s", folder.Path())
		}
	}
	recorded, err := folder.ReadResults()
	switch {
	case err == nil:
		rep.compare(recorded)
	case errors.Is(err, result.ErrNewer) || rep.Recorded == journal.Paused && errors.Is(err, fs.ErrNotExist): // it was cut off
		return rep, nil, err
	default:
		rep.Uncompared = err
	}
	p := s.planOf(l.job.Head.Draws, recorded)
	if p.Draws == 0 || l.Status != journal.Done {
		if s.Draws == nil && recorded != nil {
			l.Results.SetDraws(recorded.Draws()) // why there are none
		}
		return rep, nil, nil
	}
	if err := s.uncertainties(ctx, l.job, l.Results, p); err != nil {
		return rep, nil, err
	}
	if recorded == nil && s.Draws == nil {
		return rep, nil, nil
	}
	if recorded == nil {
		return rep, l, nil
	}
	if was, is := recorded.Draws(), l.Results.Draws(); was != nil && was.Count == is.Count {
		is.Asked, is.Ended, is.Note = was.Asked, was.Ended, was.Note
		rep.compare(recorded)
		return rep, nil, nil
	}
	if len(rep.Differences) > 0 {
		return rep, nil, nil // of a changed file, and no finding of this run
	}
	return rep, l, nil
}

// keepIn keeps what was looked at in a run's folder, which was open for reading only.
func (l *look) keepIn(path string) (kept string, err error) {
	folder, err := store.Open(path)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	l.used.Status = l.Status
	return l.keep(folder)
}

// planOf says how many draws a replay makes: as many as it is asked for, or as the recorded results are of, however
// long they take here, since a slower machine must find the same; where there are no results, as the run was to have.
func (s *Setup) planOf(head int, recorded *result.Results) uncertainty.Plan {
	switch {
	case s.Draws != nil:
		return uncertainty.Fixed(*s.Draws)
	case recorded == nil:
		return budgeted(head)
	}
	was := recorded.Draws()
	switch {
	case was == nil:
		return uncertainty.Fixed(0)
	case was.Ended == result.NothingDrawn:
		return uncertainty.Fixed(was.Asked)
	}
	return uncertainty.Fixed(was.Count)
}

// DrawApart makes n draws of a run that is kept in a folder, so that its values can
// be compared with those of another run with as many draws: draw j of both has
// the same error wherever both share its cause, such as the scale of one meter.
// See [uncertainty.Drawn.Run], [candelua/engine/draw.Difference] and [candelua/engine/draw.Ratio].
//
// It fails for a run that is not done, and as [Replay] does. Nothing is written.
func DrawApart(ctx context.Context, path string, s Setup, n int) (d *uncertainty.Drawn, err error) {
	folder, err := store.OpenReadOnly(path)
	if err != nil {
		return nil, notOpened(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	l, err := s.lookAt(ctx, folder, Changes{})
	if err != nil {
		return nil, err
	}
	if l.Err != nil {
		return nil, l.Err
	}
	if l.Status != journal.Done {
		return nil, &fault.UsageError{Err: fmt.Errorf("run %s is %s; it must be done", path, l.Status), Tip: "bring it to its end first, with: candelua resume " + plain.Word(path)}
	}
	many, err := l.job.Many(true)
	if err != nil {
		return nil, err
	}
	return uncertainty.Draw(ctx, many, l.Results, uncertainty.Plan{Draws: n, Always: true}, nil)
}

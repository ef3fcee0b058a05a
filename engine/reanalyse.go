package engine

import (
	"context"
	"errors"
	"io/fs"

	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/store"
	"candelua/engine/uncertainty"
)

// Reanalysis is the outcome of a replay with changes.
type Reanalysis struct {
	*Report        // of the replay; Path is the run's, Differences are from Before
	Folder  string // of the replay, within the run's; empty where nothing was kept
	Before  *result.Results
	Used    Used
}

// Reanalyse recomputes a run's results from its journal with something else
// than the run had it: other corrections, another script. What comes of it is
// kept in a new folder of the run's, replays/<n>; journal and results stay as
// they are. Nothing is kept of a replay that fails, other than where the run
// itself failed and does so again.
//
// It fails with a [play.DivergenceError] where a script asks for other steps, a
// [play.LeftOverError] where for fewer, and [play.ErrJournalEnds] where for more.
func Reanalyse(ctx context.Context, path string, s Setup, c Changes) (re *Reanalysis, err error) {
	folder, err := store.Open(path)
	if err != nil {
		return nil, notOpened(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	l, err := s.lookAt(ctx, folder, c)
	if l != nil {
		for _, w := range l.used.Warnings {
			s.warn("%s", w)
		}
	}
	if err != nil {
		return nil, err
	}
	p := budgeted(l.job.Head.Draws)
	if s.Draws != nil {
		p = uncertainty.Fixed(*s.Draws)
	}
	if l.Status == journal.Done && p.Draws > 0 {
		if err := s.uncertainties(ctx, l.job, l.Results, p); err != nil {
			return nil, err
		}
	}
	re = &Reanalysis{Report: l.report(folder), Used: l.used}
	if re.Before, err = s.recorded(folder); err != nil {
		return re, err
	}
	return re, re.conclude(folder, l)
}

// recorded reads the results of a run: none where it was cut off, or where they are damaged.
func (s *Setup) recorded(folder *store.Run) (*result.Results, error) {
	res, err := folder.ReadResults()
	switch {
	case err == nil || errors.Is(err, result.ErrNewer):
		return res, err
	case !errors.Is(err, fs.ErrNotExist):
		s.warn("nothing is shown of before, because the recorded results cannot be read: %v", err)
	}
	return result.New(), nil
}

// conclude compares and keeps the results of a replay.
func (re *Reanalysis) conclude(folder *store.Run, l *look) (err error) {
	re.compare(re.Before)
	l.used.Status = re.Status
	if re.Err != nil {
		if re.Recorded != journal.Failed || play.Diverged(re.Err) {
			return re.explained()
		}
		l.used.Reason = re.Err.Error()
	}
	re.Used = l.used
	re.Folder, err = l.keep(folder)
	return err
}

// explained is why nothing was kept. A script that is the run's own asks for
// other steps only where it chooses them by its readings.
func (re *Reanalysis) explained() error {
	switch {
	case !play.Diverged(re.Err):
		return re.Err
	case re.Used.Edited:
		return &otherStepsError{re.Err}
	}
	return &SteeredError{re.Err}
}

// otherStepsError is a script that does not fit the journal it is replayed with.
// Unlike a resumption, a replay cannot take the steps that are missing.
type otherStepsError struct{ err error }

func (e *otherStepsError) Error() string { return e.err.Error() }

// Unwrap gives what differs.
func (e *otherStepsError) Unwrap() error { return e.err }

// Code is the error's code in reports.
func (e *otherStepsError) Code() string { return fault.CodeOf(e.err) }

// Hint says what to do next.
func (e *otherStepsError) Hint() string {
	return "a replay has only the recorded steps; use a script that asks for the same steps, or measure again with candelua run"
}

// SteeredError is a script that asks for other steps than the run took, since
// its readings are other ones with another correction.
type SteeredError struct{ Err error }

func (e *SteeredError) Error() string { return e.Err.Error() }

// Unwrap gives what differs.
func (e *SteeredError) Unwrap() error { return e.Err }

// Code is the error's code in reports.
func (e *SteeredError) Code() string { return fault.CodeOf(e.Err) }

// Hint says what to do next.
func (e *SteeredError) Hint() string {
	return "with this correction the script chooses other steps by its readings; put such a choice into run.decide, which returns the recorded one " +
		"on a replay, and measure again"
}

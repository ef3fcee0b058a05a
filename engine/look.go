package engine

import (
	"context"
	"errors"
	"fmt"
	"os"

	"candelua/engine/archive"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/store"
)

// look is a run that is kept in a folder, executed again over its whole journal: a
// replay, another look at old readings, draws that are to be compared.
type look struct {
	job   *play.Job
	files *procedure.Loaded
	used  Used
	*play.Outcome
}

// notOpened is why a run's folder could not be opened: wrong use, but for a run of a newer candelua.
func notOpened(err error) error {
	switch {
	case errors.Is(err, result.ErrNewer):
		return err
	case errors.Is(err, os.ErrPermission):
		return &fault.UsageError{Err: err, Tip: "use a copy of the run's folder that you may read and write"}
	}
	return fault.Usage(err)
}

// lookAt executes a kept run again, with something else than the run had it where c
// says so.
func (s *Setup) lookAt(ctx context.Context, folder *store.Run, c Changes) (*look, error) {
	j, err := journal.Load(folder.JournalPath())
	if err != nil {
		return nil, err
	}
	h, err := history.Read(j)
	if err != nil {
		return nil, err
	}
	l := &look{}
	if l.files, err = c.load(ctx, folder, h, s.Modules); err != nil {
		return nil, err
	}
	l.job = s.jobOf(l.files.Program, h)
	if l.job.Head.Texts, err = c.texts(h.Head); err != nil {
		return nil, fault.Usage(err)
	}
	if l.used, err = usedBy(s.Version, c, h.Head, l.job.Head, l.files); err != nil {
		return nil, err
	}
	if l.Outcome, err = l.job.Replay(ctx); err == nil {
		err = doubt(ctx, l.job, l.Outcome)
	}
	return l, err
}

// report is what became of the run, not compared yet.
func (l *look) report(folder *store.Run) *Report {
	return &Report{Outcome: l.Outcome, Path: folder.Path(), Head: l.job.Head, Recorded: l.job.History.Standing()}
}

// compare says in what a replay differs from what was recorded.
func (rep *Report) compare(recorded *result.Results) {
	rep.Differences, rep.Older = setOlderApart(&rep.Head, result.Compare(recorded, rep.Results))
}

// keep writes all that was looked at into a folder of its own, within the run's.
func (l *look) keep(folder *store.Run) (path string, err error) {
	p, err := folder.NewReplay()
	if err != nil {
		return "", err
	}
	if err := l.write(p); err != nil {
		return "", errors.Join(err, p.Drop())
	}
	return p.Path(), p.Keep()
}

func (l *look) write(p *store.Replay) error {
	if l.used.Edited {
		for _, f := range l.files.Files {
			if err := p.AddProcedure(f.Name, f.Source); err != nil {
				return err
			}
		}
	}
	if err := archive.WriteConclusions(p.Run, l.Outcome, l.job.Head.Simulated); err != nil {
		return err
	}
	if err := p.WriteReplay(l.used); err != nil {
		return fmt.Errorf("the replay was not saved: %w", err)
	}
	return nil
}

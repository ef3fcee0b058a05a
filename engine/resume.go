package engine

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"reflect"
	"slices"

	"candelua/engine/archive"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/script"
	"candelua/engine/store"
)

// ErrNothingToDo is a run that is done already.
var ErrNothingToDo = errors.New("the run is done; there is nothing to resume")

// Resumption says how a run is gone on with.
type Resumption struct {
	Setup
	Reopen play.Reopen
	// From is the first step that is set aside and taken anew, for the reason
	// in Because; 0 for none. Nothing is deleted.
	From    int
	Because string
	// With is an edited script that takes the place of the stored one; nil for
	// none.
	With *procedure.Procedure
	// Mend gives the files that the run goes on with, of those that it is made with now, by the names under which the
	// head keeps them: a corrected bench file and its drivers. Nil leaves them as they are.
	Mend func(texts map[string]string) (map[string]string, error)
	// Stood is for how many seconds a simulated unit stood in the pause.
	Stood float64
	// Rehearsal is a simulated bench, see [Spec]; it serves only to foresee how the run goes on.
	Rehearsal Rehearsal
	// Other is asked whether to go on with instruments that are not the ones of
	// the run's start. Nil goes on, with a warning.
	Other func(ctx context.Context, differences []string) error
	// Find finds the script that the run was made with where it was found then,
	// to say that it has changed; nil does not look.
	Find func(source string) (*procedure.Procedure, error)

	edited *script.Contract // of With, once it takes over
}

// Resume goes on with a run: its stored scripts, or an edited one, are executed
// from their start, the journal answers as far as it reaches, and then the run
// goes live.
func Resume(ctx context.Context, path string, r Resumption) (rep *Report, err error) {
	folder, err := store.Open(path)
	if err != nil {
		return nil, notOpened(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	folder.TellTo(r.Warn)
	j, err := r.openJournal(folder)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, j.Close()) }()
	h, err := history.Read(j)
	if err != nil {
		return nil, err
	}
	head := h.Head
	if by := head.ByRules(); by < history.Rules {
		r.warn("the run was begun by rules %d; its results are computed by rules %d", by, history.Rules)
	}
	if err := r.check(h); err != nil {
		return nil, err
	}
	loaded, err := procedure.Stored(ctx, folder, h, r.Modules)
	if err != nil {
		return nil, err
	}
	job := r.jobOf(loaded.Program, h)
	job.From, job.Because, job.Stood = r.From, r.Because, r.Stood
	if h.Standing() == journal.Done && r.From == 0 {
		return r.finish(ctx, folder, job)
	}
	if loaded, err = r.edit(ctx, job, folder, loaded); err != nil {
		return nil, err
	}
	cautions := cautionsOf(loaded, head.Params)
	if head.Texts, err = r.mend(job, h.Texts()); err != nil {
		return nil, err
	}
	file, openers, err := r.Reopen(head)
	if err != nil {
		return nil, err
	}
	if err := r.accept(ctx, cautions, head.Simulated); err != nil {
		return nil, err
	}
	r.told(job, cautions)
	defer r.foresee(ctx, r.Rehearsal, loaded, head)()
	info, err := os.Stat(folder.JournalPath())
	if err != nil {
		return nil, err
	}
	if torn := j.Torn(); torn > 0 {
		r.warn("the last line of the journal is incomplete; its %d bytes are dropped, and that step is repeated", torn)
	}
	job.Since = h.LastWritten(info.ModTime())
	asked := false
	job.Open = func(ctx context.Context) (*bench.Bench, error) {
		b, err := play.OpenBench(ctx, file, openers)
		if err != nil || asked {
			return b, err
		}
		asked = true
		if b.Simulated != job.Head.Simulated {
			return nil, errors.Join(otherKind(job.Head), b.Close())
		}
		if r.edited != nil {
			if err := fits(r.edited, b); err != nil {
				return nil, errors.Join(fault.Usage(err), b.Close())
			}
		}
		if err := r.others(ctx, job, b); err != nil {
			return nil, errors.Join(err, b.Close())
		}
		return b, nil
	}
	return r.execute(ctx, job, folder)
}

// otherKind refuses a bench that is simulated where the run's is not, or the other way around.
func otherKind(h history.Head) error {
	was, is := "real", "simulated"
	if h.Simulated {
		was, is = is, was
	}
	return &fault.UsageError{Err: fmt.Errorf("the bench is %s, and the run was begun on a %s one", is, was), Tip: "start a new run on this bench"}
}

// check refuses a step that there is not.
func (r *Resumption) check(h *history.History) error {
	steps := h.Journal.Steps()
	switch {
	case r.From == 0:
		return nil
	case r.From > 0 && steps == 0:
		return &fault.UsageError{Err: errors.New("the run has no steps yet, so none can be set aside"), Tip: "resume it without --from"}
	case r.From < 1 || r.From > steps:
		return &fault.UsageError{Err: fmt.Errorf("step %d is not in the journal; the run has the steps 1 to %d", r.From, steps),
			Tip: fmt.Sprintf("give a step from 1 to %d; to go on from the end, leave out --from", steps)}
	case r.Because == "":
		return &fault.UsageError{Err: errors.New("steps are set aside, and no reason is given"), Tip: "give the reason with --because; it is kept in the journal"}
	}
	if from := h.Outermost(r.From); from < r.From {
		r.warn("step %d belongs to a part that must not be interrupted, so all steps from %d on are set aside", r.From, from)
	}
	return nil
}

// edit readies an edited script to take over. It is kept, beside the one
// before, as soon as the run goes on with it. It gives the script that the run goes on with.
func (r *Resumption) edit(ctx context.Context, job *play.Job, folder *store.Run, before *procedure.Loaded) (*procedure.Loaded, error) {
	if r.With == nil {
		r.tellChanged(job.Head, before)
		return before, nil
	}
	edited, err := procedure.Load(ctx, r.With, r.Modules)
	if err != nil {
		return nil, err
	}
	if edited.Same(before) {
		r.warn("%s is the script that the run uses already", r.With.File)
		return before, nil
	}
	for _, need := range edited.Contract.Needs {
		if _, there := bench.Identities(job.Head.Devices)[need]; !there && !edited.Contract.Needed[need].Optional {
			return nil, &fault.UsageError{Err: fmt.Errorf("the edited script needs %s, and the run's bench %q has none", bench.DeviceWords(need), job.Head.Bench)}
		}
	}
	r.edited = edited.Contract
	if err := r.agrees(ctx, job.History, edited); err != nil {
		return nil, err
	}
	args, err := json.Marshal(history.Effect{File: r.With.File, Scripts: edited.Sums()})
	if err != nil {
		return nil, err
	}
	job.Program = edited.Program
	job.Joins = append(job.Joins, play.Join{
		Record: journal.Record{Kind: journal.KindAside, Name: history.Scripts, Args: args},
		Before: func() error {
			for _, f := range edited.Files {
				if err := folder.ReplaceProcedure(f.Name, f.Source); err != nil {
					return err
				}
			}
			return nil
		},
	})
	return edited, nil
}

// mend readies a corrected bench file and its drivers to take over, and gives the files that the run goes on with.
func (r *Resumption) mend(job *play.Job, texts map[string]string) (map[string]string, error) {
	if r.Mend == nil {
		return texts, nil
	}
	now, err := r.Mend(texts)
	if err != nil {
		return nil, err
	}
	mended, differ := history.MendedOf(texts, now)
	if !differ {
		r.warn("the bench file and its drivers are those that the run uses already")
		return texts, nil
	}
	args, err := json.Marshal(mended)
	if err != nil {
		return nil, err
	}
	job.Joins = append(job.Joins, play.Join{Record: journal.Record{Kind: journal.KindAside, Name: history.Bench, Args: args}})
	return now, nil
}

// agrees executes an edited script over the steps that are kept, in memory, before
// any is set aside: one that does not ask for them must not cost those that are to be
// taken anew.
func (r *Resumption) agrees(ctx context.Context, h *history.History, edited *procedure.Loaded) error {
	if r.From == 0 {
		return nil
	}
	kept, err := history.Begin(h.Head)
	if err != nil {
		return err
	}
	for n, rec := range h.Journal.All() {
		if n == 1 {
			continue
		}
		if err := kept.Append(rec); err != nil {
			return err
		}
	}
	if err := kept.Append(journal.Record{Kind: journal.KindVoid, From: kept.Outermost(r.From), Reason: r.Because}); err != nil {
		return err
	}
	for from, reason := kept.Interrupted(); from > 0; from, reason = kept.Interrupted() {
		if err := kept.Append(journal.Record{Kind: journal.KindVoid, From: from, Reason: reason}); err != nil {
			return err
		}
	}
	out, err := play.NewJob(edited.Program, kept).Replay(ctx)
	if err != nil {
		return err
	}
	if out.Err != nil {
		return &fault.UsageError{Err: fmt.Errorf("the edited script does not fit the steps before step %d: %w", r.From, out.Err), Tip: "mend it, and try again; nothing was set aside"}
	}
	return nil
}

// tellChanged says that the script has changed where it came from. The stored
// copy is executed all the same.
func (r *Resumption) tellChanged(h history.Head, stored *procedure.Loaded) {
	if r.Find == nil || h.Source == "" {
		return
	}
	p, err := r.Find(h.Source)
	if err != nil || string(p.Source) == string(stored.Procedure.Source) {
		return // gone, perhaps: nothing to go on with
	}
	r.warn("%s has changed since the run began; the run goes on with its own copy; to use the changed one, add: --with %s", h.Source, h.Source)
}

// finish writes what follows from the journal of a run that is done, where a
// crash or a full disk kept it from being written, or where it was damaged or removed.
func (r *Resumption) finish(ctx context.Context, folder *store.Run, job *play.Job) (*Report, error) {
	finished, err := isFinished(folder, job.History)
	if err != nil {
		return nil, err
	}
	if finished {
		tip := "compute its results again with: candelua replay " + plain.Word(folder.Path())
		if r.With != nil {
			tip = "analyse its readings again with: candelua replay " + plain.Word(folder.Path()) + " --with " + plain.Word(r.With.Origin)
		}
		return nil, &fault.UsageError{Err: ErrNothingToDo, Tip: tip + "; to repeat steps, give --from and --because"}
	}
	out, err := job.Replay(ctx)
	if err != nil {
		return nil, err
	}
	rep := &Report{Outcome: out, Path: folder.Path(), Head: job.Head}
	if out.Err != nil {
		return rep, nil
	}
	return rep, r.keep(ctx, job, folder, out)
}

// isFinished says whether all that follows from the journal of a run that is done is there. It fails where the results
// are of a newer format, which must not be written over.
func isFinished(folder *store.Run, h *history.History) (bool, error) {
	_, err := folder.ReadResults()
	if errors.Is(err, result.ErrNewer) {
		return false, err
	}
	var m archive.Meta
	if err != nil || folder.ReadMeta(&m) != nil || !folder.HasConclusions() {
		return false, nil
	}
	removed := slices.ContainsFunc(m.FilesChanged(folder, h), func(c store.FileChange) bool { return c.Removed })
	return m.Status == journal.Done && m.Follows(h) && !removed, nil
}

// others asks about instruments that are not the ones of the run's start, and
// has them put on record.
func (r *Resumption) others(ctx context.Context, job *play.Job, b *bench.Bench) error {
	differences, others := r.compare(job.History.Instruments(), b)
	if len(differences) == 0 {
		return nil
	}
	if r.Other != nil {
		if err := r.Other(ctx, differences); err != nil {
			return err
		}
	} else {
		for _, d := range differences {
			r.warn("%s", d)
		}
	}
	if len(others) == 0 {
		return nil
	}
	args, err := json.Marshal(others)
	if err != nil {
		return err
	}
	job.Joins = append(job.Joins, play.Join{Record: journal.Record{Kind: journal.KindAside, Name: history.Devices, Args: args}})
	return nil
}

// compare says what is not as it was, and which instruments are others.
func (r *Resumption) compare(then map[string]bench.Identity, b *bench.Bench) (differences []string, others []bench.Named) {
	now := bench.Identities(b.Devices())
	for _, name := range slices.Sorted(maps.Keys(then)) {
		was := then[name]
		is, there := now[name]
		switch {
		case !there:
			differences = append(differences, fmt.Sprintf("the %s that the run was made with, %s, is no longer connected", name, was.Called()))
		case is.Called() != was.Called():
			differences = append(differences, fmt.Sprintf("the %s is not the one that the run was made with: it was %s, and is %s", name, was.Called(), is.Called()))
			others = append(others, bench.Named{Name: name, Identity: is})
		case !statesAlike(is, was):
			r.warn("the %s, %s, now states another firmware, floor or accuracy than when the run began; the run keeps the former ones",
				name, is.Called())
		}
	}
	return differences, others
}

// statesAlike says whether an instrument states what it did. Heads of the rules before 5 do not
// have the noise of a meter.
func statesAlike(is, was bench.Identity) bool {
	if was.Accuracy.Noise == nil {
		is.Accuracy.Noise, is.Accuracy.Zero = nil, was.Accuracy.Zero
	}
	return reflect.DeepEqual(is, was)
}

// openJournal opens the journal of a folder for going on.
func (s *Setup) openJournal(folder *store.Run) (*journal.Journal, error) {
	var h history.Head
	j, err := journal.Open(folder.JournalPath(), journal.Options{Sync: true, Tell: s.Warn, Folder: folder.Secure})
	if err != nil {
		return nil, err
	}
	if err := j.Head(&h); err != nil {
		return nil, errors.Join(err, j.Close())
	}
	j.SetSync(h.Sync)
	return j, nil
}

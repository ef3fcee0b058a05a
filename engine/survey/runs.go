package survey

import (
	"context"
	"errors"
	"io/fs"
	"path/filepath"

	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/script"
	"candelua/engine/store"
)

// Runs returns the status of each run in a folder, by procedure and number, so
// that the newest run of each procedure comes last. It writes nothing and holds no
// lock. A run that cannot be read is in the list too.
//
// For a run under way it estimates how many steps the run takes in all: as many as
// a run that is done, of the same scripts and parameters. If there is none, it
// rehearses the stored scripts on the simulated bench that rehearsal opens; if
// rehearsal is nil, there is no estimate. It fails if the folder cannot be read,
// and if ctx ends.
func Runs(ctx context.Context, out string, modules []*script.Module, rehearsal play.Reopen) ([]*Summary, error) {
	entries, err := store.List(out)
	if err != nil {
		return nil, noRuns(out, err)
	}
	estimate := newEstimates(modules, rehearsal)
	all := make([]*Summary, len(entries))
	var under []*sight
	for i, e := range entries {
		run := see(e.Path)
		if run.Procedure == "" {
			run.Procedure = e.Procedure
		}
		all[i] = &run.Summary
		estimate.learn(run)
		if run.Status == journal.Paused || run.Status == journal.Running {
			under = append(under, run)
		}
		if err := context.Cause(ctx); err != nil {
			return nil, err
		}
	}
	bounded, cancel := context.WithTimeout(ctx, rehearseFor)
	defer cancel()
	for _, run := range under {
		run.About = estimate.about(bounded, run)
	}
	return all, context.Cause(ctx)
}

// noRuns says what is wrong with a folder of runs, and how one is made.
func noRuns(out string, err error) error {
	if !errors.Is(err, fs.ErrNotExist) {
		return &fault.UsageError{Err: err, Tip: "give a folder that holds runs, or the folder of one run"}
	}
	tip := "the first run makes the folder, for example: candelua run window-sweep"
	if out != defaultOut {
		tip = "candelua runs lists the runs in the folder runs; to make runs in a new folder: candelua run window-sweep --out " + plain.Word(out)
	}
	return &fault.UsageError{Err: &noFolderError{out}, Tip: tip}
}

// noFolderError is a folder of runs, or a run, that is not there.
type noFolderError struct{ path string }

func (e *noFolderError) Error() string { return "there is no run and no folder of runs " + e.path }

// Unwrap gives [fs.ErrNotExist].
func (e *noFolderError) Unwrap() error { return fs.ErrNotExist }

// defaultOut is the folder of runs if no other is given.
const defaultOut = "runs"

// aboutOne estimates for one run alone, by the runs beside it.
func aboutOne(ctx context.Context, run *sight, modules []*script.Module, rehearsal play.Reopen) int {
	if run.Status != journal.Paused && run.Status != journal.Running {
		return 0
	}
	estimate := newEstimates(modules, rehearsal)
	beside, _ := store.List(filepath.Dir(filepath.Clean(run.Path))) // a folder that cannot be read adds nothing
	for _, e := range beside {
		if e.Procedure == run.Procedure && e.Path != run.Path {
			estimate.learn(see(e.Path))
		}
	}
	bounded, cancel := context.WithTimeout(ctx, rehearseFor)
	defer cancel()
	return estimate.about(bounded, run)
}

package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"github.com/spf13/cobra"

	"candelua/engine"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/store"
)

func (a *app) replayCommand() *cobra.Command {
	var asJSON, budget bool
	var draws int
	var f changeFlags
	cmd := &cobra.Command{
		Use:   "replay RUN",
		Short: "compute a run's results again from its journal, and compare",
		Long: `Compute the results of a run again from its stored script and its journal,
without instruments, and compare them with the recorded results. The journal and
the recorded results do not change. Files of results that were changed or removed
since the run are named. If results.json cannot be read, the results are shown,
and nothing is compared.

--correction and --with compute the results with another correction or another
script, and show each value before and after. --draws N computes the
uncertainties again, for example if you stopped them with Ctrl-C in the run.
These results are kept in a new folder inside the run: replays/1, replays/2 and
so on.

` + strings.Replace(statusHelp, pausedHelp, "  3  stopped; nothing was kept; the replay can be run again", 1),
		Example: `  candelua replay runs/window-sweep-1
  candelua replay runs/window-sweep-1 --draws 2000 --budget
  candelua replay runs/window-sweep-1 --correction corrections/crake-dusk.toml
  candelua replay runs/window-sweep-1 --with ./window-sweep.lua`,
		Args:              arguments(cobra.ExactArgs(1), "one RUN, which is a run's folder"),
		ValidArgsFunction: completeRuns,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkDraws(cmd, draws); err != nil {
				return err
			}
			setup := a.engineSetup(cmd, &hands{})
			if cmd.Flags().Changed("draws") {
				setup.Draws = &draws
			}
			if f.given() {
				return a.reanalyse(cmd, args[0], asJSON, budget, f, setup)
			}
			o := outcome{folder: folderIfThere(args[0]), replay: true, budget: budget}
			o.rep, o.err = engine.Replay(cmd.Context(), args[0], setup)
			return a.finishReplay(cmd, asJSON, o)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object, also on failure")
	cmd.Flags().IntVar(&draws, "draws", 0, "find the uncertainties by `N` repeated computations with\nrandom errors added to the readings:\n"+drawsRange+", 0 for none, however long that takes;\nwithout --draws, as many as the run had")
	addBudget(cmd.Flags(), &budget)
	f.add(cmd)
	return cmd
}

func (a *app) finishReplay(cmd *cobra.Command, asJSON bool, o outcome) error {
	a.line.finish()
	o.err = stoppedReplay(o.err)
	switch {
	case o.err == nil:
		o.err = replayDiffers(o.rep)
	case o.rep != nil && o.rep.Recorded == journal.Paused && errors.Is(o.err, fs.ErrNotExist):
		o.err = &unwrittenError{o.err, o.rep.Path}
	}
	stderr := cmd.ErrOrStderr()
	if o.err != nil {
		explain(stderr, o.cause())
		for _, d := range differencesOf(o.rep) {
			fmt.Fprintf(stderr, "    %s\n", plain.Line(d))
		}
	}
	if asJSON || o.err == nil || uncomparedIn(o.err) {
		if err := a.results(cmd.OutOrStdout(), asJSON, &o); err != nil {
			return err
		}
	}
	if o.err != nil {
		return &exitError{replayStatus(o.err), o.err}
	}
	if cutOffAtEnd(o.rep) {
		a.log.Warn("the run was cut off after its last step; complete it with: " + resumeCommand(o.rep.Path))
	}
	if !asJSON {
		plain.On(cmd.OutOrStdout()).Say("The replay agrees: ", fmt.Sprintf("%s, %s.", count(o.rep.Steps, "step"), count(len(o.rep.Results.Values()), "value")))
		tellOlder(cmd.OutOrStdout(), o.rep.Older)
		if o.rep.Kept != "" {
			plain.On(cmd.OutOrStdout()).Say("Replay: ", plain.Line(fmt.Sprintf("%s (%d draws)", o.rep.Kept, o.rep.Results.Draws().Count)))
		}
	}
	return nil
}

// tellOlder says what was not compared, since the run was made by older rules.
func tellOlder(w io.Writer, older *engine.Older) {
	if older == nil {
		return
	}
	fmt.Fprintf(w, "The run was made by rules %d, and this candelua computes by rules %d. Not compared: %s, because %s:\n", older.Rules, history.Rules,
		count(len(older.Differences), "detail"), strings.Join(older.Changes, ", and "))
	const most = 10
	for i, d := range older.Differences {
		if i == most {
			fmt.Fprintf(w, "    and %d more; --json lists all\n", len(older.Differences)-most)
			return
		}
		fmt.Fprintf(w, "    %s\n", plain.Line(d.String()))
	}
}

// stoppedError is a replay that was interrupted.
type stoppedError struct{ err error }

func stoppedReplay(err error) error {
	if !errors.Is(err, play.ErrInterrupted) {
		return err
	}
	return &stoppedError{err}
}

func (e *stoppedError) Error() string { return "the replay was " + e.err.Error() }
func (e *stoppedError) Unwrap() error { return e.err }

// Hint says what to do next.
func (e *stoppedError) Hint() string {
	return "nothing of it was kept, and the run is unchanged; a replay cannot be resumed: run it again"
}

// unwrittenError is a run that was cut off before its results were written.
type unwrittenError struct {
	err  error
	path string
}

func (e *unwrittenError) Error() string { return e.err.Error() }
func (e *unwrittenError) Unwrap() error { return e.err }

// Hint says what to do next.
func (e *unwrittenError) Hint() string {
	return "the run was cut off, so there are no results to compare with; go on with: " + resumeCommand(e.path)
}

// differencesOf says in what a replay differs: in results, and in the files that were written of them.
func differencesOf(rep *engine.Report) (all []string) {
	if rep == nil {
		return nil
	}
	for _, d := range rep.Differences {
		all = append(all, d.String())
	}
	for _, f := range rep.Files {
		all = append(all, f.String())
	}
	return all
}

// replayStatus is 5 for every difference that a replay finds.
func replayStatus(err error) int {
	var differs *differsError
	if errors.As(err, &differs) {
		return statusDiffers
	}
	return statusOf(err)
}

// differsError is a replay with other results than the run.
type differsError struct{ err error }

func (e *differsError) Error() string { return e.err.Error() }
func (e *differsError) Unwrap() error { return e.err }

// Code is the error's code in reports.
func (e *differsError) Code() string {
	if code := codeOf(e.err); code != "error" {
		return code
	}
	return codeDiffers
}

// Hint says what to do next.
func (e *differsError) Hint() string {
	if hint := fault.HintOf(e.err); hint != "" {
		return hint
	}
	return "this script and this journal do not lead to these results; the script, the journal or results.json was changed after the run"
}

// uncomparedError is a run whose recorded results cannot be read.
type uncomparedError struct{ rep *engine.Report }

func (e *uncomparedError) Error() string {
	return "nothing was compared, because the recorded results cannot be read: " + e.rep.Uncompared.Error()
}
func (e *uncomparedError) Unwrap() error { return e.rep.Uncompared }

// Hint says what to do next.
func (e *uncomparedError) Hint() string {
	hint := "the results shown were computed from the journal"
	if e.rep.Recorded == journal.Done {
		hint += "; write them into the run's folder with: " + resumeCommand(e.rep.Path)
	}
	return hint
}

// uncomparedIn says whether all that is wrong with a replay is that there was nothing to compare with.
func uncomparedIn(err error) bool {
	var nothing *uncomparedError
	return errors.As(err, &nothing)
}

// filesError is a run whose results agree, and whose files were changed.
type filesError struct{ rep *engine.Report }

func (e *filesError) Error() string {
	if n := len(e.rep.Files); n > 1 {
		return fmt.Sprintf("%d files are not as the run wrote them", n)
	}
	return "a file is not as the run wrote it"
}

// Hint says what to do next.
func (e *filesError) Hint() string {
	hint := "do not use the numbers in a changed file"
	if e.rep.Recorded == journal.Done {
		hint += "; to have the files written again, move the changed ones away, then type: " + resumeCommand(e.rep.Path)
	}
	for _, f := range e.rep.Files {
		if !f.Removed && f.Name != store.MetaName {
			return hint
		}
	}
	if e.rep.Recorded != journal.Done {
		return "put the file back from a copy of the run"
	}
	return "to have the files written again, type: " + resumeCommand(e.rep.Path)
}

// cutOffAtEnd is a run that was stopped after its last step: its results are
// whole, and only its end is not on record.
func cutOffAtEnd(rep *engine.Report) bool {
	return rep.Recorded == journal.Paused && rep.Status == journal.Done
}

// replayDiffers says whether a replay differs from the run. An
// error in the script that ended the run is expected again.
func replayDiffers(rep *engine.Report) error {
	differs := func(err error) error { return &differsError{err} }
	if n := len(rep.Differences); n > 0 {
		return differs(fmt.Errorf("the replay differs from the recorded results in %s", count(n, "place")))
	}
	if rep.Err != nil && statusOf(rep.Err) == statusDiffers {
		return differs(rep.Err)
	}
	if rep.Uncompared != nil {
		return differs(&uncomparedError{rep})
	}
	if len(rep.Files) > 0 {
		return differs(&filesError{rep})
	}
	if rep.Recorded == rep.Status || cutOffAtEnd(rep) {
		return nil
	}
	if rep.Err == nil {
		return differs(fmt.Errorf("the replay ended as %s, and the run as %s", rep.Status, rep.Recorded))
	}
	return differs(fmt.Errorf("the replay ended as %s, and the run as %s: %w", rep.Status, rep.Recorded, rep.Err))
}

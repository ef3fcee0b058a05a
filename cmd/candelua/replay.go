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
	"candelua/engine/play"
	"candelua/engine/result"
)

func (a *app) replayCommand() *cobra.Command {
	var asJSON, budget bool
	var draws int
	var f changeFlags
	cmd := &cobra.Command{
		Use:   "replay RUN",
		Short: "recompute a run's results from its script and journal, and compare",
		Long: `Recompute the results of a run from its stored script and its journal, without
any instrument, and compare them with the recorded ones. The journal and the
recorded results stay as they are.

With another correction, or another script, what the readings come to then is
kept in a new folder of the run, replays/1 and so on, and shown beside what was
recorded. So are results with uncertainties from another number of draws than
the run has: of one whose draws were stopped, say.

` + strings.Replace(statusHelp, pausedHelp, "  3  stopped; nothing was kept, and it can be run again", 1),
		Example: `  candelua replay runs/window-sweep-1
  candelua replay runs/window-sweep-1 --draws 2000 --budget
  candelua replay runs/window-sweep-1 --correction corrections/heron-calm.toml
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
	cmd.Flags().IntVar(&draws, "draws", 0, "draw the uncertainties anew, from `N` draws, "+drawsRange+";\nleft out, as many as the run had; 0: none")
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
		explain(stderr, o.err)
		for _, d := range differencesOf(o.rep) {
			fmt.Fprintf(stderr, "    %s\n", oneLine(d.String()))
		}
	}
	if asJSON || o.err == nil {
		if err := a.results(cmd.OutOrStdout(), asJSON, &o); err != nil {
			return err
		}
	}
	if o.err != nil {
		return &exitError{replayStatus(o.err), o.err}
	}
	if cutOffAtEnd(o.rep) {
		a.log.Warn("the run was cut off after its last step; bring it to its end with: " + resumeCommand(o.rep.Path))
	}
	if !asJSON {
		fmt.Fprintf(cmd.OutOrStdout(), "The replay agrees: %s, %s.\n", count(o.rep.Steps, "step"), count(len(o.rep.Results.Values()), "value"))
		tellOlder(cmd.OutOrStdout(), o.rep.Older)
		if o.rep.Kept != "" {
			fmt.Fprintf(cmd.OutOrStdout(), "Replay: %s (%d draws)\n", o.rep.Kept, o.rep.Results.Draws().Count)
		}
	}
	return nil
}

// tellOlder says what was not compared, since the run was made by older rules.
func tellOlder(w io.Writer, older *engine.Older) {
	if older == nil {
		return
	}
	fmt.Fprintf(w, "The run was made by rules %d; these are rules %d. %s not compared, for %s.\n", older.Rules, history.Rules,
		areNot(len(older.Differences)), strings.Join(older.Changes, ", and "))
}

// areNot is the number of differences as the beginning of a sentence.
func areNot(n int) string {
	if n == 1 {
		return "1 number or text was"
	}
	return fmt.Sprintf("%d numbers or texts were", n)
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
	return "nothing was kept of it, and the run is as it was; a replay cannot be resumed: run it again"
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

func differencesOf(rep *engine.Report) []result.Difference {
	if rep == nil {
		return nil
	}
	return rep.Differences
}

// replayStatus is 5 for whatever a replay itself came upon.
func replayStatus(err error) int {
	var differs *differsError
	if errors.As(err, &differs) {
		return statusDiffers
	}
	return statusOf(err)
}

// differsError is a replay that came to something else than the run.
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
	return "results.json is not what this script concludes from this journal; one of the three was changed"
}

// cutOffAtEnd is a run that was stopped after its last step: its results are
// whole, and only its end is not on record.
func cutOffAtEnd(rep *engine.Report) bool {
	return rep.Recorded == journal.Paused && rep.Status == journal.Done
}

// replayDiffers says whether a replay came to something else than the run. An
// error in the script that ended the run is expected again.
func replayDiffers(rep *engine.Report) error {
	differs := func(err error) error { return &differsError{err} }
	if n := len(rep.Differences); n > 0 {
		return differs(fmt.Errorf("the replay differs from the recorded results in %s", count(n, "place")))
	}
	if rep.Err != nil && statusOf(rep.Err) == statusDiffers {
		return differs(rep.Err)
	}
	if rep.Recorded == rep.Status || cutOffAtEnd(rep) {
		return nil
	}
	if rep.Err == nil {
		return differs(fmt.Errorf("the replay is %s, and the run was %s", rep.Status, rep.Recorded))
	}
	return differs(fmt.Errorf("the replay is %s, and the run was %s: %w", rep.Status, rep.Recorded, rep.Err))
}

package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"candelua/engine"
)

func (a *app) replayCommand() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "replay RUN",
		Short: "recompute a run's results from its script and journal, and compare",
		Long: `Recompute the results of a run from its stored script and its journal, without
any instrument, and compare them with the recorded ones. Nothing is written.

` + statusHelp,
		Example: "  candelua replay runs/window-sweep-1",
		Args:    arguments(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			rep, err := engine.Replay(cmd.Context(), args[0], a.engineSetup(cmd, &hands{}))
			return a.finishReplay(cmd, asJSON, rep, err)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object")
	return cmd
}

func (a *app) finishReplay(cmd *cobra.Command, asJSON bool, rep *engine.Report, err error) error {
	out := cmd.OutOrStdout()
	if asJSON {
		if e := printJSON(out, "", rep, err); e != nil {
			return e
		}
	}
	if err != nil {
		explain(cmd.ErrOrStderr(), err)
		return &exitError{statusOf(err), err}
	}
	if differs := replayDiffers(rep); differs != nil {
		explain(cmd.ErrOrStderr(), differs)
		for _, d := range rep.Differences {
			fmt.Fprintf(cmd.ErrOrStderr(), "    %s\n", d)
		}
		return &exitError{statusDiffers, differs}
	}
	if !asJSON {
		a.printReport(out, rep)
		fmt.Fprintf(out, "The replay agrees: %d steps, %d values.\n", rep.Steps, len(rep.Results.Values()))
	}
	return nil
}

// replayDiffers says whether a replay came to something else than the run. An
// error in the script that ended the run is expected again.
func replayDiffers(rep *engine.Report) error {
	if len(rep.Differences) > 0 {
		return fmt.Errorf("the replay differs from the recorded results in %d places", len(rep.Differences))
	}
	if statusOf(rep.Err) == statusDiffers && rep.Err != nil {
		return rep.Err
	}
	if rep.Recorded != rep.Status {
		return fmt.Errorf("the replay came to the status %q, and the run to %q: %w", rep.Status, rep.Recorded, rep.Err)
	}
	return nil
}

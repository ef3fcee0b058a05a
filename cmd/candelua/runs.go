package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"

	"github.com/spf13/cobra"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/sim"
	"candelua/engine/store"
)

type runsFlags struct {
	out         string
	json, steps bool
}

func (a *app) runsCommand() *cobra.Command {
	f := &runsFlags{}
	cmd := &cobra.Command{
		Use:   "runs [FOLDER|RUN]",
		Short: "list the runs in a folder and how each stands, or tell all of one",
		Long: `List the runs in a folder: how each stands, what was measured and when, and the
first values. Of each procedure the newest run comes last. Or, given the folder
of one RUN, tell all of that: what it was made with, its steps and parts, pauses,
what was set aside, decisions and values. Nothing is written.

A run stands as: done, failed, paused, running (another process has it open),
damaged at a record of its journal (see candelua repair), or as made by a newer
candelua. Of one that is not done yet it is said about how many steps it takes:
as many as a run of the same script and parameters that is done or, where there
is none, a rehearsal of its script on the simulated bench, which is not kept.`,
		Example: `  candelua runs
  candelua runs archive/2026
  candelua runs runs/window-sweep-1
  candelua runs runs/window-sweep-1 --steps`,
		Args:              arguments(cobra.MaximumNArgs(1), "one FOLDER of runs, or one RUN, at the most"),
		ValidArgsFunction: completeRuns,
		RunE: func(cmd *cobra.Command, args []string) error {
			path := f.out
			if len(args) > 0 {
				if cmd.Flags().Changed("out") {
					return &flagError{errors.New("both --out and a folder are given, want one of them"), helpTip(cmd)}
				}
				path = args[0]
			}
			if store.IsRun(path) {
				return a.showRun(cmd, path, f)
			}
			if f.steps {
				return &flagError{fmt.Errorf("--steps is given, and %s is not one run", path), "give the folder of the run whose steps are wanted"}
			}
			return a.listRuns(cmd, path, f)
		},
	}
	cmd.Flags().StringVar(&f.out, "out", "runs", "the `FOLDER` that holds the runs")
	cmd.Flags().BoolVar(&f.steps, "steps", false, "list every step of a RUN")
	cmd.Flags().BoolVar(&f.json, "json", false, "print one JSON object, also on failure")
	return cmd
}

// simulatedBench is what a run is rehearsed on: the simulated bench, with the
// run's own world where it has one.
func simulatedBench(head history.Head) (*bench.File, bench.Openers, error) {
	world := sim.Default()
	if text, ok := head.Texts[textWorld]; ok {
		var err error
		if world, err = sim.Parse(textWorld, []byte(text)); err != nil {
			return nil, nil, err
		}
		if head.Mode != "" {
			world.Mode = head.Mode
		}
	}
	return bench.SimFile, bench.Openers{"sim": sim.Opener(world, head.Seed, 0)}, nil
}

// widthOf is how wide a text may be: as COLUMNS says, else as the terminal
// does, up to 120, else 80; never below 40.
func widthOf(w io.Writer) int {
	if n, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && n > 0 {
		return max(n, 40)
	}
	if f, ok := w.(*os.File); ok && isTerminal(f) {
		return max(min(columnsOf(f), 120), 40)
	}
	return pageWidth
}

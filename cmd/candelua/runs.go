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
	"candelua/engine/plain"
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
		Short: "list the runs in a folder, or show one run in detail",
		Long: `List the runs in a folder: the status of each, what was measured and when, and
the first values. The list is in the order of the names and then of the numbers,
so the newest run of a procedure is the last of its runs. With the folder of one
RUN, show that run in detail: what it was made with, its steps and parts, its
pauses, what was set aside, its decisions and values. Nothing is written.

The status is done, failed, paused, running (another process has the run open),
damaged (see candelua repair), newer format (made by a newer candelua), or
"cannot be read". A run that is not done shows about how many steps it takes in
all. The number comes from a finished run with the same script and parameters.
If there is none, candelua tries the script on the simulated bench and counts;
it keeps nothing of that.`,
		Example: `  candelua runs
  candelua runs archive/2026
  candelua runs runs/window-sweep-1
  candelua runs runs/window-sweep-1 --steps`,
		Args:              arguments(cobra.MaximumNArgs(1), "at most one FOLDER of runs, or one RUN"),
		ValidArgsFunction: completeRuns,
		RunE: func(cmd *cobra.Command, args []string) error {
			path := f.out
			if len(args) > 0 {
				if cmd.Flags().Changed("out") {
					return &flagError{errors.New("both --out and a folder are given; give one of them"), helpTip(cmd)}
				}
				path = args[0]
			}
			if store.IsRun(path) {
				return a.showRun(cmd, path, f)
			}
			if f.steps {
				return &flagError{fmt.Errorf("--steps is given, but %s is not a run's folder", path), "give the folder of one run, to list its steps"}
			}
			return a.listRuns(cmd, path, f)
		},
	}
	cmd.Flags().StringVar(&f.out, "out", "runs", "list the runs in this `FOLDER`")
	cmd.Flags().BoolVar(&f.steps, "steps", false, "list every step of a RUN")
	cmd.Flags().BoolVar(&f.json, "json", false, "print one JSON object, also on failure")
	return cmd
}

// simulatedBench is what a run is rehearsed on: the simulated bench, with the
// run's own world if it has one.
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
	if f := plain.On(w).File(); f != nil && isTerminal(f) {
		return max(min(columnsOf(f), 120), 40)
	}
	return pageWidth
}

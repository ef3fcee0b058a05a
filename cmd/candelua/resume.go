package main

import (
	"context"
	"errors"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/operator"
	"candelua/engine/plain"
	"candelua/engine/procedure"
	"candelua/engine/store"
	"candelua/scripts"
)

func (a *app) resumeCommand() *cobra.Command {
	f := &resumeFlags{hands: a.hands()}
	cmd := &cobra.Command{
		Use:   "resume RUN",
		Short: "continue a run that was interrupted",
		Long: `Continue a run, given its folder. The stored script runs again from its start.
Steps that are already in the journal are not measured again: the script gets
the recorded answers at once. The instruments take the steps that are left.

If the run was interrupted inside a part that must not be interrupted, this part
is set aside and starts again.
--from sets aside a step that you do not trust and all steps after it, also in a
run that is done; nothing is deleted. --with continues with a corrected script,
which must ask for the same steps as far as the journal goes. --bench continues
with a corrected bench file and the drivers that it names; the journal keeps both.

The bench that a run keeps may start programs with your rights, and open ports.
They are shown, and you are asked before any is started: read them if the run is
somebody else's. You are not asked about a file that you name with --bench.

` + statusHelp,
		Example: `  candelua resume runs/window-sweep-1
  candelua resume runs/window-sweep-1 --from 12 --because "the meter had slipped"
  candelua resume runs/decay-1 --with ./decay.lua
  candelua resume runs/gamut-1 --bench ./bench.toml
  candelua resume runs/retention-1 --watch :8380`,
		Args:              arguments(cobra.ExactArgs(1), "one RUN, which is a run's folder"),
		ValidArgsFunction: completeRuns,
		RunE: func(cmd *cobra.Command, args []string) error {
			o := outcome{folder: folderIfThere(args[0]), budget: f.budget, with: f.with}
			o.rep, o.err = a.resume(cmd, args[0], f, &o)
			return a.finish(cmd.OutOrStdout(), cmd.ErrOrStderr(), f.json, o)
		},
	}
	flags := cmd.Flags()
	flags.IntVar(&f.from, "from", 0, "set aside step `N` and all after it, and take them\nagain; give --because too")
	flags.StringVar(&f.because, "because", "", "say why steps are set aside: a `REASON` for the journal")
	flags.StringVar(&f.with, "with", "", "go on with a corrected script: a `FILE`, or a shipped\nprocedure")
	flags.StringVar(&f.bench, "bench", "", "go on with a corrected bench `FILE` and with the drivers\nthat it names")
	flags.Float64Var(&f.pause, "pause", 0, "on a simulated bench only: simulate that the run was\npaused for `SECONDS`, with a dark screen")
	flags.BoolVar(&f.json, "json", false, "print one JSON object, also on failure")
	flags.BoolVar(&f.accept, "accept-cautions", false, "accept all cautions of the procedure without being\nasked (a simulated bench never asks)")
	flags.BoolVar(&f.others, "accept-others", false, "accept that the instruments are not those of the run,\nwithout being asked")
	flags.BoolVar(&f.acceptUsed, "accept-bench", false, "start the programs and open the links that the run's\nbench file names, without being asked")
	addBudget(flags, &f.budget)
	f.hands.flags(cmd)
	return cmd
}

type resumeFlags struct {
	hands
	from                 int
	because, with, bench string
	pause                float64
	json, others         bool
	acceptUsed           bool // what the run's bench starts and opens
	budget               bool
}

// check refuses flags that do not go together.
func (f *resumeFlags) check(cmd *cobra.Command) error {
	given := cmd.Flags().Changed
	switch {
	case given("from") && f.from < 1:
		return wrongFlag(cmd, "--from is %d; it must be the number of a step, 1 or more", f.from)
	case given("from") && strings.TrimSpace(f.because) == "":
		return wrongFlag(cmd, "--from is given without --because; say why the steps are set aside")
	case given("because") && !given("from"):
		return wrongFlag(cmd, "--because is given without --from; give --from with the first step to set aside")
	case !(f.pause >= 0 && f.pause <= 1e7):
		return wrongFlag(cmd, "--pause is %v; it must be 0 to 1e7 s", f.pause)
	}
	return f.hands.check(cmd)
}

func (a *app) resume(cmd *cobra.Command, path string, f *resumeFlags, o *outcome) (rep *engine.Report, failed error) {
	if err := f.check(cmd); err != nil {
		return nil, err
	}
	f.console = operator.NewConsole(cmd.InOrStdin(), cmd.ErrOrStderr())
	find := func(name string) (*procedure.Procedure, error) { return procedure.Find(name, scripts.Files) }
	r := engine.Resumption{Setup: a.engineSetup(cmd, &f.hands), Rehearsal: f.rehearsal(1), From: f.from, Because: f.because, Stood: f.pause, Find: find}
	if f.with != "" {
		var err error
		if r.With, err = find(f.with); err != nil {
			return nil, err
		}
	}
	r.Other = func(ctx context.Context, differences []string) error {
		return f.acceptOthers(ctx, cmd.ErrOrStderr(), isTerminalInput(cmd), differences)
	}
	if f.bench != "" {
		r.Mend = func(texts map[string]string) (map[string]string, error) { return a.mended(cmd, f.bench, texts) }
	}
	ctx, stop := f.attend(cmd.Context(), a.drawing.Load)
	defer stop()
	defer f.closePage()
	ctx, over, err := a.watched(ctx, &f.hands)
	if err != nil {
		return nil, err
	}
	defer func() { over(failed) }()
	r.Reopen = func(head history.Head) (*bench.File, bench.Openers, error) {
		o.procedure, o.simulated = head.Procedure, head.Simulated
		if f.pause > 0 && !head.Simulated {
			return nil, nil, &flagError{errors.New("--pause is given, but the bench is not simulated: its pauses are timed"), "leave out --pause"}
		}
		file, openers, err := f.benchFrom(head.Texts, head.Seed, head.Mode)
		if err == nil && f.attended > 0 && !f.real {
			err = errNobodyNeeded
		}
		if err == nil {
			a.tellChangedBench(head.Texts, file)
			err = f.acceptBench(ctx, cmd, file)
		}
		return file, openers, err
	}
	return engine.Resume(ctx, path, r)
}

// acceptOthers asks whether to go on with other instruments.
func (f *resumeFlags) acceptOthers(ctx context.Context, w io.Writer, asked bool, differences []string) error {
	for _, d := range differences {
		plain.On(w).Say("candelua: ", plain.Line(d))
	}
	if f.others {
		return nil
	}
	if asked {
		if f.saysYes(ctx, "Type yes to go on with these instruments; the journal will say so.") {
			return nil
		}
	}
	return &fault.UsageError{Err: errors.New("the instruments are not those of the run; nothing was done"),
		Tip: "connect the instruments of the run, or give --accept-others to go on with these"}
}

func isTerminalInput(cmd *cobra.Command) bool {
	in, isFile := cmd.InOrStdin().(*os.File)
	return isFile && isTerminal(in)
}

// folderIfThere is the path of a run's folder, empty if there is none.
func folderIfThere(path string) string {
	if info, err := os.Stat(path); err != nil || !info.IsDir() {
		return ""
	}
	return path
}

func completeRuns(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return foldersIn("runs"), cobra.ShellCompDirectiveFilterDirs
}

// foldersIn lists the run folders in a folder.
func foldersIn(out string) []string {
	entries, _ := store.List(out) // a folder that is not there yet holds no runs
	var paths []string
	for _, e := range entries {
		if plain.Line(e.Path) == e.Path { // others cannot be typed, and a shell takes a line of them for another name
			paths = append(paths, e.Path)
		}
	}
	return paths
}

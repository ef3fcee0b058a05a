package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/operator"
	"candelua/engine/procedure"
	"candelua/engine/sim"
	"candelua/engine/uncertainty"
	"candelua/scripts"
)

type runFlags struct {
	hands
	bench, world, unit, mode, out string
	set                           []string
	json, sync                    bool
	seed                          uint64
	draws                         int
	budget                        bool
}

func (a *app) runCommand() *cobra.Command {
	f := &runFlags{hands: a.hands()}
	cmd := &cobra.Command{
		Use:   "run PROCEDURE",
		Short: "run a procedure",
		Long: `Run a procedure: a shipped one by its name, or a Lua file by its path. A path
contains a / or ends in .lua. Without --bench the procedure runs on the
simulated bench, and the output says so. The run is recorded in a new folder
inside runs. A file of your own is checked first (candelua check), and what is
found is shown as a warning.

When you are asked something, you can type back to withdraw your last answer,
pause to stop the run, or help to see what you can type. Where such a word is
one of the choices, type /back, /pause or /help. Ctrl-C also pauses the run.

--watch shows the run on a page, for a tablet at the bench: what the unit shows,
the results so far, the time left, the question that is open, and the last
warnings. It is black and dim red, since its light falls on the bench. It can
pause the run; answers are typed at the terminal. Anybody on the network who has
the address can open it, so show it to nobody else.

` + strings.TrimSuffix(statusHelp, differsHelp),
		Example: `  candelua run window-sweep
  candelua run window-sweep --set windows=2,10,50,100 --set signal=pq
  candelua run ./my-procedure.lua --bench bench.toml --unit crake-2.toml --mode Dusk
  candelua run tone-response --bench operator
  candelua run retention --bench bench.toml --watch :8380`,
		Args:              arguments(cobra.ExactArgs(1), "one PROCEDURE"),
		ValidArgsFunction: completeProcedures,
		RunE: func(cmd *cobra.Command, args []string) error {
			o := outcome{procedure: nameOf(args[0]), budget: f.budget}
			o.rep, o.err = a.run(cmd, args[0], f, &o.simulated)
			return a.finish(cmd.OutOrStdout(), cmd.ErrOrStderr(), f.json, o)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.bench, "bench", "sim", "choose the instruments: `BENCH` is sim (all simulated),\noperator (a person is every instrument), or a bench\nfile")
	flags.StringVar(&f.world, "world", "", "choose what a simulated bench simulates: `WORLD` is a\nname or a file (see candelua world)")
	flags.StringVar(&f.unit, "unit", "", "describe the display under test: a unit `FILE`")
	flags.StringVar(&f.mode, "mode", "", "state the picture `MODE` of the unit: on a simulated\nbench it is chosen, a real unit you set yourself")
	flags.StringArrayVar(&f.set, "set", nil, "set a parameter: `NAME=VALUE`; a list is 1,2,5; give\n--set once for each parameter\n(see candelua describe PROCEDURE)")
	flags.StringVar(&f.out, "out", "runs", "make the folder of the run in `FOLDER`")
	flags.BoolVar(&f.json, "json", false, "print one JSON object, also on failure")
	flags.Uint64Var(&f.seed, "seed", 1, "choose the random numbers (noise, shuffled orders):\nthe same `NUMBER` gives the same ones")
	flags.BoolVar(&f.sync, "sync", false, "write each answer to the disk before the next step,\nas with real instruments")
	flags.BoolVar(&f.accept, "accept-cautions", false, "accept all cautions of the procedure without being\nasked (a simulated bench never asks)")
	flags.IntVar(&f.draws, "draws", 0, "find the uncertainties by `N` repeated computations with\nrandom errors added to the readings:\n"+drawsRange+", 0 for none;\nfewer if the script works very long, with a note;\nwithout --draws, as many as the shown digits need:\n200 to 1000")
	addBudget(flags, &f.budget)
	f.hands.flags(cmd)
	complete(flags, cmd, "bench", builtInBenches...)
	complete(flags, cmd, "world", sim.Names()...)
	return cmd
}

func (a *app) run(cmd *cobra.Command, name string, f *runFlags, simulated *bool) (rep *engine.Report, failed error) {
	if err := f.check(cmd); err != nil {
		return nil, err
	}
	if err := checkDraws(cmd, f.draws); err != nil {
		return nil, err
	}
	if !cmd.Flags().Changed("draws") {
		f.draws = uncertainty.AsNeeded
	}
	for _, s := range f.set {
		if !strings.Contains(s, "=") {
			return nil, wrongFlag(cmd, "--set is %q; it must be NAME=VALUE", s)
		}
	}
	p, err := procedure.Find(name, scripts.Files)
	if err != nil {
		return nil, err
	}
	texts, err := a.benchTexts(cmd, f.bench, f.world)
	if err != nil {
		return nil, err
	}
	*simulated = texts[textWorld] != ""
	unit, err := unitFrom(cmd, f.unit, texts)
	if err != nil {
		return nil, err
	}
	if f.mode != "" { // the unit's own file knows its modes better than a world does
		if _, err := unit.Mode(f.mode); err != nil {
			return nil, fault.Usage(err)
		}
	}
	a.warnBefore(cmd, p)
	f.console = operator.NewConsole(cmd.InOrStdin(), cmd.ErrOrStderr())
	file, openers, err := f.benchFrom(texts, f.seed, f.mode)
	if err != nil {
		return nil, err
	}
	if f.attended > 0 && !f.real {
		return nil, errNobodyNeeded
	}
	for _, reminder := range file.Reminders(time.Now()) {
		a.warn(reminder)
	}
	ctx, stop := f.attend(cmd.Context(), a.drawing.Load)
	defer stop()
	defer f.closePage()
	ctx, over, err := a.watched(ctx, &f.hands)
	if err != nil {
		return nil, err
	}
	defer func() { over(failed) }()
	rep, err = engine.Run(ctx, engine.Spec{
		Setup: a.engineSetup(cmd, &f.hands), Procedure: p, Set: f.set, Bench: file, Openers: openers, Texts: texts,
		Unit: unit, Mode: f.mode, Seed: f.seed, Draws: f.draws, Out: f.out, Sync: f.sync || !*simulated,
		Rehearsal: f.rehearsal(f.seed), Attended: f.attended > 0,
	})
	if rep == nil {
		err = notAProcedure(p, err)
	}
	return rep, err
}

// How many draws there can be: with fewer nothing could be read off them.
const (
	leastDraws = 100
	mostDraws  = 1_000_000
	drawsRange = "100 to 1000000" // in words of help
)

func checkDraws(cmd *cobra.Command, n int) error {
	if n != 0 && (n < leastDraws || n > mostDraws) {
		return wrongFlag(cmd, "--draws is %d; it must be 0 for none, or %s", n, drawsRange)
	}
	return nil
}

func addBudget(flags *pflag.FlagSet, budget *bool) {
	flags.BoolVar(budget, "budget", false, "show what each uncertainty is made of")
}

// unitFrom reads a unit file, and keeps its text for when the run goes on.
func unitFrom(cmd *cobra.Command, path string, texts map[string]string) (*bench.UnitFile, error) {
	if path == "" {
		return bench.DefaultUnit(), nil
	}
	if !procedure.IsPath(path) {
		return nil, wrongPath(cmd, path, nil, ".toml", "--unit is %q; it must be the path of a unit file, which contains a / or ends in .toml", path)
	}
	src, err := procedure.ReadText(path)
	if err != nil {
		return nil, &fault.UsageError{Err: fmt.Errorf("the unit file cannot be read: %w", err)}
	}
	u, err := bench.ParseUnit(path, src)
	if err != nil {
		return nil, &fault.UsageError{Err: err}
	}
	texts[textUnit], texts[textUnitPath] = string(src), path
	return u, nil
}

func complete(flags *pflag.FlagSet, cmd *cobra.Command, name string, words ...string) {
	if flags.Lookup(name) == nil {
		panic("no flag " + name)
	}
	err := cmd.RegisterFlagCompletionFunc(name, func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return words, cobra.ShellCompDirectiveDefault
	})
	if err != nil {
		panic(err)
	}
}

func completeProcedures(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return procedure.Shipped(scripts.Files), cobra.ShellCompDirectiveDefault
}

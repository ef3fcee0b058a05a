package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/operator"
	"candelua/engine/sim"
	"candelua/scripts"
)

type runFlags struct {
	hands
	bench, world, unit, mode, out string
	set                           []string
	json, sync                    bool
	seed                          uint64
}

func (a *app) runCommand() *cobra.Command {
	f := &runFlags{}
	cmd := &cobra.Command{
		Use:   "run PROCEDURE",
		Short: "run a procedure",
		Long: `Run a procedure: a shipped one by its name, or a Lua file by its path. Without
--bench it runs on the simulated bench, and everything says so.

` + statusHelp,
		Example: `  candelua run window-sweep
  candelua run window-sweep --set windows=2,10,50,100 --set signal=pq
  candelua run ./my-procedure.lua --bench bench.toml --unit heron-6.toml --mode Calm
  candelua run tone-response --bench operator`,
		Args:              arguments(cobra.ExactArgs(1)),
		ValidArgsFunction: completeProcedures,
		RunE: func(cmd *cobra.Command, args []string) error {
			rep, err := a.run(cmd, args[0], f)
			return a.finish(cmd.OutOrStdout(), cmd.ErrOrStderr(), f.json, args[0], rep, err)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.bench, "bench", "sim", "bench file, or sim (all simulated), or operator (a person is every instrument)")
	flags.StringVar(&f.world, "world", "", "what a simulated bench simulates: a name or a file (see: candelua world)")
	flags.StringVar(&f.unit, "unit", "", "unit file: what the display under test is")
	flags.StringVar(&f.mode, "mode", "", "the unit's mode")
	flags.StringArrayVar(&f.set, "set", nil, "a parameter, as name=value; lists as 1,2,5 (repeatable)")
	flags.StringVar(&f.out, "out", "runs", "folder for run folders")
	flags.BoolVar(&f.json, "json", false, "print one JSON object")
	flags.Uint64Var(&f.seed, "seed", 1, "what chance follows from")
	flags.BoolVar(&f.sync, "sync", false, "have each answer on the disk before going on, on a simulated bench too")
	flags.BoolVar(&f.accept, "accept-cautions", false, "accept the procedure's caution")
	f.hands.flags(cmd)
	complete(flags, cmd, "bench", "sim", "operator")
	complete(flags, cmd, "world", sim.Names()...)
	return cmd
}

func (a *app) run(cmd *cobra.Command, name string, f *runFlags) (*engine.Report, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	p, err := engine.FindProcedure(name, scripts.Files)
	if err != nil {
		return nil, err
	}
	texts, err := benchTexts(f.bench, f.world)
	if err != nil {
		return nil, err
	}
	unit, err := unitFrom(f.unit)
	if err != nil {
		return nil, err
	}
	f.console = operator.NewConsole(cmd.InOrStdin(), cmd.ErrOrStderr())
	file, openers, err := f.benchFrom(texts, f.seed)
	if err != nil {
		return nil, err
	}
	simulated := texts[textWorld] != ""
	return engine.Run(cmd.Context(), engine.Spec{
		Setup: a.engineSetup(cmd, &f.hands), Procedure: p, Set: f.set, Bench: file, Openers: openers, Texts: texts,
		Unit: unit, Mode: f.mode, Seed: f.seed, Out: f.out, Sync: f.sync || !simulated,
	})
}

func unitFrom(path string) (*bench.UnitFile, error) {
	if path == "" {
		return bench.DefaultUnit(), nil
	}
	src, err := os.ReadFile(path)
	if err != nil {
		return nil, &engine.UsageError{Err: fmt.Errorf("the unit file cannot be read: %w", err)}
	}
	u, err := bench.ParseUnit(path, src)
	if err != nil {
		return nil, &engine.UsageError{Err: err}
	}
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
	return engine.Shipped(scripts.Files), cobra.ShellCompDirectiveDefault
}

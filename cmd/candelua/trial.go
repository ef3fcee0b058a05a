package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/sim"
	"candelua/engine/trial"
	"candelua/engine/uncertainty"
	"candelua/scripts"
)

type trialFlags struct {
	procedure  string
	seeds      int
	shard      string
	json, list bool
	merge      bool
}

func (a *app) trialCommand() *cobra.Command {
	f := &trialFlags{}
	cmd := &cobra.Command{
		Use:   "trial [TRIAL…]",
		Short: "test procedures on simulated units whose truth is known",
		Long:  trialHelp(),
		Example: `  candelua trial
  candelua trial window-sweep --seeds 100
  candelua trial ./my-trial.lua --json
  candelua trial window-sweep --procedure ./my-sweep.lua
  candelua trial --shard 3/16 > part-03.json
  candelua trial --merge part-*.json`,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return trial.Shipped(scripts.Files), cobra.ShellCompDirectiveDefault
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			err := a.trials(cmd, args, f)
			if errors.Is(err, play.ErrInterrupted) {
				return errStopped // nothing is paused: a trial starts over
			}
			return err
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.procedure, "procedure", "", "run the trials with `PROCEDURE` instead of their\nown: a shipped name or a Lua file; parameters that\nit does not have are left out, and a note says so")
	flags.IntVar(&f.seeds, "seeds", 0, "run each world with the seeds 1 to `N`, instead of\nthe number of seeds that the trial gives")
	flags.StringVar(&f.shard, "shard", "", "make only part `N/OF` of the runs, such as 3/16, and\nprint it as JSON, to be kept in a file for --merge")
	flags.BoolVar(&f.merge, "merge", false, "join the files of all parts, given in place of\nTRIAL, and report as if they had been one run")
	flags.BoolVar(&f.list, "list", false, "list the shipped trials")
	flags.BoolVar(&f.json, "json", false, "print one JSON object, also on failure")
	complete(flags, cmd, "procedure", procedure.Shipped(scripts.Files)...)
	return cmd
}

// trialHelp describes trials, with the truths that the simulator knows.
func trialHelp() string {
	var b strings.Builder
	b.WriteString(`Run trials. A trial is a Lua file that says what a procedure must find on
simulated units whose truth is known, and within which tolerance. Each world is
run with several seeds, which differ in the noise of the instruments. TRIAL is a
shipped trial by its name, or a Lua file by its path. Without TRIAL all shipped
trials are run. A trial looks like this:

  return trial {
    procedure = "window-sweep",     -- a shipped name, or a path beside this file
    params    = { delay = 2 },
    world     = { base = "default", ["light.white"] = 900 },
    expect    = {
      ["peak-luminance"] = { truth = "light.white", within = 0.5, unit = "%" },
    },
    seeds     = 20,
  }

A world is a name, a path, or a table: the name of a base, and the parameters
that differ from it, by their paths (see candelua world). An entry of a list
begins as the base's entry that it names: controls = { { base = "Brightness",
start = "50" } }. In a trial meters have no error of scale, colour and dark level,
unless the world states one (meter.scale, meter.xy, meter.dark): such errors are
alike in all readings, and would hide what the procedure does. worlds = { NAME = … }
instead of world gives several worlds. refuses = "TEXT" instead of expect says
that the run must end with an error that contains TEXT. pass = 0.95 lets one
seed in twenty fail. draws = 200 computes the uncertainty of each value, in each
run. Then covers = 0.9 in an expectation says that the 95 % interval must
contain the truth in nine of ten runs, in each world.

A trial can have the fields title, procedure, params, world or worlds, faults,
interrupt, expect or refuses, seeds, pass and draws. The keys of expect are the
ids of values, as results.json has them: the id of "Peak luminance" is
peak-luminance.

The runs can be spread over processes or machines. Each makes one part with the
same command and another --shard, and --merge joins the files of all parts. The
report is the same, to the byte, as that of one command that makes all runs.

A truth is a number, the path of a parameter, or a function of the world (below).
truths = { WORLD = TRUTH, … } instead of truth states one for each world. A
function is written as { NAME = { … } }, with one of these names:

`)
	printTruths(&b, sim.Truths())
	b.WriteString(`
within is in percent of the truth if unit = "%", else in the value's own unit.
A missing value does not pass. A value that is not evaluated passes only with
or_not_evaluated = true. A value that is only a bound ("at most", "at least")
counts as not evaluated. It passes with bound = "upper" or "lower" if the truth
is on the right side of the bound, and no farther from it than bound_within, in
the unit of within. A bound with the truth on the wrong side counts as wrong.

Below the table, words say what passed, what did not, and by how much; of a trial
that passes, which value came nearest to its limit. The table shows, for each value, bias (the mean error), scatter (the standard
deviation of the errors) and worst (the largest error) in the unit of within;
wrong (the number of values outside within), not evaluated and missing; and the
number of bounds, with the largest distance of one from the truth.

Exit status:
  0  all trials pass
  1  a trial fails, or cannot be run to its end
  2  wrong use`)
	return b.String()
}

// printTruths writes what each truth is, and once the arguments of those that
// take the same.
func printTruths(b *strings.Builder, all []sim.TruthDoc) {
	w := tabwriter.NewWriter(b, 0, 4, 2, ' ', 0)
	alike := 0
	for i, t := range all {
		fmt.Fprintf(w, "  %s\t%s\n", t.Name, strings.TrimSuffix(t.Help+", "+t.Unit, ", "))
		alike++
		if i+1 < len(all) && slices.Equal(t.Args, all[i+1].Args) {
			continue
		}
		switch {
		case len(t.Args) == 0:
		case alike == 1:
			fmt.Fprintln(w, "  \t  arguments:")
		default:
			fmt.Fprintf(w, "  \t  arguments of each of these %d:\n", alike)
		}
		alike = 0
		for _, arg := range t.Args {
			fmt.Fprintf(w, "  \t  %s\n", arg)
		}
	}
	w.Flush()
}

// trials runs trials one after the other; each uses all cores.
func (a *app) trials(cmd *cobra.Command, names []string, f *trialFlags) error {
	if err := f.check(cmd, names); err != nil {
		return err
	}
	switch {
	case f.list:
		return listTrials(cmd, f.json)
	case f.merge:
		return mergeParts(cmd, names, f.json)
	}
	all, err := a.findTrials(cmd, names, f)
	if err != nil {
		return err
	}
	defer uncertainty.CollectSeldom()()
	runner := &trial.Runner{Shipped: scripts.Files, Modules: builtins.Modules(), Worlds: simulatedWorlds, Seeds: f.seeds, Procedure: f.procedure}
	if f.shard != "" {
		return a.makePart(cmd, runner, all, f)
	}
	to := trialOutput{out: cmd.OutOrStdout(), json: f.json}
	for _, t := range all {
		o, err := a.outcomeOf(cmd, runner, t, trial.Share{Number: 1, Of: 1})
		if err != nil {
			return err
		}
		if err := to.add(o); err != nil {
			return err
		}
	}
	return to.end()
}

// outcomeOf runs a share of a trial, and shows how far it is.
func (a *app) outcomeOf(cmd *cobra.Command, runner *trial.Runner, t *trial.Trial, share trial.Share) (*trial.Outcome, error) {
	runner.Progress = a.trialProgress(t.Name)
	defer a.clearTrialProgress()
	return runner.Outcome(cmd.Context(), t, share)
}

// trialOutput prints reports: each at once as a table, or all at the end as JSON.
type trialOutput struct {
	out     io.Writer
	json    bool
	reports []*trial.Report
	failed  bool
}

func (to *trialOutput) add(o *trial.Outcome) error {
	rep, err := o.Report()
	if err != nil {
		return err
	}
	to.reports = append(to.reports, rep)
	to.failed = to.failed || rep.Finding != result.Pass
	if to.json {
		return nil
	}
	return printTrial(to.out, rep, len(to.reports) > 1)
}

func (to *trialOutput) end() error {
	finding := result.Pass
	if to.failed {
		finding = result.Fail
	}
	if to.json {
		if err := encode(to.out, map[string]any{"finding": finding, "trials": to.reports}); err != nil {
			return err
		}
	}
	if to.failed {
		return &exitError{statusFailed, errors.New("a trial failed")}
	}
	return nil
}

// errStopped is a trial that Ctrl-C ended.
var errStopped = errors.New("the trial was stopped; nothing of it is kept")

// simulatedWorlds are the worlds that trials are held in.
func simulatedWorlds(ref trial.WorldRef) (trial.World, error) {
	return sim.NewSubject(ref.World, ref.Faults, ref.Dir)
}

func listTrials(cmd *cobra.Command, asJSON bool) error {
	type listed struct {
		Name      string `json:"name"`
		Procedure string `json:"procedure"`
		Title     string `json:"title"`
	}
	all := []listed{}
	w := tabwriter.NewWriter(cmd.OutOrStdout(), 0, 4, 2, ' ', 0)
	for _, name := range trial.Shipped(scripts.Files) {
		t, err := trial.Find(cmd.Context(), name, scripts.Files)
		if err != nil {
			return err
		}
		all = append(all, listed{t.Name, t.Procedure, t.Title})
		fmt.Fprintf(w, "%s\t%s\t%s\n", t.Name, t.Procedure, t.Title)
	}
	if asJSON {
		return encode(cmd.OutOrStdout(), map[string]any{"trials": all})
	}
	return w.Flush()
}

// check refuses flags that do not go together.
func (f *trialFlags) check(cmd *cobra.Command, names []string) error {
	given := cmd.Flags().Changed
	if given("seeds") && f.seeds < 1 {
		return wrongFlag(cmd, "--seeds is %d; it must be 1 or more", f.seeds)
	}
	if f.merge || f.list {
		what := "--list"
		if f.merge {
			what = "--merge"
		}
		for _, other := range []string{"procedure", "seeds", "shard", "list"} {
			if given(other) && "--"+other != what {
				return wrongFlag(cmd, "%s and --%s are given; give one of them", what, other)
			}
		}
		return nil
	}
	if f.procedure != "" && len(names) == 0 {
		return wrongFlag(cmd, "--procedure is given without a TRIAL; name the trials to run with %s", f.procedure)
	}
	return nil
}

// findTrials reads all trials before the first is run.
func (a *app) findTrials(cmd *cobra.Command, names []string, f *trialFlags) ([]*trial.Trial, error) {
	if len(names) == 0 {
		names = trial.Shipped(scripts.Files)
	}
	var all []*trial.Trial
	for _, name := range names {
		t, err := trial.Find(cmd.Context(), name, scripts.Files)
		if err != nil {
			return nil, notATrial(name, err)
		}
		all = append(all, t)
	}
	return all, nil
}

// trialProgress shows on a terminal how many runs are done.
func (a *app) trialProgress(name string) func(done, total int) {
	if !a.line.terminal {
		return nil
	}
	var last time.Time
	return func(done, total int) {
		if time.Since(last) >= redrawEvery {
			last = time.Now()
			a.line.write(fmt.Sprintf("%s: %d of %s", plain.Line(name), done, count(total, "run")))
		}
	}
}

func (a *app) clearTrialProgress() {
	if a.line.terminal {
		a.line.bare.Own(plain.ClearLine)
	}
}

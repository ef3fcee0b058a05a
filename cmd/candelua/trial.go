package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/report"
	"candelua/engine/result"
	"candelua/engine/sim"
	"candelua/engine/trial"
	"candelua/engine/uncertainty"
	"candelua/scripts"
)

type trialFlags struct {
	procedure  string
	seeds      int
	json, list bool
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
  candelua trial window-sweep --procedure ./my-sweep.lua`,
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
that differ from it, by their paths (see candelua world). worlds = { NAME = … }
instead of world gives several worlds. refuses = "TEXT" instead of expect says
that the run must end with an error that contains TEXT. pass = 0.95 lets one
seed in twenty fail. draws = 200 computes the uncertainty of each value, in each
run. Then covers = 0.9 in an expectation says that the 95 % interval must
contain the truth in nine of ten runs, in each world.

A trial can have the fields title, procedure, params, world or worlds, faults,
interrupt, expect or refuses, seeds, pass and draws. The keys of expect are the
ids of values, as results.json has them: the id of "Peak luminance" is
peak-luminance.

A truth is a number, the path of a parameter, or { NAME = { … } } with one of:

`)
	printTruths(&b, sim.Truths())
	b.WriteString(`
within is in percent of the truth if unit = "%", else in the value's own unit.
A missing value does not pass. A value that is not evaluated passes only with
or_not_evaluated = true. A value that is only a bound ("at most", "at least")
counts as not evaluated. It passes with bound = "upper" or "lower" if the truth
is on the right side of the bound, and no farther from it than bound_within, in
the unit of within. A bound with the truth on the wrong side counts as wrong.

The table shows, for each value, bias (the mean error), scatter (the standard
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
	out := cmd.OutOrStdout()
	if f.list {
		return listTrials(cmd, f.json)
	}
	all, err := a.findTrials(cmd, names, f)
	if err != nil {
		return err
	}
	defer uncertainty.CollectSeldom()()
	runner := &trial.Runner{Shipped: scripts.Files, Modules: builtins.Modules(), Worlds: simulatedWorlds, Seeds: f.seeds, Procedure: f.procedure}
	reports := []*trial.Report{}
	finding := result.Pass
	for _, t := range all {
		runner.Progress = a.trialProgress(t.Name)
		rep, err := runner.Run(cmd.Context(), t)
		a.clearTrialProgress()
		if err != nil {
			return err
		}
		if rep.Finding != result.Pass {
			finding = result.Fail
		}
		reports = append(reports, rep)
		if !f.json {
			if err := printTrial(out, rep, len(reports) > 1); err != nil {
				return err
			}
		}
	}
	if f.json {
		if err := encode(out, map[string]any{"finding": finding, "trials": reports}); err != nil {
			return err
		}
	}
	if finding != result.Pass {
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

// findTrials reads all trials before the first is run.
func (a *app) findTrials(cmd *cobra.Command, names []string, f *trialFlags) ([]*trial.Trial, error) {
	if cmd.Flags().Changed("seeds") && f.seeds < 1 {
		return nil, wrongFlag(cmd, "--seeds is %d; it must be 1 or more", f.seeds)
	}
	if f.procedure != "" && len(names) == 0 {
		return nil, wrongFlag(cmd, "--procedure is given without a TRIAL; name the trials to run with %s", f.procedure)
	}
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
			fmt.Fprintf(a.line.out, "%s%s: %d of %s", clearLine, oneLine(name), done, count(total, "run"))
		}
	}
}

func (a *app) clearTrialProgress() {
	if a.line.terminal {
		fmt.Fprint(a.line.out, clearLine)
	}
}

// printTrial prints one line for each value in each world.
func printTrial(out io.Writer, rep *trial.Report, apart bool) error {
	var b strings.Builder
	if apart {
		b.WriteByte('\n')
	}
	fmt.Fprintf(&b, "%s: %s (%s in %s, %s each)\n", oneLine(rep.Trial), rep.Finding, oneLine(rep.Procedure), count(len(rep.Worlds), "world"), count(rep.Seeds, "seed"))
	if rep.Title != "" {
		paragraph(&b, "  ", "  ", rep.Title)
	}
	for _, note := range rep.Notes {
		paragraph(&b, "  note: ", "        ", note)
	}
	columns := trialColumns(rep)
	w := tabwriter.NewWriter(&b, 0, 4, 2, ' ', 0)
	fmt.Fprint(w, "  world\tseeds passed")
	for _, c := range columns {
		fmt.Fprint(w, "\t", c.head)
	}
	fmt.Fprintln(w)
	for i := range rep.Worlds {
		printWorld(w, &rep.Worlds[i], rep.Seeds, columns)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for i := range rep.Worlds {
		printWhy(&b, &rep.Worlds[i])
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// trialColumn is a column of a trial's table.
type trialColumn struct {
	head string
	cell func(c *trial.Check) string
}

// trialColumns returns the columns for values, and those for bounds and intervals if
// there are any.
func trialColumns(rep *trial.Report) []trialColumn {
	if !anyCheck(rep, func(*trial.Check) bool { return true }) {
		return nil // the trial expects a refusal
	}
	columns := []trialColumn{
		{"value", func(c *trial.Check) string { return c.ID }},
		{"truth", func(c *trial.Check) string { return digits(c.Truth, 5) }},
		{"within", func(c *trial.Check) string { return strings.TrimSpace(report.Display(c.Within) + " " + c.Unit) }},
		{"passed", func(c *trial.Check) string { return fmt.Sprintf("%d/%d", c.Passed, c.Runs) }},
		{"bias", func(c *trial.Check) string { return errorText(c.Bias) }},
		{"scatter", func(c *trial.Check) string { return errorText(c.Scatter) }},
		{"worst", func(c *trial.Check) string { return errorText(c.Worst) }},
		{"wrong", func(c *trial.Check) string { return strconv.Itoa(c.Wrong) }},
		{"not evaluated", func(c *trial.Check) string { return strconv.Itoa(c.NotEvaluated) }},
		{"missing", func(c *trial.Check) string { return strconv.Itoa(c.Missing) }},
	}
	if anyCheck(rep, func(c *trial.Check) bool { return c.Bounds > 0 }) {
		columns = append(columns, trialColumn{"bounds", boundsText})
	}
	if anyCheck(rep, func(c *trial.Check) bool { return c.Intervals > 0 }) {
		columns = append(columns, trialColumn{"in 95 % interval", coveredText})
	}
	return columns
}

func anyCheck(rep *trial.Report, is func(c *trial.Check) bool) bool {
	for _, w := range rep.Worlds {
		for i := range w.Checks {
			if is(&w.Checks[i]) {
				return true
			}
		}
	}
	return false
}

// boundsText says how many values were only a bound, and how far the loosest of
// them lay from the truth.
func boundsText(c *trial.Check) string {
	if c.Bounds == 0 {
		return "0"
	}
	return fmt.Sprintf("%d, up to %s off", c.Bounds, errorText(c.Farthest))
}

// coveredText says how many intervals held the truth, and how many had to.
func coveredText(c *trial.Check) string {
	text := fmt.Sprintf("%d/%d", c.Covered, c.Intervals)
	if c.Covers > 0 {
		text += fmt.Sprintf(", want %s %%", digits(100*c.Covers, 3))
	}
	return text
}

func printWorld(w io.Writer, world *trial.WorldReport, seeds int, columns []trialColumn) {
	lead := fmt.Sprintf("  %s\t%d/%d %s", oneLine(world.World), world.Passed, seeds, world.Finding)
	if world.Finding != result.Pass && slices.ContainsFunc(world.Checks, func(c trial.Check) bool { return c.Uncovered != "" }) {
		lead += " (intervals)" // all seeds may have passed
	}
	if len(world.Checks) == 0 {
		fmt.Fprintln(w, lead)
	}
	for i := range world.Checks {
		fmt.Fprint(w, lead)
		for _, column := range columns {
			fmt.Fprint(w, "\t", column.cell(&world.Checks[i]))
		}
		fmt.Fprintln(w)
		lead = "  \t"
	}
}

// printWhy says why a world did not pass, each reason once.
func printWhy(w io.Writer, world *trial.WorldReport) {
	if world.Failed > 0 {
		paragraph(w, "  ", "    ", fmt.Sprintf("%s: %s did not end as expected, first with seed %d: %s",
			world.World, count(world.Failed, "run"), world.ErrorSeed, world.Error))
	}
	for _, c := range world.Checks {
		if c.Uncovered != "" {
			paragraph(w, "  ", "    ", fmt.Sprintf("%s: %s: %s", world.World, c.ID, c.Uncovered))
		}
		if c.Why != "" && c.Passed < c.Runs {
			paragraph(w, "  ", "    ", fmt.Sprintf("%s: %s: %s", world.World, c.ID, c.Why))
		}
	}
}

// errorText writes an error to three digits, "-" if there is none. A rest that comes
// from rounding alone is 0.
func errorText(x *float64) string {
	switch {
	case x == nil:
		return "-"
	case result.Same(*x, 0):
		return "0"
	}
	return digits(*x, 3)
}

// digits writes a number to so many significant digits, or to as many as it has
// before the point, without noughts at its end.
func digits(x float64, significant int) string {
	if math.Abs(x) >= math.Pow10(significant) && math.Abs(x) < 1e7 {
		return report.Display(math.Round(x))
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', significant-1, 64), 64)
	if err != nil {
		rounded = x // rounded up beyond the greatest number that there is
	}
	return report.Display(rounded)
}

package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/procedure"
	"candelua/engine/rehearse"
	"candelua/engine/sim"
	"candelua/engine/store"
	"candelua/scripts"
)

type rehearseFlags struct {
	bench, world, unit, mode, from string
	set                            []string
	budget                         float64
	seed                           uint64
	json                           bool
}

func (a *app) rehearseCommand() *cobra.Command {
	f := &rehearseFlags{}
	cmd := &cobra.Command{
		Use:   "rehearse PROCEDURE",
		Short: "tell what a run will ask of you, and where it would fail",
		Long: `Rehearse a procedure before you run it. It is executed from its start to its
end in simulated time, which takes about a second. The simulated unit has the
controls and modes of your unit file, and stands on the places of your bench
file. No instrument is opened, and nothing is kept.

It tells how long the run takes, how much of that you work, how often you are
asked, how long bright pictures stand still, how much light and heat the panel
gets, and where the script would fail. Light is counted in hours of full white
that stood still, heat in hours of a full screen of white. What cannot be told
is listed.

Exit status:
  0  the procedure comes to its end
  1  it does not, or the panel would get more light than --budget allows
  2  wrong use`,
		Example: `  candelua rehearse window-sweep
  candelua rehearse retention --bench bench.toml --unit crake-2.toml --mode Dusk
  candelua rehearse ./my-procedure.lua --bench operator --set window=4
  candelua rehearse retention --budget 0.5 --from runs/retention-1`,
		Args:              arguments(cobra.ExactArgs(1), "one PROCEDURE"),
		ValidArgsFunction: completeProcedures,
		RunE:              func(cmd *cobra.Command, args []string) error { return a.rehearse(cmd, args[0], f) },
	}
	flags := cmd.Flags()
	flags.StringVar(&f.bench, "bench", "sim", "rehearse for these instruments: `BENCH` is sim,\noperator (a person is every instrument), or a bench\nfile")
	flags.StringVar(&f.world, "world", "default", "choose the simulated unit: `WORLD` is a name or a\nfile (see candelua world)")
	flags.StringVar(&f.unit, "unit", "", "describe the display under test: a unit `FILE`")
	flags.StringVar(&f.mode, "mode", "", "state the picture `MODE` of the unit")
	flags.StringArrayVar(&f.set, "set", nil, "set a parameter: `NAME=VALUE`; give --set once for\neach parameter")
	flags.StringVar(&f.from, "from", "", "take the pace of the instruments from a run: its\n`FOLDER`")
	flags.Float64Var(&f.budget, "budget", 0, "state how much light the panel may get, in `HOURS` of\nfull white that stands still; 0: no limit")
	flags.Uint64Var(&f.seed, "seed", 1, "choose the random numbers")
	flags.BoolVar(&f.json, "json", false, "print one JSON object, also on failure")
	complete(flags, cmd, "bench", builtInBenches...)
	complete(flags, cmd, "world", sim.Names()...)
	return cmd
}

func (a *app) rehearse(cmd *cobra.Command, name string, f *rehearseFlags) error {
	if !(f.budget >= 0) || math.IsInf(f.budget, 0) {
		return wrongFlag(cmd, "--budget is %v; it must be 0 hours or more", f.budget)
	}
	loaded, err := loadedProcedure(cmd, name)
	if err != nil {
		return err
	}
	params, err := loaded.Contract.Values(f.set)
	if err != nil {
		return fault.Usage(err)
	}
	t, err := a.target(cmd, f)
	if err != nil {
		return err
	}
	r, err := rehearse.Run(cmd.Context(), loaded, params, t, f.budget)
	if err == nil && t.Pace != nil { // how long the stage itself takes is known now
		if err = t.Pace.Learn(r); err == nil {
			r, err = rehearse.Run(cmd.Context(), loaded, params, t, f.budget)
		}
	}
	if err != nil {
		return fault.Usage(err)
	}
	if f.json {
		err = encode(cmd.OutOrStdout(), r.Report)
	} else {
		err = printRehearsal(cmd.OutOrStdout(), r.Report)
	}
	switch {
	case err != nil:
		return err
	case !r.Report.Done:
		return &exitError{statusFailed, errors.New("the rehearsal did not come to its end")}
	case r.Report.Light.Over:
		return &exitError{statusFailed, errors.New("the panel would get more light than it may")}
	}
	return nil
}

func loadedProcedure(cmd *cobra.Command, name string) (*procedure.Loaded, error) {
	p, err := procedure.Find(name, scripts.Files)
	if err != nil {
		return nil, err
	}
	loaded, err := procedure.Load(cmd.Context(), p, builtins.Modules())
	if err != nil {
		return nil, notAProcedure(p, err)
	}
	return loaded, nil
}

// target reads what the flags name.
func (a *app) target(cmd *cobra.Command, f *rehearseFlags) (t rehearse.Target, err error) {
	t.Seed, t.Ready = f.seed, engine.Ready
	if t.World, err = worldOf(f.world); err != nil {
		return t, fault.Usage(err)
	}
	if t.Unit, err = unitFrom(cmd, f.unit, map[string]string{}); err != nil {
		return t, err
	}
	if f.unit != "" || f.mode != "" {
		if t.Mode, err = t.Unit.Mode(f.mode); err != nil {
			return t, fault.Usage(err)
		}
	}
	switch {
	case f.bench == "operator":
		t.Bench = bench.OperatorFile
	case f.bench != "sim" && !procedure.IsPath(f.bench):
		return t, wrongPath(cmd, f.bench, builtInBenches, ".toml", "--bench is %q; it must be sim, operator, or the path of a bench file, which contains a / or ends in .toml", f.bench)
	case f.bench != "sim":
		if _, t.Bench, err = a.fileTexts(cmd, f.bench); err != nil {
			return t, err
		}
		if err := t.Bench.Known(a.driverNames()); err != nil {
			return t, fault.Usage(err)
		}
	}
	if f.from != "" {
		t.Pace, err = paceOf(f.from)
	}
	return t, err
}

// paceOf reads the pace of a run from its folder.
func paceOf(path string) (*rehearse.Pace, error) {
	folder, _, err := store.Look(path)
	if err != nil {
		return nil, fault.Usage(err)
	}
	defer func() { _ = folder.Close() }() // nothing is written
	j, err := journal.Load(folder.JournalPath())
	if err != nil {
		return nil, fault.Usage(err)
	}
	return rehearse.PaceOf(j)
}

func printRehearsal(out io.Writer, r *rehearse.Report) error {
	var b strings.Builder
	line := func(head, format string, args ...any) {
		fmt.Fprintf(&b, "%-10s %s\n", head, plain.Line(fmt.Sprintf(format, args...)))
	}
	of := r.Procedure
	if r.Unit != "" {
		of += ", unit " + r.Unit
	}
	if r.Mode != "" {
		of += ", mode " + r.Mode
	}
	line("Rehearsed", "%s, bench %s", of, r.Bench)
	line("Takes", "%s: %d steps, %s, %s", clockText(r.Seconds), r.Steps, countOf(r.Readings, "reading"), countOf(r.Patches, "patch"))
	if r.Hands.Prompts > 0 {
		line("You", "%s (%.0f %%): you are asked %s, of which %d at the unit or the rig", clockText(r.Hands.Seconds), 100*r.Hands.Seconds/max(r.Seconds, 1e-9),
			countOf(r.Hands.Prompts, "time"), r.Hands.Moves)
	} else {
		line("You", "nothing to do")
	}
	for i, p := range r.Parts {
		head := ""
		if i == 0 {
			head = "Parts"
		}
		line(head, "%s  %3.0f %%  %s", clockText(p.Seconds), 100*p.Share, p.Name)
	}
	light := fmt.Sprintf("%.2f h of full white that stands still", r.Light.Still)
	if r.Light.Budget > 0 {
		light += fmt.Sprintf(", of %.2f h that you allow", r.Light.Budget)
	}
	if r.Light.Over {
		light += ": too much"
	}
	line("Light", "%s; the longest bright picture stands for %s", light, clockText(r.Light.Longest))
	line("Heat", "%.2f h of a full screen of white", r.Light.Heat)
	if r.Flashing != "" {
		line("Flashes", "%s", r.Flashing)
	}
	for _, u := range r.Untold {
		line("Untold", "%s", u)
	}
	if s := r.Surprise; s != nil {
		line("Fails", "after %s, at step %d: %s", clockText(s.Seconds), s.Step, s.Error)
		if s.Hint != "" {
			line("", "%s", s.Hint)
		}
	} else {
		line("Ends", "with %s", countOf(r.Values, "value"))
	}
	_, err := io.WriteString(out, b.String())
	return err
}

func countOf(n int, what string) string {
	many := map[string]string{"patch": "patches"}[what]
	if many == "" {
		many = what + "s"
	}
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %s", n, many)
}

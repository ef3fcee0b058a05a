package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/check"
	"candelua/engine/driver"
	"candelua/engine/driver/scripted"
	"candelua/engine/fault"
	"candelua/engine/plain"
	"candelua/engine/procedure"
	"candelua/engine/rehearse"
	"candelua/engine/sim"
	"candelua/engine/trial"
	"candelua/scripts"
)

// checker is what checks scripts, with all that they can name.
func checker() *check.Checker {
	return &check.Checker{Modules: builtins.Modules(), Shipped: scripts.Files, Kinds: map[string]check.Kind{
		"trial": {Plan: trial.Plan(), Truths: sim.TruthNames(), Names: map[string][]string{"trial": nil}, Load: func(ctx context.Context, file string, src []byte) error {
			t, err := trial.Parse(ctx, file, src, filepath.Dir(file))
			if err != nil {
				return err
			}
			return (&trial.Runner{Worlds: simulatedWorlds}).Names(t)
		}},
		"driver": {Plan: scripted.Plan(), Names: scripted.Names(), Link: scripted.LinkNames(), Exchanges: exchanges(), Load: func(ctx context.Context, file string, src []byte) error {
			_, err := scripted.Load(ctx, file, src)
			return err
		}},
	}}
}

// exchanges are what the functions of a driver are asked and may answer.
func exchanges() map[string]check.Exchange {
	all := map[string]check.Exchange{}
	for _, m := range driver.Messages {
		asked, answered, must := scripted.Fields(m)
		all[string(m.Verb)] = check.Exchange{Asked: asked, Answered: answered, Wanted: must}
	}
	return all
}

// errFound is a file in which something was found.
var errFound = errors.New("something was found")

type checkFlags struct {
	json, names, run bool
	seeds            int
	world            string
}

func (a *app) checkCommand() *cobra.Command {
	f := &checkFlags{}
	cmd := &cobra.Command{
		Use:   "check FILE…",
		Short: "find mistakes in scripts without running them",
		Long: `Check scripts: procedures, trials, drivers and libraries. FILE is a Lua file by
its path, or a shipped procedure by its name. Nothing is measured and no
instrument is touched.

Each finding is on one line: file, line, column, level, what is wrong, and the
name of the finding. The line below says what to write. An error would end or
spoil a run, a warning probably would, a hint need not.

With --run each procedure is also executed on the simulated bench, which takes a
second or two. That shows where it fails, a reading before any patch, flashes,
and long or very bright pictures without a caution. It is then executed again
100 times on readings that are off by up to 35 %: steps that are others then
hang on a reading without run.decide. --seeds 20 executes it with other noise,
too, and says which values scatter more than their uncertainties state.

Where something is as you want it, a comment silences the finding by its name,
and says why. It is for its own line or, alone on a line, for the next one:

  -- as meant, never-read: the first reading only warms the meter up

Exit status:
  0  nothing was found, or only hints
  1  an error or a warning was found
  2  wrong use`,
		Example: `  candelua check ./my-procedure.lua
  candelua check ./my-procedure.lua ./my-trial.lua --json
  candelua check ./my-procedure.lua --run --seeds 20
  candelua check --names`,
		ValidArgsFunction: completeProcedures,
		RunE: func(cmd *cobra.Command, args []string) error {
			if f.names {
				return printFindingNames(cmd.OutOrStdout())
			}
			if len(args) == 0 {
				return wrongFlag(cmd, "candelua check takes at least one FILE; none is given")
			}
			return a.check(cmd, args, f)
		},
	}
	flags := cmd.Flags()
	flags.BoolVar(&f.json, "json", false, "print one JSON object")
	flags.BoolVar(&f.run, "run", false, "also execute each procedure on the simulated bench")
	flags.IntVar(&f.seeds, "seeds", 0, "with --run, compare the scatter of the values over\n`N` runs with their uncertainties; 0: do not")
	flags.StringVar(&f.world, "world", "default", "with --run, choose the simulated unit: `WORLD` is a\nname or a file (see candelua world)")
	flags.BoolVar(&f.names, "names", false, "list the names of all findings")
	return cmd
}

func printFindingNames(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	for _, name := range check.Names() {
		fmt.Fprintf(t, "%s\t%s\n", name, check.About[name])
	}
	return t.Flush()
}

// checked is the report of a check, as JSON.
type checked struct {
	Files    []string        `json:"files"`
	Findings []check.Finding `json:"findings"`
}

func (a *app) check(cmd *cobra.Command, names []string, f *checkFlags) error {
	if f.seeds != 0 && (!f.run || f.seeds < leastSeeds || f.seeds > mostSeeds) {
		return wrongFlag(cmd, "--seeds is %d; it must be %d to %d, beside --run", f.seeds, leastSeeds, mostSeeds)
	}
	all := checked{Files: []string{}, Findings: []check.Finding{}}
	k := checker()
	for _, name := range names {
		p, err := procedure.Find(name, scripts.Files)
		if err != nil {
			return err
		}
		file := p.Origin
		if !procedure.IsPath(name) {
			file = p.File
		}
		all.Files = append(all.Files, file)
		found := k.File(cmd.Context(), file, p)
		if f.run && !slices.ContainsFunc(found, check.Finding.Stops) {
			more, err := lookedAt(cmd, file, p, f)
			if err != nil {
				return err
			}
			found = join(found, more)
		}
		all.Findings = append(all.Findings, found...)
	}
	if err := printChecked(cmd.OutOrStdout(), all, f.json); err != nil {
		return err
	}
	for _, x := range all.Findings {
		if x.Counts() {
			return &exitError{statusFailed, errFound}
		}
	}
	return nil
}

// How many executions with other noise there can be: fewer say nothing of a scatter.
const (
	leastSeeds = 5
	mostSeeds  = 1000
	wildDraws  = 100
)

// lookedAt executes a procedure on the simulated bench; a trial, a driver or a library is not executed.
func lookedAt(cmd *cobra.Command, file string, p *procedure.Procedure, f *checkFlags) ([]check.Finding, error) {
	loaded, err := procedure.Load(cmd.Context(), p, builtins.Modules())
	if err != nil {
		return nil, nil // it is no procedure, or check said what is wrong
	}
	params, err := loaded.Contract.Values(nil)
	if err != nil {
		return nil, err
	}
	world, err := worldOf(f.world)
	if err != nil {
		return nil, fault.Usage(err)
	}
	on := rehearse.Target{Unit: bench.DefaultUnit(), World: world, Seed: 1, Ready: engine.Ready}
	return rehearse.Findings(cmd.Context(), file, loaded, params, on, rehearse.Looking{Wild: wildDraws, Seeds: f.seeds})
}

// join adds findings of an execution, without those that were made before.
func join(found, more []check.Finding) []check.Finding {
	for _, x := range more {
		if !slices.ContainsFunc(found, func(f check.Finding) bool { return f.Name == x.Name && f.File == x.File && f.Line == x.Line }) {
			found = append(found, x)
		}
	}
	return found
}

func printChecked(w io.Writer, all checked, asJSON bool) error {
	if asJSON {
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		return e.Encode(all)
	}
	var b strings.Builder
	for _, x := range all.Findings {
		fmt.Fprintln(&b, plain.Line(x.String()))
		if x.Suggest != "" {
			fmt.Fprintf(&b, "    %s\n", plain.Line(x.Suggest))
		}
	}
	if len(all.Findings) == 0 {
		fmt.Fprintf(&b, "Nothing was found in %s.\n", countOf(len(all.Files), "file"))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// warnBefore says on stderr what check finds in a procedure that is about to run, but for what ends the run at once anyway.
func (a *app) warnBefore(cmd *cobra.Command, p *procedure.Procedure) {
	if !procedure.IsPath(p.Origin) {
		return // a shipped one, in which tests find nothing
	}
	found := checker().File(cmd.Context(), p.Origin, p)
	if slices.ContainsFunc(found, check.Finding.Stops) {
		return
	}
	for _, x := range found {
		if x.Counts() {
			text := x.String()
			if x.Suggest != "" {
				text += ": " + x.Suggest
			}
			a.log.Warn(plain.Line(text))
		}
	}
}

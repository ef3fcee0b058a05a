package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine/check"
	"candelua/engine/driver/scripted"
	"candelua/engine/plain"
	"candelua/engine/procedure"
	"candelua/engine/trial"
	"candelua/scripts"
)

// checker is what checks scripts, with all that they can name.
func checker() *check.Checker {
	return &check.Checker{Modules: builtins.Modules(), Shipped: scripts.Files, Kinds: map[string]check.Kind{
		"trial": {Plan: trial.Plan(), Names: map[string][]string{"trial": nil}, Load: func(ctx context.Context, file string, src []byte) error {
			_, err := trial.Parse(ctx, file, src, "")
			return err
		}},
		"driver": {Plan: scripted.Plan(), Names: scripted.Names(), Load: func(ctx context.Context, file string, src []byte) error {
			_, err := scripted.Load(ctx, file, src)
			return err
		}},
	}}
}

// errFound is a file in which something was found.
var errFound = errors.New("something was found")

type checkFlags struct {
	json, names bool
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

Where something is as you want it, a comment silences the finding by its name,
and says why. It is for its own line or, alone on a line, for the next one:

  -- as meant, never-read: the first reading only warms the meter up

Exit status:
  0  nothing was found, or only hints
  1  an error or a warning was found
  2  wrong use`,
		Example: `  candelua check ./my-procedure.lua
  candelua check ./my-procedure.lua ./my-trial.lua --json
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
		all.Findings = append(all.Findings, k.File(cmd.Context(), file, p)...)
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

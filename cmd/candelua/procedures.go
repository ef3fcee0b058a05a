package main

import (
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/plain"
	"candelua/engine/procedure"
	"candelua/engine/script"
	"candelua/scripts"
)

type listed struct {
	Name   string `json:"name"`
	From   string `json:"from"`
	Title  string `json:"title,omitempty"`
	Broken string `json:"error,omitempty"`
}

func (a *app) proceduresCommand() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:     "procedures",
		Short:   "list the procedures and where each comes from",
		Long:    "List the shipped procedures, and the Lua files in the current folder that are\nprocedures.",
		Example: "  candelua procedures",
		Args:    arguments(cobra.NoArgs, "no arguments"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			all := a.procedures(cmd)
			if asJSON {
				return encode(cmd.OutOrStdout(), map[string]any{"procedures": all})
			}
			rows := make([][]string, len(all))
			for i, p := range all {
				rows[i] = []string{p.Name, p.From, p.Title + p.Broken}
			}
			return writeRows(cmd.OutOrStdout(), rows)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object, also on failure")
	return cmd
}

func (a *app) procedures(cmd *cobra.Command) []listed {
	all := []listed{}
	names := procedure.Shipped(scripts.Files)
	here, _ := filepath.Glob("*.lua")
	slices.Sort(here)
	for _, name := range append(names, here...) {
		p, err := procedure.Find(name, scripts.Files)
		if err != nil {
			all = append(all, listed{Name: name, Broken: err.Error()})
			continue
		}
		l := listed{Name: name, From: p.Origin}
		if p.Origin == name {
			l.From = "this folder"
		}
		loaded, err := procedure.Load(cmd.Context(), p, builtins.Modules())
		switch {
		case err == nil:
			l.Title = loaded.Contract.Title
		case !strings.HasSuffix(name, ".lua"):
			l.Broken = err.Error()
		default:
			continue // a Lua file, but no procedure
		}
		all = append(all, l)
	}
	return all
}

func (a *app) describeCommand() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:               "describe PROCEDURE",
		Short:             "show what a procedure measures and needs, and its parameters",
		Long:              "Show what a procedure measures, what it needs on the bench, how the unit must\nbe set, and which parameters can be set. Nothing is run.",
		Example:           "  candelua describe window-sweep",
		Args:              arguments(cobra.ExactArgs(1), "one PROCEDURE"),
		ValidArgsFunction: completeProcedures,
		RunE: func(cmd *cobra.Command, args []string) error {
			p, err := procedure.Find(args[0], scripts.Files)
			if err != nil {
				return err
			}
			loaded, err := procedure.Load(cmd.Context(), p, builtins.Modules())
			if err != nil {
				return notAProcedure(p, err)
			}
			if asJSON {
				return encode(cmd.OutOrStdout(), described{loaded.Contract, loaded.Cautions()})
			}
			describe(cmd.OutOrStdout(), p, loaded)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object, also on failure")
	return cmd
}

// described is what describe prints as JSON.
type described struct {
	*script.Contract
	Cautions []caution.Caution `json:"cautions,omitempty"`
}

func describe(w io.Writer, p *procedure.Procedure, loaded *procedure.Loaded) {
	c := loaded.Contract
	fmt.Fprintf(w, "%s (%s, %s)\n", plain.Line(c.Title), plain.Line(p.Name), plain.Line(p.Origin))
	paragraph(w, "", "", c.Purpose)
	if all := loaded.Cautions(); len(all) > 0 {
		fmt.Fprintln(w)
		showCautions(w, all)
	}
	if len(c.Needs) > 0 {
		paragraph(w, "\nNeeds: ", "       ", needsText(c))
	}
	if len(c.Settings) > 0 {
		fmt.Fprintln(w, "\nSettings to make on the unit, by hand or by its driver:")
		for _, name := range slices.Sorted(maps.Keys(c.Settings)) {
			fmt.Fprintf(w, "  %s: %s\n", plain.Line(name), plain.Line(settingText(c.Settings[name])))
		}
	}
	if len(c.Params) == 0 {
		fmt.Fprintln(w, "\nIt has no parameters.")
		return
	}
	fmt.Fprintln(w, "\nParameters of the procedure (give one with --set NAME=VALUE):")
	all := make([]entry, len(c.Params))
	for i := range c.Params {
		q := &c.Params[i]
		all[i] = entry{q.Name, q.Help, q.Want() + "; default " + defaultText(q) + formerText(q)}
	}
	entries(w, all)
}

// needsText says what devices a procedure needs, each by its name in a bench file, and what they
// must be able to do.
func needsText(c *script.Contract) string {
	parts := make([]string, len(c.Needs))
	for i, place := range c.Needs {
		what := map[string]string{
			"meter": "a meter", "reference": "a reference meter", "patches": "a source of patches",
			"unit": "the display under test, set and switched during the run", "rig": "a rig",
			"operator": "a person who answers questions",
		}[place]
		need := c.Needed[place]
		for i, word := range slices.Sorted(maps.Keys(need.Abilities)) {
			what += map[bool]string{true: " that ", false: ", "}[i == 0] + bench.DoesWords(place, word)
			switch wish := need.Abilities[word]; {
			case wish.Optional:
				what += " (only if it is asked to)"
			case wish.Names != nil:
				what += " (" + strings.Join(wish.Names, ", ") + ")"
			}
		}
		if need.Optional {
			what += ", if there is one"
		}
		parts[i] = strings.TrimSpace(what + " (" + place + ")")
	}
	return strings.Join(parts, "; ")
}

// settingText writes a setting as a unit's menu does.
func settingText(v any) string {
	switch v {
	case true:
		return "on"
	case false:
		return "off"
	}
	return fmt.Sprint(v)
}

// formerText lists the names that a parameter had before.
func formerText(q *script.Param) string {
	if len(q.Formerly) == 0 {
		return ""
	}
	return "; older name, still accepted: " + strings.Join(q.Formerly, ", ")
}

// defaultText writes a default as it would be given to --set, with its unit.
func defaultText(q *script.Param) string {
	text := ""
	switch x := q.Default.(type) {
	case []float64:
		parts := make([]string, len(x))
		for i, n := range x {
			parts[i] = fmt.Sprintf("%g", n)
		}
		text = strings.Join(parts, ",")
	case []string:
		text = strings.Join(x, ",")
	default:
		text = fmt.Sprint(x)
	}
	if text == "" {
		return "nothing"
	}
	return strings.TrimSpace(text + " " + q.Unit)
}

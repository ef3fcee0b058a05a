package main

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine"
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
		Short:   "list what procedures there are, and from where",
		Long:    "List the shipped procedures, and those among the Lua files of the current folder.",
		Example: "  candelua procedures",
		Args:    arguments(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			all := a.procedures(cmd)
			if asJSON {
				return encode(cmd.OutOrStdout(), all)
			}
			w := tabwriter.NewWriter(cmd.OutOrStdout(), 0, 4, 2, ' ', 0)
			for _, p := range all {
				fmt.Fprintf(w, "%s\t%s\t%s\n", p.Name, p.From, p.Title+p.Broken)
			}
			return w.Flush()
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return cmd
}

func (a *app) procedures(cmd *cobra.Command) []listed {
	all := []listed{}
	names := engine.Shipped(scripts.Files)
	here, _ := filepath.Glob("*.lua")
	slices.Sort(here)
	for _, name := range append(names, here...) {
		p, err := engine.FindProcedure(name, scripts.Files)
		if err != nil {
			all = append(all, listed{Name: name, Broken: err.Error()})
			continue
		}
		l := listed{Name: name, From: p.Origin}
		if p.Origin == name {
			l.From = "this folder"
		}
		c, err := engine.Describe(cmd.Context(), p, builtins.Modules())
		switch {
		case err == nil:
			l.Title = c.Title
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
		Short:             "show a procedure's contract",
		Long:              "Show what a procedure is for, what it needs, requires and takes. Nothing is run.",
		Example:           "  candelua describe window-sweep",
		Args:              arguments(cobra.ExactArgs(1)),
		ValidArgsFunction: completeProcedures,
		RunE: func(cmd *cobra.Command, args []string) error {
			p, err := engine.FindProcedure(args[0], scripts.Files)
			if err != nil {
				return err
			}
			c, err := engine.Describe(cmd.Context(), p, builtins.Modules())
			if err != nil {
				return err
			}
			if asJSON {
				return encode(cmd.OutOrStdout(), c)
			}
			describe(cmd.OutOrStdout(), p, c)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return cmd
}

func describe(w io.Writer, p *engine.Procedure, c *script.Contract) {
	fmt.Fprintf(w, "%s (%s)\n%s\n%s\n", c.Title, p.Name, c.Purpose, "from: "+p.Origin)
	if c.Caution != "" {
		fmt.Fprintf(w, "\nCAUTION: %s\n", c.Caution)
	}
	if len(c.Needs) > 0 {
		fmt.Fprintf(w, "\nneeds: %s\n", strings.Join(c.Needs, ", "))
	}
	if len(c.Settings) > 0 {
		fmt.Fprintln(w, "\nsettings that the unit must have:")
		names := make([]string, 0, len(c.Settings))
		for n := range c.Settings {
			names = append(names, n)
		}
		slices.Sort(names)
		for _, n := range names {
			fmt.Fprintf(w, "  %s: %v\n", n, c.Settings[n])
		}
	}
	if len(c.Params) == 0 {
		return
	}
	fmt.Fprintln(w, "\nparameters (--set name=value):")
	t := tabwriter.NewWriter(w, 2, 4, 2, ' ', 0)
	for i := range c.Params {
		q := &c.Params[i]
		fmt.Fprintf(t, "  %s\t= %s\t%s\t%s\n", q.Name, defaultText(q.Default), q.Want(), q.Help)
	}
	t.Flush()
}

func defaultText(x any) string {
	switch x := x.(type) {
	case []float64:
		parts := make([]string, len(x))
		for i, n := range x {
			parts[i] = fmt.Sprintf("%g", n)
		}
		return strings.Join(parts, ",")
	case []string:
		return strings.Join(x, ",")
	}
	return fmt.Sprint(x)
}

func encode(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine/script"
)

func (a *app) apiCommand() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "api [NAME]",
		Short: "list what scripts can call",
		Long:  "List the modules and functions that scripts can call, from their declarations. NAME is a module or a function.",
		Example: `  candelua api
  candelua api meter
  candelua api meter.read`,
		Args: arguments(cobra.MaximumNArgs(1)),
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return apiNames(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			name := ""
			if len(args) == 1 {
				name = args[0]
			}
			modules, docs := apiOf(name)
			if len(docs) == 0 {
				return &flagError{fmt.Errorf("there is no module or function %q; candelua api lists them", name)}
			}
			if asJSON {
				return encode(cmd.OutOrStdout(), docs)
			}
			if len(docs) == 1 && docs[0].Name == name {
				printDoc(cmd.OutOrStdout(), docs[0])
				return nil
			}
			return printModules(cmd.OutOrStdout(), modules)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return cmd
}

func apiNames() []string {
	var names []string
	for _, m := range builtins.Modules() {
		names = append(names, m.Name)
		for _, f := range m.Funcs {
			names = append(names, f.Name)
		}
	}
	return names
}

// apiOf finds modules and functions by name; an empty one finds all.
func apiOf(name string) (modules []*script.Module, docs []script.Doc) {
	for _, m := range builtins.Modules() {
		whole := name == "" || m.Name == name
		if whole {
			modules = append(modules, m)
		}
		for _, f := range m.Funcs {
			if whole || f.Name == name {
				docs = append(docs, f.Doc())
			}
		}
	}
	return modules, docs
}

func printModules(w io.Writer, modules []*script.Module) error {
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	for i, m := range modules {
		if i > 0 {
			fmt.Fprintln(t)
		}
		fmt.Fprintf(t, "%s: %s\n", m.Name, m.Help)
		for _, k := range m.Consts {
			fmt.Fprintf(t, "  %s.%s\t\t%s\n", m.Name, k.Name, k.Help)
		}
		for _, f := range m.Funcs {
			fmt.Fprintf(t, "  %s\t%s\t%s\n", f.Doc().Name, f.Class, f.Help)
		}
	}
	return t.Flush()
}

func printDoc(w io.Writer, d script.Doc) {
	fmt.Fprintf(w, "%s\n\n  %s (%s)\n", d.Signature(), d.Help, d.Class)
	if len(d.Args) > 0 {
		fmt.Fprintln(w, "\narguments:")
		t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
		for _, a := range d.Args {
			note := ""
			switch {
			case a.Default != "":
				note = "default " + a.Default
			case a.Required:
				note = "required"
			}
			fmt.Fprintf(t, "  %s\t%s\t%s\t%s\n", a.Name, a.Want, note, a.Help)
		}
		t.Flush()
	}
	if d.Gives != "" {
		fmt.Fprintf(w, "\ngives %s\n", d.Gives)
	}
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	for _, f := range d.Fields {
		fmt.Fprintf(t, "  %s\t%s\t%s\n", f.Name, f.Unit, f.Help)
	}
	t.Flush()
	if d.Class == script.ClassStep {
		fmt.Fprintln(w, "\nEach call is a step: it is recorded, and answered from the record when the run is resumed or replayed.")
	}
}

package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine/caution"
	"candelua/engine/script"
)

func (a *app) apiCommand() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "api [NAME]",
		Short: "list the functions that scripts can call",
		Long: `List the modules and functions that scripts can call. With the NAME of a module,
list its functions. With the NAME of a function, show its arguments and what it
returns. With bench or driver, show how such a file is
written. Each function is of one kind:

  step    asks something of the bench; the answer is recorded, and comes from
          the record when the run is resumed or replayed
  output  writes a result
  scope   calls a function of the script, or takes steps of its own
  pure    computes from its arguments
  value   is no function: it is read without a call`,
		Example: `  candelua api
  candelua api meter
  candelua api meter.read
  candelua api bench`,
		Args: arguments(cobra.MaximumNArgs(1), "at most one NAME"),
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
			if page := apiPage(name); page != "" {
				if asJSON {
					return encode(cmd.OutOrStdout(), map[string]any{"page": page})
				}
				_, err := io.WriteString(cmd.OutOrStdout(), page)
				return err
			}
			modules, docs := apiOf(name)
			if len(docs) == 0 && len(modules) == 0 {
				return noSuchName(name)
			}
			if asJSON {
				return encode(cmd.OutOrStdout(), map[string]any{"functions": docs, "values": valuesOf(modules)})
			}
			if len(docs) == 1 && docs[0].Name == name {
				printDoc(cmd.OutOrStdout(), docs[0])
				return nil
			}
			if err := printModules(cmd.OutOrStdout(), modules); err != nil || name != "" {
				return err
			}
			printLimits(cmd.OutOrStdout())
			fmt.Fprintln(cmd.OutOrStdout(), "\nPages, such as candelua api bench:")
			for _, p := range apiPages {
				fmt.Fprintf(cmd.OutOrStdout(), "  %s: %s\n", p.name, p.help)
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object, also on failure")
	return cmd
}

func noSuchName(name string) error {
	tip := orWord(name, apiNames(), "candelua api lists all names")
	if _, last, dotted := strings.Cut(name, "."); dotted {
		for _, known := range apiNames() {
			if strings.HasSuffix(known, "."+last) {
				tip = fmt.Sprintf("did you mean %s?", known)
			}
		}
	}
	return &flagError{fmt.Errorf("there is no module, function or value %q", name), tip}
}

func apiNames() []string {
	var names []string
	for _, p := range apiPages {
		names = append(names, p.name)
	}
	for _, m := range builtins.Modules() {
		names = append(names, m.Name)
		for _, k := range m.Consts {
			names = append(names, m.Name+"."+k.Name)
		}
		for _, f := range m.Shown() {
			names = append(names, f.Name)
		}
	}
	return names
}

// apiOf finds modules, functions and values by name; an empty one finds all. A
// value comes in its module, alone.
func apiOf(name string) (modules []*script.Module, docs []script.Doc) {
	docs = []script.Doc{}
	for _, m := range builtins.Modules() {
		whole := name == "" || m.Name == name
		if whole {
			modules = append(modules, m)
		}
		for _, k := range m.Consts {
			if m.Name+"."+k.Name == name {
				modules = append(modules, &script.Module{Name: m.Name, Help: m.Help, Consts: []script.Const{k}})
			}
		}
		for _, f := range m.Funcs {
			if whole && !f.IsHidden() || f.Name == name {
				docs = append(docs, f.Doc())
			}
		}
	}
	return modules, docs
}

// valuesOf lists what modules hold beside their functions.
func valuesOf(modules []*script.Module) []script.FieldDoc {
	values := []script.FieldDoc{}
	for _, m := range modules {
		for _, k := range m.Consts {
			values = append(values, script.FieldDoc{Name: m.Name + "." + k.Name, Help: k.Help})
		}
	}
	return values
}

func printModules(w io.Writer, modules []*script.Module) error {
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	for i, m := range modules {
		if i > 0 {
			fmt.Fprintln(t)
		}
		fmt.Fprintf(t, "%s: %s\n", m.Name, m.Help)
		for _, k := range m.Consts {
			fmt.Fprintf(t, "  %s.%s\tvalue\t%s\n", m.Name, k.Name, k.Help)
		}
		for _, f := range m.Shown() {
			fmt.Fprintf(t, "  %s\t%s\t%s\n", f.Doc().Name, f.Class, f.Help)
		}
	}
	return t.Flush()
}

// printLimits prints what a script may hand over.
func printLimits(w io.Writer) {
	fmt.Fprintln(w, "\nThe most that a script may hand over. A text or a table counts each time that it is given:")
	for _, l := range script.Limits() {
		fmt.Fprintf(w, "  %8d %s %s\n", l.Most, l.Unit, l.Of)
	}
}

func printDoc(w io.Writer, d script.Doc) {
	paragraph(w, "", "    ", d.Signature())
	fmt.Fprintln(w)
	paragraph(w, "  ", "  ", d.Help)
	if d.Class == script.ClassStep {
		fmt.Fprintln(w)
		paragraph(w, "  ", "  ", "Each call is a step: its answer is recorded, and comes from the record when the run is resumed or replayed.")
	}
	if all := caution.OfCall(d.Name); len(all) > 0 {
		fmt.Fprintln(w)
		showCautions(w, all)
	}
	if len(d.Args) > 0 {
		fmt.Fprintln(w, "\nArguments:")
		all := make([]entry, len(d.Args))
		for i := range d.Args {
			all[i] = entry{d.Args[i].Name, d.Args[i].Help, argumentText(&d.Args[i])}
		}
		entries(w, all)
	}
	if d.Gives == "" {
		return
	}
	if len(d.Fields) == 0 {
		fmt.Fprintf(w, "\nReturns %s.\n", d.Gives)
		return
	}
	fmt.Fprintf(w, "\nReturns %s, with the fields:\n", d.Gives)
	all := make([]entry, len(d.Fields))
	for i, f := range d.Fields {
		all[i] = entry{name: f.Name, help: fieldText(f)}
	}
	entries(w, all)
}

// argumentText says what an argument may be, and its default.
func argumentText(a *script.ArgDoc) string {
	switch {
	case a.Default != "":
		return a.Want + "; default " + a.Default
	case a.Required:
		return a.Want + "; required"
	}
	return a.Want
}

func fieldText(f script.FieldDoc) string {
	if f.Unit == "" || f.Help == "" {
		return f.Help + f.Unit
	}
	what, more, is := strings.Cut(f.Help, "; ")
	if is {
		more = "; " + more
	}
	return what + ", in " + f.Unit + more
}

package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"candelua/builtins"
	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/script"
)

// printProcedurePage prints what a procedure states of itself, from what checks it.
func printProcedurePage(w io.Writer) {
	fmt.Fprint(w, `A procedure is a Lua file that returns procedure { … }. The table states what the
procedure is, what it needs, and what it does; run does the work:

  return procedure {
    title    = "White",
    purpose  = "Luminance of a small white window.",
    needs    = { meter = {}, patches = {} },
    settings = { brightness = "maximum" },
    params   = { window = { default = 10, unit = "%", min = 1, max = 100 } },
    run = function(p)
      patches.show { grey = 1, window = p.window }
      record.value { name = "White luminance", value = meter.measure {} }
    end,
  }

Fields of procedure:
`)
	printDeclared(w, script.ContractPlan())
	fmt.Fprint(w, "\nFields of each of params. p in run has their values by name, as p.window:\n")
	printDeclared(w, script.ParamPlan())
	fmt.Fprintln(w)
	paragraph(w, "", "", "The default decides the kind of a parameter: a number, a text, true or false, a list of numbers or a list of texts. min, max and whole are for "+
		"numbers and lists of numbers, one_of for texts and lists of texts. A value that does not fit is refused before anything is shown.")
	fmt.Fprint(w, "\nWords of needs, by device. A device that is not needed cannot be used:\n")
	printNeeds(w)
	fmt.Fprintln(w)
	paragraph(w, "", "", `In place of true, "optional" says that the procedure does without. needs = { rig = { optional = true } } says so of a whole device. `+
		"Where a word has names, as lamps have, a list of them can be given: they must be on the bench.")
	fmt.Fprintln(w)
	paragraph(w, "", "", "Settings are set before run begins, and put back when the run is resumed. Roles are found on any unit; a unit file says which control has which. "+
		"A simulated unit has the controls of its world, and one of a role that the world has no effect for changes no light.")
}

// printDeclared prints the fields of a table that a file declares.
func printDeclared(w io.Writer, p *declare.Plan) {
	docs := script.ArgDocs(p)
	all := make([]entry, len(docs))
	for i := range docs {
		all[i] = entry{docs[i].Name, docs[i].Help, argumentText(&docs[i])}
	}
	entries(w, all)
}

// printNeeds prints each device, the steps that speak to it, and the words for what it must be able to do.
func printNeeds(w io.Writer) {
	steps := map[string][]string{}
	for _, m := range builtins.Modules() {
		for _, f := range m.Shown() {
			if f.Class == script.ClassStep {
				steps[f.Device()] = append(steps[f.Device()], f.Name)
			}
		}
	}
	for _, place := range script.Devices() {
		help := bench.DeviceWords(place)
		if place == string(bench.KindReference) {
			help += `, for the steps of meter.named("reference")`
		}
		if all := steps[place]; len(all) > 0 {
			slices.Sort(all)
			help += ", for " + strings.Join(all, ", ")
		}
		paragraph(w, "  ", "      ", place+" = {}: "+help)
		for _, word := range bench.NeedWords(place) {
			paragraph(w, "      ", "          ", word+" = true: it "+bench.Does(place, word))
		}
	}
}

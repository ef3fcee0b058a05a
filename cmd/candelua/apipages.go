package main

import (
	_ "embed"
	"fmt"
	"io"
	"reflect"
	"strings"

	"candelua/engine/driver"
	"candelua/engine/driver/scripted"
)

//go:embed pages/bench.txt
var benchPage string

//go:embed pages/unit.txt
var unitPage string

//go:embed pages/driver.txt
var driverPage string

// apiPages are what candelua api shows besides modules and functions.
var apiPages = []struct {
	name, help string
	print      func(io.Writer)
}{
	{"procedure", "what a procedure states: its fields, parameters, needs and settings", printProcedurePage},
	{"bench", "the file that says which instruments are on the bench", printBenchPage},
	{"unit", "the file that says what the display under test is", func(w io.Writer) { fmt.Fprint(w, unitPage) }},
	{"driver", "the Lua file that makes an instrument speak", printDriverPage},
}

// apiPage is the page of a name, empty where there is none.
func apiPage(name string) string {
	var text strings.Builder
	for _, p := range apiPages {
		if p.name == name {
			p.print(&text)
		}
	}
	return text.String()
}

func printBenchPage(w io.Writer) {
	fmt.Fprint(w, benchPage)
	printMessages(w)
}

func printDriverPage(w io.Writer) {
	fmt.Fprint(w, driverPage)
	for _, d := range scripted.Reference() {
		paragraph(w, "", "    ", d.Signature())
		paragraph(w, "  ", "  ", d.Help)
		var all []entry
		for i := range d.Args {
			all = append(all, entry{d.Args[i].Name, d.Args[i].Help, argumentText(&d.Args[i])})
		}
		entries(w, all)
		fmt.Fprintln(w)
	}
	printMessages(w)
}

// printMessages prints what instruments are asked for, and what they answer.
func printMessages(w io.Writer) {
	for i, m := range driver.Messages {
		if i > 0 {
			fmt.Fprintln(w)
		}
		var places []string
		for _, k := range m.Kinds {
			places = append(places, string(k))
		}
		fmt.Fprintf(w, "%s (%s): %s\n", m.Verb, strings.Join(places, ", "), m.Help)
		printFields(w, "asked", m.Ask)
		printFields(w, "answer", m.Answer)
	}
}

func printFields(w io.Writer, what string, t reflect.Type) {
	if t.NumField() == 0 {
		return
	}
	fmt.Fprintf(w, "  %s:\n", what)
	var all []entry
	for i := range t.NumField() {
		tag := t.Field(i).Tag
		help := tag.Get("help")
		if unit := tag.Get("unit"); unit != "" {
			help += ", in " + unit
		}
		if words := tag.Get("one_of"); words != "" {
			help += "; " + strings.ReplaceAll(words, "|", " or ")
		}
		all = append(all, entry{name: tag.Get("lua"), help: help})
	}
	entries(w, all)
}

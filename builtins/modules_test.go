package builtins

import (
	"regexp"
	"strings"
	"testing"
	"unicode"

	"candelua/engine/script"
)

// Each declaration is a page of the reference: it must read as one.
func TestDeclarationsRead(t *testing.T) {
	name := regexp.MustCompile(`^[a-z][a-z0-9_]*[.:][a-z][a-z0-9_]*$`)
	seen := map[string]bool{}
	help := func(where, text string) {
		if text == "" || strings.HasSuffix(text, ".") || unicode.IsUpper(rune(text[0])) && !strings.HasPrefix(text, strings.ToUpper(strings.Fields(text)[0])) {
			t.Errorf("%s: help is %q", where, text)
		}
	}
	for _, m := range Modules() {
		if m.Help == "" {
			t.Errorf("%s has no help", m.Name)
		}
		for _, k := range m.Consts {
			help(m.Name+"."+k.Name, k.Help)
		}
		for _, f := range m.Funcs {
			d := f.Doc()
			if seen[f.Name] || !name.MatchString(f.Name) {
				t.Errorf("%s is declared twice, or no good name", f.Name)
			}
			seen[f.Name] = true
			help(f.Name, f.Help)
			for _, a := range d.Args {
				if a.Name != "luminance" { // which says it all
					help(f.Name+": "+a.Name, a.Help)
				}
				if strings.Contains(a.Want, "args") || strings.Contains(a.Want, "builtins.") || strings.Contains(a.Want, "interface") || a.Want == "a plain value" && a.Place == 0 {
					t.Errorf("%s: %s wants %q", f.Name, a.Name, a.Want)
				}
			}
			for _, field := range d.Fields {
				help(f.Name+" gives "+field.Name, field.Help)
			}
			if strings.Contains(d.Gives, "[]") || strings.Contains(d.Gives, "*") {
				t.Errorf("%s gives %q", f.Name, d.Gives)
			}
		}
	}
	if len(seen) < 30 {
		t.Errorf("only %d functions are declared", len(seen))
	}
}

func TestClasses(t *testing.T) {
	want := map[string]script.Class{
		"meter.read": script.ClassStep, "meter.settle": script.ClassStep, "meter.about": script.ClassPure, "patches.show": script.ClassStep,
		"unit.set": script.ClassStep, "operator.ask": script.ClassStep, "clock.wait": script.ClassStep, "clock.now": script.ClassPure,
		"clock.every": script.ClassScope, "run.part": script.ClassScope, "run.unbroken": script.ClassScope, "run.decide": script.ClassStep,
		"run.shuffle": script.ClassPure, "record.value": script.ClassOutput, "record.note": script.ClassOutput, "table:add": script.ClassOutput,
		"table:at": script.ClassPure, "stats.mean": script.ClassPure, "colour.delta_uv": script.ClassPure,
	}
	for _, m := range Modules() {
		for _, f := range m.Funcs {
			if class, ok := want[f.Name]; ok && f.Class != class {
				t.Errorf("%s is a %s, want %s", f.Name, f.Class, class)
			}
			delete(want, f.Name)
		}
	}
	for name := range want {
		t.Errorf("%s is not declared", name)
	}
}

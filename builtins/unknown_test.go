package builtins

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"candelua/engine/script"
)

// insideNames are the bare names of all that modules and objects hold, each with what a script
// writes for it.
func insideNames() map[string][]string {
	names := map[string][]string{}
	add := func(full string) {
		bare := full[strings.IndexAny(full, ".:")+1:]
		names[bare] = append(names[bare], full)
	}
	for _, m := range Modules() {
		for _, k := range m.Consts {
			add(m.Name + "." + k.Name)
		}
		for _, f := range m.Shown() {
			add(f.Name)
		}
	}
	return names
}

// reading returns what a script is told of each of the names when it reads it as a global, in one execution
// that catches the errors. The names that are globals of Lua, or read as nil, are left out.
func reading(t *testing.T, rules int, names []string) map[string]string {
	t.Helper()
	var b strings.Builder
	b.WriteString("return procedure { title = 't', purpose = 'p', needs = {}, run = function()\n")
	for _, n := range names {
		fmt.Fprintf(&b, "do local ok, e = pcall(function() return _G[%q] end) if not ok then print(%q, e) end end\n", n, n)
		b.WriteString("clock.wait(1)\n") // a search for a name takes a share of the budget
	}
	b.WriteString("end }")
	r := newRig()
	r.rules = rules
	program, err := script.CompileBy(rules, "test.lua", []byte(b.String()), nil, Modules())
	if err != nil {
		t.Fatal(err)
	}
	rt, err := program.Start(t.Context(), r.host())
	if err != nil {
		t.Fatal(err)
	}
	defer rt.Close()
	if err := rt.Run(nil); err != nil {
		t.Fatal(err)
	}
	told := map[string]string{}
	for line := range strings.Lines(r.printed.String()) {
		name, message, _ := strings.Cut(strings.TrimSpace(line), "\t")
		told[name] = message
	}
	return told
}

// TestBareNamesAreHinted: whoever writes the bare name of anything inside of a module is told where it is.
func TestBareNamesAreHinted(t *testing.T) {
	inside := insideNames()
	var names []string
	for n := range inside {
		names = append(names, n)
	}
	slices.Sort(names)
	told := reading(t, 0, names)
	for _, n := range names {
		message, unknown := told[n]
		for _, full := range inside[n] {
			if unknown && !strings.Contains(message, "'"+full+"'") {
				t.Errorf("%s: %q does not name %s", n, message, full)
			}
		}
	}
	if len(told) < len(names)*9/10 {
		t.Errorf("only %d of %d names are unknown", len(told), len(names))
	}
	for _, n := range []string{"cct", "wait"} {
		if told[n] == "" {
			t.Errorf("nothing is told of %s", n)
		}
	}
}

// TestModulesWithOneEdit: whoever misspells a module's name by one letter, its case or its plural is told its name.
func TestModulesWithOneEdit(t *testing.T) {
	meant := map[string][]string{}
	for _, m := range Modules() {
		for _, wrong := range append(oneEdit(m.Name), strings.ToUpper(m.Name), strings.TrimSuffix(m.Name, "es")) {
			if wrong != m.Name {
				meant[wrong] = append(meant[wrong], m.Name)
			}
		}
	}
	var names []string
	for n := range meant {
		names = append(names, n)
	}
	slices.Sort(names)
	told := reading(t, 0, names)
	for _, n := range names {
		for _, m := range meant[n] {
			if message, unknown := told[n]; unknown && !strings.Contains(message, "'"+m+"'") {
				t.Errorf("%s: %q does not name %s", n, message, m)
			}
		}
	}
	if len(told) < len(names)*9/10 {
		t.Errorf("only %d of %d names are unknown", len(told), len(names))
	}
}

// oneEdit are misspellings of a word: a letter is dropped, doubled, swapped with its neighbour, or another one.
func oneEdit(word string) (wrong []string) {
	for i := range word {
		wrong = append(wrong, word[:i]+word[i+1:], word[:i]+"q"+word[i:], word[:i]+"z"+word[i+1:], word[:i]+word[i:i+1]+word[i:])
		if i > 0 {
			wrong = append(wrong, word[:i-1]+word[i:i+1]+word[i-1:i]+word[i+1:])
		}
	}
	return wrong
}

// TestOlderHintsStay: a script of older rules reads the same errors as it did.
func TestOlderHintsStay(t *testing.T) {
	told := reading(t, 3, []string{"cct", "wait", "patch", "metre", "run_", "zzzzz"})
	for name, want := range map[string]string{
		"cct": "a variable needs a value before it is read", "wait": "a variable needs a value before it is read",
		"patch": "a variable needs a value before it is read", "zzzzz": "a variable needs a value before it is read",
		"run_": "did you mean 'run'?",
	} {
		if !strings.HasSuffix(told[name], "unknown name '"+name+"'; "+want) {
			t.Errorf("%s: got %q, want …%q", name, told[name], want)
		}
	}
}

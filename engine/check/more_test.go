package check_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine/check"
	"candelua/engine/procedure"
	"candelua/engine/script"
	"candelua/testdata/campaign"
)

// procedureOf is a procedure whose run has these lines.
func procedureOf(lines string) string {
	return "return procedure {\n  title = 't', purpose = 'p', needs = { meter = {}, patches = {} },\n  run = function()\n" + lines +
		"\n    record.value { name = 'n', value = 1, unit = '' }\n  end,\n}\n"
}

func has(all []check.Finding, name string) bool {
	for _, f := range all {
		if f.Name == name {
			return true
		}
	}
	return false
}

// Of each builtin there is, a misspelt name is found, and so is a misspelt argument of each that has names for them; no builtin needs a line in
// this package.
func TestEachBuiltinIsKnown(t *testing.T) {
	byName := map[string]*script.Func{}
	var names []string
	for _, m := range builtins.Modules() {
		for _, f := range m.Shown() {
			if f.Object() == nil {
				byName[f.Name], names = f, append(names, f.Name)
			}
		}
	}
	for _, name := range campaign.Some(t, names, 40) {
		f := byName[name]
		if all := text(t, procedureOf("    local x = "+f.Name+"q()\n    print(x)")); !has(all, "no-such-function") {
			t.Errorf("%sq is not found: %v", f.Name, all)
		}
		if all := text(t, procedureOf("    local x = "+f.Name+"\n    print(x)")); len(all) > 0 {
			t.Errorf("%s alone: %v", f.Name, all)
		}
		plan := f.Plan()
		for i := range plan.Fields {
			name := plan.Fields[i].Name
			if len(plan.Positional) > 0 || plan.Rest >= 0 || name == "*" {
				continue
			}
			if all := text(t, procedureOf(fmt.Sprintf("    local x = %s { %sq = 1 }\n    print(x)", f.Name, name))); !has(all, "no-such-argument") {
				t.Errorf("%s { %sq = 1 } is not found: %v", f.Name, name, all)
			}
		}
	}
}

// Each field that is declared of a reading is there, and a misspelt one is not.
func TestEachFieldIsKnown(t *testing.T) {
	for _, m := range builtins.Modules() {
		for _, f := range m.Shown() {
			if f.Name != "meter.measure" {
				continue
			}
			for _, d := range f.Doc().Fields {
				lines := "    patches.show { grey = 1 }\n    local r = meter.measure {}\n    print(r." + d.Name
				if all := text(t, procedureOf(lines+")")); len(all) > 0 {
					t.Errorf("%s: %v", d.Name, all)
				}
				if all := text(t, procedureOf(lines+"q)")); !has(all, "no-such-field") {
					t.Errorf("%sq is not found: %v", d.Name, all)
				}
			}
			return
		}
	}
	t.Fatal("meter.measure is not there")
}

// What other languages and versions write, with the word that the suggestion must have (the reference manuals of Lua 5.1, 5.3 and 5.4).
var foreign = []struct{ line, want string }{
	{"local a = 7 // 2", "math.floor"}, {"// a comment", "--"}, {"/* a comment */", "--"}, {"# a comment", "--"},
	{"local a = 1 if a != 2 then a = 3 end", "~="}, {"local a = 1 a += 2", "a = a + "}, {"local t = {} t.x -= 2", "t.x = t.x - "}, {"local a = 1 a++", "+ 1"},
	{"for i = 1, 3 do continue end", "if not"}, {"local a = 10LL", "10"}, {"local a = 0x10ULL", "0x10"}, {"local a = 1_000", "1000"}, {"local a = 0b101", "tonumber"},
	{"local a = 6 & 3", "floor"}, {"local a = 6 | 3", "floor"}, {"local a = 1 << 3", "floor"}, {"local a = 8 >> 3", "floor"}, {"local a = ~5", "floor"},
	{"local a = true && false", "and"}, {"local a = true || false", "or"}, {"local a = !true", "not"}, {"local a = true ? 1 : 2", "and"},
	{"let a = 1", "local"}, {"var a = 1", "local"}, {"const a = 1", "local"}, {"local a <const> = 1", "leave it out"}, {"local a = 2 ** 3", "^"},
	{"local f = function(x) => x", "end"}, {"if (true) { print(1) }", "then"}, {"while (true) { print(1) }", "do"}, {"local a = 1 if a = 2 then end", "=="},
	{"if true then print(1) elif false then print(2) end", "elseif"}, {"try { print(1) }", "pcall"}, {"goto out ::out::", "if"},
}

func TestForeignDialect(t *testing.T) {
	for _, f := range foreign {
		all := text(t, procedureOf("    "+f.line))
		named := false
		for _, x := range all {
			named = named || (x.Name == "other-dialect" || x.Name == "not-lua") && x.Line == 4 && strings.Contains(x.Suggest, f.want)
		}
		if !named {
			t.Errorf("%s: no suggestion with %q: %v", f.line, f.want, all)
		}
	}
}

// A comment silences one finding by its name, with a reason, on its line or on the next one.
func TestSilence(t *testing.T) {
	const unused = "local first = 1"
	cases := []struct{ lines, want string }{
		{"    " + unused, "never-read"},
		{"    " + unused + " -- as meant, never-read: kept for later", ""},
		{"    -- as meant, never-read: kept for later\n    " + unused, ""},
		{"    -- as meant, never-read: kept for later\n\n    " + unused, "never-read silenced-nothing"},
		{"    " + unused + " -- as meant, never-read", "never-read silenced-without-reason"},
		{"    " + unused + " -- as meant, never-reed: why", "never-read silenced-nothing"},
		{"    " + unused + " -- as meant, made-global: why", "never-read silenced-nothing"},
		{"    print(1) -- as meant for later", "silenced-nothing"},
	}
	for _, c := range cases {
		var names []string
		for _, f := range text(t, procedureOf(c.lines)) {
			names = append(names, f.Name)
		}
		got := strings.Join(names, " ")
		for _, want := range strings.Fields(c.want) {
			if !strings.Contains(got, want) {
				t.Errorf("%s\n gives %q, want %q", c.lines, got, c.want)
			}
		}
		if len(names) != len(strings.Fields(c.want)) {
			t.Errorf("%s\n gives %q, want %q", c.lines, got, c.want)
		}
	}
}

// Spoilt scripts of all kinds are checked without a panic, and each finding has what it needs.
func TestSpoiltScripts(t *testing.T) {
	files := luaFiles(t, "../../scripts", "../../testdata/mistakes", "../../testdata/examples")
	k := checker()
	for n := range campaign.Of(t, 25, 3000) {
		r := rand.New(rand.NewPCG(uint64(n), 11))
		src, err := os.ReadFile(files[r.IntN(len(files))])
		if err != nil {
			t.Fatal(err)
		}
		words := strings.SplitAfter(string(src), " ")
		for range 1 + r.IntN(4) {
			i, j := r.IntN(len(words)), r.IntN(len(words))
			switch r.IntN(3) {
			case 0:
				words[i], words[j] = words[j], words[i]
			case 1:
				words[i] = ""
			default:
				words[i] = words[j]
			}
		}
		for _, f := range spoilt(t, k, strings.Join(words, "")) {
			if f.Line < 1 || f.Column < 1 || f.Text == "" || check.About[f.Name] == "" || strings.HasSuffix(f.Text, ".") {
				t.Fatalf("a finding is not whole: %+v", f)
			}
		}
	}
}

func spoilt(t *testing.T, k *check.Checker, src string) []check.Finding {
	defer func() {
		if r := recover(); r != nil {
			t.Fatalf("panic: %v\n%s", r, src)
		}
	}()
	return k.File(t.Context(), "t.lua", &procedure.Procedure{Name: "t", File: "t.lua", Source: []byte(src)})
}

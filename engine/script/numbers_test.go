package script

import (
	"strings"
	"testing"

	"candelua/engine/declare"
)

type looseArgs struct {
	X declare.Loose `lua:"x" pos:"1" want:"anything"`
}

type listedArgs struct {
	List []float64 `lua:"list" pos:"1" min:"0" help:"numbers"`
}

func numbersModule(got *any) *Module {
	return &Module{Name: "pack", Help: "Packed numbers.", Funcs: []*Func{
		Pure("pack.take", "looks", func(_ *Call, a looseArgs) (None, error) { *got = a.X; return None{}, nil }),
		Pure("pack.numbers", "packs", func(_ *Call, a listedArgs) (*declare.Numbers, error) { return declare.Pack(a.List), nil }),
		Pure("pack.sum", "adds", func(_ *Call, a listedArgs) (float64, error) {
			sum := 0.0
			for _, x := range a.List {
				sum += x
			}
			return sum, nil
		}),
		Pure("pack.any", "gives", func(*Call, None) (any, error) { return nil, nil }, Gives("a number, or a list")),
	}}
}

// A packed list stands where a list of numbers does, and objects stand in the
// tables that a loose argument takes.
func TestPackedNumbersAndLooseArguments(t *testing.T) {
	for body, check := range map[string]func(any) bool{
		"pack.take { 1, 2.5 }":             func(x any) bool { l, ok := x.([]float64); return ok && len(l) == 2 && l[1] == 2.5 },
		"pack.take { 1, 'a' }":             func(x any) bool { l, ok := x.([]any); return ok && l[1] == "a" },
		"pack.take { 1, 2, n = 3 }":        func(x any) bool { return false },
		"pack.take { pack.numbers { 1 } }": func(x any) bool { l, ok := x.([]any); return ok && l[0].(*declare.Numbers).N == 1 },
		"pack.take { a = { b = pack.numbers {} } }": func(x any) bool {
			m, ok := x.(map[string]any)
			return ok && m["a"].(map[string]any)["b"].(*declare.Numbers).N == 0
		},
		"local t = {} t[2] = 1 t[1] = 2 pack.take(t)": func(x any) bool { l, ok := x.([]float64); return ok && l[0] == 2 },
		"if pack.sum(pack.numbers { 1, 2, 3 }) ~= 6 or pack.numbers({ 1, 2 }).n ~= 2 or tostring(pack.numbers { 4 }) ~= '1 numbers, packed' then error('wrong') end pack.take(1)": func(x any) bool { return x == 1.0 },
	} {
		var got any
		p := play(t, "a.lua", inRun(body), numbersModule(&got))
		if p.err != nil != (got == nil) || p.err == nil && !check(got) {
			t.Errorf("%s: %T %v, %v", body, got, got, p.err)
		}
	}
	if d := numbersModule(nil).Funcs[3].Doc(); d.Gives != "a number, or a list" {
		t.Errorf("gives %q", d.Gives)
	}
}

// What is wrong in a list is named by its place, also where the fast way reads it.
func TestListsThatAreWrong(t *testing.T) {
	for body, want := range map[string]string{
		"pack.sum { 1, -1 }":         "list[2] is -1; it must be 0 or more",
		"pack.sum { 1, 0 / 0 }":      "list[2] is nan",
		"pack.sum { 1, 'x' }":        `list[2] is "x"`,
		"pack.sum { 1, 2, n = 2 }":   "list is a table",
		"pack.sum(5)":                "list is 5",
		"pack.numbers({ 1 }).n = 2":  "cannot be changed",
		"pack.numbers({ 1 })[1] = 2": "cannot be changed",
		"pack.numbers({ 1 })[1]()":   "has no field 1",
	} {
		var got any
		p := play(t, "a.lua", inRun(body), numbersModule(&got))
		if p.err == nil || !strings.Contains(p.err.Error(), want) {
			t.Errorf("%s ends with %v, want something of %q", body, p.err, want)
		}
	}
}

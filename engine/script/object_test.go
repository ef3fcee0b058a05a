package script

import (
	"errors"
	"strings"
	"testing"

	"candelua/engine/declare"
	"candelua/engine/fault"
)

// lamp is an object that a builtin of these tests gives.
type lamp struct {
	Level float64  `lua:"level" unit:"%"`
	Hours *float64 `lua:"hours"`
	Kind  wiring   `lua:"kind"`
	Marks []string `lua:"marks"`
}

func (lamp) LuaName() string { return "lamp" }

func (l *lamp) String() string { return "lamp at " + declare.Number(l.Level) + " %" }

type wiring struct {
	Phase string `lua:"phase"`
}

func (wiring) LuaName() string { return "earthing" }

type lampArgs struct {
	Self *lamp   `lua:"self"`
	To   float64 `lua:"to" default:"50" min:"0" max:"100"`
}

type takesLamp struct {
	Lamp *lamp   `lua:"lamp"`
	List []*lamp `lua:"list" optional:"true"`
	Any  any     `lua:"any" optional:"true"`
}

func rigModule() *Module {
	return &Module{Name: "rig", Funcs: []*Func{
		Pure("rig.lamp", "", func(*Call, None) (*lamp, error) {
			return &lamp{Level: 40, Kind: wiring{"L1"}, Marks: []string{"a", "b"}}, nil
		}),
		Pure("rig.look", "", func(_ *Call, a takesLamp) (float64, error) {
			if _, ok := a.Any.(*lamp); ok {
				return 7, nil
			}
			return float64(len(a.List)), nil
		}),
		Pure("rig.about", "", func(c *Call, _ None) (string, error) { return c.Device(), nil }),
		Pure("rig.named", "", func(*Call, None) (Bound, error) { return Bound{"rig", "other"}, nil }),
		Pure("lamp:dim", "", func(_ *Call, a lampArgs) (None, error) { a.Self.Level = a.To; return None{}, nil }),
	}, Consts: []Const{{Name: "mode", Get: func(c *Call) any { return c.Host().Mode }}}}
}

func TestObjects(t *testing.T) {
	for src, want := range map[string]string{
		"print(rig.lamp().level, rig.lamp().hours, rig.lamp().kind.phase, #rig.lamp().marks)": "40\tnil\tL1\t2",
		"local l = rig.lamp() l:dim() print(l.level) l:dim { to = 3 } print(l.level)":         "50\n3",
		"print(rig.lamp())":                            "lamp at 40 %",
		"print(tostring(rig.lamp().kind))":             "earthing",
		"print(getmetatable(rig.lamp()))":              "lamp",
		"print(type(rig.lamp()))":                      "userdata",
		"print(rig.look { any = rig.lamp() })":         "7",
		"print(rig.look { list = { rig.lamp() } })":    "1",
		"print(rig.mode, rig.about())":                 "Dusk\trig",
		"print(rig.named().about(), rig.named().mode)": "other\tDusk",
		"print(rig.named() == rig.named(), rig.named().named() == rig.named(), getmetatable(rig))": "true\ttrue\trig",
	} {
		p := play(t, "a.lua", inRun(src), rigModule())
		if got := strings.TrimSpace(p.printed.String()); p.err != nil || got != want {
			t.Errorf("%s\n prints %q, %v\n want %q", src, got, p.err, want)
		}
	}
}

func TestObjectMistakes(t *testing.T) {
	const fields = "its fields are level, hours, kind, marks, dim"
	const own = "keep what you compute in a variable or a table of your own"
	const colon = "write a colon between the object and its method, as in my_lamp:dim"
	const has = "rig has lamp, look, about, named, mode"
	for _, c := range []struct{ src, text, hint string }{
		{"print(rig.lamp().lvel)", `a lamp has no field "lvel"; did you mean "level"?`, fields},
		{"print(rig.lamp().luminance)", `a lamp has no field "luminance"`, fields},
		{"print(rig.lamp()[1])", `a lamp has no field 1`, fields},
		{"print(rig.lamp().kind.phas)", `an earthing has no field "phas"; did you mean "phase"?`, "its fields are phase"},
		{"rig.lamp().level = 3", `a lamp cannot be changed`, own},
		{"rig.lamp().other = 3", `a lamp cannot be changed`, own},
		{"rig.lamp().dim()", `lamp:dim is called with a dot`, colon},
		{"rig.lamp().dim { to = 3 }", `lamp:dim is called with a dot`, colon},
		{"rig.lamp().dim(rig.lamp().kind)", `lamp:dim is called with a dot`, colon},
		{"rig.lamp():dim { too = 3 }", `lamp:dim has no argument "too"; did you mean "to"?`, "its arguments are to"},
		{"rig:lamp()", `rig.lamp is called with a colon`, "write a dot, as in rig.lamp; only methods of objects take a colon"},
		{"rig.lmp()", `rig has no function "lmp"; did you mean "lamp"?`, has},
		{"rig[3]()", `rig has no 3`, has},
		{"rig.named().lmp()", `rig has no function "lmp"; did you mean "lamp"?`, has},
		{"rig.lamp = print", `rig cannot be changed`, "keep functions of your own in a table of your own"},
		{"rig.other = print", `rig cannot be changed`, "keep functions of your own in a table of your own"},
		{"rig.look { lamp = { level = 3, kind = { phase = 'x' }, marks = {} } }", `rig.look: lamp is a table; it must be a lamp`, ""},
		{"rig.look { lamp = rig.lamp().kind }", `rig.look: lamp is an earthing; it must be a lamp`, ""},
		{"rig.look { list = { rig.lamp(), 5 } }", `rig.look: list[2] is 5; it must be a lamp`, ""},
		{"rig.look { any = { rig.lamp() } }", `rig.look: any[1] is a lamp; it must be a plain value`, ""},
		{"local _, e = pcall(function() rig.lmp() end) rig.look { lamp = e }", `rig.look: lamp is an error; it must be a lamp`, ""},
	} {
		failed(t, play(t, "a.lua", inRun(c.src), rigModule()).err, "a.lua:2: "+c.text, c.hint)
	}
}

// A table of parameters is the script's own; only a name that it lacks is wrong.
func TestParamsInScript(t *testing.T) {
	src := func(body string) string {
		return "return procedure { title = 't', purpose = 'p', needs = { meter = {}, reference = {}, patches = {}, unit = {}, rig = {} }, params = { windows = { default = { 1, 2 } }, mode = { default = 'x' } }, run = function(p)\n" + body + "\nend }"
	}
	const names = "its parameters are windows, mode"
	failed(t, runWith(t, src("print(p.window)")), `a.lua:2: the procedure has no parameter "window"; did you mean "windows"?`, names)
	failed(t, runWith(t, src("print(p[1])")), `a.lua:2: the procedure has no parameter 1`, names)
	failed(t, runWith(t, "return procedure { title = 't', purpose = 'p', needs = { meter = {}, reference = {}, patches = {}, unit = {}, rig = {} }, run = function(p) print(p.a) end }"), `the procedure has no parameter "a"`, "it has none")
	if err := runWith(t, src("assert(p.windows[2] == 2 and p.mode == 'x' and getmetatable(p) == 'parameters')")); err != nil {
		t.Error(err)
	}
}

// runWith runs a script with the defaults of its parameters.
func runWith(t *testing.T, src string) error {
	t.Helper()
	program, err := Compile("a.lua", []byte(src), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	rt, err := program.Start(t.Context(), Host{})
	if err != nil {
		return err
	}
	defer rt.Close()
	params, err := rt.Contract().Values(nil)
	if err != nil {
		return err
	}
	return rt.Run(params)
}

func TestDocs(t *testing.T) {
	d := Pure("lamp.set", "sets", func(*Call, mixedArgs) (*lamp, error) { return nil, nil }).Doc()
	if got, want := d.Signature(), "lamp.set(first, second?, { named?, name = value, … }?)"; got != want {
		t.Errorf("signature is %s, want %s", got, want)
	}
	if d.Gives != "a lamp" || len(d.Fields) != 4 || d.Fields[0] != (FieldDoc{"level", "%", ""}) {
		t.Errorf("gives %q with %v", d.Gives, d.Fields)
	}
	if a := d.Args[1]; a != (ArgDoc{Name: "second", Place: 2, Want: "0 to 9", Default: "7"}) {
		t.Errorf("second is %+v", a)
	}
	for gives, f := range map[string]*Func{
		"":                          Pure("a.b", "", func(*Call, None) (None, error) { return None{}, nil }),
		"a number":                  Pure("a.b", "", func(*Call, None) (float64, error) { return 0, nil }),
		"a list of numbers":         Pure("a.b", "", func(*Call, None) ([]float64, error) { return nil, nil }),
		"a value":                   Pure("a.b", "", func(*Call, None) (any, error) { return nil, nil }),
		"a module":                  Pure("a.b", "", func(*Call, None) (Bound, error) { return Bound{}, nil }),
		"what the function returns": Pure("a.b", "", func(*Call, None) (Passed, error) { return Passed{}, nil }),
	} {
		if got := f.Doc().Gives; got != gives {
			t.Errorf("gives %q, want %q", got, gives)
		}
	}
	method := Pure("lamp:dim", "", func(*Call, lampArgs) (None, error) { return None{}, nil })
	if got := method.Doc().Signature(); got != "lamp:dim{ to? }" {
		t.Errorf("a method's signature is %s", got)
	}
	required := Pure("a.b", "", func(*Call, nestedArgs) (None, error) { return None{}, nil })
	if got := required.Doc().Signature(); got != "a.b{ min?, max, kind? }" {
		t.Errorf("signature is %s", got)
	}
}

// The Go error inside stays reachable, by its type and not by its text.
func TestErrorKeepsItsCause(t *testing.T) {
	p := play(t, "a.lua", inRun("rig.look { lamp = 5 }"), rigModule())
	var call *CallError
	var arg *fault.ArgError
	if !errors.As(p.err, &call) || call.Name != "rig.look" || !errors.As(p.err, &arg) || arg.Arg != "lamp" {
		t.Errorf("%v has lost its cause", p.err)
	}
}

func TestArticles(t *testing.T) {
	for _, want := range []string{"a lamp", "an error", "an ICtCp colour", "an XYZ colour", "an RGB space", "a CIE chromaticity", "a Lab colour", "an LCh colour", "a "} {
		_, name, _ := strings.Cut(want, " ")
		if got := declare.Article(name); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

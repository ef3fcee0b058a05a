package script

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
)

// nestedArgs is a table inside of the arguments.
type nestedArgs struct {
	Min  *float64 `lua:"min" help:"the least"`
	Max  float64  `lua:"max"`
	Kind string   `lua:"kind" default:"plain" one_of:"plain|fancy"`
}

// everyArgs has an argument of each type.
type everyArgs struct {
	Repeats int              `lua:"repeats" default:"1" min:"1" max:"100" help:"readings to average"`
	Window  float64          `lua:"window" default:"100" min:"0.01" max:"100" unit:"%" help:"a window is a share of the screen's area in percent"`
	Period  float64          `lua:"period" default:"1" above:"0" max:"60" unit:"s"`
	Scale   float64          `lua:"scale" default:"1" above:"0"`
	Free    float64          `lua:"free" default:"0"`
	Depth   float64          `lua:"depth" default:"0" max:"3" unit:"m"`
	Sync    bool             `lua:"sync" default:"false"`
	Signal  string           `lua:"signal" default:"sdr" one_of:"sdr|pq"`
	Name    string           `lua:"name" default:"x"`
	Limit   *float64         `lua:"limit" min:"0"`
	RGB     *[3]float64      `lua:"rgb" min:"0" max:"1"`
	At      [2]float64       `lua:"at" default:"0.5,0.25" min:"0" max:"1"`
	List    []float64        `lua:"list" optional:"true" min:"0"`
	Whole   []int            `lua:"whole" optional:"true" min:"0"`
	Words   []string         `lua:"words" optional:"true" one_of:"a|b"`
	Columns [][]string       `lua:"columns" optional:"true"`
	Nested  *nestedArgs      `lua:"nested"`
	Several []nestedArgs     `lua:"several" optional:"true"`
	Any     any              `lua:"any" optional:"true"`
	Code    any              `lua:"code" optional:"true" want:"a whole number, or a list of three"`
	Map     map[string]any   `lua:"map" optional:"true"`
	Call    declare.Function `lua:"call" optional:"true"`
}

// got is where the builtin of these tests leaves what it was given.
func everyModule(got *everyArgs) *Module {
	return &Module{Name: "lamp", Funcs: []*Func{
		Pure("lamp.set", "sets", func(_ *Call, a everyArgs) (None, error) { *got = a; return None{}, nil }),
	}}
}

func defaults() everyArgs {
	return everyArgs{Repeats: 1, Window: 100, Period: 1, Scale: 1, Signal: "sdr", Name: "x", At: [2]float64{0.5, 0.25}}
}

func TestDecode(t *testing.T) {
	two := 2.0
	for _, c := range []struct {
		args string
		want func(*everyArgs)
	}{
		{`{}`, func(*everyArgs) {}},
		{``, func(*everyArgs) {}},
		{`nil`, func(*everyArgs) {}},
		{`{ repeats = 100 }`, func(a *everyArgs) { a.Repeats = 100 }},
		{`{ window = 0.01 }`, func(a *everyArgs) { a.Window = 0.01 }},
		{`{ period = 1e-9 }`, func(a *everyArgs) { a.Period = 1e-9 }},
		{`{ depth = -1e9 }`, func(a *everyArgs) { a.Depth = -1e9 }},
		{`{ sync = true }`, func(a *everyArgs) { a.Sync = true }},
		{`{ signal = "pq" }`, func(a *everyArgs) { a.Signal = "pq" }},
		{`{ name = "" }`, func(a *everyArgs) { a.Name = "" }},
		{`{ limit = 2 }`, func(a *everyArgs) { a.Limit = &two }},
		{`{ rgb = { 0, 0.5, 1 } }`, func(a *everyArgs) { a.RGB = &[3]float64{0, 0.5, 1} }},
		{`{ at = { 0, 1 } }`, func(a *everyArgs) { a.At = [2]float64{0, 1} }},
		{`{ list = {} }`, func(a *everyArgs) { a.List = []float64{} }},
		{`{ list = { 3, 1 } }`, func(a *everyArgs) { a.List = []float64{3, 1} }},
		{`{ whole = { 3, 1 } }`, func(a *everyArgs) { a.Whole = []int{3, 1} }},
		{`{ words = { "b" } }`, func(a *everyArgs) { a.Words = []string{"b"} }},
		{`{ columns = { { "window", "%" }, {} } }`, func(a *everyArgs) { a.Columns = [][]string{{"window", "%"}, {}} }},
		{`{ nested = { max = 2 } }`, func(a *everyArgs) { a.Nested = &nestedArgs{Max: 2, Kind: "plain"} }},
		{`{ nested = { min = 2, max = 2, kind = "fancy" } }`, func(a *everyArgs) { a.Nested = &nestedArgs{&two, 2, "fancy"} }},
		{`{ several = { { max = 1 }, { max = 2 } } }`, func(a *everyArgs) { a.Several = []nestedArgs{{nil, 1, "plain"}, {nil, 2, "plain"}} }},
		{`{ any = "word" }`, func(a *everyArgs) { a.Any = "word" }},
		{`{ any = false }`, func(a *everyArgs) { a.Any = false }},
		{`{ any = { 1, { "a" } } }`, func(a *everyArgs) { a.Any = []any{1.0, []any{"a"}} }},
		{`{ map = { ["Automatic brightness"] = "off", Red = -3 } }`, func(a *everyArgs) {
			a.Map = map[string]any{"Automatic brightness": "off", "Red": -3.0}
		}},
	} {
		var got everyArgs
		if p := play(t, "a.lua", inRun("lamp.set("+c.args+")"), everyModule(&got)); p.err != nil {
			t.Errorf("lamp.set(%s): %v", c.args, p.err)
			continue
		}
		want := defaults()
		c.want(&want)
		if !reflect.DeepEqual(got, want) {
			t.Errorf("lamp.set(%s) gives\n %+v, want\n %+v", c.args, got, want)
		}
	}
}

func TestDecodeRefuses(t *testing.T) {
	const names = "its arguments are repeats, window, period, scale, free, depth, sync, signal, name, limit, rgb, at, list, whole, words, columns, nested, several, any, code, map, call"
	for _, c := range []struct{ args, text, hint string }{
		{`{ repeats = 0 }`, `repeats is 0; it must be a whole number from 1 to 100`, "repeats: readings to average"},
		{`{ repeats = 1.5 }`, `repeats is 1.5; it must be a whole number from 1 to 100`, "repeats: readings to average"},
		{`{ repeats = "five" }`, `repeats is "five"; it must be a whole number from 1 to 100`, "write repeats = 5, without quotes"},
		{`{ repeats = " 5 " }`, `repeats is " 5 "; it must be a whole number from 1 to 100`, "write repeats = 5, without quotes"},
		{`{ repeats = "500" }`, `repeats is "500"; it must be a whole number from 1 to 100`, "repeats: readings to average"},
		{`{ repeats = "inf" }`, `repeats is "inf"; it must be a whole number from 1 to 100`, "repeats: readings to average"},
		{`{ repeats = "often" }`, `repeats is "often"; it must be a whole number from 1 to 100`, "repeats: readings to average"},
		{`{ repeats = { 5 } }`, `repeats is {5}; it must be a whole number from 1 to 100`, "repeats: readings to average"},
		{`{ window = 180 }`, `window is 180; it must be 0.01 to 100 %`, "window: a window is a share of the screen's area in percent"},
		{`{ window = 1e6 }`, `window is 1000000; it must be 0.01 to 100 %`, "window: a window is a share of the screen's area in percent"},
		{`{ window = 0/0 }`, `window is nan; it must be 0.01 to 100 %`, "window: a window is a share of the screen's area in percent"},
		{`{ period = 0 }`, `period is 0; it must be above 0, to 60 s`, ""},
		{`{ scale = -1 }`, `scale is -1; it must be more than 0`, ""},
		{`{ free = -1/0 }`, `free is -inf; it must be a finite number`, ""},
		{`{ free = 0/0 }`, `free is nan; it must be a finite number`, ""},
		{`{ depth = 3.5 }`, `depth is 3.5; it must be 3 m or less`, ""},
		{`{ sync = 1 }`, `sync is 1; it must be true or false`, ""},
		{`{ sync = "true" }`, `sync is "true"; it must be true or false`, ""},
		{`{ signal = "hlg" }`, `signal is "hlg"; it must be one of "sdr", "pq"`, ""},
		{`{ signal = 5 }`, `signal is 5; it must be one of "sdr", "pq"`, ""},
		{`{ name = false }`, `name is false; it must be a text`, ""},
		{`{ limit = -1 }`, `limit is -1; it must be 0 or more`, ""},
		{`{ limit = "2" }`, `limit is "2"; it must be 0 or more`, "write limit = 2, without quotes"},
		{`{ rgb = { 0, 0 } }`, `rgb is {0, 0}; it must be a list of 3 numbers from 0 to 1`, ""},
		{`{ rgb = { 0, 2, 0 } }`, `rgb[2] is 2; it must be 0 to 1`, ""},
		{`{ rgb = { 0, "1", 0 } }`, `rgb[2] is "1"; it must be 0 to 1`, "write 1, without quotes"},
		{`{ rgb = { r = 1 } }`, `rgb is a table; it must be a list of 3 numbers from 0 to 1`, ""},
		{`{ list = 5 }`, `list is 5; it must be a list of numbers, 0 or more`, ""},
		{`{ list = { 1, -1 } }`, `list[2] is -1; it must be 0 or more`, ""},
		{`{ list = { 1, nil, 3 } }`, `list is a table; it must be a list of numbers, 0 or more`, ""},
		{`{ whole = { 1, 2.5 } }`, `whole[2] is 2.5; it must be a whole number, 0 or more`, ""},
		{`{ words = { "a", "c" } }`, `words[2] is "c"; it must be one of "a", "b"`, ""},
		{`{ words = { "a", 1 } }`, `words[2] is 1; it must be one of "a", "b"`, ""},
		{`{ words = "a" }`, `words is "a"; it must be a list of texts, each one of "a", "b"`, ""},
		{`{ columns = { { "a" }, { 1 } } }`, `columns[2][1] is 1; it must be a text`, ""},
		{`{ columns = { "a" } }`, `columns[1] is "a"; it must be a list of texts`, ""},
		{`{ nested = 5 }`, `nested is 5; it must be a table { min?, max, kind? }`, ""},
		{`{ nested = {} }`, `nested.max is missing; it must be a number`, ""},
		{`{ nested = { max = "3" } }`, `nested.max is "3"; it must be a number`, "write max = 3, without quotes"},
		{`{ nested = { maxx = 3 } }`, `nested has no field "maxx"; did you mean "max"?`, "its fields are min, max, kind"},
		{`{ nested = { max = 3, kind = "odd" } }`, `nested.kind is "odd"; it must be one of "plain", "fancy"`, ""},
		{`{ several = { { max = 1 }, { max = true } } }`, `several[2].max is true; it must be a number`, ""},
		{`{ several = { { max = 1 }, 7 } }`, `several[2] is 7; it must be a table { min?, max, kind? }`, ""},
		{`{ any = print }`, `any is a function; it must be a plain value`, ""},
		{`{ any = { 1, { a = print } } }`, `any[2]["a"] is a function; it must be a plain value`, ""},
		{`{ any = { 1, a = 2 } }`, `any is a table; it must be a plain value`, ""},
		{`{ code = print }`, `code is a function; it must be a whole number, or a list of three`, ""},
		{`{ map = { 1 } }`, `map is {1}; it must be a table of named values`, ""},
		{`{ map = { x = print } }`, `map["x"] is a function; it must be a plain value`, ""},
		{`{ call = 5 }`, `call is 5; it must be a function`, ""},
		{`{ windw = 5 }`, `lamp.set has no argument "windw"; did you mean "window"?`, names},
		{`{ luminance = 5 }`, `lamp.set has no argument "luminance"`, names},
		{`{ 5 }`, `lamp.set has a value without a name (1)`, "write name = value; " + names},
		{`{}, {}`, `lamp.set takes one table of named arguments`, ""},
		{`5`, `the argument is 5; it must be a table of named arguments`, ""},
	} {
		p := play(t, "a.lua", inRun("lamp.set("+c.args+")"), everyModule(new(everyArgs)))
		if strings.HasPrefix(c.text, "lamp.set takes") || strings.HasPrefix(c.text, "the argument") {
			c.hint = fault.HintOf(p.err) // the whole signature
			if !strings.HasPrefix(c.hint, "its arguments are ({ repeats, window") && !strings.HasPrefix(c.hint, "put the arguments in braces, each with its name: { repeats = …, window = …, ") {
				t.Errorf("hint of %v is %q", p.err, c.hint)
			}
		}
		failed(t, p.err, "a.lua:2: lamp.set"+strings.TrimPrefix(": "+c.text, ": lamp.set"), c.hint)
		var wrong *fault.ArgError
		if !errors.As(p.err, &wrong) || fault.CodeOf(p.err) != "argument" {
			t.Errorf("%v is no argument error to Go", p.err)
		}
	}
}

// Words and layout are those that the project's style asks for.
func TestErrorReadsLikeTheDesign(t *testing.T) {
	sweep := "local function sweep()\n  patches.show { window = 180 }\nend\nreturn procedure { title = 't', purpose = 'p', needs = { meter = {}, reference = {}, patches = {}, unit = {}, rig = {} },\n  run = function()\n    sweep()\n  end,\n}"
	show := &Module{Name: "patches", Funcs: []*Func{
		Pure("patches.show", "", func(*Call, everyArgs) (None, error) { return None{}, nil }),
	}}
	p := play(t, "window-sweep.lua", sweep, show)
	failed(t, p.err, "window-sweep.lua:2: patches.show: window is 180; it must be 0.01 to 100 %", "window: a window is a share of the screen's area in percent")
	var e *sandbox.Error
	want := "    window-sweep.lua:2: in function 'sweep'\n    window-sweep.lua:6: in function 'run'"
	if !errors.As(p.err, &e) || e.Traceback() != want {
		t.Errorf("traceback:\n%s\nwant:\n%s", e.Traceback(), want)
	}
}

type mixedArgs struct {
	First  string         `lua:"first" pos:"1" help:"the question"`
	Second float64        `lua:"second" pos:"2" default:"7" min:"0" max:"9"`
	Named  float64        `lua:"named" default:"3"`
	Rest   map[string]any `lua:"*" help:"column = value"`
}

func mixedModule(got *mixedArgs) *Module {
	return &Module{Name: "lamp", Funcs: []*Func{
		Pure("lamp.set", "", func(_ *Call, a mixedArgs) (None, error) { *got = a; return None{}, nil }),
	}}
}

func TestDecodeMixed(t *testing.T) {
	none := map[string]any{}
	for _, c := range []struct {
		args string
		want mixedArgs
	}{
		{`"q"`, mixedArgs{"q", 7, 3, nil}},
		{`"q", 5`, mixedArgs{"q", 5, 3, nil}},
		{`"q", 5, { named = 1 }`, mixedArgs{"q", 5, 1, none}},
		{`"q", { named = 1 }`, mixedArgs{"q", 7, 1, none}}, // the optional place is left out
		{`"q", nil, { named = 1 }`, mixedArgs{"q", 7, 1, none}},
		{`"q", { window = 10, first = "x" }`, mixedArgs{"q", 7, 3, map[string]any{"window": 10.0, "first": "x"}}},
	} {
		var got mixedArgs
		if p := play(t, "a.lua", inRun("lamp.set("+c.args+")"), mixedModule(&got)); p.err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("lamp.set(%s) gives %+v, %v, want %+v", c.args, got, p.err, c.want)
		}
	}
	for _, c := range []struct{ args, text, hint string }{
		{``, `first is missing; it must be a text`, "first: the question"},
		{`5`, `first is 5; it must be a text`, "first: the question"},
		{`"q", "4"`, `second is "4"; it must be 0 to 9`, "write 4, without quotes"},
		{`"q", 12`, `second is 12; it must be 0 to 9`, ""},
		{`"q", 1, 2`, `the argument is 2; it must be a table of named arguments`, "its arguments are (first, second, { named, name = value })"},
		{`"q", 1, {}, 3`, `lamp.set is given too many arguments`, "its arguments are (first, second, { named, name = value })"},
		{`{ first = "q", second = 3 }`, `first is a table; it must be a text`, "its arguments are (first, second, { named, name = value }); write those before the braces without their names"},
		{`"q", { 1 }`, `lamp.set has a value without a name (1)`, "column = value"},
		{`"q", { window = print }`, `window is a function; it must be a plain value`, "column = value"},
	} {
		p := play(t, "a.lua", inRun("lamp.set("+c.args+")"), mixedModule(new(mixedArgs)))
		failed(t, p.err, "a.lua:2: lamp.set"+strings.TrimPrefix(": "+c.text, ": lamp.set"), c.hint)
	}
}

// A misspelt required argument is offered the right name rather than missed.
func TestMisspeltRequired(t *testing.T) {
	type args struct {
		Title string `lua:"title"`
	}
	m := &Module{Name: "lamp", Funcs: []*Func{Pure("lamp.set", "", func(*Call, args) (None, error) { return None{}, nil })}}
	failed(t, play(t, "a.lua", inRun("lamp.set { titel = 'x' }"), m).err, `lamp.set has no argument "titel"; did you mean "title"?`, "its arguments are title")
	failed(t, play(t, "a.lua", inRun("lamp.set {}"), m).err, `title is missing; it must be a text`, "")
}

// Tables that hold themselves, or each other many times over, end in an error
// and neither in a hang nor in an exhausted memory.
func TestTableBombs(t *testing.T) {
	for name, c := range map[string]struct{ src, text string }{
		"itself":      {"local t = {} t[1] = t lamp.set { any = t }", "holds itself"},
		"many times":  {"local t = { 1 } for _ = 1, 30 do t = { t, t } end lamp.set { any = t }", "larger than 33554432 bytes"},
		"named":       {"local t = { 1 } for _ = 1, 30 do t = { a = t, b = t } end lamp.set { map = t }", "larger than 33554432 bytes"},
		"lists":       {"local t = {} for i = 1, 1100 do t[i] = 'a' end local c = {} for i = 1, 1100 do c[i] = t end lamp.set { columns = c }", "holds more than 1048576 values"},
		"just enough": {"local t = {} for i = 1, 1000 do t[i] = 'a' end local c = {} for i = 1, 1000 do c[i] = t end lamp.set { columns = c }", ""},
	} {
		p := play(t, "a.lua", inRun(c.src), everyModule(new(everyArgs)))
		if c.text == "" && p.err == nil {
			continue
		}
		if p.err == nil || !strings.Contains(p.err.Error(), c.text) {
			t.Errorf("%s: %v, want %q", name, p.err, c.text)
		}
	}
}

func TestDeclarationsThatPanic(t *testing.T) {
	panics := func(name string, declare func()) {
		defer func() {
			if recover() == nil {
				t.Errorf("%s does not panic", name)
			}
		}()
		declare()
	}
	panics("twice", func() {
		declare.For(reflect.TypeFor[struct {
			A int `lua:"a"`
			B int `lua:"a"`
		}]())
	})
	panics("a gap in places", func() {
		declare.For(reflect.TypeFor[struct {
			A int `lua:"a" pos:"2"`
		}]())
	})
	panics("no number as place", func() {
		declare.For(reflect.TypeFor[struct {
			A int `lua:"a" pos:"x"`
		}]())
	})
	panics("no number as limit", func() {
		declare.For(reflect.TypeFor[struct {
			A int `lua:"a" min:"x"`
		}]())
	})
	panics("a default of the wrong type", func() {
		declare.For(reflect.TypeFor[struct {
			A int `lua:"a" default:"x"`
		}]())
	})
	panics("a default that cannot be written", func() {
		declare.For(reflect.TypeFor[struct {
			A []int `lua:"a" default:"1,2"`
		}]())
	})
	panics("a short array", func() {
		declare.For(reflect.TypeFor[struct {
			A [2]float64 `lua:"a" default:"1"`
		}]())
	})
	panics("two modules of one name", func() {
		_, _ = Compile("a.lua", []byte("return 1"), nil, []*Module{{Name: "a"}, {Name: "a"}})
	})
}

package script

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// contractFrom loads a script and gives its contract.
func contractFrom(t *testing.T, src string) (*Contract, error) {
	t.Helper()
	program, err := Compile("p.lua", []byte(src), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	rt, err := program.Start(t.Context(), Host{})
	if err != nil {
		return nil, err
	}
	defer rt.Close()
	return rt.Contract(), nil
}

const good = "title = 't', purpose = 'p', run = function() end, "

func TestContract(t *testing.T) {
	c, err := contractFrom(t, `return procedure {
	  title = "Window sweep", purpose = "Luminance", caution = "It is bright.",
	  needs = { patches = {}, meter = {} },
	  settings = { ["Automatic brightness"] = "off", Red = -2, Dusk = true },
	  params = {
	    windows = { default = { 1, 10 }, unit = "%", min = 0.1, max = 100, help = "shares" },
	    signal = { default = "sdr", one_of = { "sdr", "pq" } },
	    steps = { default = 5, whole = true },
	    names = { default = { "a", "b" } },
	    quick = { default = false },
	  },
	  run = function() end,
	}`)
	if err != nil {
		t.Fatal(err)
	}
	if c.Title != "Window sweep" || c.Purpose != "Luminance" || c.Caution != "It is bright." || !slices.Equal(c.Needs, []string{"meter", "patches"}) {
		t.Errorf("contract is %+v", c)
	}
	if want := map[string]any{"Automatic brightness": "off", "Red": -2.0, "Dusk": true}; !reflect.DeepEqual(c.Settings, want) {
		t.Errorf("settings are %v", c.Settings)
	}
	low, high := 0.1, 100.0
	want := []Param{ // in the order of the script
		{Name: "windows", Default: []float64{1, 10}, Unit: "%", Min: &low, Max: &high, Help: "shares"},
		{Name: "signal", Default: "sdr", OneOf: []string{"sdr", "pq"}},
		{Name: "steps", Default: 5.0, Whole: true},
		{Name: "names", Default: []string{"a", "b"}},
		{Name: "quick", Default: false},
	}
	if !reflect.DeepEqual(c.Params, want) {
		t.Errorf("params are\n %+v, want\n %+v", c.Params, want)
	}
	for i, words := range []string{"a list of numbers from 0.1 to 100 %", `one of "sdr", "pq"`, "a whole number", "a list of texts", "true or false"} {
		if got := c.Params[i].Want(); got != words {
			t.Errorf("%s wants %q, want %q", c.Params[i].Name, got, words)
		}
	}
}

func TestContractRefuses(t *testing.T) {
	const devices = "a bench can have meter, reference, patches, unit, rig, operator"
	const words = "write meter = {}, or what it must be able to do, as in meter = { dark = true }; the words are dark, spectrum"
	const rig = "write rig = {}, or what it must be able to do, as in rig = { lamps = true }; the words are lamps, turn, place, lux"
	const end = "end it with: return procedure { title = …, run = function(p) … end }"
	with := func(s string) string { return "return procedure { " + good + s + " }" }
	for _, c := range []struct{ src, text, hint string }{
		{"", "p.lua: the script does not return a procedure", end},
		{"return 5", "p.lua: the script does not return a procedure", end},
		{"return { run = 1 }", "p.lua: the script does not return a procedure", end},
		{"return procedure(5)", "procedure: the argument is 5; it must be a table", "write: return procedure { title = …, run = function(p) … end }"},
		{"return trial { procedure = 'x' }", "p.lua:1: this file declares a trial, not a procedure", "give it to the other command: candelua trial FILE"},
		{"return procedure {}", "procedure: title is missing; it must be a text", "title: name for people, at the head of results"},
		{"return procedure { title = 't', purpose = 'p' }", "procedure: run is missing; it must be a function", "run: function(p) … end, which measures; p has the parameters by name"},
		{"return procedure { titel = 't', purpose = 'p', run = print }", `procedure has no field "titel"; did you mean "title"?`, "its fields are title, purpose, needs, settings, caution, flashing, params, run, on_resume"},
		{"return procedure { title = 5, purpose = 'p', run = print }", "procedure: title is 5; it must be a text", "title: name for people, at the head of results"},
		{with("caution = false"), "procedure: caution is false; it must be a text", "caution: warning that is shown, and must be confirmed, before anything lights up"},
		{with("flashing = ' '"), "procedure: flashing is empty; it must be why the screen flashes", "leave it out where the screen flashes at most three times in a second"},
		{with("needs = { 'meter' }"), `procedure: needs is {"meter"}; it must be a table of named values`, "needs: the devices that it uses and what they must be able to do, as in needs = { meter = {}, patches = {}, rig = { place = true } }; \"optional\" in place of true: it does without"},
		{with("needs = { patches = { sequnce = true } }"), `procedure: needs.patches has the unknown word "sequnce"; did you mean "sequence"?`, "write patches = {}, or what it must be able to do, as in patches = { sequence = true }; the words are sequence, pattern"},
		{with("needs = { unit = { pwer = true } }"), `procedure: needs.unit has the unknown word "pwer"; did you mean "power"?`, "write unit = {}, or, if it must be able to do that, unit = { power = true }; this is the only word"},
		{with("needs = { metre = {} }"), `procedure: needs has the unknown device "metre"; did you mean "meter"?`, devices},
		{with("needs = { lamp = {}, zither = {} }"), `procedure: needs has the unknown device "lamp"`, devices},
		{with("needs = { meter = 5 }"), `procedure: needs.meter is 5; it must be a table`, words},
		{with("needs = { meter = { 'dark' } }"), `procedure: needs.meter is {"dark"}; it must be a table`, words},
		{with("needs = { meter = { spectra = true } }"), `procedure: needs.meter has the unknown word "spectra"; did you mean "spectrum"?`, words},
		{with("needs = { meter = { spectrum = 1 } }"), `procedure: needs.meter.spectrum is 1; it must be true or "optional"`, words},
		{with("needs = { meter = { spectrum = { 'a' } } }"), `procedure: needs.meter.spectrum is {"a"}; it must be true or "optional"`, words},
		{with("needs = { rig = { lamps = {} } }"), `procedure: needs.rig.lamps is {}; it must be true or "optional", or a list of names`, rig},
		{with("needs = { rig = { lamps = { 1 } } }"), `procedure: needs.rig.lamps is {1}; it must be true or "optional", or a list of names`, rig},
		{with("needs = { rig = { optional = false } }"), `procedure: needs.rig.optional is false; it must be true`, "leave it out where the procedure needs the device"},
		{with("needs = { operator = { a = 1 } }"), `procedure: needs.operator has the unknown word "a"`, "write operator = {}; nothing more can be needed of it"},
		{with("settings = { Red = {} }"), `procedure: settings["Red"] is {}; it must be a word, a finite number, or true or false`, ""},
		{with("settings = { Red = 0/0 }"), `procedure: settings["Red"] is nan; it must be a word, a finite number, or true or false`, ""},
		{with("settings = { 'off' }"), `procedure: settings is {"off"}; it must be a table of named values`, `settings: what the unit must be set to, by role, as in settings = { ["automatic brightness"] = "off", brightness = "maximum" } (the roles are automatic brightness, brightness, picture mode, enhancements), or by the name in the unit's menu; for a control that was renamed, { value = "off", formerly = { "Ambient" } }`},
		{with("params = 5"), "procedure: params is 5; it must be a table", ""},
		{with("params = { 5 }"), "procedure: params holds a value without a name", "as in params = { windows = { default = { 1, 10 } } }"},
		{with("params = { a = 5 }"), "procedure: params.a is 5; it must be a table with a default", "as in a = { default = 5 }"},
		{with("params = { a = {} }"), "procedure: params.a: default is missing; it must be a plain value", "default: value that is used if no other is set; it also decides the type"},
		{with("params = { a = { defualt = 1 } }"), `procedure: params.a has no field "defualt"; did you mean "default"?`, "its fields are default, unit, help, min, max, one_of, whole, formerly"},
		{with("params = { a = { default = {} } }"), "procedure: params.a: default is an empty table; it must be at least one value, which decides the type", ""},
		{with("params = { a = { default = { x = 1 } } }"), `procedure: params.a: default is {["x"]=1}; it must be a number, a text, true or false, or a list of numbers or texts`, ""},
		{with("params = { a = { default = print } }"), `procedure: params.a: default is a function; it must be a plain value`, "default: value that is used if no other is set; it also decides the type"},
		{with("params = { a = { default = { 1, 'x' } } }"), "procedure: params.a: default is a mixed list; it must be a list of numbers or a list of texts", ""},
		{with("params = { a = { default = 5, min = 6 } }"), "procedure: params.a: its default: a is 5; it must be 6 or more", ""},
		{with("params = { a = { default = { 1, 5 }, max = 4, unit = '%' } }"), "procedure: params.a: its default: a[2] is 5; it must be 4 % or less", ""},
		{with("params = { a = { default = 0/0 } }"), "procedure: params.a: its default: a is nan; it must be a finite number", ""},
		{with("params = { a = { default = 1.5, whole = true } }"), "procedure: params.a: its default: a is 1.5; it must be a whole number", ""},
		{with("params = { a = { default = { 1, 1.5 }, whole = true } }"), "procedure: params.a: its default: a[2] is 1.5; it must be a whole number", ""},
		{with("params = { a = { default = 'x', one_of = { 'y' } } }"), `procedure: params.a: its default: a is "x"; it must be "y"`, ""},
		{with("params = { a = { default = 1, one_of = { 'y' } } }"), `procedure: params.a: one_of is given with the default 1; the default must be a text`, ""},
		{with("params = { a = { default = 'x', min = 1 } }"), `procedure: params.a: min, max or whole is given with the default "x"; the default must be a number`, ""},
		{with("params = { a = { default = true, whole = true } }"), `procedure: params.a: min, max or whole is given with the default true; the default must be a number`, ""},
		{with("params = { a = { default = 3, min = 5, max = 1 } }"), `procedure: params.a: min is 5; it must be 1 or less, because max is 1`, ""},
	} {
		_, err := contractFrom(t, c.src)
		failed(t, err, c.text, c.hint)
	}
}

func param(t *testing.T, text string) *Param {
	t.Helper()
	c, err := contractFrom(t, "return procedure { "+good+"params = { p = "+text+" } }")
	if err != nil {
		t.Fatal(err)
	}
	return &c.Params[0]
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		param, text string
		want        any
	}{
		{"{ default = 1 }", "2.5", 2.5},
		{"{ default = 1 }", "-1e-3", -1e-3},
		{"{ default = 1, whole = true }", "7", 7.0},
		{"{ default = true }", "false", false},
		{"{ default = 'a' }", "b, c", "b, c"},
		{"{ default = 'a' }", "", ""},
		{"{ default = { 1 } }", "1,2,5", []float64{1, 2, 5}},
		{"{ default = { 1 } }", " 1 , 2 ", []float64{1, 2}},
		{"{ default = { 1 }, whole = true }", "3", []float64{3}},
		{"{ default = { 'a' } }", "b, c", []string{"b", "c"}},
	} {
		if got, err := param(t, c.param).Parse(c.text); err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s of %q is %v, %v, want %v", c.param, c.text, got, err, c.want)
		}
	}
	for _, c := range []struct{ param, text, want string }{
		{"{ default = 1, min = 0, help = 'how much' }", "five", `p is "five"; it must be 0 or more`},
		{"{ default = 1, min = 0 }", "-1", `p is -1; it must be 0 or more`},
		{"{ default = 1 }", "nan", `p is nan; it must be a finite number`},
		{"{ default = 1 }", "", `p is ""; it must be a number`},
		{"{ default = 1, whole = true, max = 9 }", "2.5", `p is 2.5; it must be a whole number, 9 or less`},
		{"{ default = true }", "maybe", `p is "maybe"; it must be true or false`},
		{"{ default = 'a', one_of = { 'a', 'b' } }", "c", `p is "c"; it must be one of "a", "b"`},
		{"{ default = { 1 }, max = 9 }", "1,x", `p is "1,x"; it must be a list of numbers, 9 or less`},
		{"{ default = { 1 }, max = 9 }", "1,10", `p[2] is 10; it must be 9 or less`},
		{"{ default = { 1 } }", "", `p is ""; it must be a list of numbers`},
		{"{ default = { 1 }, whole = true }", "1,2.5", `p[2] is 2.5; it must be a whole number`},
		{"{ default = { 'a' }, one_of = { 'a', 'b' } }", "a,c", `p[2] is "c"; it must be one of "a", "b"`},
	} {
		got, err := param(t, c.param).Parse(c.text)
		if err == nil {
			t.Errorf("%s takes %q as %v", c.param, c.text, got)
			continue
		}
		hint := ""
		if strings.Contains(c.param, "how much") {
			hint = "how much" // and not the quotes, which a command line does not have
		}
		failed(t, err, c.want, hint)
	}
}

func TestValuesAndRestore(t *testing.T) {
	c, err := contractFrom(t, "return procedure { "+good+"params = { windows = { default = { 1, 2 }, max = 100 }, mode = { default = 'x' }, names = { default = { 'a' } }, on = { default = true }, n = { default = 1 } } }")
	if err != nil {
		t.Fatal(err)
	}
	set, err := c.Values([]string{"windows=5,10", "mode=a=b", "n=4"})
	want := Params{"windows": []float64{5, 10}, "mode": "a=b", "names": []string{"a"}, "on": true, "n": 4.0}
	if err != nil || !reflect.DeepEqual(set, want) {
		t.Errorf("values are %v, %v, want %v", set, err, want)
	}
	const names = "its parameters are windows, mode, names, on, n"
	for _, bad := range []struct{ set, text, hint string }{
		{"windows", `a parameter is "windows"; it must be name=value`, ""},
		{"window=5", `the procedure has no parameter "window"; did you mean "windows"?`, names},
		{"windows=500", `windows[1] is 500; it must be 100 or less`, ""},
		{"n=3 n=4", "the parameter n is given twice, as n=3 and as n=4", "give it once, as n"},
		{"n=3 mode=x n=3", "the parameter n is given twice, as n=3 and as n=3", "give it once, as n"},
	} {
		_, err := c.Values(strings.Fields(bad.set))
		failed(t, err, bad.text, bad.hint)
	}
	raw, err := json.Marshal(set)
	if err != nil {
		t.Fatal(err)
	}
	var kept map[string]any
	if err := json.Unmarshal(raw, &kept); err != nil {
		t.Fatal(err)
	}
	if back, err := c.Restore(kept); err != nil || !reflect.DeepEqual(back, want) {
		t.Errorf("restored %v, %v, want %v", back, err, want)
	}
	if back, err := c.Restore(map[string]any{"gone": 1.0}); err != nil || !reflect.DeepEqual(back["windows"], []float64{1, 2}) {
		t.Errorf("restored %v, %v, want the defaults", back, err)
	}
	for text, bad := range map[string]any{
		`parameter windows: it is "x"; it must be a list of numbers, 100 or less`:                                      "x",
		`parameter windows: it is {"a"}; it must be a list of numbers, 100 or less`:                                    []any{"a"},
		`parameter windows: windows[1] is 500; it must be 100 or less`:                                                 []any{500.0},
		`parameter windows: windows is empty; it must be a list of numbers, 100 or less`:                               []any{},
		`parameter windows: default is a mixed list; it must be a list of numbers or a list of texts`:                  []any{1.0, "a"},
		`parameter windows: default is nil; it must be a number, a text, true or false, or a list of numbers or texts`: nil,
	} {
		_, err := c.Restore(map[string]any{"windows": bad})
		if err == nil || !strings.HasSuffix(err.Error(), text) {
			t.Errorf("%v restores with %v, want …%s", bad, err, text)
		}
	}
}

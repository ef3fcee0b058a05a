package script

import (
	"reflect"
	"testing"
)

const renamed = "return procedure { " + good + "params = { delay = { default = 2, min = 0, formerly = { 'onset', 'wait' } }, window = { default = 10 } } }"

func TestFormerNames(t *testing.T) {
	c, err := contractFrom(t, renamed)
	if err != nil {
		t.Fatal(err)
	}
	want := Params{"delay": 3.0, "window": 10.0}
	for _, name := range []string{"delay", "onset", "wait"} {
		if got, err := c.Values([]string{name + "=3"}); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("values by %s are %v, %v, want %v", name, got, err, want)
		}
		if got, err := c.Restore(map[string]any{name: 3.0}); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("restored by %s are %v, %v, want %v", name, got, err, want)
		}
		if p := c.Param(name); p == nil || p.Name != "delay" {
			t.Errorf("the parameter %s is %+v, want delay", name, p)
		}
	}
	if p := c.Param("gone"); p != nil {
		t.Errorf("the parameter gone is %+v, want none", p)
	}
}

func TestFormerNamesRefuse(t *testing.T) {
	c, err := contractFrom(t, renamed)
	if err != nil {
		t.Fatal(err)
	}
	const once = "give it once, as delay"
	_, err = c.Values([]string{"onset=1", "delay=1"})
	failed(t, err, "the parameter delay is given twice, as onset=1 and as delay=1", once)
	_, err = c.Values([]string{"onset=1", "wait=1"})
	failed(t, err, "the parameter delay is given twice, as onset=1 and as wait=1", once)
	_, err = c.Values([]string{"onset=-1"})
	failed(t, err, "delay is -1; it must be 0 or more", "")
	_, err = c.Values([]string{"onse=1"})
	failed(t, err, `the procedure has no parameter "onse"`, "its parameters are delay, window")
	_, err = c.Restore(map[string]any{"delay": 1.0, "onset": 1.0})
	failed(t, err, "the run's parameters: the parameter delay is given twice, as delay and as onset", once)
	_, err = c.Restore(map[string]any{"onset": "x"})
	failed(t, err, `the run's parameter onset: it is "x"; it must be 0 or more`, "the script now declares this parameter differently; start a new run")

	const free = "; it must be a name that no parameter has or had"
	for _, bad := range []struct{ params, text string }{
		{"a = { default = 1, formerly = { 'b' } }, b = { default = 1 }", `params.a: formerly[1] is "b", which is the name of a parameter` + free},
		{"a = { default = 1, formerly = { 'a' } }", `params.a: formerly[1] is "a", which is the name of a parameter` + free},
		{"a = { default = 1, formerly = { 'x', 'x' } }", `params.a: formerly[2] is "x", which is listed as a former name of a` + free},
		{"a = { default = 1, formerly = { 'x' } }, b = { default = 1, formerly = { 'y', 'x' } }", `params.b: formerly[2] is "x", which is listed as a former name of a` + free},
		{"a = { default = 1, formerly = { ' ' } }", `params.a: formerly[1] is " "` + free},
		{"a = { default = 1, formerly = { 'x=y' } }", `params.a: formerly[1] is "x=y"` + free},
	} {
		_, err := contractFrom(t, "return procedure { "+good+"params = { "+bad.params+" } }")
		failed(t, err, "procedure: "+bad.text, "")
	}
	_, err = contractFrom(t, "return procedure { "+good+"params = { a = { default = 1, formerly = 'x' } } }")
	failed(t, err, `procedure: params.a: formerly is "x"; it must be a list of texts`,
		`formerly: earlier names of the parameter, which --set, resume --with and trials still accept, as in formerly = { "wait" }`)
}

func TestSettingsOfRenamedControls(t *testing.T) {
	c, err := contractFrom(t, "return procedure { "+good+`settings = { Auto = { value = "off", formerly = { "Adaptive", "Ambient" } }, Red = 3 } }`)
	if err != nil {
		t.Fatal(err)
	}
	if want := map[string]any{"Auto": "off", "Red": 3.0}; !reflect.DeepEqual(c.Settings, want) {
		t.Errorf("settings are %v, want %v", c.Settings, want)
	}
	if want := map[string]string{"Adaptive": "Auto", "Ambient": "Auto"}; !reflect.DeepEqual(c.former, want) {
		t.Errorf("former names are %v, want %v", c.former, want)
	}
	const free = "; it must be a name that no control of the settings has or had"
	const value = "; it must be a word, a finite number, or true or false"
	for _, bad := range []struct{ settings, text string }{
		{`A = { value = 1, formerly = { "A" } }`, `settings["A"].formerly[1] is "A"` + free},
		{`A = { value = 1, formerly = { "B" } }, B = 2`, `settings["A"].formerly[1] is "B"` + free},
		{`A = { value = 1, formerly = { "X" } }, B = { value = 1, formerly = { "X" } }`, `settings["B"].formerly[1] is "X"` + free},
		{`A = { value = 1, formerly = { 5 } }`, `settings["A"].formerly[1] is 5` + free},
		{`A = { value = {}, formerly = { "X" } }`, `settings["A"] is {}` + value},
		{`A = { value = 1 }`, `settings["A"] is {["value"]=1}` + value},
		{`A = { formerly = { "X" } }`, `settings["A"] is {["formerly"]={"X"}}` + value},
		{`A = { value = 1, formerly = "X" }`, `settings["A"] is {["formerly"]="X", ["value"]=1}` + value},
	} {
		_, err := contractFrom(t, "return procedure { "+good+"settings = { "+bad.settings+" } }")
		failed(t, err, "procedure: "+bad.text, "")
	}
}

package script

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
)

// Contract is what a procedure states of itself, and all that can be known of
// it without running it.
type Contract struct {
	Title    string            `json:"title"`
	Purpose  string            `json:"purpose"`
	Needs    []string          `json:"needs"`  // the places on the bench
	Needed   bench.Needs       `json:"needed"` // and what it needs of each
	Settings map[string]any    `json:"settings,omitempty"`
	Caution  string            `json:"caution,omitempty"`
	Flashing string            `json:"flashing,omitempty"` // why it flashes; empty where it does not
	Params   []Param           `json:"params"`
	former   map[string]string // a control's name by the one that it had before
	run      *lua.LFunction
	onResume *lua.LFunction // nil where the procedure gives none
}

// LuaName is what a script calls it.
func (Contract) LuaName() string { return "procedure" }

type contractArgs struct {
	Title    string            `lua:"title" help:"name for people, at the head of results"`
	Purpose  string            `lua:"purpose" help:"what it measures, in one or two sentences"`
	Needs    map[string]any    `lua:"needs" optional:"true" help:"the devices that it uses and what they must be able to do, as in needs = { meter = {}, patches = {}, rig = { place = true } }; \"optional\" in place of true: it does without"`
	Settings map[string]any    `lua:"settings" optional:"true" help:"what the unit must be set to, by role, as in settings = { [\"automatic brightness\"] = \"off\", brightness = \"maximum\" } (the roles are automatic brightness, brightness, picture mode, enhancements), or by the name in the unit's menu; for a control that was renamed, { value = \"off\", formerly = { \"Ambient\" } }"`
	Caution  *string           `lua:"caution" help:"warning that is shown, and must be confirmed, before anything lights up"`
	Flashing *string           `lua:"flashing" help:"why the screen, or a lamp, flashes more than three times in a second; without it, such flashes are refused; it is shown with the caution for seizures, and must be confirmed"`
	Params   any               `lua:"params" optional:"true" want:"a table of parameters" help:"what a person can choose with --set, by name, as in params = { window = { default = 10, unit = \"%\" } }"`
	Run      declare.Function  `lua:"run" help:"function(p) … end, which measures; p has the parameters by name"`
	OnResume *declare.Function `lua:"on_resume" help:"function(p, pause) … end, called before a paused run goes on, for example to warm up again; it may take steps and record notes only"`
}

// declare is the global function procedure { … }.
func (rt *Runtime) declare(L *lua.LState) int {
	t, ok := L.Get(1).(*lua.LTable)
	if !ok {
		sandbox.Raise(L, &CallError{"procedure", &fault.ArgError{Arg: "the argument", Got: declare.Describe(L.Get(1)), Want: "a table", Tip: "write: return procedure { title = …, run = function(p) … end }"}})
	}
	in := rt.intake(mostContract)
	c, err := contractOf(&in, t)
	if err != nil {
		rt.asTold(err)
		sandbox.Raise(L, &CallError{"procedure", err})
	}
	var calls []lua.LValue
	for _, fn := range []*lua.LFunction{c.run, c.onResume} {
		if fn != nil {
			calls = append(calls, fn)
		}
	}
	L.Push(rt.m.NewObject(c, rt.metatable(reflect.TypeFor[Contract]()), int64(in.Bytes), calls...))
	return 1
}

func contractOf(in *declare.Intake, t *lua.LTable) (*Contract, error) {
	in.Walk(t)
	params := t.RawGetString("params")
	plain := copyWithout(t, "params")
	v, err := declare.For(reflect.TypeFor[contractArgs]()).Decode(in, []lua.LValue{plain})
	if err != nil {
		return nil, err
	}
	a := v.Interface().(contractArgs)
	c := &Contract{Title: a.Title, Purpose: a.Purpose, run: a.Run.Fn, Params: []Param{}}
	if a.OnResume != nil {
		c.onResume = a.OnResume.Fn
	}
	if a.Caution != nil {
		c.Caution = *a.Caution
	}
	if c.Flashing, err = flashingOf(a.Flashing); err != nil {
		return nil, err
	}
	if err := few("settings", len(a.Settings), in); err != nil {
		return nil, err
	}
	if c.Needed, err = needsOf(a.Needs); err != nil {
		return nil, err
	}
	c.Needs = slices.AppendSeq([]string{}, maps.Keys(c.Needed))
	slices.Sort(c.Needs)
	if c.Settings, c.former, err = settingsOf(a.Settings); err != nil {
		return nil, err
	}
	if err := checkSettings(c.Settings); err != nil {
		return nil, err
	}
	c.Params, err = ParamsOf(in, "params", params)
	return c, err
}

// few refuses more parameters or settings than a person can look through.
func few(what string, n int, in *declare.Intake) error {
	if n > mostNames && in.Limits.Bytes > 0 {
		return &fault.ArgError{Arg: what, Got: fmt.Sprintf("a table of %d %s", n, what), Want: fmt.Sprintf("a table of %d or fewer", mostNames)}
	}
	return nil
}

// flashingOf is what a contract says of flashes. To say nothing is to say that there are none.
func flashingOf(said *string) (string, error) {
	switch {
	case said == nil:
		return "", nil
	case strings.TrimSpace(*said) == "":
		return "", &fault.ArgError{Arg: "flashing", Got: "empty", Want: "why the screen flashes", Tip: "leave it out where the screen flashes at most three times in a second"}
	}
	return *said, nil
}

// copyWithout leaves out one key, which is read by other rules.
func copyWithout(t *lua.LTable, key string) *lua.LTable {
	out := &lua.LTable{Metatable: lua.LNil}
	for k, v := t.Next(lua.LNil); k != lua.LNil; k, v = t.Next(k) {
		if s, ok := k.(lua.LString); !ok || string(s) != key {
			out.RawSet(k, v)
		}
	}
	return out
}

func checkSettings(m map[string]any) error {
	for _, name := range slices.Sorted(maps.Keys(m)) {
		switch v := m[name].(type) {
		case string, bool:
			continue
		case float64:
			if declare.Finite(v) {
				continue
			}
		}
		return &fault.ArgError{Arg: "settings" + declare.Key(name), Got: declare.Show(m[name]), Want: "a word, a finite number, or true or false"}
	}
	return nil
}

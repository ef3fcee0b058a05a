package script

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	lua "github.com/yuin/gopher-lua"
)

// Contract is what a procedure states of itself, and all that can be known of
// it without running it.
type Contract struct {
	Title    string         `json:"title"`
	Purpose  string         `json:"purpose"`
	Needs    []string       `json:"needs"`
	Settings map[string]any `json:"settings,omitempty"`
	Caution  string         `json:"caution,omitempty"`
	Params   []Param        `json:"params"`
	run      *lua.LFunction
}

// LuaName is what a script calls it.
func (Contract) LuaName() string { return "procedure" }

// Param is one parameter of a procedure. Its type is that of its default.
type Param struct {
	Name    string   `json:"name"`
	Default any      `json:"default"` // float64, string, bool, []float64 or []string
	Unit    string   `json:"unit,omitempty"`
	Help    string   `json:"help,omitempty"`
	Min     *float64 `json:"min,omitempty"`
	Max     *float64 `json:"max,omitempty"`
	OneOf   []string `json:"one_of,omitempty"`
	Whole   bool     `json:"whole,omitempty"`
}

// Params are a procedure's effective parameters.
type Params map[string]any

type contractArgs struct {
	Title    string         `lua:"title"`
	Purpose  string         `lua:"purpose"`
	Needs    map[string]any `lua:"needs" optional:"true" help:"the devices that it uses, as in needs = { meter = {}, patches = {} }"`
	Settings map[string]any `lua:"settings" optional:"true" help:"what the unit must be set to, as in settings = { [\"Adaptive brightness\"] = \"off\" }"`
	Caution  *string        `lua:"caution" help:"shown, and confirmed, before anything lights up"`
	Params   any            `lua:"params" optional:"true"`
	Run      Function       `lua:"run" help:"function(p) … end"`
}

type paramArgs struct {
	Default any      `lua:"default" help:"what it is when nobody says otherwise; it also gives the type"`
	Unit    string   `lua:"unit" default:""`
	Help    string   `lua:"help" default:""`
	Min     *float64 `lua:"min"`
	Max     *float64 `lua:"max"`
	OneOf   []string `lua:"one_of" optional:"true"`
	Whole   bool     `lua:"whole" default:"false" help:"whole numbers only"`
}

// devices that a procedure can need.
var deviceNames = []string{"meter", "reference", "patches", "unit", "rig", "operator"}

// declare is the global function procedure { … }.
func (rt *Runtime) declare(L *lua.LState) int {
	t, ok := L.Get(1).(*lua.LTable)
	if !ok {
		raise(L, &CallError{"procedure", &ArgError{Arg: "the argument", Got: describe(L.Get(1)), Want: "a table", Tip: "write: return procedure { title = …, run = function(p) … end }"}})
	}
	c, err := contractOf(t)
	if err != nil {
		raise(L, &CallError{"procedure", err})
	}
	ud := L.NewUserData()
	ud.Value = c
	ud.Metatable = rt.metatable(reflect.TypeFor[Contract]())
	L.Push(ud)
	return 1
}

func contractOf(t *lua.LTable) (*Contract, error) {
	params := t.RawGetString("params")
	plain := copyWithout(t, "params")
	v, err := planFor(reflect.TypeFor[contractArgs]()).decode([]lua.LValue{plain})
	if err != nil {
		return nil, err
	}
	a := v.Interface().(contractArgs)
	c := &Contract{Title: a.Title, Purpose: a.Purpose, Settings: a.Settings, run: a.Run.fn, Params: []Param{}}
	if a.Caution != nil {
		c.Caution = *a.Caution
	}
	if c.Needs, err = needsOf(a.Needs); err != nil {
		return nil, err
	}
	if err := checkSettings(a.Settings); err != nil {
		return nil, err
	}
	c.Params, err = paramsOf(params)
	return c, err
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

func needsOf(m map[string]any) ([]string, error) {
	names := []string{}
	for name, options := range m {
		if !slices.Contains(deviceNames, name) {
			tip := "a bench has " + strings.Join(deviceNames, ", ")
			got := fmt.Sprintf("names no device %q", name)
			if near, ok := nearest(name, deviceNames); ok {
				got += fmt.Sprintf("; did you mean %q?", near)
			}
			return nil, &ArgError{Arg: "needs", Got: got, Tip: tip}
		}
		if m, ok := options.(map[string]any); !ok || len(m) > 0 {
			return nil, &ArgError{Arg: "needs." + name, Got: showValue(options), Want: "{}"}
		}
		names = append(names, name)
	}
	slices.Sort(names)
	return names, nil
}

func checkSettings(m map[string]any) error {
	for name, v := range m {
		switch v.(type) {
		case string, float64, bool:
		default:
			return &ArgError{Arg: fmt.Sprintf("settings[%q]", name), Got: showValue(v), Want: "a word or a number"}
		}
	}
	return nil
}

func paramsOf(v lua.LValue) ([]Param, error) {
	list := []Param{}
	if v == lua.LNil {
		return list, nil
	}
	t, ok := v.(*lua.LTable)
	if !ok {
		return nil, &ArgError{Arg: "params", Got: describe(v), Want: "a table"}
	}
	for k, x := t.Next(lua.LNil); k != lua.LNil; k, x = t.Next(k) {
		name, ok := k.(lua.LString)
		if !ok {
			return nil, &ArgError{Arg: "params", Got: "holds a value without a name", Tip: "as in params = { windows = { default = { 1, 10 } } }"}
		}
		p, err := paramOf(string(name), x)
		if err != nil {
			return nil, err
		}
		list = append(list, p)
	}
	return list, nil
}

func paramOf(name string, x lua.LValue) (Param, error) {
	within := func(err error) error { return fmt.Errorf("params.%s: %w", name, err) }
	t, ok := x.(*lua.LTable)
	if !ok {
		return Param{}, within(&ArgError{Arg: "it", Got: describe(x), Want: "a table with a default"})
	}
	v, err := planFor(reflect.TypeFor[paramArgs]()).decode([]lua.LValue{t})
	if err != nil {
		return Param{}, within(err)
	}
	a := v.Interface().(paramArgs)
	p := Param{Name: name, Unit: a.Unit, Help: a.Help, Min: a.Min, Max: a.Max, OneOf: a.OneOf, Whole: a.Whole}
	if p.Default, err = typed(a.Default); err != nil {
		return Param{}, within(err)
	}
	if err := p.check(p.Default); err != nil {
		return Param{}, within(fmt.Errorf("its default: %w", err))
	}
	return p, nil
}

// typed turns a plain value into one of the types that a parameter can have.
func typed(x any) (any, error) {
	list, isList := x.([]any)
	if !isList {
		switch x.(type) {
		case float64, string, bool, []float64, []string:
			return x, nil
		}
		return nil, &ArgError{Arg: "default", Got: showValue(x), Want: "a number, a text, true or false, or a list of numbers or texts"}
	}
	var numbers []float64
	var texts []string
	for _, e := range list {
		switch e := e.(type) {
		case float64:
			numbers = append(numbers, e)
		case string:
			texts = append(texts, e)
		}
	}
	switch len(list) {
	case len(numbers):
		return numbers, nil
	case len(texts):
		return texts, nil
	}
	return nil, &ArgError{Arg: "default", Got: "a mixed list", Want: "a list of numbers or a list of texts"}
}

// field gives the parameter the checks and words of an argument.
func (p *Param) field() *field {
	return &field{name: p.Name, typ: p.goType(), unit: p.Unit, help: p.Help, min: p.Min, max: p.Max, oneOf: p.OneOf}
}

func (p *Param) goType() reflect.Type {
	if p.Whole {
		switch p.Default.(type) {
		case float64:
			return reflect.TypeFor[int]()
		case []float64:
			return reflect.TypeFor[[]int]()
		}
	}
	return reflect.TypeOf(p.Default)
}

// Want says what values are allowed, in words.
func (p *Param) Want() string { return p.field().want() }

func (p *Param) check(x any) error {
	v := reflect.ValueOf(x)
	if p.Whole {
		numbers, _ := x.([]float64)
		if n, ok := x.(float64); ok {
			numbers = []float64{n}
		}
		for _, n := range numbers {
			if n != float64(int64(n)) {
				return p.field().wrong(p.Name, lua.LNumber(n))
			}
		}

	}
	return p.field().check(v, p.Name, lua.LNil)
}

// Parse reads a parameter from the command line, as its type says: lists are
// written 1,2,5.
func (p *Param) Parse(text string) (any, error) {
	wrong := func() error { return p.field().wrong(p.Name, lua.LString(text)) }
	var x any
	switch p.Default.(type) {
	case float64:
		n, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return nil, wrong()
		}
		x = n
	case bool:
		b, err := strconv.ParseBool(text)
		if err != nil {
			return nil, wrong()
		}
		x = b
	case string:
		x = text
	case []float64:
		numbers := []float64{}
		for _, part := range strings.Split(text, ",") {
			n, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
			if err != nil {
				return nil, wrong()
			}
			numbers = append(numbers, n)
		}
		x = numbers
	case []string:
		x = strings.Split(text, ",")
	}
	return x, p.check(x)
}

// Values gives every parameter its value: the default, or what is set here.
func (c *Contract) Values(set []string) (Params, error) {
	out := Params{}
	var names []string
	for i := range c.Params {
		out[c.Params[i].Name] = c.Params[i].Default
		names = append(names, c.Params[i].Name)
	}
	for _, s := range set {
		name, text, ok := strings.Cut(s, "=")
		if !ok {
			return nil, &ArgError{Arg: "a parameter", Got: strconv.Quote(s), Want: "name=value"}
		}
		i := slices.Index(names, name)
		if i < 0 {
			got := fmt.Sprintf("has no parameter %q", name)
			if near, found := nearest(name, names); found {
				got += fmt.Sprintf("; did you mean %q?", near)
			}
			return nil, &ArgError{Arg: "the procedure", Got: got, Tip: "its parameters are " + strings.Join(names, ", ")}
		}
		v, err := c.Params[i].Parse(text)
		if err != nil {
			return nil, err
		}
		out[name] = v
	}
	return out, nil
}

// Restore reads parameters back from their JSON form, as a journal's head
// keeps them, and gives those that it does not hold their default.
func (c *Contract) Restore(kept map[string]any) (Params, error) {
	out := Params{}
	for i := range c.Params {
		p := &c.Params[i]
		out[p.Name] = p.Default
		x, there := kept[p.Name]
		if !there {
			continue
		}
		v, err := typed(x)
		if err != nil {
			return nil, fmt.Errorf("parameter %s: %w", p.Name, err)
		}
		if empty, ok := v.([]float64); ok && len(empty) == 0 {
			v = reflect.Zero(reflect.TypeOf(p.Default)).Interface()
		}
		out[p.Name] = v
	}
	return out, nil
}

// paramsToLua gives the parameters to run, as a table in which a misspelt name
// is an error.
func (rt *Runtime) paramsToLua(params Params) *lua.LTable {
	t := rt.m.L.NewTable()
	var names []string
	for _, p := range rt.contract.Params {
		t.RawSetString(p.Name, rt.toLua(reflect.ValueOf(params[p.Name])))
		names = append(names, p.Name)
	}
	mt := rt.m.L.NewTable()
	mt.RawSetString("__index", rt.m.L.NewFunction(func(L *lua.LState) int {
		got := fmt.Sprintf("has no parameter %s", describe(L.Get(2)))
		if s, ok := L.Get(2).(lua.LString); ok {
			if near, found := nearest(string(s), names); found {
				got += fmt.Sprintf("; did you mean %q?", near)
			}
		}
		raise(L, &ArgError{Arg: "the procedure", Got: got, Tip: "its parameters are " + strings.Join(names, ", ")})
		return 0
	}))
	t.Metatable = mt
	return t
}

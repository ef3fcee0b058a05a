package script

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
	"candelua/engine/spell"
)

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
	// Formerly are names that it had before, which are still taken for it.
	Formerly []string `json:"formerly,omitempty"`
}

// Params are a procedure's effective parameters.
type Params map[string]any

type paramArgs struct {
	Default any      `lua:"default" help:"value that is used if no other is set; it also decides the type"`
	Unit    string   `lua:"unit" default:"" help:"unit of the number, for people"`
	Help    string   `lua:"help" default:"" help:"what it is for, in a line that begins with a verb"`
	Min     *float64 `lua:"min" help:"smallest number that is taken"`
	Max     *float64 `lua:"max" help:"largest number that is taken"`
	OneOf   []string `lua:"one_of" optional:"true" help:"the texts that are taken, and no others"`
	Whole   bool     `lua:"whole" default:"false" help:"whole numbers only"`
	Former  []string `lua:"formerly" optional:"true" help:"earlier names of the parameter, which --set, resume --with and trials still accept, as in formerly = { \"wait\" }"`
}

// ParamsOf reads what a file declares as typed parameters, each a table with a default. word is what
// the file calls them: params, or settings of a driver. Errors are [fault.ArgError]s.
func ParamsOf(in *declare.Intake, word string, v lua.LValue) ([]Param, error) {
	list := []Param{}
	if v == lua.LNil {
		return list, nil
	}
	t, ok := v.(*lua.LTable)
	if !ok {
		return nil, &fault.ArgError{Arg: word, Got: declare.Describe(v), Want: "a table"}
	}
	in.Walk(t)
	for k, x := t.Next(lua.LNil); k != lua.LNil; k, x = t.Next(k) {
		if err := few(word, len(list)+1, in); err != nil {
			return nil, err
		}
		name, ok := k.(lua.LString)
		if !ok {
			return nil, &fault.ArgError{Arg: word, Got: "holds a value without a name", Tip: "as in " + word + " = { windows = { default = { 1, 10 } } }"}
		}
		if err := in.Name(word, string(name)); err != nil {
			return nil, err
		}
		p, err := paramOf(in, word, string(name), x)
		if err != nil {
			return nil, err
		}
		list = append(list, p)
	}
	return list, checkFormerly(word, list)
}

func paramOf(in *declare.Intake, word, name string, x lua.LValue) (Param, error) {
	within := func(err error) error {
		if wrong, ok := err.(*fault.ArgError); ok && wrong.Arg == declare.TheTable {
			wrong.Arg = word + "." + name
			return wrong
		}
		return fmt.Errorf("%s.%s: %w", word, name, err)
	}
	t, ok := x.(*lua.LTable)
	if !ok {
		return Param{}, within(&fault.ArgError{Arg: declare.TheTable, Got: declare.Describe(x), Want: "a table with a default", Tip: "as in " + name + " = { default = " + declare.Describe(x) + " }"})
	}
	v, err := declare.For(reflect.TypeFor[paramArgs]()).Decode(in, []lua.LValue{t})
	if err != nil {
		return Param{}, within(err)
	}
	a := v.Interface().(paramArgs)
	p := Param{Name: name, Unit: a.Unit, Help: a.Help, Min: a.Min, Max: a.Max, OneOf: a.OneOf, Whole: a.Whole, Formerly: a.Former}
	if p.Default, err = typed(a.Default); err != nil {
		return Param{}, within(err)
	}
	if err := p.coherent(); err != nil {
		return Param{}, within(err)
	}
	if err := p.check(p.Default); err != nil {
		return Param{}, within(fmt.Errorf("its default: %w", err))
	}
	return p, nil
}

// coherent refuses limits that do not fit the default's type or each other.
func (p *Param) coherent() error {
	isNumber, isText := false, false
	switch p.Default.(type) {
	case float64, []float64:
		isNumber = true
	case string, []string:
		isText = true
	}
	switch {
	case p.OneOf != nil && !isText:
		return &fault.ArgError{Arg: "one_of", Got: "is given with the default " + declare.Show(p.Default) + "; the default must be a text"}
	case (p.Min != nil || p.Max != nil || p.Whole) && !isNumber:
		return &fault.ArgError{Arg: "min, max or whole", Got: "is given with the default " + declare.Show(p.Default) + "; the default must be a number"}
	case p.Min != nil && p.Max != nil && *p.Min > *p.Max:
		return &fault.ArgError{Arg: "min", Got: declare.Number(*p.Min), Want: declare.Number(*p.Max) + " or less, because max is " + declare.Number(*p.Max)}
	}
	return nil
}

// typed turns a plain value into one of the types that a parameter can have.
func typed(x any) (any, error) {
	list, isList := x.([]any)
	if !isList {
		if m, ok := x.(map[string]any); ok && len(m) == 0 {
			return nil, &fault.ArgError{Arg: "default", Got: "an empty table", Want: "at least one value, which decides the type"}
		}
		switch x.(type) {
		case float64, string, bool, []float64, []string:
			return x, nil
		}
		return nil, &fault.ArgError{Arg: "default", Got: declare.Show(x), Want: "a number, a text, true or false, or a list of numbers or texts"}
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
	return nil, &fault.ArgError{Arg: "default", Got: "a mixed list", Want: "a list of numbers or a list of texts"}
}

// field gives the parameter the checks and words of an argument.
func (p *Param) field() *declare.Field {
	return &declare.Field{Name: p.Name, Typ: p.goType(), Unit: p.Unit, Help: p.Help, Min: p.Min, Max: p.Max, OneOf: p.OneOf}
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
func (p *Param) Want() string { return p.field().Want() }

func (p *Param) check(x any) error {
	f := p.field()
	if p.Whole {
		numbers, isList := x.([]float64)
		if n, ok := x.(float64); ok {
			numbers = []float64{n}
		}
		for i, n := range numbers {
			if n == math.Trunc(n) {
				continue
			}
			name := p.Name
			if isList {
				name += declare.Index(i + 1)
			}
			return f.Wrong(name, lua.LNumber(n), reflect.TypeFor[int]())
		}
	}
	if list, ok := x.([]float64); ok && len(list) == 0 {
		return &fault.ArgError{Arg: p.Name, Got: "empty", Want: p.Want(), Tip: p.Help}
	}
	return f.Check(reflect.ValueOf(x), p.Name)
}

// Parse reads a parameter from the command line, as its type says: lists are
// written 1,2,5.
func (p *Param) Parse(text string) (any, error) {
	wrong := func() error {
		return &fault.ArgError{Arg: p.Name, Got: strconv.Quote(text), Want: p.Want(), Tip: p.Help}
	}
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
		words := strings.Split(text, ",")
		for i := range words {
			words[i] = strings.TrimSpace(words[i])
		}
		x = words
	}
	return x, p.check(x)
}

// Values gives every parameter its value: the default, or what is set here by its
// present or a former name.
func (c *Contract) Values(set []string) (Params, error) {
	out := Params{}
	for i := range c.Params {
		out[c.Params[i].Name] = c.Params[i].Default
	}
	given := map[string]string{} // as it was spelt
	for _, s := range set {
		name, text, ok := strings.Cut(s, "=")
		if !ok {
			return nil, &fault.ArgError{Arg: "a parameter", Got: strconv.Quote(s), Want: "name=value"}
		}
		p := c.Param(name)
		if p == nil {
			return nil, unknownParam(lua.LString(name), c.names())
		}
		if was, twice := given[p.Name]; twice {
			return nil, givenTwice(p, was, s)
		}
		given[p.Name] = s
		v, err := p.Parse(text)
		if err != nil {
			return nil, err
		}
		out[p.Name] = v
	}
	return out, nil
}

// Restore reads parameters back from their JSON form, as a journal's head
// keeps them, by their present or a former name, and gives those that it does not
// hold their default.
func (c *Contract) Restore(kept map[string]any) (Params, error) {
	out := Params{}
	for i := range c.Params {
		p := &c.Params[i]
		out[p.Name] = p.Default
		name, err := p.keptAs(kept)
		if err != nil {
			return nil, fmt.Errorf("the run's parameters: %w", err)
		}
		x, there := kept[name]
		if !there {
			continue
		}
		v, err := p.take(x, "it", "the script now declares this parameter differently; start a new run")
		if err != nil {
			return nil, fmt.Errorf("the run's parameter %s: %w", name, err)
		}
		out[p.Name] = v
	}
	return out, nil
}

// Take reads a value of the parameter as a file states it: a float64, string or bool, or an []any.
func (p *Param) Take(x any) (any, error) { return p.take(x, p.Name, p.Help) }

// take calls the value by a word, and gives a tip, where its type is wrong.
func (p *Param) take(x any, word, tip string) (any, error) {
	v, err := typed(x)
	if err == nil && reflect.TypeOf(v) != reflect.TypeOf(p.Default) {
		err = &fault.ArgError{Arg: word, Got: declare.Show(x), Want: p.Want(), Tip: tip}
	}
	if err == nil {
		err = p.check(v)
	}
	return v, err
}

// paramsToLua gives the parameters to run, as a table in which a misspelt name
// is an error.
func (rt *Runtime) paramsToLua(params Params) *lua.LTable {
	t := rt.m.L.CreateTable(0, 16)
	for _, p := range rt.contract.Params {
		t.RawSetString(p.Name, rt.toLua(reflect.ValueOf(params[p.Name])))
	}
	names := rt.contract.names()
	mt := rt.m.L.CreateTable(0, 4)
	mt.RawSetString("__index", rt.m.L.NewFunction(func(L *lua.LState) int {
		sandbox.Raise(L, unknownParam(L.Get(2), names))
		return 0
	}))
	mt.RawSetString("__metatable", lua.LString("parameters"))
	t.Metatable = mt
	return t
}

func unknownParam(name lua.LValue, names []string) error {
	got := "has no parameter " + declare.Describe(name)
	if s, ok := name.(lua.LString); ok {
		if near := spell.Nearest(string(s), names); near != "" {
			got += fmt.Sprintf("; did you mean %q?", near)
		}
	}
	tip := "its parameters are " + strings.Join(names, ", ")
	if len(names) == 0 {
		tip = "it has none"
	}
	return &fault.ArgError{Arg: "the procedure", Got: got, Tip: tip}
}

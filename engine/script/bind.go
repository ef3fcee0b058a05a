package script

import (
	"errors"
	"fmt"
	"reflect"
	"strings"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
	"candelua/engine/spell"
)

// bind makes a module's table for a script, speaking to a device. The table
// itself is empty, so that a script cannot replace what is in it. A function is
// bound when it is first asked for: a script uses few of them, and is started
// hundreds of times for its uncertainties.
func (rt *Runtime) bind(module, device string) *lua.LTable {
	key := Bound{module, device}
	if t, ok := rt.bound[key]; ok {
		return t
	}
	m := rt.program.byName[module]
	t, members := rt.m.L.CreateTable(0, 0), rt.m.L.CreateTable(0, 4)
	rt.bound[key] = t
	for _, k := range m.Consts {
		c := &Call{rt: rt, state: rt.m.L}
		members.RawSetString(k.Name, rt.toLua(reflect.ValueOf(k.Get(c))))
	}
	unknown := rt.m.L.CreateTable(0, 1)
	unknown.RawSetString("__index", rt.m.L.NewFunction(func(L *lua.LState) int {
		f := m.function(L.Get(2))
		if f == nil {
			sandbox.Raise(L, unknownMember(module, L.Get(2), m.members()))
			return 0
		}
		bound := rt.function(f, device, t)
		members.RawSetString(f.method(), bound)
		L.Push(bound)
		return 1
	}))
	members.Metatable = unknown
	mt := rt.m.L.CreateTable(0, 3)
	mt.RawSetString("__index", members)
	mt.RawSetString("__newindex", rt.m.L.NewFunction(func(L *lua.LState) int {
		sandbox.Raise(L, &fault.ArgError{Arg: module, Got: "cannot be changed", Tip: "keep functions of your own in a table of your own"})
		return 0
	}))
	mt.RawSetString("__metatable", lua.LString(module))
	t.Metatable = mt
	return t
}

// function finds what a script calls by a name in the module, nil where there is
// no such function.
func (m *Module) function(name lua.LValue) *Func {
	s, ok := name.(lua.LString)
	for _, f := range m.Funcs {
		if ok && f.object == nil && f.method() == string(s) {
			return f
		}
	}
	return nil
}

// members are the names of what is in the module.
func (m *Module) members() (names []string) {
	for _, f := range m.Shown() {
		if f.object == nil {
			names = append(names, f.method())
		}
	}
	for _, k := range m.Consts {
		names = append(names, k.Name)
	}
	return names
}

func unknownMember(module string, key lua.LValue, names []string) error {
	got := fmt.Sprintf("has no %s", declare.Describe(key))
	if s, ok := key.(lua.LString); ok {
		got = "has no function " + declare.Quote(string(s))
		if near := spell.Nearest(string(s), names); near != "" {
			got += fmt.Sprintf("; did you mean %q?", near)
		}
	}
	return &fault.ArgError{Arg: module, Got: got, Tip: module + " has " + strings.Join(names, ", ")}
}

// What a call costs of the budget of work without contact, in instructions: a
// call takes about a microsecond, each value that it gives some tens of
// nanoseconds, as does each that it takes (package declare), and an error some
// more microseconds, with the search for the word that was meant.
const (
	callCost  = 50
	valueCost = 4
	errorCost = 4000
)

// function binds one declaration to Lua. module is the table that the script
// finds it in, nil for a method.
func (rt *Runtime) function(f *Func, device string, module *lua.LTable) *lua.LFunction {
	if device == "" {
		device = f.device
	}
	return rt.m.L.NewFunction(func(L *lua.LState) int {
		rt.Charge(callCost)
		call := &Call{rt: rt, fn: f, device: device, state: L}
		rt.args = rt.args[:0]
		for i := range L.GetTop() {
			rt.args = append(rt.args, L.Get(i+1))
		}
		v, err := rt.invoke(f, call, rt.args, module)
		if err != nil {
			rt.charge(errorCost)
			sandbox.Raise(L, err)
			return 0
		}
		return rt.push(L, v)
	})
}

func (rt *Runtime) push(L *lua.LState, v reflect.Value) int {
	switch v.Type() {
	case reflect.TypeFor[None]():
		return 0
	case passedType:
		values := v.Interface().(Passed).values
		for _, x := range values {
			L.Push(x)
		}
		return len(values)
	}
	if v.Kind() == reflect.Struct {
		v = v.Addr() // made for this call alone, so that it need not be copied
	}
	L.Push(rt.toLua(v))
	return 1
}

// invoke calls the Go side. A panic there is a bug of ours: it ends the run,
// since a script that caught it would go on with a broken engine.
func (rt *Runtime) invoke(f *Func, c *Call, args []lua.LValue, module *lua.LTable) (v reflect.Value, err error) {
	defer func() {
		switch p := recover(); {
		case p == nil:
		case sandbox.Passing(p):
			panic(p) // of the script, on its way through a scope
		default:
			err = fmt.Errorf("%s: %w: %v", f.Name, fault.ErrInternal, p)
			rt.m.Stop(err)
		}
	}()
	if rt.loading && f.Class != ClassPure {
		return v, &CallError{Name: f.Name, Err: ErrLoading}
	}
	if err := rt.refuseResults(f); err != nil {
		return v, &CallError{Name: f.Name, Err: err}
	}
	if rt.computing && f.Class != ClassPure {
		return v, &CallError{Name: f.Name, Err: ErrComputing}
	}
	a, err := rt.decode(f, args, module)
	if err == nil {
		v, err = f.invoke(c, a)
	}
	if err != nil {
		return v, &CallError{Name: f.Name, Err: err}
	}
	return v, nil
}

func (rt *Runtime) decode(f *Func, args []lua.LValue, module *lua.LTable) (reflect.Value, error) {
	if module != nil && len(args) > 0 && args[0] == module {
		return reflect.Value{}, &fault.ArgError{Arg: declare.TheCall, Got: "is called with a colon", Tip: "write a dot, as in " + f.Name + "; only methods of objects take a colon"}
	}
	in := rt.intake(mostOf(f.Class))
	a, err := f.args.Take(&in, args)
	if err == nil {
		err = rt.handed(f, &in)
	}
	rt.asTold(err)
	if wrong, ok := err.(*fault.ArgError); ok && wrong.Got == declare.WithDot {
		wrong.Tip = "write a colon between the object and its method, as in my_" + f.Name
	}
	return a, err
}

// asTold takes from an error what runs by older rules were not told: the word that was meant.
func (rt *Runtime) asTold(err error) {
	var wrong *fault.ArgError
	if rt.lenient() && errors.As(err, &wrong) {
		wrong.Near = ""
	}
}

// ErrLoading is a step or a result that was asked while the script was being
// loaded.
var ErrLoading = errors.New("cannot be called while the script is loading; call it inside run")

// CallError is an error of a builtin, by its name.
type CallError struct {
	Name string
	Err  error
}

// An error about all of the call has the function's name as its subject.
func (e *CallError) Error() string {
	if wrong, ok := e.Err.(*fault.ArgError); ok && (wrong.Arg == declare.TheCall || wrong.Arg == declare.TheTable) {
		return (&fault.ArgError{Arg: e.Name, Got: wrong.Got, Want: wrong.Want}).Error()
	}
	return e.Name + ": " + e.Err.Error()
}

// Unwrap gives the builtin's own error.
func (e *CallError) Unwrap() error { return e.Err }

// Code is the inner error's code, so that scripts can tell errors apart.
func (e *CallError) Code() string { return fault.CodeOf(e.Err) }

// Hint is the inner error's hint.
func (e *CallError) Hint() string { return fault.HintOf(e.Err) }

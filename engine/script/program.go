// Package script runs procedures: Lua in a sandbox that bounds memory, time
// and what a script can reach, bound to Go by one typed declaration a builtin.
//
// A [Program] is a script that was read and compiled once; a [Runtime] is one
// execution of it in a machine of its own. Executing always begins at the
// script's start: a function that was cut off is never called again in the
// same Lua state.
package script

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"strings"

	lua "github.com/yuin/gopher-lua"
)

// Program is a script that was read and compiled, with the modules it may use.
type Program struct {
	File    string // its name in messages
	proto   *lua.FunctionProto
	loader  Loader
	limits  Limits
	modules []*Module
	byName  map[string]*Module
	methods map[reflect.Type][]*Func
}

// Compile reads a script. It refuses source that is too large, too deeply
// nested, not Lua, or that the interpreter is known to compile wrongly.
func Compile(file string, src []byte, loader Loader, modules []*Module) (*Program, error) {
	p := &Program{File: file, loader: loader, limits: DefaultLimits(), modules: modules,
		byName: map[string]*Module{}, methods: map[reflect.Type][]*Func{}}
	for _, m := range modules {
		if p.byName[m.Name] != nil {
			panic("script: two modules are called " + m.Name)
		}
		p.byName[m.Name] = m
		for _, f := range m.Funcs {
			if f.object != nil {
				p.methods[f.object] = append(p.methods[f.object], f)
			}
		}
	}
	proto, err := compile(file, src, p.limits)
	if err != nil {
		return nil, err
	}
	p.proto = proto
	return p, nil
}

// Runtime is one execution of a program.
type Runtime struct {
	program    *Program
	m          *machine
	ctx        context.Context
	host       Host
	contract   *Contract
	loading    bool
	state      map[reflect.Type]any
	metatables map[reflect.Type]*lua.LTable
	bound      map[Bound]*lua.LTable
}

// Start loads the script in a new machine and reads its contract. Nothing of
// the world is touched: a step asked while loading is refused.
func (p *Program) Start(ctx context.Context, h Host) (*Runtime, error) {
	if h.Print == nil {
		h.Print = func(string) {}
	}
	rt := &Runtime{program: p, host: h, loading: true, state: map[reflect.Type]any{},
		metatables: map[reflect.Type]*lua.LTable{}, bound: map[Bound]*lua.LTable{}}
	rt.m = newMachine(ctx, p.limits, h.Print, h.Seed)
	rt.ctx = rt.m.ctx
	for _, m := range p.modules {
		rt.m.setGlobal(m.Name, rt.bind(m.Name, ""))
	}
	rt.m.setGlobal("procedure", rt.m.L.NewFunction(rt.declare))
	rt.m.requires(p.loader)
	out, err := rt.m.call(rt.m.load(p.proto), 1)
	if err == nil {
		err = rt.readContract(out)
	}
	if err != nil {
		rt.Close()
		return nil, err
	}
	rt.loading = false
	return rt, nil
}

func (rt *Runtime) readContract(out []lua.LValue) error {
	if len(out) == 1 {
		if ud, ok := out[0].(*lua.LUserData); ok {
			if c, ok := ud.Value.(*Contract); ok {
				rt.contract = c
				return nil
			}
		}
	}
	return &Error{File: rt.program.File, Message: "the script does not return a procedure",
		Err: &ArgError{Arg: "the script", Got: "does not return a procedure", Tip: "end it with: return procedure { title = …, run = function(p) … end }"}}
}

// Contract is what the procedure states of itself.
func (rt *Runtime) Contract() *Contract { return rt.contract }

// Stop ends the execution; the script cannot catch it, and the first cause
// wins.
func (rt *Runtime) Stop(cause error) { rt.m.stop(cause) }

// Context is done when the execution is stopped.
func (rt *Runtime) Context() context.Context { return rt.ctx }

// Refill is called when script time moves: the script may again work as long
// as its budget says without a contact with the world.
func (rt *Runtime) Refill() { rt.m.refill() }

// Charge counts n units of work against the budget of work without contact.
func (rt *Runtime) Charge(n int64) { rt.m.charge(n) }

// Close frees the machine.
func (rt *Runtime) Close() { rt.m.close() }

// Run puts the settings that the procedure requires and then calls its run
// function with the parameters.
func (rt *Runtime) Run(params Params) error {
	if len(rt.contract.Settings) > 0 {
		if err := rt.putSettings(); err != nil {
			return err
		}
	}
	_, err := rt.m.call(rt.contract.run, 0, rt.paramsToLua(params))
	return err
}

// putSettings asks for the required settings as the script itself would, by
// the same door and as the run's first step.
func (rt *Runtime) putSettings() error {
	f := rt.program.find("unit.set")
	if f == nil {
		return fmt.Errorf("%s: it requires settings, but nothing here can set them", rt.program.File)
	}
	t := rt.toLua(reflect.ValueOf(rt.contract.Settings))
	_, err := rt.m.call(rt.function(f, ""), 0, t)
	return err
}

func (p *Program) find(name string) *Func {
	for _, m := range p.modules {
		for _, f := range m.Funcs {
			if f.Name == name {
				return f
			}
		}
	}
	return nil
}

// bind makes the table of a module's functions, speaking to a device.
func (rt *Runtime) bind(module, device string) *lua.LTable {
	key := Bound{module, device}
	if t, ok := rt.bound[key]; ok {
		return t
	}
	m := rt.program.byName[module]
	t := rt.m.L.NewTable()
	rt.bound[key] = t
	var names []string
	for _, f := range m.Funcs {
		if f.object == nil {
			t.RawSetString(f.method(), rt.function(f, device))
			names = append(names, f.method())
		}
	}
	for _, k := range m.Consts {
		c := &Call{rt: rt, state: rt.m.L}
		t.RawSetString(k.Name, rt.toLua(reflect.ValueOf(k.Get(c))))
		names = append(names, k.Name)
	}
	mt := rt.m.L.NewTable()
	mt.RawSetString("__index", rt.m.L.NewFunction(func(L *lua.LState) int {
		raise(L, unknownMember(module, L.Get(2), names))
		return 0
	}))
	mt.RawSetString("__newindex", rt.m.L.NewFunction(func(L *lua.LState) int {
		raise(L, &ArgError{Arg: module, Got: "cannot be changed", Tip: "keep functions of your own in a table of your own"})
		return 0
	}))
	mt.RawSetString("__metatable", lua.LString(module))
	t.Metatable = mt
	return t
}

func unknownMember(module string, key lua.LValue, names []string) error {
	got := fmt.Sprintf("has no %s", describe(key))
	if s, ok := key.(lua.LString); ok {
		got = fmt.Sprintf("has no function %q", string(s))
		if near, found := nearest(string(s), names); found {
			got += fmt.Sprintf("; did you mean %q?", near)
		}
	}
	return &ArgError{Arg: module, Got: got, Tip: module + " has " + strings.Join(names, ", ")}
}

// function binds one declaration to Lua.
func (rt *Runtime) function(f *Func, device string) *lua.LFunction {
	if device == "" {
		device = f.device
	}
	return rt.m.L.NewFunction(func(L *lua.LState) int {
		call := &Call{rt: rt, fn: f, device: device, state: L}
		args := make([]lua.LValue, L.GetTop())
		for i := range args {
			args[i] = L.Get(i + 1)
		}
		v, err := rt.invoke(f, call, args)
		if err != nil {
			raise(L, err)
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
	L.Push(rt.toLua(v))
	return 1
}

// invoke calls the Go side. A panic there is a bug of ours: it ends the run,
// since a script that caught it would go on with a broken engine.
func (rt *Runtime) invoke(f *Func, c *Call, args []lua.LValue) (v reflect.Value, err error) {
	defer func() {
		switch p := recover().(type) {
		case nil:
		case *lua.ApiError, *thrown, halted:
			panic(p) // of the script, on its way through a scope
		default:
			err = fmt.Errorf("%s: %w: %v", f.Name, ErrInternal, p)
			rt.m.stop(err)
		}
	}()
	a, err := f.args.decode(args)
	if err != nil {
		return v, &CallError{Name: f.Name, Err: err}
	}
	v, err = f.invoke(c, a)
	if err != nil {
		return v, &CallError{Name: f.Name, Err: err}
	}
	return v, nil
}

// ErrInternal is a bug of candelua, not of the script.
var ErrInternal = errors.New("an error inside candelua, not in the script")

// CallError is an error of a builtin, by its name.
type CallError struct {
	Name string
	Err  error
}

func (e *CallError) Error() string { return e.Name + ": " + e.Err.Error() }

// Unwrap gives the builtin's own error.
func (e *CallError) Unwrap() error { return e.Err }

// Code is the inner error's code, so that scripts can tell errors apart.
func (e *CallError) Code() string { return CodeOf(e.Err) }

// Hint is the inner error's hint.
func (e *CallError) Hint() string { return HintOf(e.Err) }

// CodeOf finds the code that an error carries, "error" without one.
func CodeOf(err error) string {
	var coded interface{ Code() string }
	if errors.As(err, &coded) {
		return coded.Code()
	}
	return "error"
}

// HintOf finds what an error says to do next.
func HintOf(err error) string {
	var hinted interface{ Hint() string }
	if errors.As(err, &hinted) {
		return hinted.Hint()
	}
	return ""
}

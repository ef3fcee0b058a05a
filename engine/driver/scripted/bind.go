package scripted

import (
	"errors"
	"reflect"
	"slices"
	"strings"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
	"candelua/engine/script"
	"candelua/engine/spell"
)

// function is something that a driver can call, declared once.
type function struct {
	name  string // "link:line", "bytes.pack", "refused"
	help  string
	gives string // what the driver gets, in words; empty: nothing
	plan  *declare.Plan
	call  func(s *session, args reflect.Value) ([]lua.LValue, error)
	// contact says that it reaches the instrument. No pcall catches its failures, unless
	// it was called wrongly, and the driver may work anew after it.
	contact bool
}

func declared[A any](name, help, gives string, call func(*session, A) ([]lua.LValue, error)) *function {
	return &function{name: name, help: help, gives: gives, plan: declare.For(reflect.TypeFor[A]()),
		call: func(s *session, args reflect.Value) ([]lua.LValue, error) { return call(s, args.Interface().(A)) }}
}

func contacting[A any](name, help, gives string, call func(*session, A) ([]lua.LValue, error)) *function {
	f := declared(name, help, gives, call)
	f.contact = true
	return f
}

// callCost is what a call costs of the budget of work, in instructions.
const callCost = 50

// bind makes a function of Lua.
func (s *session) bind(f *function) *lua.LFunction {
	return s.m.L.NewFunction(func(L *lua.LState) int {
		s.m.Charge(callCost)
		args := make([]lua.LValue, L.GetTop())
		for i := range args {
			args[i] = L.Get(i + 1)
		}
		in := s.intake()
		v, err := f.plan.Take(&in, args)
		var out []lua.LValue
		if err == nil {
			out, err = f.call(s, v)
		}
		if err != nil {
			s.fail(L, f, err)
		}
		if f.contact {
			s.m.Refill()
		}
		for _, x := range out {
			if text, ok := x.(lua.LString); ok {
				s.m.Grow(int64(len(text)))
			}
			L.Push(x)
		}
		return len(out)
	})
}

func (s *session) fail(L *lua.LState, f *function, err error) {
	var wrong *fault.ArgError
	named := error(&script.CallError{Name: f.name, Err: err})
	if f == refused && !errors.As(err, &wrong) {
		named = err // it is the instrument's
	}
	if f.contact && !errors.As(err, &wrong) {
		sandbox.Unwind(L, named)
	}
	sandbox.Raise(L, named)
}

// globals gives the driver what it can call.
func (s *session) globals() {
	s.m.SetGlobal("driver", s.m.L.NewFunction(s.declare))
	s.m.SetGlobal("procedure", s.m.L.NewFunction(otherKind("a procedure", "candelua run FILE")))
	s.m.SetGlobal("trial", s.m.L.NewFunction(otherKind("a trial", "candelua trial FILE")))
	s.m.SetGlobal("require", s.m.L.NewFunction(absent("require", "a driver is one file; put into it what it needs")))
	for _, library := range []string{"os", "io"} { // what they would read is not in the journal
		s.m.SetGlobal(library, s.without(library, "a driver has no clock, no files and no other programs; link:wait(seconds) waits, and each wait has its timeout"))
	}
	s.m.SetGlobal(refused.name, s.bind(refused))
	t := s.m.L.NewTable()
	for _, f := range bytesFunctions {
		_, name, _ := strings.Cut(f.name, ".")
		t.RawSetString(name, s.bind(f))
	}
	s.m.SetGlobal("bytes", s.strict(t, "bytes"))
}

// absent is called for something that a driver does not have.
func absent(name, tip string) lua.LGFunction {
	return func(L *lua.LState) int {
		sandbox.Raise(L, &fault.ArgError{Arg: name, Got: "is not there", Tip: tip})
		return 0
	}
}

// without makes a library of Lua that a driver does not have: reading anything of it is an error that says why.
func (s *session) without(name, tip string) lua.LValue {
	t, mt := s.m.L.NewTable(), s.m.L.NewTable()
	mt.RawSetString("__index", s.m.L.NewFunction(absent(name, tip)))
	mt.RawSetString("__newindex", s.m.L.NewFunction(absent(name, tip)))
	mt.RawSetString("__metatable", lua.LString(name))
	t.Metatable = mt
	return t
}

// linkValue is the link as the driver is given it.
type linkValue struct{}

// LuaName is what errors call it.
func (linkValue) LuaName() string { return "link" }

// linkObject makes the link that the driver is given.
func (s *session) linkObject() lua.LValue {
	methods := s.m.L.NewTable()
	for _, f := range linkFunctions {
		_, name, _ := strings.Cut(f.name, ":")
		methods.RawSetString(name, s.bind(f))
	}
	mt := s.m.L.NewTable()
	mt.RawSetString("__index", s.strict(methods, "link"))
	mt.RawSetString("__metatable", lua.LString("link"))
	return s.m.NewObject(&linkValue{}, mt, 0)
}

// strict makes it an error to read a key that a table has not. Tables of one name have the same keys.
func (s *session) strict(t *lua.LTable, name string) *lua.LTable {
	mt := s.stricts[name]
	if mt == nil {
		var keys []string
		t.ForEach(func(k, _ lua.LValue) { keys = append(keys, k.String()) })
		slices.Sort(keys)
		mt = s.m.L.NewTable()
		mt.RawSetString("__index", s.m.L.NewFunction(func(L *lua.LState) int {
			sandbox.Raise(L, unknownKey(name, L.Get(2), keys))
			return 0
		}))
		mt.RawSetString("__metatable", lua.LString(name))
		s.stricts[name] = mt
	}
	t.Metatable = mt
	return t
}

func unknownKey(name string, key lua.LValue, keys []string) error {
	got := "has no " + declare.Describe(key)
	if k, ok := key.(lua.LString); ok {
		if near := spell.Nearest(string(k), keys); near != "" {
			got += "; did you mean " + declare.Quote(near) + "?"
		}
	}
	tip := name + " has " + strings.Join(keys, ", ")
	if len(keys) == 0 {
		tip = "there are none"
	}
	return &fault.ArgError{Arg: name, Got: got, Tip: tip}
}

// toLua gives plain values to the driver.
func (s *session) toLua(v reflect.Value) lua.LValue {
	switch v.Kind() {
	case reflect.Interface, reflect.Pointer:
		if v.IsNil() {
			return lua.LNil
		}
		return s.toLua(v.Elem())
	case reflect.Float64:
		return lua.LNumber(v.Float())
	case reflect.Int:
		return lua.LNumber(v.Int())
	case reflect.Bool:
		return lua.LBool(v.Bool())
	case reflect.String:
		return lua.LString(v.String())
	case reflect.Slice:
		t := s.m.L.CreateTable(v.Len(), 0)
		for i := range v.Len() {
			t.Append(s.toLua(v.Index(i)))
		}
		return t
	case reflect.Struct:
		t := s.m.L.NewTable()
		for i := range v.NumField() {
			if name, ok := v.Type().Field(i).Tag.Lookup("lua"); ok {
				t.RawSetString(name, s.toLua(v.Field(i)))
			}
		}
		return t
	}
	panic("scripted: a " + v.Type().String() + " cannot be given to a driver")
}

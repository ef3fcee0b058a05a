package script

import (
	"context"
	"fmt"
	"reflect"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
)

// otherKind is called by a file that declares something else than what was asked
// for. It says so, and which command takes the file.
func otherKind(is, command string) lua.LGFunction {
	return func(L *lua.LState) int {
		sandbox.Raise(L, &fault.ArgError{Arg: "this file", Got: "declares " + is, Tip: "give it to the other command: " + command})
		return 0
	}
}

// Declared reads a Lua file that declares something other than a procedure, as
// a trial does: it ends with "return word { … }", and the table is decoded into
// a T by the tags of its fields, with the same checks and words as a builtin's
// arguments. The file runs in a sandbox of its own and can call nothing.
func Declared[T any](ctx context.Context, word, file string, src []byte) (*T, error) {
	lim := sandbox.DefaultLimits()
	proto, err := sandbox.Compile(file, src, lim)
	if err != nil {
		return nil, err
	}
	m := sandbox.New(ctx, lim, func(string) {}, 0)
	defer m.Close()
	m.SetGlobal(word, m.L.NewFunction(func(L *lua.LState) int {
		v, err := declare.For(reflect.TypeFor[T]()).Decode(&declare.Intake{Limits: declare.Limits{Text: mostText, Bytes: mostContract}, Spend: m.Charge}, []lua.LValue{L.Get(1)})
		if err != nil {
			sandbox.Raise(L, &CallError{Name: word, Err: err})
		}
		p := reflect.New(v.Type())
		p.Elem().Set(v)
		ud := L.NewUserData()
		ud.Value = p.Interface()
		L.Push(ud)
		return 1
	}))
	m.SetGlobal("procedure", m.L.NewFunction(otherKind("a procedure, not a "+word, "candelua run FILE")))
	out, err := m.Call(m.Load(proto), 1)
	if err != nil {
		return nil, err
	}
	if len(out) == 1 {
		if ud, ok := out[0].(*lua.LUserData); ok {
			if t, ok := ud.Value.(*T); ok {
				return t, nil
			}
		}
	}
	return nil, &sandbox.Error{File: file, Message: fmt.Sprintf("the file does not return a %s", word),
		Err: &fault.ArgError{Arg: "the file", Got: "does not return a " + word, Tip: fmt.Sprintf("end it with: return %s { … }", word)}}
}

package script

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
	"candelua/engine/spell"
)

// toLua gives a Go value to the script. Structs become objects with known
// fields; lists and maps become tables.
func (rt *Runtime) toLua(v reflect.Value) lua.LValue {
	if !v.IsValid() {
		return lua.LNil
	}
	switch v.Kind() {
	case reflect.Float64:
		return lua.LNumber(v.Float())
	case reflect.Int:
		return lua.LNumber(v.Int())
	case reflect.Bool:
		return lua.LBool(v.Bool())
	case reflect.String:
		return lua.LString(v.String())
	case reflect.Interface:
		return rt.toLua(v.Elem())
	case reflect.Slice, reflect.Array:
		if v.Kind() == reflect.Slice && v.IsNil() {
			return lua.LNil
		}
		rt.Charge(valueCost * int64(v.Len()))
		rt.m.Grow(itemBytes * int64(v.Len()))
		t := rt.m.L.CreateTable(v.Len(), 0)
		if list, ok := v.Interface().([]float64); ok {
			for _, x := range list {
				t.Append(lua.LNumber(x))
			}
			return t
		}
		for i := range v.Len() {
			t.RawSetInt(i+1, rt.toLua(v.Index(i)))
		}
		return t
	case reflect.Map:
		return rt.mapToLua(v)
	case reflect.Pointer:
		if v.IsNil() {
			return lua.LNil
		}
		if v.Elem().Kind() != reflect.Struct {
			return rt.toLua(v.Elem())
		}
		return rt.object(v)
	case reflect.Struct:
		p := reflect.New(v.Type())
		p.Elem().Set(v)
		return rt.object(p)
	}
	panic(fmt.Sprintf("script: a %s cannot be given to a script", v.Type()))
}

// What an item of a list and a field of a table take that are made for the script.
const (
	itemBytes  = 24
	fieldBytes = 160
)

func (rt *Runtime) mapToLua(v reflect.Value) lua.LValue {
	rt.charge(2 * valueCost * int64(v.Len()))
	keys := make([]string, 0, v.Len())
	for _, k := range v.MapKeys() {
		keys = append(keys, k.String())
	}
	slices.Sort(keys)
	rt.m.Grow(fieldBytes * int64(len(keys)))
	t := rt.m.L.CreateTable(0, len(keys))
	for _, k := range keys {
		t.RawSetString(k, rt.toLua(v.MapIndex(reflect.ValueOf(k).Convert(v.Type().Key()))))
	}
	return t
}

// object wraps a pointer to a struct. Its fields are those with a lua tag;
// reading another one is an error that offers the nearest.
func (rt *Runtime) object(p reflect.Value) lua.LValue {
	x := p.Interface()
	switch x := x.(type) {
	case *Bound:
		return rt.bind(x.Module, x.Device)
	case *declare.Value:
		return x.V
	}
	return rt.m.NewObject(x, rt.metatable(p.Type().Elem()), held(p.Elem()))
}

// fields are a given type's: their names in Lua, and where each stands.
type fields struct {
	names []string
	index map[string]int
}

var fieldsByType sync.Map // reflect.Type -> *fields, never changed

func fieldsOf(t reflect.Type) *fields {
	if f, ok := fieldsByType.Load(t); ok {
		return f.(*fields)
	}
	f := &fields{index: map[string]int{}}
	for i := range t.NumField() {
		if name, ok := t.Field(i).Tag.Lookup("lua"); ok {
			f.names = append(f.names, name)
			f.index[name] = i
		}
	}
	kept, _ := fieldsByType.LoadOrStore(t, f)
	return kept.(*fields)
}

func (rt *Runtime) metatable(t reflect.Type) *lua.LTable {
	if mt, ok := rt.metatables[t]; ok {
		return mt
	}
	fields := fieldsOf(t)
	methods := map[string]lua.LValue{}
	for _, f := range rt.program.methods[t] {
		methods[f.method()] = rt.function(f, "", nil)
	}
	mt := rt.m.L.CreateTable(0, 4)
	rt.metatables[t] = mt
	name := declare.NameOf(t)
	mt.RawSetString("__index", rt.m.L.NewFunction(func(L *lua.LState) int {
		key := L.CheckAny(2)
		ud, _ := L.CheckAny(1).(*lua.LUserData)
		if s, ok := key.(lua.LString); ok && ud != nil {
			if i, known := fields.index[string(s)]; known {
				L.Push(rt.toLua(reflect.ValueOf(ud.Value).Elem().Field(i)))
				return 1
			}
			if m, known := methods[string(s)]; known {
				L.Push(m)
				return 1
			}
		}
		names := slices.Clone(fields.names)
		for _, f := range rt.program.methods[t] {
			names = append(names, f.method())
		}
		sandbox.Raise(L, unknownField(name, key, names))
		return 0
	}))
	rt.m.Reads(mt, func(x any, name string) lua.LValue {
		if i, known := fields.index[name]; known {
			return plainValue(reflect.ValueOf(x).Elem().Field(i))
		}
		return methods[name]
	})
	mt.RawSetString("__newindex", rt.m.L.NewFunction(func(L *lua.LState) int {
		sandbox.Raise(L, &fault.ArgError{Arg: "a " + name, Got: "cannot be changed", Tip: "keep what you compute in a variable or a table of your own"})
		return 0
	}))
	mt.RawSetString("__tostring", rt.m.L.NewFunction(func(L *lua.LState) int {
		ud, _ := L.CheckAny(1).(*lua.LUserData)
		L.Push(lua.LString(showObject(name, ud)))
		return 1
	}))
	mt.RawSetString("__metatable", lua.LString(name))
	return mt
}

// plainValue gives a script a number, a text or true or false, and what may be none of them; nil for all else.
func plainValue(v reflect.Value) lua.LValue {
	switch v.Kind() {
	case reflect.Float64:
		return lua.LNumber(v.Float())
	case reflect.Int:
		return lua.LNumber(v.Int())
	case reflect.Bool:
		return lua.LBool(v.Bool())
	case reflect.String:
		return lua.LString(v.String())
	case reflect.Pointer:
		if v.IsNil() {
			return lua.LNil
		}
		if v.Elem().Kind() != reflect.Struct {
			return plainValue(v.Elem())
		}
	}
	return nil
}

func showObject(name string, ud *lua.LUserData) string {
	if ud == nil {
		return name
	}
	if s, ok := ud.Value.(fmt.Stringer); ok {
		return s.String()
	}
	return name
}

func unknownField(name string, key lua.LValue, names []string) error {
	got := "has no field " + declare.Describe(key)
	if s, ok := key.(lua.LString); ok {
		got = "has no field " + declare.Quote(string(s))
		if near := spell.Nearest(string(s), names); near != "" {
			got += fmt.Sprintf("; did you mean %q?", near)
		}
	}
	tip := "its fields are " + strings.Join(names, ", ")
	if len(names) == 0 {
		tip = "it has none"
	}
	return &fault.ArgError{Arg: declare.Article(name), Got: got, Tip: tip}
}

package script

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"

	lua "github.com/yuin/gopher-lua"
)

// describe names a Lua value in an error.
func describe(v lua.LValue) string {
	switch v := v.(type) {
	case *lua.LNilType:
		return "nil"
	case lua.LBool:
		return strconv.FormatBool(bool(v))
	case lua.LNumber:
		return number(float64(v))
	case lua.LString:
		s := string(v)
		if len(s) > 40 {
			s = strings.ToValidUTF8(s[:40], "") + "…"
		}
		return strconv.Quote(s)
	case *lua.LTable:
		return describeTable(v)
	case *lua.LFunction:
		return "a function"
	case *lua.LUserData:
		if toFailure(v) != nil {
			return "an error"
		}
		return article(luaName(reflect.TypeOf(v.Value)))
	}
	return "a " + v.Type().String()
}

func describeTable(t *lua.LTable) string {
	n := t.Len()
	if n == 0 && countKeys(t) == 0 {
		return "an empty table"
	}
	if n == 0 || n > 6 || countKeys(t) != n {
		return "a table"
	}
	parts := make([]string, n)
	for i := range n {
		x := t.RawGetInt(i + 1)
		if _, nested := x.(*lua.LTable); nested {
			return "a table of tables"
		}
		parts[i] = describe(x)
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// A Named type says by itself what scripts call it.
type Named interface{ LuaName() string }

// luaName is what scripts call a Go type: its own word for it, else its name.
func luaName(t reflect.Type) string {
	if n, ok := reflect.Zero(t).Interface().(Named); ok && t.Kind() != reflect.Pointer {
		return n.LuaName()
	}
	if t.Kind() == reflect.Pointer {
		return luaName(t.Elem())
	}
	return strings.ToLower(t.Name())
}

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
		rt.m.charge(valueCost * int64(v.Len()))
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

func (rt *Runtime) mapToLua(v reflect.Value) lua.LValue {
	keys := make([]string, 0, v.Len())
	for _, k := range v.MapKeys() {
		keys = append(keys, k.String())
	}
	slices.Sort(keys)
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
	case *Value:
		return x.v
	}
	ud := rt.m.L.NewUserData()
	ud.Value = x
	ud.Metatable = rt.metatable(p.Type().Elem())
	return ud
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
	name := luaName(t)
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
		raise(L, unknownField(name, key, names))
		return 0
	}))
	mt.RawSetString("__newindex", rt.m.L.NewFunction(func(L *lua.LState) int {
		raise(L, &ArgError{Arg: "a " + name, Got: "cannot be changed", Tip: "keep what you compute in a variable or a table of your own"})
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
	got := fmt.Sprintf("has no field %s", describe(key))
	if s, ok := key.(lua.LString); ok {
		if near, found := nearest(string(s), names); found {
			got += fmt.Sprintf("; did you mean %q?", near)
		}
	}
	tip := "its fields are " + strings.Join(names, ", ")
	if len(names) == 0 {
		tip = "it has none"
	}
	return &ArgError{Arg: article(name), Got: got, Tip: tip}
}

// article puts a or an before a name. Initialisms are spelled out: an XYZ colour.
func article(name string) string {
	vowels := "aeiouAEIOU"
	if len(name) > 1 && unicode.IsUpper(rune(name[0])) && unicode.IsUpper(rune(name[1])) {
		vowels = "AEFHILMNORSX"
	}
	if name != "" && strings.ContainsRune(vowels, rune(name[0])) {
		return "an " + name
	}
	return "a " + name
}

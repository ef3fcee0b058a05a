package script

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"unicode"

	lua "github.com/yuin/gopher-lua"
)

// Function is a function of the script that a builtin is given, for scopes.
type Function struct{ fn *lua.LFunction }

// Given says whether the script gave a function at all.
func (f Function) Given() bool { return f.fn != nil }

var (
	functionType = reflect.TypeFor[Function]()
	errWrongType = errors.New("wrong type")
)

// assign converts a Lua value into dst without regard to limits.
func assign(dst reflect.Value, arg lua.LValue) error {
	switch dst.Kind() {
	case reflect.Float64:
		n, ok := arg.(lua.LNumber)
		if !ok {
			return errWrongType
		}
		dst.SetFloat(float64(n))
	case reflect.Int:
		n, ok := arg.(lua.LNumber)
		if !ok || float64(n) != math.Trunc(float64(n)) || math.Abs(float64(n)) > 1<<53 {
			return errWrongType
		}
		dst.SetInt(int64(n))
	case reflect.Bool:
		b, ok := arg.(lua.LBool)
		if !ok {
			return errWrongType
		}
		dst.SetBool(bool(b))
	case reflect.String:
		s, ok := arg.(lua.LString)
		if !ok {
			return errWrongType
		}
		dst.SetString(string(s))
	case reflect.Slice, reflect.Array:
		return assignList(dst, arg)
	case reflect.Map:
		return assignMap(dst, arg)
	case reflect.Interface:
		return assignAny(dst, arg)
	case reflect.Pointer:
		return assignPointer(dst, arg)
	case reflect.Struct:
		return assignStruct(dst, arg)
	default:
		return errWrongType
	}
	return nil
}

func assignList(dst reflect.Value, arg lua.LValue) error {
	t, ok := arg.(*lua.LTable)
	if !ok || countKeys(t) != t.Len() {
		return errWrongType
	}
	n := t.Len()
	if dst.Kind() == reflect.Array {
		if n != dst.Len() {
			return errWrongType
		}
	} else {
		dst.Set(reflect.MakeSlice(dst.Type(), n, n))
	}
	for i := range n {
		if err := assign(dst.Index(i), t.RawGetInt(i+1)); err != nil {
			return err
		}
	}
	return nil
}

func assignMap(dst reflect.Value, arg lua.LValue) error {
	t, ok := arg.(*lua.LTable)
	if !ok {
		return errWrongType
	}
	dst.Set(reflect.MakeMap(dst.Type()))
	for k, v := t.Next(lua.LNil); k != lua.LNil; k, v = t.Next(k) {
		name, ok := k.(lua.LString)
		if !ok {
			return errWrongType
		}
		x := reflect.New(dst.Type().Elem()).Elem()
		if err := assign(x, v); err != nil {
			return err
		}
		dst.SetMapIndex(reflect.ValueOf(string(name)), x)
	}
	return nil
}

func assignAny(dst reflect.Value, arg lua.LValue) error {
	if ud, ok := arg.(*lua.LUserData); ok {
		dst.Set(reflect.ValueOf(ud.Value))
		return nil
	}
	x, err := toGo(arg)
	if err != nil {
		return err
	}
	if x != nil {
		dst.Set(reflect.ValueOf(x))
	}
	return nil
}

// assignPointer takes an object of ours, or an optional plain value.
func assignPointer(dst reflect.Value, arg lua.LValue) error {
	if ud, ok := arg.(*lua.LUserData); ok {
		v := reflect.ValueOf(ud.Value)
		if !v.Type().AssignableTo(dst.Type()) {
			return errWrongType
		}
		dst.Set(v)
		return nil
	}
	if dst.Type().Elem().Kind() == reflect.Struct {
		if !hasArgs(dst.Type().Elem()) {
			return errWrongType
		}
	}
	x := reflect.New(dst.Type().Elem())
	if err := assign(x.Elem(), arg); err != nil {
		return err
	}
	dst.Set(x)
	return nil
}

func assignStruct(dst reflect.Value, arg lua.LValue) error {
	if dst.Type() == functionType {
		fn, ok := arg.(*lua.LFunction)
		if !ok {
			return errWrongType
		}
		dst.Set(reflect.ValueOf(Function{fn}))
		return nil
	}
	if ud, ok := arg.(*lua.LUserData); ok {
		v := reflect.ValueOf(ud.Value)
		if v.Kind() == reflect.Pointer && v.Type().Elem() == dst.Type() {
			dst.Set(v.Elem())
			return nil
		}
		return errWrongType
	}
	t, ok := arg.(*lua.LTable)
	if !ok || !hasArgs(dst.Type()) {
		return errWrongType
	}
	return planFor(dst.Type()).decodeTable(dst, t)
}

// hasArgs says whether a struct is declared as a table of arguments.
func hasArgs(t reflect.Type) bool {
	for i := range t.NumField() {
		if _, ok := t.Field(i).Tag.Lookup("lua"); ok {
			return true
		}
	}
	return false
}

// toGo turns a plain Lua value into nil, bool, float64, string, []any or
// map[string]any. Functions and objects are refused.
func toGo(v lua.LValue) (any, error) { return toGoDepth(v, 0) }

func toGoDepth(v lua.LValue, depth int) (any, error) {
	if depth > 32 {
		return nil, fmt.Errorf("a table is nested more than 32 deep, or holds itself")
	}
	switch v := v.(type) {
	case *lua.LNilType:
		return nil, nil
	case lua.LBool:
		return bool(v), nil
	case lua.LNumber:
		return float64(v), nil
	case lua.LString:
		return string(v), nil
	case *lua.LTable:
		return tableToGo(v, depth)
	}
	return nil, errWrongType
}

func tableToGo(t *lua.LTable, depth int) (any, error) {
	if n := t.Len(); n > 0 && countKeys(t) == n {
		list := make([]any, n)
		for i := range n {
			x, err := toGoDepth(t.RawGetInt(i+1), depth+1)
			if err != nil {
				return nil, err
			}
			list[i] = x
		}
		return list, nil
	}
	m := map[string]any{}
	for k, v := t.Next(lua.LNil); k != lua.LNil; k, v = t.Next(k) {
		name, ok := k.(lua.LString)
		if !ok {
			return nil, errWrongType
		}
		x, err := toGoDepth(v, depth+1)
		if err != nil {
			return nil, err
		}
		m[string(name)] = x
	}
	return m, nil
}

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
			s = s[:40] + "…"
		}
		return strconv.Quote(s)
	case *lua.LTable:
		return describeTable(v)
	case *lua.LFunction:
		return "a function"
	case *lua.LUserData:
		return "a " + luaName(reflect.TypeOf(v.Value))
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
		t := rt.m.L.CreateTable(v.Len(), 0)
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
		if b, ok := v.Interface().(Bound); ok {
			return rt.bind(b.Module, b.Device)
		}
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
	sortStrings(keys)
	t := rt.m.L.CreateTable(0, len(keys))
	for _, k := range keys {
		t.RawSetString(k, rt.toLua(v.MapIndex(reflect.ValueOf(k).Convert(v.Type().Key()))))
	}
	return t
}

// object wraps a pointer to a struct. Its fields are those with a lua tag;
// reading another one is an error that offers the nearest.
func (rt *Runtime) object(p reflect.Value) lua.LValue {
	ud := rt.m.L.NewUserData()
	ud.Value = p.Interface()
	ud.Metatable = rt.metatable(p.Type().Elem())
	return ud
}

// fieldsOf lists a given type's fields: name in Lua -> index.
func fieldsOf(t reflect.Type) (names []string, index map[string]int) {
	index = map[string]int{}
	for i := range t.NumField() {
		if name, ok := t.Field(i).Tag.Lookup("lua"); ok {
			names = append(names, name)
			index[name] = i
		}
	}
	return names, index
}

func (rt *Runtime) metatable(t reflect.Type) *lua.LTable {
	if mt, ok := rt.metatables[t]; ok {
		return mt
	}
	names, index := fieldsOf(t)
	methods := map[string]lua.LValue{}
	for _, f := range rt.program.methods[t] {
		methods[f.method()] = rt.function(f, "")
		names = append(names, f.method())
	}
	mt := rt.m.L.NewTable()
	rt.metatables[t] = mt
	name := luaName(t)
	mt.RawSetString("__index", rt.m.L.NewFunction(func(L *lua.LState) int {
		key := L.CheckAny(2)
		ud, _ := L.CheckAny(1).(*lua.LUserData)
		if s, ok := key.(lua.LString); ok && ud != nil {
			if i, known := index[string(s)]; known {
				L.Push(rt.toLua(reflect.ValueOf(ud.Value).Elem().Field(i)))
				return 1
			}
			if m, known := methods[string(s)]; known {
				L.Push(m)
				return 1
			}
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
	return &ArgError{Arg: article(name), Got: got, Tip: "its fields are " + strings.Join(names, ", ")}
}

func article(name string) string {
	if name != "" && strings.ContainsRune("aeiou", unicode.ToLower(rune(name[0]))) {
		return "an " + name
	}
	return "a " + name
}

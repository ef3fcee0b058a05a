package declare

import (
	"fmt"
	"math"
	"reflect"
	"strconv"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/fault"
)

// Function is a function of the script that a builtin is given, for scopes.
type Function struct{ Fn *lua.LFunction }

// Given says whether the script gave a function at all.
func (f Function) Given() bool { return f.Fn != nil }

// Value is a value of the script as it is, for builtins that hand it back
// without looking into it. It is never kept in the journal.
type Value struct{ V lua.LValue }

var (
	functionType = reflect.TypeFor[Function]()
	ValueType    = reflect.TypeFor[Value]()
)

// FunctionWord is what an argument that is a function of the script is called.
const FunctionWord = "a function"

// misfit is a value of the wrong type, at a place inside of an argument:
// "[2]", ".min" or nothing for the argument itself.
type misfit struct {
	at  string
	arg lua.LValue
	typ reflect.Type
}

func (e *misfit) Error() string { return e.at + " is " + Describe(e.arg) }

// inside puts a place before the place of what is wrong.
func inside(err error, at string) error {
	switch e := err.(type) {
	case *misfit:
		return &misfit{at + e.at, e.arg, e.typ}
	case *fault.ArgError:
		return e.Inside(at)
	}
	return err
}

func unfit(dst reflect.Value, arg lua.LValue) error { return &misfit{"", arg, dst.Type()} }

// Index writes a place in a list, as in [2].
func Index(i int) string { return "[" + strconv.Itoa(i) + "]" }

// Key writes a key of a table, as in ["Brightness"].
func Key(name string) string { return "[" + strconv.Quote(name) + "]" }

// assign converts a Lua value into dst without regard to limits. What is wrong
// is a [misfit], or a [fault.ArgError] of a table inside.
func (in *Intake) assign(dst reflect.Value, arg lua.LValue) error {
	if in.Values++; in.Values > mostValues {
		return tooManyValues()
	}
	if in.partial && isUnknown(arg) {
		return nil
	}
	switch dst.Kind() {
	case reflect.Float64:
		n, ok := arg.(lua.LNumber)
		if !ok {
			return unfit(dst, arg)
		}
		dst.SetFloat(float64(n))
	case reflect.Int:
		n, ok := arg.(lua.LNumber)
		if !ok || float64(n) != math.Trunc(float64(n)) || math.Abs(float64(n)) > 1<<53 {
			return unfit(dst, arg)
		}
		dst.SetInt(int64(n))
	case reflect.Bool:
		b, ok := arg.(lua.LBool)
		if !ok {
			return unfit(dst, arg)
		}
		dst.SetBool(bool(b))
	case reflect.String:
		s, ok := arg.(lua.LString)
		if !ok {
			return unfit(dst, arg)
		}
		if err := in.text(string(s)); err != nil {
			return err
		}
		dst.SetString(string(s))
	case reflect.Slice, reflect.Array:
		return in.assignList(dst, arg)
	case reflect.Map:
		return in.assignMap(dst, arg)
	case reflect.Interface:
		return in.assignAny(dst, arg)
	case reflect.Pointer:
		return in.assignPointer(dst, arg)
	case reflect.Struct:
		return in.assignStruct(dst, arg)
	default:
		return unfit(dst, arg)
	}
	return nil
}

func (in *Intake) assignList(dst reflect.Value, arg lua.LValue) error {
	if packed, ok := packedNumbers(arg); ok && dst.Type() == numbersType {
		in.spend(packed.N)
		in.Values += packed.N
		if err := in.room(8 * packed.N); err != nil {
			return err
		}
		dst.Set(reflect.ValueOf(packed.list))
		return nil
	}
	t, ok := arg.(*lua.LTable)
	if ok {
		if err := in.enter(t); err != nil {
			return err
		}
	}
	if ok && dst.Type() == numbersType {
		list, all, err := in.floats(t)
		if err != nil {
			return err
		}
		if all {
			dst.Set(reflect.ValueOf(list))
			return nil
		}
	}
	if !ok || countKeys(t) != t.Len() {
		return unfit(dst, arg)
	}
	n := t.Len()
	if err := in.items(n, dst.Type().Elem()); err != nil {
		return err
	}
	if dst.Kind() == reflect.Array {
		if n != dst.Len() {
			return unfit(dst, arg)
		}
	} else {
		dst.Set(reflect.MakeSlice(dst.Type(), n, n))
	}
	for i := range n {
		if err := in.assign(dst.Index(i), t.RawGetInt(i+1)); err != nil {
			return inside(err, Index(i+1))
		}
	}
	return nil
}

func (in *Intake) assignMap(dst reflect.Value, arg lua.LValue) error {
	t, ok := arg.(*lua.LTable)
	if !ok {
		return unfit(dst, arg)
	}
	if err := in.enter(t); err != nil {
		return err
	}
	dst.Set(reflect.MakeMap(dst.Type()))
	for k, v := t.Next(lua.LNil); k != lua.LNil; k, v = t.Next(k) {
		name, ok := k.(lua.LString)
		if !ok {
			return unfit(dst, arg)
		}
		if err := in.key(name); err != nil {
			return err
		}
		x := reflect.New(dst.Type().Elem()).Elem()
		if err := in.assignPlain(x, v); err != nil {
			return inside(err, Key(string(name)))
		}
		dst.SetMapIndex(reflect.ValueOf(string(name)), x)
	}
	return nil
}

// assignPlain is assign for what stands inside of a table, where objects have
// no place.
func (in *Intake) assignPlain(dst reflect.Value, arg lua.LValue) error {
	if in.partial && isUnknown(arg) {
		return nil
	}
	if _, isObject := arg.(*lua.LUserData); isObject && dst.Kind() == reflect.Interface {
		return unfit(dst, arg)
	}
	return in.assign(dst, arg)
}

func (in *Intake) assignAny(dst reflect.Value, arg lua.LValue) error {
	if ud, ok := arg.(*lua.LUserData); ok {
		dst.Set(reflect.ValueOf(ud.Value))
		return nil
	}
	in.objects = dst.Type() == looseType
	x, err := in.plain(arg, 0)
	in.objects = false
	if err != nil {
		return err
	}
	if x != nil {
		dst.Set(reflect.ValueOf(x))
	}
	return nil
}

// assignPointer takes an object of ours, or an optional plain value.
func (in *Intake) assignPointer(dst reflect.Value, arg lua.LValue) error {
	elem := dst.Type().Elem()
	if ud, ok := arg.(*lua.LUserData); ok {
		v := reflect.ValueOf(ud.Value)
		if !v.Type().AssignableTo(dst.Type()) {
			return &misfit{"", arg, elem}
		}
		dst.Set(v)
		return nil
	}
	x := reflect.New(elem)
	if err := in.assign(x.Elem(), arg); err != nil {
		return err
	}
	dst.Set(x)
	return nil
}

func (in *Intake) assignStruct(dst reflect.Value, arg lua.LValue) error {
	switch dst.Type() {
	case functionType:
		fn, ok := arg.(*lua.LFunction)
		if !ok {
			return unfit(dst, arg)
		}
		dst.Set(reflect.ValueOf(Function{fn}))
		return nil
	case ValueType:
		dst.Set(reflect.ValueOf(Value{arg}))
		return nil
	}
	if ud, ok := arg.(*lua.LUserData); ok {
		v := reflect.ValueOf(ud.Value)
		if v.Kind() == reflect.Pointer && v.Type().Elem() == dst.Type() {
			dst.Set(v.Elem())
			return nil
		}
		return unfit(dst, arg)
	}
	t, ok := arg.(*lua.LTable)
	if !ok || !hasArgs(dst.Type()) {
		return unfit(dst, arg)
	}
	if err := in.enter(t); err != nil {
		return err
	}
	return For(dst.Type()).decodeTable(in, dst, t, fieldNoun)
}

// hasArgs says whether a struct is declared as a table of arguments. An object
// that builtins give has fields too, but a script cannot make one of a table.
func hasArgs(t reflect.Type) bool {
	if t.Implements(reflect.TypeFor[Named]()) {
		return false
	}
	for i := range t.NumField() {
		if _, ok := t.Field(i).Tag.Lookup("lua"); ok {
			return true
		}
	}
	return false
}

// deepest is how deep tables may stand in tables.
const deepest = 32

// plain turns a Lua value into nil, bool, float64, string, []any or
// map[string]any. Functions and objects are refused.
func (in *Intake) plain(v lua.LValue, depth int) (any, error) {
	switch in.Values++; {
	case depth > deepest:
		return nil, &fault.ArgError{Got: fmt.Sprintf("is nested more than %d deep, or holds itself", deepest)}
	case in.Values > mostValues:
		return nil, tooManyValues()
	}
	if in.partial && isUnknown(v) {
		return nil, nil
	}
	switch v := v.(type) {
	case *lua.LNilType:
		return nil, nil
	case lua.LBool:
		return bool(v), nil
	case lua.LNumber:
		return float64(v), nil
	case lua.LString:
		return string(v), in.text(string(v))
	case *lua.LTable:
		if err := in.enter(v); err != nil {
			return nil, err
		}
		return in.plainTable(v, depth)
	case *lua.LUserData:
		if in.objects {
			return v.Value, nil
		}
	}
	return nil, &misfit{"", v, anyType}
}

var (
	anyType = reflect.TypeFor[any]()
	boxType = reflect.TypeFor[struct {
		any
		float64
	}]() // a plain value in a list
)

func (in *Intake) plainTable(t *lua.LTable, depth int) (any, error) {
	if in.objects {
		if list, all, err := in.floats(t); all || err != nil {
			return list, err
		}
	}
	if n := t.Len(); n > 0 && countKeys(t) == n {
		if err := in.items(n, boxType); err != nil {
			return nil, err
		}
		list := make([]any, n)
		for i := range n {
			x, err := in.plain(t.RawGetInt(i+1), depth+1)
			if err != nil {
				return nil, inside(err, Index(i+1))
			}
			list[i] = x
		}
		return list, nil
	}
	m := map[string]any{}
	for k, v := t.Next(lua.LNil); k != lua.LNil; k, v = t.Next(k) {
		name, ok := k.(lua.LString)
		if !ok {
			return nil, &misfit{"", t, anyType}
		}
		if err := in.key(name); err != nil {
			return nil, err
		}
		x, err := in.plain(v, depth+1)
		if err != nil {
			return nil, inside(err, Key(string(name)))
		}
		m[string(name)] = x
	}
	return m, nil
}

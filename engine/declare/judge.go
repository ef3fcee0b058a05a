package declare

import (
	"reflect"

	lua "github.com/yuin/gopher-lua"
)

// Unknown stands for a value that only an execution gives, where arguments are judged as they are written.
var Unknown lua.LValue = &lua.LUserData{Value: unknown{}}

// UnknownOf stands for a value of which only the kind is known: a number, a text, a table.
var (
	UnknownNumber lua.LValue = &lua.LUserData{Value: unknownNumber{}}
	UnknownText   lua.LValue = &lua.LUserData{Value: unknownText{}}
	UnknownTable  lua.LValue = &lua.LUserData{Value: unknownTable{}}
)

type (
	unknown       struct{}
	unknownNumber struct{}
	unknownText   struct{}
	unknownTable  struct{}
)

// LuaName is what each is called in an error.
func (unknown) LuaName() string       { return "value that is not known" }
func (unknownNumber) LuaName() string { return "number" }
func (unknownText) LuaName() string   { return "text" }
func (unknownTable) LuaName() string  { return "table" }

func isUnknown(v lua.LValue) bool {
	return v == Unknown || v == UnknownNumber || v == UnknownText || v == UnknownTable
}

// takes says whether a value of a kind alone may fit a type.
func takes(t reflect.Type, v lua.LValue) bool {
	switch k := pointed(t).Kind(); v {
	case UnknownNumber:
		return k == reflect.Float64 || k == reflect.Int || k == reflect.Interface || t == ValueType
	case UnknownText:
		return k == reflect.String || k == reflect.Interface || t == ValueType
	case UnknownTable:
		return k != reflect.Float64 && k != reflect.Int && k != reflect.String && k != reflect.Bool && t != functionType
	}
	return true
}

// Judge says what is wrong with a function's arguments, or with the fields of a table that a file declares, as far as they are
// known: by the same checks and in the same words as [Plan.Take] and [Plan.Decode]. The value that it fills is whole only where nothing is
// [Unknown].
func (p *Plan) Judge(in *Intake, args []lua.LValue, fields bool) (reflect.Value, error) {
	in.partial = true
	if fields {
		return p.Decode(in, args)
	}
	return p.Take(in, args)
}

// judge is set where some values are not known. A list is looked at value by value.
func (f *Field) judge(in *Intake, dst reflect.Value, arg lua.LValue) error {
	if isUnknown(arg) {
		if !takes(f.Typ, arg) {
			return f.Wrong(f.Name, arg, f.Typ)
		}
		return nil
	}
	if err := in.few(f, arg); err != nil {
		return err
	}
	if err := in.assign(dst, arg); err != nil {
		return f.explain(err, f.Name)
	}
	t, isTable := arg.(*lua.LTable)
	if !isTable || dst.Kind() != reflect.Slice && dst.Kind() != reflect.Array {
		return f.Check(dst, f.Name)
	}
	for i := range min(dst.Len(), t.Len()) {
		if isUnknown(t.RawGetInt(i + 1)) {
			continue
		}
		if err := f.Check(dst.Index(i), f.Name+Index(i+1)); err != nil {
			return err
		}
	}
	return nil
}

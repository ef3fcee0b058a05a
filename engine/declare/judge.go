package declare

import (
	"reflect"

	lua "github.com/yuin/gopher-lua"
)

// Unknown stands for a value that only an execution gives, where arguments are judged as they are written.
var Unknown lua.LValue = &lua.LUserData{Value: unknown{}}

type unknown struct{}

// LuaName is what it is called, where it should ever be named.
func (unknown) LuaName() string { return "value that is not known" }

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
	if arg == Unknown {
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
		if t.RawGetInt(i+1) == Unknown {
			continue
		}
		if err := f.Check(dst.Index(i), f.Name+Index(i+1)); err != nil {
			return err
		}
	}
	return nil
}

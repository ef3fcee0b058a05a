package script

import (
	"fmt"
	"reflect"
	"strings"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/fault"
	"candelua/engine/spell"
)

// decode fills a new value of the plan's type from the arguments at args.
func (p *plan) decode(args []lua.LValue) (reflect.Value, error) { return p.take(new(intake), args) }

// take is decode that counts what it converts.
func (p *plan) take(in *intake, args []lua.LValue) (reflect.Value, error) {
	v := reflect.New(p.typ).Elem()
	if p.self >= 0 {
		if len(args) == 0 {
			return v, &fault.ArgError{Arg: "the object", Got: "is missing", Tip: "call a method with a colon, as in sweep:add{}"}
		}
		f := &p.fields[p.self]
		if err := in.assign(v.Field(f.index), args[0]); err != nil {
			return v, &fault.ArgError{Arg: "the object", Got: "is " + describe(args[0]), Tip: "call a method with a colon, as in sweep:add{}"}
		}
		args = args[1:]
	}
	args = p.optionsLast(args)
	for i, n := range p.positional {
		arg := lua.LValue(lua.LNil)
		if i < len(args) {
			arg = args[i]
		}
		f := &p.fields[n]
		// A last argument of options may stand where optional ones were left out.
		if _, isTable := arg.(*lua.LTable); isTable && p.named && f.scalar() && f.absentAllowed() && i == len(args)-1 {
			args = append(append([]lua.LValue{}, args[:i]...), lua.LNil, arg)
			arg = lua.LNil
		}
		if err := f.setOrDefault(in, v.Field(f.index), arg); err != nil {
			return v, err
		}
	}
	args = args[min(len(args), len(p.positional)):]
	if len(args) > 0 && !p.named || len(args) > 1 {
		return v, &fault.ArgError{Arg: "the call", Got: "has too many arguments", Tip: p.signature()}
	}
	if !p.named {
		return v, nil
	}
	var table *lua.LTable
	if len(args) == 1 && args[0] != lua.LNil {
		t, ok := args[0].(*lua.LTable)
		if !ok {
			return v, &fault.ArgError{Arg: "the argument", Got: describe(args[0]), Want: "a table of named arguments", Tip: p.signature()}
		}
		table = t
	}
	err := p.decodeTable(in, v, table)
	if wrong, ok := err.(*fault.ArgError); ok && wrong.Arg == "" {
		wrong.Arg = "the call"
	}
	return v, err
}

// optionsLast puts a table of options that stands before a last function behind
// it: both orders are written, and the function reads best at the end.
func (p *plan) optionsLast(args []lua.LValue) []lua.LValue {
	n := len(args)
	if !p.named || n < 2 || n != len(p.positional)+1 || p.fields[p.positional[n-2]].typ != functionType {
		return args
	}
	if _, isFunction := args[n-1].(*lua.LFunction); !isFunction {
		return args
	}
	args = append([]lua.LValue{}, args...)
	args[n-2], args[n-1] = args[n-1], args[n-2]
	return args
}

// decodeTable fills v from named arguments; a nil table is an empty one. An
// error without an argument's name is about the table itself.
func (p *plan) decodeTable(in *intake, v reflect.Value, t *lua.LTable) error {
	found := 0
	var missing error
	for i := range p.fields {
		f := &p.fields[i]
		if i == p.self || i == p.rest || f.place > 0 {
			continue
		}
		arg := lua.LValue(lua.LNil)
		if t != nil {
			arg = t.RawGetString(f.name)
		}
		if arg != lua.LNil {
			found++
		}
		err := f.setOrDefault(in, v.Field(f.index), arg)
		if err != nil && arg != lua.LNil {
			return err
		}
		if missing == nil {
			missing = err
		}
	}
	if t != nil && (p.rest >= 0 || countKeys(t) != found) {
		// A name that is not known says more than the one that is missing for it.
		if err := p.otherKeys(in, v, t); err != nil {
			return err
		}
	}
	return missing
}

// countKeys counts without walking the script's values twice.
func countKeys(t *lua.LTable) int {
	n := 0
	for k, _ := t.Next(lua.LNil); k != lua.LNil; k, _ = t.Next(k) {
		n++
	}
	return n
}

// otherKeys takes the keys that no field names: into the rest field, or as an
// error that offers the nearest known one.
func (p *plan) otherKeys(in *intake, v reflect.Value, t *lua.LTable) error {
	rest := map[string]any{}
	for k, val := t.Next(lua.LNil); k != lua.LNil; k, val = t.Next(k) {
		name, isName := k.(lua.LString)
		if isName {
			if i, known := p.byName[string(name)]; known && p.fields[i].place == 0 {
				continue
			}
		}
		if p.rest < 0 || !isName {
			return p.unknownKey(k)
		}
		x, err := in.plain(val, 0)
		if err != nil {
			return p.fields[p.rest].explain(err, string(name))
		}
		rest[string(name)] = x
	}
	if p.rest >= 0 {
		v.Field(p.fields[p.rest].index).Set(reflect.ValueOf(rest))
	}
	return nil
}

func (p *plan) unknownKey(k lua.LValue) error {
	var known []string
	for i, f := range p.fields {
		if i != p.self && i != p.rest && f.place == 0 {
			known = append(known, f.name)
		}
	}
	name, isName := k.(lua.LString)
	if !isName {
		tip := "arguments are named: " + strings.Join(known, ", ")
		if p.rest >= 0 {
			tip = p.fields[p.rest].help
		}
		return &fault.ArgError{Got: "holds a value without a name (" + describe(k) + ")", Tip: tip}
	}
	got := fmt.Sprintf("has no argument %q", string(name))
	if near := spell.Nearest(string(name), known); near != "" {
		got += fmt.Sprintf("; did you mean %q?", near)
	}
	return &fault.ArgError{Got: got, Tip: "its arguments are " + strings.Join(known, ", ")}
}

// signature lists a function's arguments for hints.
func (p *plan) signature() string {
	var places, names []string
	for i, f := range p.fields {
		switch {
		case i == p.self:
		case i == p.rest:
			names = append(names, "name = value")
		case f.place > 0:
			places = append(places, f.name)
		default:
			names = append(names, f.name)
		}
	}
	text := strings.Join(places, ", ")
	if len(names) > 0 {
		if text != "" {
			text += ", "
		}
		text += "{ " + strings.Join(names, ", ") + " }"
	}
	return "its arguments are (" + text + ")"
}

// shape writes a table of named arguments: "{ min?, max? }".
func (p *plan) shape() string {
	names := make([]string, 0, len(p.fields))
	for i := range p.fields {
		f := &p.fields[i]
		if f.absentAllowed() {
			names = append(names, f.name+"?")
		} else {
			names = append(names, f.name)
		}
	}
	return "{ " + strings.Join(names, ", ") + " }"
}

func (f *field) scalar() bool {
	switch f.typ.Kind() {
	case reflect.Float64, reflect.Int, reflect.Bool, reflect.String:
		return true
	}
	return false
}

func (f *field) absentAllowed() bool { return f.optional || f.fallback.IsValid() }

func (f *field) setOrDefault(in *intake, dst reflect.Value, arg lua.LValue) error {
	if arg != lua.LNil {
		return f.set(in, dst, arg)
	}
	if f.fallback.IsValid() {
		dst.Set(f.fallback)
		return nil
	}
	if f.optional {
		return nil
	}
	return &fault.ArgError{Arg: f.name, Got: "missing", Want: f.want(), Tip: f.help}
}

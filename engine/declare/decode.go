package declare

import (
	"fmt"
	"reflect"
	"strings"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/fault"
	"candelua/engine/spell"
)

// What an error without an argument's name is about: the arguments of a
// function, or a table that a file declares.
const (
	TheCall  = "the call"
	TheTable = "the table"
)

// WithDot is what is wrong with a method that is called without its object.
const WithDot = "is called with a dot"

// Decode fills a new value of the plan's type from the table at args, which a
// file declares and no function is called with.
func (p *Plan) Decode(in *Intake, args []lua.LValue) (reflect.Value, error) {
	return p.measured(in, args, fieldNoun, TheTable)
}

// Take fills a new value of the plan's type from a function's arguments, and
// counts what it converts.
func (p *Plan) Take(in *Intake, args []lua.LValue) (reflect.Value, error) {
	return p.measured(in, args, argumentNoun, TheCall)
}

// measured is take with the error of what is too much in all.
func (p *Plan) measured(in *Intake, args []lua.LValue, noun, whole string) (reflect.Value, error) {
	v, err := p.take(in, args, noun, whole)
	if much, ok := err.(*excess); ok {
		err = much.about(whole)
	}
	p.showPlaces(args, err)
	in.Settle()
	return v, err
}

// showPlaces makes the hint of an error show how to write a call whose arguments have places, where they were all given
// by their names.
func (p *Plan) showPlaces(args []lua.LValue, err error) {
	wrong, ok := err.(*fault.ArgError)
	if p.Self >= 0 && len(args) > 0 {
		args = args[1:]
	}
	if !ok || len(args) != 1 {
		return
	}
	table, ok := args[0].(*lua.LTable)
	if !ok {
		return
	}
	for _, n := range p.Positional {
		if table.RawGetString(p.Fields[n].Name) != lua.LNil {
			wrong.Tip = p.signature() + map[bool]string{true: "; write those before the braces without their names", false: "; write them without braces and names"}[p.named]
			return
		}
	}
}

// What the keys of a table are called.
const (
	argumentNoun = "argument"
	fieldNoun    = "field"
)

func (p *Plan) take(in *Intake, args []lua.LValue, noun, whole string) (reflect.Value, error) {
	v := reflect.New(p.typ).Elem()
	if p.Self >= 0 {
		f := &p.Fields[p.Self]
		if len(args) == 0 || in.assign(v.Field(f.index), args[0]) != nil {
			return v, &fault.ArgError{Arg: TheCall, Got: WithDot, Tip: "write a colon between the object and its method"}
		}
		args = args[1:]
	}
	args = p.optionsLast(args)
	for i, n := range p.Positional {
		arg := lua.LValue(lua.LNil)
		if i < len(args) {
			arg = args[i]
		}
		f := &p.Fields[n]
		// A last argument of options may stand where optional ones were left out.
		if _, isTable := arg.(*lua.LTable); (isTable || in.partial && arg == UnknownTable) && p.named && f.scalar() && f.AbsentAllowed() && i == len(args)-1 {
			args = append(append([]lua.LValue{}, args[:i]...), lua.LNil, arg)
			arg = lua.LNil
		}
		if err := f.setOrDefault(in, v.Field(f.index), arg); err != nil {
			return v, err
		}
	}
	args = args[min(len(args), len(p.Positional)):]
	if len(args) > 0 && !p.named || len(args) > 1 {
		return v, p.tooMany()
	}
	if !p.named {
		return v, nil
	}
	var table *lua.LTable
	if in.partial && len(args) == 1 && (args[0] == Unknown || args[0] == UnknownTable) {
		return v, nil
	}
	if len(args) == 1 && args[0] != lua.LNil {
		t, ok := args[0].(*lua.LTable)
		if !ok {
			return v, &fault.ArgError{Arg: "the argument", Got: Describe(args[0]), Want: "a table of named arguments", Tip: p.signature()}
		}
		table = t
	}
	if table != nil {
		in.Walk(table)
	}
	err := p.decodeTable(in, v, table, noun)
	if wrong, ok := err.(*fault.ArgError); ok && wrong.Arg == "" {
		wrong.Arg = whole
	}
	return v, err
}

// tooMany is the error of a call with more arguments than there are. Where all
// are named, it is braces that are missing.
func (p *Plan) tooMany() error {
	if p.named && len(p.Positional) == 0 {
		form := strings.Join(p.keys(), " = …, ") + " = …"
		if p.Rest >= 0 {
			form = "name = value, …"
		}
		return &fault.ArgError{Arg: TheCall, Got: "takes one table of named arguments", Tip: "put the arguments in braces, each with its name: { " + form + " }"}
	}
	return &fault.ArgError{Arg: TheCall, Got: "is given too many arguments", Tip: p.signature()}
}

// optionsLast puts a table of options that stands before a last function behind
// it: both orders are written, and the function reads best at the end.
func (p *Plan) optionsLast(args []lua.LValue) []lua.LValue {
	n := len(args)
	if !p.named || n < 2 || n != len(p.Positional)+1 || p.Fields[p.Positional[n-2]].Typ != functionType {
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
// error without an argument's name is about the table itself. noun is what its
// keys are called in errors.
func (p *Plan) decodeTable(in *Intake, v reflect.Value, t *lua.LTable, noun string) error {
	found := 0
	var missing error
	for i := range p.Fields {
		f := &p.Fields[i]
		if i == p.Self || i == p.Rest || f.place > 0 {
			continue
		}
		arg := lua.LValue(lua.LNil)
		if t != nil {
			arg = t.RawGetString(f.Name)
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
	if t != nil && (p.Rest >= 0 || countKeys(t) != found) {
		// A name that is not known says more than the one that is missing for it.
		if err := p.otherKeys(in, v, t, noun); err != nil {
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
func (p *Plan) otherKeys(in *Intake, v reflect.Value, t *lua.LTable, noun string) error {
	var rest reflect.Value
	if p.Rest >= 0 {
		rest = reflect.MakeMap(p.typ.Field(p.Fields[p.Rest].index).Type)
	}
	for k, val := t.Next(lua.LNil); k != lua.LNil; k, val = t.Next(k) {
		name, isName := k.(lua.LString)
		if isName {
			if i, known := p.byName[string(name)]; known && p.Fields[i].place == 0 {
				continue
			}
		}
		if p.Rest < 0 || !isName {
			return p.unknownKey(k, noun)
		}
		if err := in.key(name); err != nil {
			return err
		}
		x := reflect.New(rest.Type().Elem()).Elem()
		in.objects = x.Type() == looseType
		plain, err := in.plain(val, 0)
		in.objects = false
		if err != nil {
			return p.Fields[p.Rest].explain(err, string(name))
		}
		if plain != nil {
			x.Set(reflect.ValueOf(plain))
		}
		rest.SetMapIndex(reflect.ValueOf(string(name)), x)
	}
	if p.Rest >= 0 {
		v.Field(p.Fields[p.Rest].index).Set(rest)
	}
	return nil
}

func (p *Plan) unknownKey(k lua.LValue, noun string) error {
	known := p.keys()
	name, isName := k.(lua.LString)
	if !isName {
		tip := "write name = value; its " + noun + "s are " + strings.Join(known, ", ")
		if p.Rest >= 0 {
			tip = p.Fields[p.Rest].Help
		}
		return &fault.ArgError{Got: "has a value without a name (" + Describe(k) + ")", Tip: tip}
	}
	got := fmt.Sprintf("has no %s %s", noun, Quote(string(name)))
	if near := spell.Nearest(string(name), known); near != "" {
		got += fmt.Sprintf("; did you mean %q?", near)
	}
	return &fault.ArgError{Got: got, Tip: "its " + noun + "s are " + strings.Join(known, ", ")}
}

// keys are the names of the named arguments that are known.
func (p *Plan) keys() []string {
	var known []string
	for i, f := range p.Fields {
		if i != p.Self && i != p.Rest && f.place == 0 {
			known = append(known, f.Name)
		}
	}
	return known
}

// signature lists a function's arguments for hints.
func (p *Plan) signature() string {
	var places, names []string
	for i, f := range p.Fields {
		switch {
		case i == p.Self:
		case i == p.Rest:
			names = append(names, "name = value")
		case f.place > 0:
			places = append(places, f.Name)
		default:
			names = append(names, f.Name)
		}
	}
	if len(places)+len(names) == 0 {
		return "it takes no arguments"
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
func (p *Plan) shape() string {
	names := make([]string, 0, len(p.Fields))
	for i := range p.Fields {
		f := &p.Fields[i]
		if f.AbsentAllowed() {
			names = append(names, f.Name+"?")
		} else {
			names = append(names, f.Name)
		}
	}
	return "{ " + strings.Join(names, ", ") + " }"
}

func (f *Field) scalar() bool {
	switch f.Typ.Kind() {
	case reflect.Float64, reflect.Int, reflect.Bool, reflect.String:
		return true
	}
	return false
}

// AbsentAllowed says whether the argument may be left out.
func (f *Field) AbsentAllowed() bool { return f.optional || f.fallback.IsValid() }

func (f *Field) setOrDefault(in *Intake, dst reflect.Value, arg lua.LValue) error {
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
	return &fault.ArgError{Arg: f.Name, Got: "missing", Want: f.Want(), Tip: f.described()}
}

package script

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"sync"

	lua "github.com/yuin/gopher-lua"
)

// A plan says how a Go struct is filled from Lua arguments. It is made once
// for each type from the tags of the struct's fields, and everything that
// needs to know an argument reads it: the binding, the journal's encoding and
// the reference page.
//
//	lua:"window"     the argument's name in Lua; "*" takes all other keys (a map[string]any)
//	pos:"1"          the argument's place when it is not named
//	unit:"%"         its unit
//	default:"100"    what an absent argument means; without it the argument is required,
//	                 unless its type is a pointer, a slice, a map or a Function with optional:"true"
//	min:"0" max:"9"  limits, inclusive; above:"0" is an exclusive lower limit
//	one_of:"a|b"     the words that are allowed
//	match:"no"       is not part of what a step is matched by, nor kept
//	help:"…"         one line
type plan struct {
	typ        reflect.Type
	fields     []field
	byName     map[string]int
	positional []int // indexes into fields, in order
	named      bool  // some fields are named
	self       int   // the receiver of a method, -1 without
	rest       int   // the field that takes all other keys, -1 without
}

type field struct {
	name      string
	index     int
	typ       reflect.Type
	unit      string
	help      string
	fallback  reflect.Value // valid where the argument has a default
	defText   string
	optional  bool
	unmatched bool
	min, max  *float64
	above     *float64
	oneOf     []string
}

var plans sync.Map // reflect.Type -> *plan

// planFor returns the plan of a struct type. A declaration that is wrong is a
// bug of ours and panics when the binary starts.
func planFor(t reflect.Type) *plan {
	if p, ok := plans.Load(t); ok {
		return p.(*plan)
	}
	p, _ := plans.LoadOrStore(t, makePlan(t))
	return p.(*plan)
}

func makePlan(t reflect.Type) *plan {
	p := &plan{typ: t, byName: map[string]int{}, self: -1, rest: -1}
	places := map[int]int{}
	for i := range t.NumField() {
		f := t.Field(i)
		name, isArg := f.Tag.Lookup("lua")
		if !isArg {
			continue
		}
		n := len(p.fields)
		p.fields = append(p.fields, makeField(t, f, name, i))
		switch place := f.Tag.Get("pos"); {
		case name == "self":
			p.self = n
			continue
		case name == "*":
			p.rest = n
			p.named = true
			continue
		case place != "":
			at, err := strconv.Atoi(place)
			if err != nil {
				panic(fmt.Sprintf("script: %s.%s: pos %q", t, f.Name, place))
			}
			places[at] = n
		default:
			p.named = true
		}
		if _, twice := p.byName[name]; twice {
			panic(fmt.Sprintf("script: %s: argument %q is declared twice", t, name))
		}
		p.byName[name] = n
	}
	for at := 1; at <= len(places); at++ {
		n, ok := places[at]
		if !ok {
			panic(fmt.Sprintf("script: %s: no argument has pos %d", t, at))
		}
		p.positional = append(p.positional, n)
	}
	return p
}

func makeField(t reflect.Type, f reflect.StructField, name string, index int) field {
	bad := func(err error) {
		panic(fmt.Sprintf("script: %s.%s: %v", t, f.Name, err))
	}
	limit := func(tag string) *float64 {
		text, ok := f.Tag.Lookup(tag)
		if !ok {
			return nil
		}
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			bad(err)
		}
		return &v
	}
	a := field{
		name: name, index: index, typ: f.Type, unit: f.Tag.Get("unit"), help: f.Tag.Get("help"),
		min: limit("min"), max: limit("max"), above: limit("above"),
		unmatched: f.Tag.Get("match") == "no",
		optional:  f.Tag.Get("optional") == "true" || f.Type.Kind() == reflect.Pointer && name != "self",
	}
	if words := f.Tag.Get("one_of"); words != "" {
		a.oneOf = strings.Split(words, "|")
	}
	if text, ok := f.Tag.Lookup("default"); ok {
		v, err := parseDefault(f.Type, text)
		if err != nil {
			bad(err)
		}
		a.fallback, a.defText = v, text
	}
	return a
}

// parseDefault reads the text of a default tag. Lists are given as 1,2,3.
func parseDefault(t reflect.Type, text string) (reflect.Value, error) {
	v := reflect.New(t).Elem()
	switch t.Kind() {
	case reflect.Float64:
		x, err := strconv.ParseFloat(text, 64)
		v.SetFloat(x)
		return v, err
	case reflect.Int:
		x, err := strconv.ParseInt(text, 10, 64)
		v.SetInt(x)
		return v, err
	case reflect.Bool:
		x, err := strconv.ParseBool(text)
		v.SetBool(x)
		return v, err
	case reflect.String:
		v.SetString(text)
		return v, nil
	case reflect.Array:
		parts := strings.Split(text, ",")
		if len(parts) != t.Len() {
			return v, fmt.Errorf("default %q has %d parts, want %d", text, len(parts), t.Len())
		}
		for i, part := range parts {
			x, err := parseDefault(t.Elem(), part)
			if err != nil {
				return v, err
			}
			v.Index(i).Set(x)
		}
		return v, nil
	}
	return v, fmt.Errorf("a default is not possible for %s", t)
}

// ArgError says what is wrong with one argument.
type ArgError struct {
	Arg  string // which
	Got  string // what was given
	Want string // what is allowed
	Tip  string // what to do next
}

func (e *ArgError) Error() string {
	if e.Want == "" {
		return e.Arg + " " + e.Got
	}
	return fmt.Sprintf("%s is %s, want %s", e.Arg, e.Got, e.Want)
}

// Code is the error's code in reports.
func (e *ArgError) Code() string { return "argument" }

// Hint says what to do next.
func (e *ArgError) Hint() string { return e.Tip }

// decode fills a new value of the plan's type from the arguments at args.
func (p *plan) decode(args []lua.LValue) (reflect.Value, error) {
	v := reflect.New(p.typ).Elem()
	if p.self >= 0 {
		if len(args) == 0 {
			return v, &ArgError{Arg: "the object", Got: "is missing", Tip: "call a method with a colon, as in sweep:add{}"}
		}
		f := &p.fields[p.self]
		if err := f.set(v.Field(f.index), args[0], "the object"); err != nil {
			return v, &ArgError{Arg: "the object", Got: "is " + describe(args[0]), Tip: "call a method with a colon, as in sweep:add{}"}
		}
		args = args[1:]
	}
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
		if err := f.setOrDefault(v.Field(f.index), arg); err != nil {
			return v, err
		}
	}
	args = args[min(len(args), len(p.positional)):]
	if len(args) > 0 && !p.named || len(args) > 1 {
		return v, &ArgError{Arg: "the call", Got: "has too many arguments", Tip: p.signature()}
	}
	if !p.named {
		return v, nil
	}
	var table *lua.LTable
	if len(args) == 1 && args[0] != lua.LNil {
		t, ok := args[0].(*lua.LTable)
		if !ok {
			return v, &ArgError{Arg: "the argument", Got: describe(args[0]), Want: "a table of named arguments", Tip: p.signature()}
		}
		table = t
	}
	return v, p.decodeTable(v, table)
}

// decodeTable fills v from named arguments; a nil table is an empty one.
func (p *plan) decodeTable(v reflect.Value, t *lua.LTable) error {
	found := 0
	for i := range p.fields {
		f := &p.fields[i]
		if i == p.self || i == p.rest || p.isPositional(i) {
			continue
		}
		arg := lua.LValue(lua.LNil)
		if t != nil {
			arg = t.RawGetString(f.name)
		}
		if arg != lua.LNil {
			found++
		}
		if err := f.setOrDefault(v.Field(f.index), arg); err != nil {
			return err
		}
	}
	if t == nil || p.rest < 0 && countKeys(t) == found {
		return nil
	}
	return p.otherKeys(v, t)
}

func (p *plan) isPositional(i int) bool {
	for _, n := range p.positional {
		if n == i {
			return true
		}
	}
	return false
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
func (p *plan) otherKeys(v reflect.Value, t *lua.LTable) error {
	rest := map[string]any{}
	for k, val := t.Next(lua.LNil); k != lua.LNil; k, val = t.Next(k) {
		name, isName := k.(lua.LString)
		if isName {
			if i, known := p.byName[string(name)]; known && !p.isPositional(i) {
				continue
			}
		}
		if p.rest < 0 || !isName {
			return p.unknownKey(k)
		}
		x, err := toGo(val)
		if err != nil {
			return &ArgError{Arg: string(name), Got: describe(val), Want: "a number, a text or true or false"}
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
		if i != p.self && i != p.rest && !p.isPositional(i) {
			known = append(known, f.name)
		}
	}
	name, isName := k.(lua.LString)
	if !isName {
		return &ArgError{Arg: "the argument", Got: "holds a value without a name (" + describe(k) + ")", Tip: "arguments are named: " + strings.Join(known, ", ")}
	}
	got := fmt.Sprintf("has no argument %q", string(name))
	if near, ok := nearest(string(name), known); ok {
		got += fmt.Sprintf("; did you mean %q?", near)
	}
	return &ArgError{Arg: "the call", Got: got, Tip: "its arguments are " + strings.Join(known, ", ")}
}

// signature lists a function's arguments for hints.
func (p *plan) signature() string {
	var places, names []string
	for i, f := range p.fields {
		switch {
		case i == p.self:
		case p.isPositional(i):
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

func (f *field) scalar() bool {
	switch f.typ.Kind() {
	case reflect.Float64, reflect.Int, reflect.Bool, reflect.String:
		return true
	}
	return false
}

func (f *field) absentAllowed() bool { return f.optional || f.fallback.IsValid() }

func (f *field) setOrDefault(dst reflect.Value, arg lua.LValue) error {
	if arg != lua.LNil {
		return f.set(dst, arg, f.name)
	}
	if f.fallback.IsValid() {
		dst.Set(f.fallback)
		return nil
	}
	if f.optional {
		return nil
	}
	return &ArgError{Arg: f.name, Got: "missing", Want: f.want(), Tip: f.help}
}

// set converts one Lua value and checks its limits.
func (f *field) set(dst reflect.Value, arg lua.LValue, name string) error {
	if err := assign(dst, arg); err != nil {
		return f.wrong(name, arg)
	}
	return f.check(dst, name, arg)
}

func (f *field) wrong(name string, arg lua.LValue) error {
	tip := f.help
	if s, ok := arg.(lua.LString); ok && numeric(f.typ) {
		if _, err := strconv.ParseFloat(string(s), 64); err == nil {
			tip = fmt.Sprintf("write %s = %s, without quotes", name, string(s))
		}
	}
	return &ArgError{Arg: name, Got: describe(arg), Want: f.want(), Tip: tip}
}

func numeric(t reflect.Type) bool {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	return t.Kind() == reflect.Float64 || t.Kind() == reflect.Int
}

// check looks at limits, also of each element of a list.
func (f *field) check(v reflect.Value, name string, arg lua.LValue) error {
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() || v.Elem().Kind() == reflect.Struct {
			return nil
		}
		return f.check(v.Elem(), name, arg)
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if err := f.check(v.Index(i), fmt.Sprintf("%s[%d]", name, i+1), elementOf(arg, i+1)); err != nil {
				return err
			}
		}
	case reflect.Float64:
		if !f.within(v.Float()) {
			return f.wrong(name, lua.LNumber(v.Float()))
		}
	case reflect.Int:
		if !f.within(float64(v.Int())) {
			return f.wrong(name, lua.LNumber(v.Int()))
		}
	case reflect.String:
		if f.oneOf == nil {
			return nil
		}
		for _, word := range f.oneOf {
			if word == v.String() {
				return nil
			}
		}
		return f.wrong(name, lua.LString(v.String()))
	}
	return nil
}

func elementOf(arg lua.LValue, i int) lua.LValue {
	if t, ok := arg.(*lua.LTable); ok {
		return t.RawGetInt(i)
	}
	return arg
}

func (f *field) within(x float64) bool {
	return !math.IsNaN(x) && !math.IsInf(x, 0) &&
		(f.min == nil || x >= *f.min) && (f.max == nil || x <= *f.max) && (f.above == nil || x > *f.above)
}

// want says what the argument may be, in words.
func (f *field) want() string {
	t := f.typ
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if f.oneOf != nil {
		quoted := make([]string, len(f.oneOf))
		for i, w := range f.oneOf {
			quoted[i] = strconv.Quote(w)
		}
		return "one of " + strings.Join(quoted, ", ")
	}
	switch t.Kind() {
	case reflect.Slice:
		return "a list of " + plural(t.Elem()) + f.limits(" from ")
	case reflect.Array:
		return fmt.Sprintf("a list of %d %s", t.Len(), plural(t.Elem())) + f.limits(" from ")
	case reflect.Int:
		return "a whole number" + f.limits(" from ")
	case reflect.Float64:
		if l := f.limits(""); l != "" {
			return l
		}
		return strings.TrimSpace("a number " + inUnit(f.unit))
	}
	return nameOfType(t)
}

func inUnit(unit string) string {
	if unit == "" {
		return ""
	}
	return "in " + unit
}

func (f *field) limits(lead string) string {
	unit := ""
	if f.unit != "" {
		unit = " " + f.unit
	}
	switch {
	case f.min != nil && f.max != nil:
		return fmt.Sprintf("%s%s to %s%s", lead, number(*f.min), number(*f.max), unit)
	case f.above != nil && f.max != nil:
		return fmt.Sprintf("%sabove %s, to %s%s", lead, number(*f.above), number(*f.max), unit)
	case f.min != nil:
		return fmt.Sprintf("%s%s%s or more", lead, number(*f.min), unit)
	case f.above != nil:
		return fmt.Sprintf("%smore than %s%s", lead, number(*f.above), unit)
	case f.max != nil:
		return fmt.Sprintf("%s%s%s or less", lead, number(*f.max), unit)
	}
	return ""
}

func plural(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Float64, reflect.Int:
		return "numbers"
	case reflect.String:
		return "texts"
	}
	return nameOfType(t)
}

func nameOfType(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Float64:
		return "a number"
	case reflect.Int:
		return "a whole number"
	case reflect.String:
		return "a text"
	case reflect.Bool:
		return "true or false"
	case reflect.Map, reflect.Slice:
		return "a table"
	case reflect.Interface:
		return "a value"
	case reflect.Struct:
		if t == functionType {
			return "a function"
		}
		return "a " + luaName(t)
	}
	return t.String()
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

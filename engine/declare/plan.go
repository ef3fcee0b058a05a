package declare

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"sync"
)

// A Plan says how a Go struct is filled from Lua arguments. It is made once
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
//	most:"200"       how many bytes a text may have, or values a list
//	one_of:"a|b"     the words that are allowed
//	want:"…"         what is allowed, in words, where the type does not say it
//	match:"no"       is not part of what a step is matched by, nor kept
//	help:"…"         one line
type Plan struct {
	typ        reflect.Type
	Fields     []Field
	byName     map[string]int
	Positional []int // indexes into fields, in order
	named      bool  // some fields are named
	Self       int   // the receiver of a method, -1 without
	Rest       int   // the field that takes all other keys, -1 without
}

// Field is one argument: how it is called, what it may be, what stands for it where it is left out.
type Field struct {
	Name      string
	quoted    string // its name in JSON, with a colon
	index     int
	place     int // from 1; 0: named
	Typ       reflect.Type
	Unit      string
	Help      string
	fallback  reflect.Value // valid where the argument has a default
	DefText   string
	optional  bool
	unmatched bool
	Min, Max  *float64
	above     *float64
	most      int // 0: as much as the limits of all arguments allow
	OneOf     []string
	wanted    string // what is allowed, in words of its own
	plain     any    // the default, as JSON reads it
}

var plans sync.Map // reflect.Type -> *Plan

// For returns the plan of a struct type. A declaration that is wrong is a
// bug of ours and panics when the binary starts.
func For(t reflect.Type) *Plan {
	if p, ok := plans.Load(t); ok {
		return p.(*Plan)
	}
	p, _ := plans.LoadOrStore(t, makePlan(t))
	return p.(*Plan)
}

func makePlan(t reflect.Type) *Plan {
	p := &Plan{typ: t, byName: map[string]int{}, Self: -1, Rest: -1}
	places := map[int]int{}
	for i := range t.NumField() {
		f := t.Field(i)
		name, isArg := f.Tag.Lookup("lua")
		if !isArg {
			continue
		}
		n := len(p.Fields)
		p.Fields = append(p.Fields, makeField(t, f, name, i))
		switch place := f.Tag.Get("pos"); {
		case name == "self":
			p.Self = n
			continue
		case name == "*":
			p.Rest = n
			p.named = true
			continue
		case place != "":
			at, err := strconv.Atoi(place)
			if err != nil {
				panic(fmt.Sprintf("declare: %s.%s: pos %q", t, f.Name, place))
			}
			places[at] = n
			p.Fields[n].place = at
		default:
			p.named = true
		}
		if _, twice := p.byName[name]; twice {
			panic(fmt.Sprintf("declare: %s: argument %q is declared twice", t, name))
		}
		p.byName[name] = n
	}
	for at := 1; at <= len(places); at++ {
		n, ok := places[at]
		if !ok {
			panic(fmt.Sprintf("declare: %s: no argument has pos %d", t, at))
		}
		p.Positional = append(p.Positional, n)
	}
	return p
}

func makeField(t reflect.Type, f reflect.StructField, name string, index int) Field {
	bad := func(err error) {
		panic(fmt.Sprintf("declare: %s.%s: %v", t, f.Name, err))
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
	a := Field{
		Name: name, quoted: strconv.Quote(name) + ":", index: index, Typ: f.Type, Unit: f.Tag.Get("unit"), Help: f.Tag.Get("help"), wanted: f.Tag.Get("want"),
		Min: limit("min"), Max: limit("max"), above: limit("above"),
		unmatched: f.Tag.Get("match") == "no",
		optional:  f.Tag.Get("optional") == "true" || f.Type.Kind() == reflect.Pointer && name != "self",
	}
	if words := f.Tag.Get("one_of"); words != "" {
		a.OneOf = strings.Split(words, "|")
	}
	if most := limit("most"); most != nil {
		a.most = int(*most)
	}
	if text, ok := f.Tag.Lookup("default"); ok {
		v, err := parseDefault(f.Type, text)
		if err != nil {
			bad(err)
		}
		a.fallback, a.DefText = v, text
		if a.plain, err = plainOf(v); err != nil {
			bad(err)
		}
	}
	return a
}

// plainOf is a value as it is read back from the journal.
func plainOf(v reflect.Value) (x any, err error) {
	text, err := appendValue(nil, v)
	if err == nil {
		err = json.Unmarshal(text, &x)
	}
	return x, err
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
			return v, fmt.Errorf("default %q has %d parts; it must have %d", text, len(parts), t.Len())
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

package sim

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// declared is one parameter as its struct tags declare it.
type declared struct {
	name, unit, help string
	oneOf            []string
	min, max         []float64 // one a column; empty: no limits
	kind             reflect.Type
}

// declare reads a field's tags. It panics where a tag is wrong, which is a
// mistake of ours.
func declare(f reflect.StructField) declared {
	d := declared{name: f.Tag.Get("toml"), unit: f.Tag.Get("unit"), help: f.Tag.Get("help"), kind: f.Type}
	if d.name == "" || d.help == "" {
		panic("sim: parameter " + f.Name + " lacks a name or a help text")
	}
	if words := f.Tag.Get("one_of"); words != "" {
		d.oneOf = strings.Split(words, "|")
	}
	d.min, d.max = columns(f.Tag.Get("min")), columns(f.Tag.Get("max"))
	if len(d.min) != len(d.max) {
		panic("sim: parameter " + f.Name + " has limits of different lengths")
	}
	if strings.HasPrefix(d.help, "time constant") && !(len(d.min) == 1 && d.min[0] > 0) && !strings.Contains(d.help, "0: ") {
		panic("sim: parameter " + f.Name + " is a time constant, and 0 would make all light NaN: give it a min above 0, or say in its help what 0 does")
	}
	return d
}

func columns(tag string) []float64 {
	if tag == "" {
		return nil
	}
	var all []float64
	for _, s := range strings.Split(tag, ",") {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			panic(err)
		}
		all = append(all, v)
	}
	return all
}

// declarations are what fieldsOf has read, by type: a world is checked whenever
// a bench is opened, and reading tags takes longer than checking.
var declarations sync.Map

// fieldsOf returns the declarations of a struct's fields, in order. They are
// shared, and are not to be changed.
func fieldsOf(t reflect.Type) []declared {
	if known, ok := declarations.Load(t); ok {
		return known.([]declared)
	}
	all := make([]declared, t.NumField())
	for i := range all {
		all[i] = declare(t.Field(i))
	}
	declarations.Store(t, all)
	return all
}

// limits says what a parameter may be: "0 to 10 cd/m2", or the words.
func (d *declared) limits() string {
	if len(d.oneOf) > 0 {
		return quoted(d.oneOf)
	}
	units := strings.Split(d.unit, ", ")
	var all []string
	for i := range d.min {
		s := number(d.min[i])
		if d.max[i] > d.min[i] {
			s += " to " + number(d.max[i])
		}
		if u := units[i%len(units)]; u != "" {
			s += " " + u
		}
		if !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	return strings.Join(all, "; ")
}

// number spells a float as a person would, without an exponent.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// paramError says which parameter is wrong. Its path is as in a world file,
// with [n] for the nth table of a list, from 1, as scripts count.
type paramError struct{ path, message, hint string }

func (e *paramError) Error() string { return e.path + " " + e.message }

// Hint implements what [fault.HintOf] asks.
func (e *paramError) Hint() string { return e.hint }

func wrong(path, format string, args ...any) error {
	return &paramError{path, fmt.Sprintf(format, args...), ""}
}

// checkDeclared checks every value in v, a struct, against its declaration.
func checkDeclared(v reflect.Value, path string) error {
	for i, d := range fieldsOf(v.Type()) {
		if err := d.check(v.Field(i), join(path, d.name)); err != nil {
			return err
		}
	}
	return nil
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// check checks one value.
func (d *declared) check(v reflect.Value, path string) error {
	switch v.Kind() {
	case reflect.Struct:
		return checkDeclared(v, path)
	case reflect.String:
		if len(d.oneOf) > 0 && !slices.Contains(d.oneOf, v.String()) {
			return wrong(path, "is %q; it must be %s", v.String(), quoted(d.oneOf))
		}
		return nil
	case reflect.Slice, reflect.Array:
		return d.checkEach(v, path)
	case reflect.Map:
		return d.checkMap(v, path)
	}
	return d.checkNumber(v, path, 0)
}

// checkEach checks the elements of a list: tables, rows or numbers.
func (d *declared) checkEach(v reflect.Value, path string) error {
	for i := range v.Len() {
		e := v.Index(i)
		var err error
		switch e.Kind() {
		case reflect.Struct:
			err = checkDeclared(e, fmt.Sprintf("%s[%d]", path, i+1))
		case reflect.Array:
			err = d.checkEach(e, path)
		case reflect.Float64, reflect.Int:
			err = d.checkNumber(e, path, i%max(1, len(d.min)))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// checkMap checks numbers that have names of their own.
func (d *declared) checkMap(v reflect.Value, path string) error {
	m, ok := v.Interface().(map[string]float64)
	if !ok {
		return nil // values of settings are the unit's to check
	}
	for _, name := range sortedKeys(m) {
		if err := d.checkNumber(reflect.ValueOf(m[name]), join(path, name), 0); err != nil {
			return err
		}
	}
	return nil
}

// checkNumber checks a number against the limits of its column.
func (d *declared) checkNumber(v reflect.Value, path string, column int) error {
	x := math.NaN()
	switch {
	case v.CanFloat():
		x = v.Float()
	case v.CanInt():
		x = float64(v.Int())
	}
	if !(x >= d.min[column] && x <= d.max[column]) {
		return wrong(path, "is %v; it must be %s", x, d.limits())
	}
	return nil
}

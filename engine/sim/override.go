package sim

import (
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/spell"
)

// Set changes the parameter at a path, as in Set("light.white", 900.0). The value
// is a float64 for a number, a string for a word, []any for a list and
// map[string]any for a table. A table states only what changes. A list replaces
// the whole old list; an empty table is an empty list. An element of a list of
// tables is found by its name, as in "controls.Brightness.start". Other Params
// that share lists with p do not change.
//
// It fails, with the path in the error, if there is no such parameter or the value
// is of another kind. It does not check limits, because one change may need another:
// Params.check does that after all changes.
func (p *Params) Set(path string, value any) error {
	v, err := place(reflect.ValueOf(p).Elem(), path)
	if err != nil {
		return err
	}
	return assign(v, path, value)
}

// number returns the number at a path, written as for [Params.Set]. It fails, with the
// path in the error, if there is none.
func (p Params) number(path string) (float64, error) {
	v, err := place(reflect.ValueOf(&p).Elem(), path)
	switch {
	case err != nil:
		return 0, err
	case v.CanFloat():
		return v.Float(), nil
	case v.CanInt():
		return float64(v.Int()), nil
	}
	return 0, wrong(path, "is %s; it must be the path of a parameter that is a number", wanted(v.Type()))
}

// place finds the parameter of v at a path. On the way it replaces lists by copies,
// so that a change there changes only v.
func place(v reflect.Value, path string) (reflect.Value, error) {
	at, rest := "", path
	for {
		var err error
		var name string
		if v.Kind() == reflect.Slice && isTable(v.Type().Elem()) {
			name, v, err = element(v, at, rest)
		} else {
			name, _, _ = strings.Cut(rest, ".")
			v, err = member(v, at, name)
		}
		if err != nil {
			return v, err
		}
		at = join(at, name)
		if rest = strings.TrimPrefix(rest[len(name):], "."); rest == "" {
			return v, nil
		}
	}
}

// member returns the field with this name.
func member(v reflect.Value, at, name string) (reflect.Value, error) {
	if !isTable(v.Type()) {
		return v, wrong(join(at, name), "is not a parameter, because %s is %s", at, wanted(v.Type()))
	}
	var known []string
	for i, d := range fieldsOf(v.Type()) {
		if d.name == name {
			return v.Field(i), nil
		}
		known = append(known, d.name)
	}
	return v, unknown(at, name, known)
}

// element returns the table of a list whose name is at the beginning of the rest of a path.
func element(v reflect.Value, at, rest string) (string, reflect.Value, error) {
	list := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
	reflect.Copy(list, v)
	v.Set(list)
	var known []string
	for i := range list.Len() {
		for _, name := range namesOf(list.Index(i)) {
			if rest == name || strings.HasPrefix(rest, name+".") {
				return name, list.Index(i), nil
			}
		}
		known = append(known, namesOf(list.Index(i))[0])
	}
	name, _, _ := strings.Cut(rest, ".")
	return name, v, unknown(at, name, known)
}

// namesOf gives the name of a table in a list and, for a control, its former names.
func namesOf(v reflect.Value) []string {
	names := []string{v.FieldByName("Name").String()}
	if c, is := v.Interface().(ControlParams); is {
		names = append(names, c.Former...)
	}
	return names
}

func unknown(at, name string, known []string) error {
	has := "it has " + strings.Join(known, ", ")
	if len(known) == 0 {
		has = "it has none"
	}
	if at == "" {
		at = "a world"
	}
	return bench.Errorf(bench.CodeBadFile, didYouMean(spell.Nearest(name, known)), "%s has no parameter %q, %s", at, name, has)
}

// assign puts a plain value into a parameter.
func assign(v reflect.Value, path string, x any) error {
	refuse := func() error { return wrong(path, "is %s; it must be %s", plainKind(x), wanted(v.Type())) }
	switch v.Kind() {
	case reflect.Struct:
		m, ok := x.(map[string]any)
		if !ok {
			return refuse()
		}
		return assignTable(v, path, m)
	case reflect.Slice, reflect.Array:
		if m, ok := x.(map[string]any); ok && len(m) == 0 {
			x = []any{} // an empty table of Lua is an empty list, too
		}
		list, ok := x.([]any)
		if !ok {
			return refuse()
		}
		return assignList(v, path, list)
	case reflect.String:
		s, ok := x.(string)
		if !ok {
			return refuse()
		}
		v.SetString(s)
		return nil
	case reflect.Map:
		return assignMap(v, path, x)
	}
	f, ok := x.(float64)
	switch {
	case !ok, v.CanInt() && f != math.Trunc(f):
		return refuse()
	case v.CanInt():
		v.SetInt(int64(f))
	default:
		v.SetFloat(f)
	}
	return nil
}

// assignTable puts what a table states into a struct's fields.
func assignTable(v reflect.Value, path string, m map[string]any) error {
	for _, name := range sortedKeys(m) {
		field, err := member(v, path, name)
		if err != nil {
			return err
		}
		if err := assign(field, join(path, name), m[name]); err != nil {
			return err
		}
	}
	return nil
}

// assignMap puts a table into a map, whose names are not declared.
func assignMap(v reflect.Value, path string, x any) error {
	if list, ok := x.([]any); ok && len(list) == 0 {
		x = map[string]any{} // an empty table of Lua is both
	}
	m, ok := x.(map[string]any)
	if !ok {
		return wrong(path, "is %s; it must be %s", plainKind(x), wanted(v.Type()))
	}
	v.Set(reflect.MakeMap(v.Type()))
	for _, name := range sortedKeys(m) {
		to := reflect.New(v.Type().Elem()).Elem()
		if to.Kind() == reflect.Interface {
			to.Set(reflect.ValueOf(m[name]))
		} else if err := assign(to, join(path, name), m[name]); err != nil {
			return err
		}
		v.SetMapIndex(reflect.ValueOf(name), to)
	}
	return nil
}

func assignList(v reflect.Value, path string, list []any) error {
	if v.Kind() == reflect.Array && len(list) != v.Len() {
		return wrong(path, "is a list of %d; it must be %s", len(list), wanted(v.Type()))
	}
	to := v
	if v.Kind() == reflect.Slice {
		to = reflect.MakeSlice(v.Type(), len(list), len(list))
	}
	for i, x := range list {
		at := fmt.Sprintf("%s[%d]", path, i+1)
		x, err := begin(to.Index(i), v, path, at, x)
		if err == nil {
			err = assign(to.Index(i), at, x)
		}
		if err != nil {
			return err
		}
	}
	v.Set(to)
	return nil
}

// begin copies the entry of the old list that a new entry states as its base, and
// returns what else the new entry states.
func begin(to, old reflect.Value, list, path string, x any) (any, error) {
	m, ok := x.(map[string]any)
	if !ok || !isTable(to.Type()) || !isNamed(to.Type()) || m[baseKey] == nil {
		return x, nil
	}
	name, ok := m[baseKey].(string)
	if !ok {
		return nil, wrong(join(path, baseKey), "is %s; it must be a word", plainKind(m[baseKey]))
	}
	var known []string
	for i := range old.Len() {
		names := namesOf(old.Index(i))
		if slices.Contains(names, name) {
			to.Set(old.Index(i))
			copyLists(to)
			m = maps.Clone(m)
			delete(m, baseKey)
			return m, nil
		}
		known = append(known, names[0])
	}
	if len(known) == 0 {
		return nil, wrong(join(path, baseKey), "is %q, but the base world has no %s", name, list)
	}
	return nil, &paramError{join(path, baseKey), fmt.Sprintf("is %q; it must be one of the base world's %s: %s", name, list, quoted(known)), didYouMean(spell.Nearest(name, known))}
}

func sortedKeys[T any](m map[string]T) []string { return slices.Sorted(maps.Keys(m)) }

// plainKind says what a plain value is.
func plainKind(x any) string {
	switch x := x.(type) {
	case string:
		return fmt.Sprintf("the word %q", x)
	case float64:
		return "the number " + number(x)
	case []any:
		return "a list"
	case map[string]any:
		return "a table"
	case bool:
		return "true or false"
	}
	return "nothing"
}

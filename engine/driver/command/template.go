package command

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"candelua/engine/bench"
	"candelua/engine/spell"
)

// A template is what the program is told, with places in braces for what is asked: "--level {level}", or
// {level:1} for a number with one decimal.
type template struct {
	parts  []string // texts and names by turns, a text first
	places []int    // decimals of the names; -1: as many as it has
}

// askFields are the names that a template may have: the fields of what is asked. A list has one for
// each of its values: code_1, code_2, code_3.
func askFields(t reflect.Type) (names []string) {
	for i := range t.NumField() {
		name, is := t.Field(i).Tag.Lookup("lua")
		switch {
		case !is:
		case t.Field(i).Type.Kind() == reflect.Slice:
			for n := range 3 {
				names = append(names, listName(name, n))
			}
		default:
			names = append(names, name)
		}
	}
	return names
}

func listName(name string, n int) string {
	return strings.TrimSuffix(name, "s") + "_" + strconv.Itoa(n+1)
}

func (e exchanges) template(t *table, key, text string, names []string) *template {
	m := &template{}
	for rest := text; ; {
		before, after, found := strings.Cut(rest, "{")
		m.parts = append(m.parts, before)
		if !found {
			return m
		}
		inside, next, closed := strings.Cut(after, "}")
		name, decimals, _ := strings.Cut(strings.TrimSpace(inside), ":")
		places := -1
		if decimals != "" {
			n, err := strconv.Atoi(decimals)
			if places = n; err != nil || n < 0 || n > 15 {
				t.fail("as in {level:1}", t.named(key), "%s is %q; what follows the colon must be the number of decimals, 0 to 15", t.named(key), text)
			}
		}
		if !closed || !slices.Contains(names, name) {
			want := "it takes no fields"
			if len(names) > 0 {
				want = "its fields can be {" + strings.Join(names, "}, {") + "}"
			}
			hint := ""
			if near := spell.Nearest(name, names); near != "" {
				hint = fmt.Sprintf("did you mean {%s}?", near)
			}
			t.fail(hint, t.named(key), "%s is %q; %s", t.named(key), text, want)
			return m
		}
		m.parts, m.places = append(m.parts, name), append(m.places, places)
		rest = next
	}
}

// fill puts in what is asked. Control characters would be commands of their own, and are refused.
func (m *template) fill(ask any) (string, error) {
	values := valuesOf(ask)
	var out strings.Builder
	for i, part := range m.parts {
		if i%2 == 0 {
			out.WriteString(part)
			continue
		}
		text := ""
		switch v := values[part].(type) {
		case float64:
			text = strconv.FormatFloat(v, 'f', m.places[i/2], 64)
		default:
			text = fmt.Sprint(v)
		}
		if strings.ContainsFunc(text, unicode.IsControl) {
			return "", bench.Errorf(bench.CodeUnsupported, "", "%s is %q; it must have no control characters", part, text)
		}
		out.WriteString(text)
	}
	return out.String(), nil
}

// valuesOf are the values of what is asked, by their names in templates.
func valuesOf(ask any) map[string]any {
	values := map[string]any{}
	v := reflect.Indirect(reflect.ValueOf(ask))
	for i := range v.NumField() {
		name, is := v.Type().Field(i).Tag.Lookup("lua")
		f := v.Field(i)
		switch {
		case !is:
		case f.Kind() == reflect.Slice:
			for n := range f.Len() {
				values[listName(name, n)] = f.Index(n).Interface()
			}
		default:
			values[name] = f.Interface()
		}
	}
	return values
}

package declare

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Encode writes a value of the plan's type as the journal keeps it: one JSON
// object, its fields in the order of the declaration, defaults filled in,
// absent optional ones left out. Equal arguments give equal bytes.
func (p *Plan) Encode(v reflect.Value) (json.RawMessage, error) {
	return p.append(make([]byte, 0, 160), v)
}

func (p *Plan) append(b []byte, v reflect.Value) ([]byte, error) {
	b = append(b, '{')
	first := true
	for i := range p.Fields {
		f := &p.Fields[i]
		x := v.Field(f.index)
		if i == p.Self || f.unmatched || !kept(x) {
			continue
		}
		if i == p.Rest {
			var err error
			if b, first, err = appendRest(b, first, x); err != nil {
				return nil, err
			}
			continue
		}
		if !first {
			b = append(b, ',')
		}
		first = false
		b = append(b, f.quoted...)
		var err error
		if b, err = appendValue(b, x); err != nil {
			return nil, fmt.Errorf("%s: %w", f.Name, err)
		}
	}
	return append(b, '}'), nil
}

// kept says whether a field belongs into the journal: not what was left out,
// and not functions, which are the script's own.
func kept(x reflect.Value) bool {
	switch x.Kind() {
	case reflect.Pointer, reflect.Map, reflect.Interface, reflect.Slice:
		return !x.IsNil()
	}
	return x.Type() != functionType
}

func appendRest(b []byte, first bool, m reflect.Value) ([]byte, bool, error) {
	keys := make([]string, 0, m.Len())
	for _, k := range m.MapKeys() {
		keys = append(keys, k.String())
	}
	slices.Sort(keys)
	for _, k := range keys {
		if !first {
			b = append(b, ',')
		}
		first = false
		name, err := json.Marshal(k)
		if err != nil {
			return nil, false, err
		}
		b = append(append(b, name...), ':')
		if b, err = appendValue(b, m.MapIndex(reflect.ValueOf(k))); err != nil {
			return nil, false, fmt.Errorf("%s: %w", k, err)
		}
	}
	return b, first, nil
}

// appendValue writes a value as JSON, numbers as the shortest text that reads back the same.
func appendValue(b []byte, x reflect.Value) ([]byte, error) {
	switch x.Kind() {
	case reflect.Float64:
		if math.IsNaN(x.Float()) || math.IsInf(x.Float(), 0) {
			return nil, fmt.Errorf("is %v; it must be a finite number", x.Float())
		}
		return strconv.AppendFloat(b, x.Float(), 'g', -1, 64), nil
	case reflect.Int:
		return strconv.AppendInt(b, x.Int(), 10), nil
	case reflect.Bool:
		return strconv.AppendBool(b, x.Bool()), nil
	case reflect.String:
		if s := x.String(); plainWord(s) {
			return append(append(append(b, '"'), s...), '"'), nil
		}
	case reflect.Pointer:
		return appendValue(b, x.Elem())
	case reflect.Interface:
		return appendValue(b, x.Elem())
	case reflect.Struct:
		if hasArgs(x.Type()) {
			return For(x.Type()).append(b, x)
		}
	case reflect.Slice, reflect.Array:
		b = append(b, '[')
		for i := range x.Len() {
			if i > 0 {
				b = append(b, ',')
			}
			var err error
			if b, err = appendValue(b, x.Index(i)); err != nil {
				return nil, err
			}
		}
		return append(b, ']'), nil
	case reflect.Map:
		b, _, err := appendRest(append(b, '{'), true, x)
		return append(b, '}'), err
	}
	text, err := json.Marshal(x.Interface())
	return append(b, text...), err
}

// plainWord says whether a text is in JSON as it is, but for the quotes.
func plainWord(s string) bool {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '"' || c == '\\' || c == '<' || c == '>' || c == '&' {
			return false
		}
	}
	return true
}

// recall reads arguments as the journal kept them; what they leave out, because
// an older version did not have it, gets its default.
func (p *Plan) recall(kept json.RawMessage) (map[string]any, error) {
	var m map[string]any
	if err := json.Unmarshal(kept, &m); err != nil {
		return nil, err
	}
	if m == nil {
		return nil, errors.New("the arguments are null; they must be an object")
	}
	p.fill(m)
	return m, nil
}

// fill gives what is left out its default, in tables within tables too.
func (p *Plan) fill(m map[string]any) {
	for i := range p.Fields {
		f := &p.Fields[i]
		x, there := m[f.Name]
		if !there && f.fallback.IsValid() && !f.unmatched {
			m[f.Name] = f.plain
		}
		if there {
			fillWithin(f.Typ, x)
		}
	}
}

// fillWithin looks for tables of arguments in a value of a type.
func fillWithin(t reflect.Type, x any) {
	switch t.Kind() {
	case reflect.Pointer:
		fillWithin(t.Elem(), x)
	case reflect.Slice, reflect.Array:
		list, _ := x.([]any)
		for _, e := range list {
			fillWithin(t.Elem(), e)
		}
	case reflect.Struct:
		if m, ok := x.(map[string]any); ok && hasArgs(t) {
			For(t).fill(m)
		}
	}
}

// Differing names the arguments that are not alike in two encodings; numbers
// agree within 1e-9 relative, since processors differ in their last bits.
func (p *Plan) Differing(recorded, asked json.RawMessage) ([]string, error) {
	if string(recorded) == string(asked) {
		return nil, nil
	}
	a, err := p.recall(recorded)
	if err != nil {
		return nil, err
	}
	b, err := p.recall(asked)
	if err != nil {
		return nil, err
	}
	var names []string
	for k, x := range a {
		if y, there := b[k]; !there || !alike(x, y) {
			names = append(names, k)
		}
	}
	for k := range b {
		if _, there := a[k]; !there {
			names = append(names, k)
		}
	}
	slices.Sort(names)
	return names, nil
}

func alike(a, b any) bool {
	switch a := a.(type) {
	case float64:
		b, ok := b.(float64)
		return ok && near(a, b)
	case []any:
		b, ok := b.([]any)
		if !ok || len(a) != len(b) {
			return false
		}
		for i := range a {
			if !alike(a[i], b[i]) {
				return false
			}
		}
		return true
	case map[string]any:
		b, ok := b.(map[string]any)
		if !ok || len(a) != len(b) {
			return false
		}
		for k := range a {
			if y, there := b[k]; !there || !alike(a[k], y) {
				return false
			}
		}
		return true
	}
	return a == b
}

// near says whether two numbers agree within 1e-9 relative.
func near(a, b float64) bool {
	return a == b || math.Abs(a-b) <= 1e-9*math.Max(math.Abs(a), math.Abs(b))
}

// Show writes arguments for people, those at their default left out.
func (p *Plan) Show(kept json.RawMessage) string {
	var m map[string]any
	if err := json.Unmarshal(kept, &m); err != nil || m == nil {
		return "{" + string(kept) + "}"
	}
	var parts []string
	known := map[string]bool{}
	for i := range p.Fields {
		f := &p.Fields[i]
		known[f.Name] = true
		x, there := m[f.Name]
		if !there || f.fallback.IsValid() && alike(f.plain, x) {
			continue
		}
		parts = append(parts, f.Name+"="+Show(x))
	}
	var others []string
	for k := range m {
		if !known[k] {
			others = append(others, k)
		}
	}
	slices.Sort(others)
	for _, k := range others {
		parts = append(parts, fmt.Sprintf("[%q]=%s", k, Show(m[k])))
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

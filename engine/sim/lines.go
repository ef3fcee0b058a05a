package sim

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/spell"
)

// lineMap knows on which line a world file states each parameter, by path as in
// [paramError].
type lineMap struct {
	name   string
	of     map[string]int
	base   string // the world that the file changes, "" for the default
	parser unstable.Parser
	tables map[string]int // how many tables a list has so far
	ends   []int          // where each line ends: the parser would count them from the top for each place
}

// readLines goes through a world file, notes its lines, and refuses unknown
// keys and values of a wrong type.
func readLines(name string, src []byte) (*lineMap, error) {
	l := &lineMap{name: name, of: map[string]int{}, tables: map[string]int{}}
	for i, c := range src {
		if c == '\n' {
			l.ends = append(l.ends, i)
		}
	}
	l.parser.Reset(src)
	at := target{kind: reflect.TypeFor[Params]()}
	top := at
	for l.parser.NextExpression() {
		e := l.parser.Expression()
		var err error
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			at, err = l.enter(top, e.Key(), e.Kind == unstable.ArrayTable)
		case unstable.KeyValue:
			err = l.keyValue(at, e)
		}
		if err != nil {
			return nil, err
		}
	}
	if err := l.parser.Error(); err != nil {
		return nil, l.syntax(err)
	}
	return l, nil
}

// target is a place in the parameters: its path and what belongs there.
type target struct {
	path string
	kind reflect.Type
}

// syntax puts the line before an error of the TOML parser.
func (l *lineMap) syntax(err error) error {
	line := 1
	var p *unstable.ParserError
	if errors.As(err, &p) && len(p.Highlight) > 0 {
		line = l.parser.Shape(l.parser.Range(p.Highlight)).Start.Line
	}
	return bench.Errorf(bench.CodeBadFile, "", "%s:%d: %v", l.name, line, err)
}

func (l *lineMap) line(n *unstable.Node) int {
	before, _ := slices.BinarySearch(l.ends, int(n.Raw.Offset))
	return 1 + before
}

// enter follows a table's header.
func (l *lineMap) enter(at target, key unstable.Iterator, list bool) (target, error) {
	for key.Next() {
		n := key.Node()
		var err error
		if at, err = l.step(at, n); err != nil {
			return at, err
		}
		last := key.IsLast()
		if at.kind.Kind() == reflect.Slice && isTable(at.kind.Elem()) {
			if last && list {
				l.tables[at.path]++
			}
			if !last || list {
				at = target{fmt.Sprintf("%s[%d]", at.path, l.tables[at.path]), at.kind.Elem()}
				l.of[at.path] = l.line(n)
				continue
			}
		}
		if last && list {
			return at, l.refuse(n, at, "a list of tables")
		}
		if !isTable(at.kind) {
			return at, l.refuse(n, at, "a table")
		}
	}
	return at, nil
}

func isTable(t reflect.Type) bool { return t.Kind() == reflect.Struct }

// step goes from a table to the key of a name in it.
func (l *lineMap) step(at target, n *unstable.Node) (target, error) {
	if !isTable(at.kind) {
		return at, l.refuse(n, at, "a table")
	}
	name := string(n.Data)
	if name == baseKey && hasBase(at) {
		to := target{join(at.path, name), reflect.TypeFor[string]()}
		l.of[to.path] = l.line(n)
		return to, nil
	}
	var known []string
	for _, d := range fieldsOf(at.kind) {
		if d.name == name {
			to := target{join(at.path, name), d.kind}
			l.of[to.path] = l.line(n)
			return to, nil
		}
		known = append(known, d.name)
	}
	if hasBase(at) {
		known = append(known, baseKey)
	}
	where := "a world file"
	if at.path != "" {
		where = at.path
	}
	return at, bench.Errorf(bench.CodeBadFile, didYouMean(spell.Nearest(name, known)),
		"%s:%d: unknown key %q, %s has %s", l.name, l.line(n), name, where, strings.Join(known, ", "))
}

// hasBase says whether a table may state what it begins as: the file, and a table in a
// list whose tables have names.
func hasBase(at target) bool {
	return at.path == "" || strings.HasSuffix(at.path, "]") && isNamed(at.kind)
}

// isNamed says whether a type is that of tables with names.
func isNamed(t reflect.Type) bool {
	f, ok := t.FieldByName("Name")
	return ok && f.Type.Kind() == reflect.String
}

// keyValue follows a key and looks at its value.
func (l *lineMap) keyValue(at target, e *unstable.Node) error {
	var last *unstable.Node
	for key := e.Key(); key.Next(); {
		last = key.Node()
		var err error
		if at, err = l.step(at, last); err != nil {
			return err
		}
	}
	return l.value(at, last, e.Value())
}

// value checks that a value is of the kind that belongs there.
func (l *lineMap) value(at target, key, v *unstable.Node) error {
	switch at.kind.Kind() {
	case reflect.Struct:
		if v.Kind != unstable.InlineTable {
			return l.refuse(key, at, kindOf(v))
		}
		for c := v.Children(); c.Next(); {
			if err := l.keyValue(at, c.Node()); err != nil {
				return err
			}
		}
		return nil
	case reflect.Slice, reflect.Array:
		return l.list(at, key, v)
	case reflect.Float64:
		if v.Kind == unstable.Float || v.Kind == unstable.Integer {
			return nil
		}
	case reflect.Int:
		if v.Kind == unstable.Integer {
			return nil
		}
	case reflect.String:
		if v.Kind == unstable.String {
			if at.path == baseKey {
				l.base = string(v.Data)
			}
			return nil
		}
	}
	return l.refuse(key, at, kindOf(v))
}

// list checks the elements of a list, and how many there are where that is fixed.
func (l *lineMap) list(at target, key, v *unstable.Node) error {
	if v.Kind != unstable.Array {
		return l.refuse(key, at, kindOf(v))
	}
	count := 0
	for c := v.Children(); c.Next(); {
		n := c.Node()
		if n.Kind == unstable.Comment {
			continue
		}
		element := target{at.path, at.kind.Elem()}
		if isTable(element.kind) {
			element.path = fmt.Sprintf("%s[%d]", at.path, count+1)
			l.of[element.path] = l.line(key)
		}
		if err := l.value(element, key, n); err != nil {
			return err
		}
		count++
	}
	if at.kind.Kind() == reflect.Array && count != at.kind.Len() {
		return l.refuse(key, at, fmt.Sprintf("a list of %d", count))
	}
	return nil
}

// refuse says what belongs in a place.
func (l *lineMap) refuse(key *unstable.Node, at target, is string) error {
	return bench.Errorf(bench.CodeBadFile, "", "%s:%d: %s is %s; it must be %s", l.name, l.line(key), at.path, is, wanted(at.kind))
}

func wanted(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Struct, reflect.Map:
		return "a table"
	case reflect.Int:
		return "a whole number"
	case reflect.Float64:
		return "a number"
	case reflect.Array:
		return fmt.Sprintf("a list of %d numbers", t.Len())
	case reflect.Slice:
		switch e := t.Elem(); e.Kind() {
		case reflect.Struct:
			return "a list of tables"
		case reflect.Array:
			return fmt.Sprintf("a list of lists of %d numbers", e.Len())
		case reflect.String:
			return "a list of words"
		}
		return "a list of numbers"
	}
	return "a word"
}

func kindOf(v *unstable.Node) string {
	switch v.Kind {
	case unstable.String:
		return "a word"
	case unstable.Integer, unstable.Float:
		return "a number"
	case unstable.Bool:
		return "true or false"
	case unstable.Array:
		return "a list"
	case unstable.InlineTable:
		return "a table"
	}
	return "a date or time"
}

// place puts the line before an error of Params.check. A parameter that the
// file leaves out is placed where its table begins, if that is stated.
func (l *lineMap) place(err error) error {
	var p *paramError
	if !errors.As(err, &p) {
		return bench.Errorf(bench.CodeBadFile, fault.HintOf(err), "%s: %w", l.name, err)
	}
	path := p.path
	for path != "" && l.of[path] == 0 {
		path = path[:max(0, strings.LastIndexAny(path, ".["))]
	}
	if line := l.of[path]; line > 0 {
		return bench.Errorf(bench.CodeBadFile, fault.HintOf(err), "%s:%d: %w", l.name, line, err)
	}
	return bench.Errorf(bench.CodeBadFile, fault.HintOf(err), "%s: %w", l.name, err)
}

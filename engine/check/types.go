package check

import (
	"reflect"
	"slices"

	"candelua/engine/declare"
	"candelua/engine/script"
	"candelua/engine/syntax"
)

// kind is what a value is. Nothing is known of none yet; anything can be of all.
type kind int

const (
	none kind = iota
	isNil
	isBool
	isNumber
	isText
	isTable
	isFunction
	isObject
	isModule
	all
)

// typ is what is known of a value.
type typ struct {
	kind   kind
	unit   string // of a number, where it is known
	values []any  // all that it may be, where they are known: float64, string or bool
	some   bool   // values are only some of those that it may be, as the default of a parameter is
	prefix string // with which a text begins whose rest is not known
	bare   bool   // a chromaticity, which has no unit
	ratio  bool   // of two quantities of one unit
	read   bool   // a reading, or a number or truth that depends on one
	maybe  bool   // it may also be nil

	table   *table
	fn      *function
	builtin *script.Func
	object  reflect.Type
	columns *columns // of a recorded table
	module  *script.Module
	device  string // that a module speaks to, where it is not its own
	given   string // the standard library's name
}

// mostValues is how many values are followed one by one.
const mostValues = 64

// table is what is known of a table that the script made.
type table struct {
	node   *syntax.Table
	names  []string
	fields map[string]*typ
	list   []typ // as written
	item   typ   // of the list, written or added
	grown  bool  // more was added than is written
	open   bool  // fields may be there that are not known
	params bool  // the parameters of the procedure
	read   map[string]bool
	passed bool // handed on to what may read any parameter
}

// function is what is known of a function that the script made.
type function struct {
	node    *syntax.Function
	params  []*symbol
	results []typ
	ends    bool // may end without a return
	owner   *checker
	exposed bool // is more than called by its name
	self    int  // 1 where the first parameter is self
}

// columns are those of a recorded table, and their units.
type columns struct {
	names []string
	units []string
}

func text(values ...any) typ   { return typ{kind: isText, values: values} }
func number(values ...any) typ { return typ{kind: isNumber, values: values} }

var anything = typ{kind: all}

// join is what is known of a value that is either.
func join(a, b typ) typ {
	switch {
	case a.kind == none:
		return b
	case b.kind == none:
		return a
	case a.kind == all || b.kind == all:
		return typ{kind: all, read: a.read || b.read}
	case a.kind == isNil && b.kind == isNil:
		return a
	case a.kind == isNil:
		b.maybe = true
		return b
	case b.kind == isNil:
		a.maybe = true
		return a
	case a.kind != b.kind:
		return typ{kind: all, read: a.read || b.read}
	}
	out := a
	out.maybe, out.read, out.some = a.maybe || b.maybe, a.read || b.read, a.some || b.some
	if a.unit != b.unit {
		out.unit = ""
	}
	out.bare, out.ratio = a.bare && b.bare, a.ratio && b.ratio
	if a.prefix != b.prefix {
		out.prefix = ""
	}
	out.values = nil
	if a.values != nil && b.values != nil {
		out.values = slices.Clone(a.values)
		for _, v := range b.values {
			if !slices.Contains(out.values, v) {
				out.values = append(out.values, v)
			}
		}
		if len(out.values) > mostValues {
			out.values = nil
		}
	}
	if a.table != b.table {
		return joinTables(out, a, b)
	}
	if a.fn != b.fn || a.builtin != b.builtin || a.object != b.object || a.module != b.module || a.device != b.device || a.given != b.given {
		return typ{kind: all, read: out.read}
	}
	if a.columns != b.columns {
		out.columns = nil
	}
	return out
}

// joinTables makes a table of which the fields of both may be there. Nothing can be said against others.
func joinTables(out, a, b typ) typ {
	if a.table == nil || b.table == nil || a.table.params || b.table.params {
		return typ{kind: all, read: out.read}
	}
	if depth := tableDepth(a.table) + tableDepth(b.table); depth > 12 {
		return typ{kind: isTable, maybe: out.maybe, table: &table{open: true, fields: map[string]*typ{}, item: anything, grown: true}}
	}
	t := &table{fields: map[string]*typ{}, grown: true, open: a.table.open || b.table.open, item: join(a.table.item, b.table.item)}
	for _, from := range []*table{a.table, b.table} {
		for _, name := range from.names {
			f := *from.fields[name]
			if other := b.table.fields[name]; from == a.table && other != nil {
				f = join(f, *other)
			} else if from == b.table && a.table.fields[name] != nil {
				continue
			} else {
				f.maybe = true
			}
			t.set(name, f)
		}
	}
	out.table = t
	return out
}

func tableDepth(t *table) int { return depthOf(t, 0) }

func depthOf(t *table, at int) int {
	if t == nil || at > 6 {
		return at
	}
	deepest := at
	for _, f := range t.fields {
		deepest = max(deepest, depthOf(f.table, at+1))
	}
	return max(deepest, depthOf(t.item.table, at+1))
}

func (t *table) set(name string, v typ) {
	if t.fields[name] == nil {
		t.names = append(t.names, name)
		t.fields[name] = &typ{}
	}
	*t.fields[name] = join(*t.fields[name], v)
}

// given is what is known of what a builtin gives, by its type in Go.
func (c *checker) given(t reflect.Type, unit string, read bool) typ {
	switch t.Kind() {
	case reflect.Float64:
		return typ{kind: isNumber, unit: unit, read: read && unit != "s"}
	case reflect.Int:
		return typ{kind: isNumber, unit: unit}
	case reflect.Bool:
		return typ{kind: isBool}
	case reflect.String:
		return typ{kind: isText}
	case reflect.Slice, reflect.Array:
		return typ{kind: isTable, table: &table{fields: map[string]*typ{}, grown: true, item: c.given(t.Elem(), unit, read)}, maybe: t.Kind() == reflect.Slice}
	case reflect.Pointer:
		if t.Elem().Kind() == reflect.Struct && t.Elem() != reflect.TypeFor[script.Bound]() && t.Elem() != declare.ValueType {
			return typ{kind: isObject, object: t.Elem(), read: read}
		}
		out := c.given(t.Elem(), unit, read)
		out.maybe = true
		return out
	case reflect.Struct:
		switch t {
		case reflect.TypeFor[script.None]():
			return typ{kind: isNil}
		case reflect.TypeFor[script.Bound](), reflect.TypeFor[script.Passed](), declare.ValueType:
			return anything
		}
		return typ{kind: isObject, object: t, read: read}
	}
	return anything
}

// literal is a value as the judges of arguments take it; which chooses among several that are known.
func literal(t typ, which int) any {
	if t.maybe {
		return script.Unknown{}
	}
	switch t.kind {
	case isNil:
		return nil
	case isBool, isNumber, isText:
		if n := len(t.values); n > 0 {
			return t.values[min(which, n-1)]
		}
		if t.kind == isNumber || t.kind == isText {
			return script.Kind(map[kind]string{isNumber: "number", isText: "text"}[t.kind])
		}
	case isFunction:
		return script.Code{}
	case isObject:
		return script.Object{Type: t.object}
	case isTable:
		return t.table.literal(which, 0)
	}
	return script.Unknown{}
}

func (t *table) literal(which, depth int) any {
	if t == nil || t.params || depth > 8 {
		return script.Unknown{}
	}
	if t.grown || t.open {
		return script.Kind("table")
	}
	w := &script.Written{Names: t.names}
	for _, x := range t.list {
		if x.kind == isNil {
			return script.Unknown{}
		}
		w.List = append(w.List, t.inside(x, which, depth))
	}
	for _, name := range t.names {
		w.Named = append(w.Named, t.inside(*t.fields[name], which, depth))
	}
	return w
}

func (t *table) inside(x typ, which, depth int) any {
	if x.kind == isTable && !x.maybe {
		return x.table.literal(which, depth+1)
	}
	return literal(x, which)
}

// choices is how many values have to be tried one by one.
func choices(t typ) int {
	n := max(1, len(t.values))
	if t.kind == isTable && t.table != nil && !t.table.grown && !t.table.params {
		for _, x := range t.table.list {
			n = max(n, choices(x))
		}
		for _, f := range t.table.fields {
			n = max(n, choices(*f))
		}
	}
	return n
}

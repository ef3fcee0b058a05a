package check

import (
	"fmt"
	"slices"
	"strings"

	"candelua/engine/result"
	"candelua/engine/script"
	"candelua/engine/spell"
	"candelua/engine/syntax"
)

// said is a result with an id that is known.
type said struct {
	kind, id string
	at       syntax.Pos
	place    place
}

// recorded looks at what a call records.
func (c *checker) recorded(b *script.Func, e *syntax.Call, args []typ, out *typ) {
	switch b.Name {
	case "record.value":
		c.value(e, args)
	case "record.table":
		c.table(e, args, out)
	case "record.plot":
		if t := namedArgs(args); t != nil {
			c.plot(e, t)
		}
	case "table:add":
		c.row(e, args)
	case "clock.every":
		if t := namedArgs(args); t != nil {
			c.schedule(e, t)
			c.tickFirst(t)
		}
	case "table:at", "table:column":
		if len(args) > 1 {
			c.column(args[0].columns, args[1], e.Args[0].Pos())
		}
	case "operator.ask":
		if t := namedArgs(args); t != nil && t.fields["unit"] != nil {
			c.unit(*t.fields["unit"], fieldPos(e, "unit"))
		}
	}
}

// namedArgs are the named arguments of a call, nil where they are not written out.
func namedArgs(args []typ) *table {
	if len(args) == 0 {
		return nil
	}
	return args[len(args)-1].table
}

// fieldPos is where a named argument is written.
func fieldPos(e *syntax.Call, name string) syntax.Pos {
	if n := len(e.Args); n > 0 {
		if t, is := e.Args[n-1].(*syntax.Table); is {
			for _, f := range t.Fields {
				if key, is := f.Key.(*syntax.Text); is && key.Value == name {
					return f.Value.Pos()
				}
			}
		}
	}
	return e.Func.Pos()
}

func (c *checker) value(e *syntax.Call, args []typ) {
	t := namedArgs(args)
	if t == nil || t.node == nil {
		c.ids.open = true
		return
	}
	name, id := t.fields["name"], t.fields["id"]
	if name == nil {
		return
	}
	c.noteID("value", *name, id, fieldPos(e, "name"))
	v, unit := t.fields["value"], t.fields["unit"]
	if unit != nil {
		c.unit(*unit, fieldPos(e, "unit"))
	}
	c.valueTaken(e, t)
	if v == nil {
		return
	}
	if said, known := oneText(unit); known && c.asShare(*v, said, fieldPos(e, "value")) {
		return
	}
	is := v.unit
	if v.kind == isObject && slices.Contains(c.fieldsOf(*v), "Y") {
		is = "cd/m2" // which a reading is recorded in where no unit is stated
	}
	if is == "" {
		if said, known := oneText(unit); known && v.bare && slices.Contains([]string{"cd/m2", "lx", "K", "nm", "s"}, said) {
			c.add(Warning, unitDiffers, fieldPos(e, "value"), "record the field that is in "+said+", such as Y for the luminance", "a number without a unit is recorded in %q", said)
		}
		return
	}
	switch {
	case unit == nil && v.kind == isObject:
	case unit == nil:
		c.add(Warning, unitLeftOut, fieldPos(e, "value"), fmt.Sprintf("write unit = %q", is), "a value in %s is recorded without its unit", is)
	case len(unit.values) == 1 && unit.kind == isText && !unit.some:
		if said := unit.values[0].(string); c.plainUnit(said) != c.plainUnit(is) && meantUnits[strings.ToLower(said)] == "" {
			c.add(Warning, unitDiffers, fieldPos(e, "unit"), fmt.Sprintf("write unit = %q, or convert the value", is), "a value in %s is recorded in %q", is, said)
		}
	}
}

// oneText is a text that is known.
func oneText(t *typ) (string, bool) {
	if t == nil || t.kind != isText || len(t.values) != 1 || t.some {
		return "", false
	}
	s, is := t.values[0].(string)
	return s, is
}

// ids are those of the values that a procedure records, as far as they are known.
type ids struct {
	known    []string
	prefixes []string
	open     bool // there may be any others
}

// noteID notes a result, and finds two with the same id.
func (c *checker) noteID(kind string, name typ, id *typ, at syntax.Pos) {
	var all []string
	from := name
	if id != nil {
		from = *id
	}
	for _, v := range from.values {
		if s, is := v.(string); is {
			if id == nil {
				s = result.ID(s)
			}
			all = append(all, s)
		}
	}
	if kind == "value" && c.final {
		switch {
		case len(all) > 0 && !from.some:
			c.ids.known = append(c.ids.known, all...)
		case len(all) == 0 && from.prefix != "" && id == nil:
			c.ids.prefixes = append(c.ids.prefixes, strings.TrimSuffix(result.ID(from.prefix), "-"))
		default:
			c.ids.open = true
		}
	}
	if len(all) != 1 || c.quiet || !c.final {
		return
	}
	now := said{kind, all[0], at, c.at}
	if c.at.loop > 0 && !c.at.choice && !c.at.leaves {
		c.add(Error, idInLoop, at, "put what changes into its name, or use a table", "each round of the loop records a %s of the id %s again", kind, all[0])
	}
	for _, before := range c.said {
		if before.kind == kind && before.id == all[0] && before.at != at && together(before.place, now.place) {
			c.add(Error, idTwice, at, "give it another name, or an id of its own", "a %s of the id %s is recorded in line %d already", kind, all[0], before.at.Line)
			break
		}
	}
	c.said = append(c.said, now)
}

// together says whether what stands at two places of a function is executed both in one run.
func together(a, b place) bool {
	if a.fn != b.fn || len(a.branches) > 0 || len(b.branches) > 0 {
		if a.fn != b.fn {
			return false
		}
		for i := range min(len(a.branches), len(b.branches)) {
			if a.branches[i] != b.branches[i] {
				return false // other ways, or other conditions
			}
		}
		return len(a.branches) == len(b.branches)
	}
	return true
}

func (c *checker) table(e *syntax.Call, args []typ, out *typ) {
	if len(args) == 0 {
		return
	}
	var id *typ
	if len(args) > 2 && args[2].table != nil {
		id = args[2].table.fields["id"]
	}
	at := e.Func.Pos()
	if len(e.Args) > 0 {
		at = e.Args[0].Pos()
	}
	c.noteID("table", args[0], id, at)
	if len(args) < 2 || args[1].table == nil || args[1].table.grown || args[1].table.open {
		return
	}
	cols := &columns{}
	for i, head := range args[1].table.list {
		if head.table == nil || head.table.grown || len(head.table.list) == 0 {
			return
		}
		name := head.table.list[0]
		if len(name.values) != 1 || name.some {
			return
		}
		s, is := name.values[0].(string)
		if !is {
			return
		}
		unit := ""
		if len(head.table.list) > 1 {
			if u := head.table.list[1]; len(u.values) == 1 {
				unit, _ = u.values[0].(string)
				c.unit(u, columnPos(e, i))
			}
		}
		cols.names, cols.units = append(cols.names, s), append(cols.units, unit)
	}
	key := e
	if c.recordedColumns[key] == nil {
		c.recordedColumns[key] = cols
	}
	out.columns = c.recordedColumns[key]
}

// columnPos is where the unit of a column is written.
func columnPos(e *syntax.Call, i int) syntax.Pos {
	if t, is := e.Args[1].(*syntax.Table); is && i < len(t.Fields) {
		if head, is := t.Fields[i].Value.(*syntax.Table); is && len(head.Fields) > 1 {
			return head.Fields[1].Value.Pos()
		}
		return t.Fields[i].Value.Pos()
	}
	return e.Args[1].Pos()
}

func (c *checker) plot(e *syntax.Call, t *table) {
	of := t.fields["table"]
	if of == nil || of.columns == nil {
		return
	}
	for _, axis := range []string{"x", "y"} {
		if v := t.fields[axis]; v != nil {
			if v.table != nil && !v.table.grown {
				for _, x := range v.table.list {
					c.column(of.columns, x, fieldPos(e, axis))
				}
				continue
			}
			c.column(of.columns, *v, fieldPos(e, axis))
		}
	}
}

// column finds the name of a column that is not there.
func (c *checker) column(cols *columns, name typ, at syntax.Pos) {
	if cols == nil || name.kind != isText {
		return
	}
	for _, v := range name.values {
		if s, is := v.(string); is && !slices.Contains(cols.names, s) {
			c.add(Error, noSuchColumn, at, near(s, cols.names, "its columns are"), "the table has no column %s", short(s))
		}
	}
}

// cellOf is what is known of a cell, or of the cells of a column.
func (c *checker) cellOf(name string, args []typ) typ {
	unit := ""
	if cols := args[0].columns; cols != nil && len(args[1].values) == 1 {
		if s, is := args[1].values[0].(string); is {
			if i := slices.Index(cols.names, s); i >= 0 {
				unit = cols.units[i]
			}
		}
	}
	if name == "table:at" {
		return anything
	}
	return typ{kind: isTable, table: &table{fields: map[string]*typ{}, grown: true, item: typ{kind: isNumber, unit: unit, read: true}}}
}

func (c *checker) row(e *syntax.Call, args []typ) {
	if len(args) < 2 || args[0].columns == nil || args[1].table == nil || args[1].table.node == nil || args[1].table.open {
		return
	}
	cols, t := args[0].columns, args[1].table
	for _, name := range t.names {
		at := keyPos(t.node, name)
		if name == "from" && !slices.Contains(cols.names, "from") {
			continue
		}
		i := slices.Index(cols.names, name)
		if i < 0 {
			c.add(Error, noSuchColumn, at, near(name, cols.names, "its columns are"), "the table has no column %s", short(name))
			continue
		}
		c.asShare(*t.fields[name], cols.units[i], fieldPos(e, name))
		if v := *t.fields[name]; v.kind == isNumber && v.unit != "" && cols.units[i] != "" && c.plainUnit(v.unit) != c.plainUnit(cols.units[i]) {
			c.add(Warning, unitDiffers, fieldPos(e, name), "convert it, or give the column another unit", "a number in %s is put into a column in %s", v.unit, cols.units[i])
		}
	}
}

func keyPos(t *syntax.Table, name string) syntax.Pos {
	for _, f := range t.Fields {
		if key, is := f.Key.(*syntax.Text); is && key.Value == name {
			return key.At
		}
	}
	return t.At
}

// meantUnits are words that people write in place of the trade's units.
var meantUnits = map[string]string{"nit": "cd/m2", "nits": "cd/m2", "candela": "cd/m2", "cd": "", "candela/m2": "cd/m2", "cd/m^2": "cd/m2", "cdm2": "cd/m2", "cd/sqm": "cd/m2",
	"percent": "%", "per cent": "%", "pct": "%", "lux": "lx", "kelvin": "K", "sec": "s", "secs": "s", "second": "s", "seconds": "s", "msec": "ms", "minutes": "min",
	"hours": "h", "nanometer": "nm", "nanometre": "nm", "nanometers": "nm", "hertz": "Hz", "volts": "V", "watts": "W", "celsius": "°C"}

// longUnits are those that a slip can be told from.
var longUnits = []string{"cd/m2", "W/(sr m2 nm)"}

// plainUnit writes a unit in one way.
func (c *checker) plainUnit(unit string) string {
	return strings.NewReplacer("²", "2", "^2", "2", "⋅", " ", "·", " ", "degrees", "°", "deg", "°").Replace(strings.TrimSpace(unit))
}

// unit finds a unit that is none of the trade.
func (c *checker) unit(t typ, at syntax.Pos) {
	if t.kind != isText || len(t.values) != 1 || t.some {
		return
	}
	said, is := t.values[0].(string)
	if !is {
		return
	}
	if meant := meantUnits[strings.ToLower(said)]; meant != "" && meant != said {
		c.add(Warning, noSuchUnit, at, fmt.Sprintf("write %q", meant), "%q is not the unit that the trade writes", said)
		return
	}
	if n := spell.Slip(c.plainUnit(said), longUnits); n != "" && !strings.HasSuffix(said, n) { // a prefix of the SI is no slip
		c.add(Warning, noSuchUnit, at, fmt.Sprintf("did you mean %q?", n), "%q is no unit", said)
	}
}

func sameUnit(x, y typ) string {
	if x.unit == y.unit {
		return x.unit
	}
	return ""
}

// mixed finds quantities of two units that are added or compared.
func (c *checker) mixed(e *syntax.Binary, x, y typ, verb string) {
	if x.kind == isNumber && y.kind == isNumber && x.unit != "" && y.unit != "" && c.plainUnit(x.unit) != c.plainUnit(y.unit) {
		c.add(Warning, unitsMixed, e.At, "convert one of them", "%s and %s are %s", x.unit, y.unit, verb)
	}
}

func shown(v any) string {
	switch v := v.(type) {
	case float64:
		return fmt.Sprintf("%.14g", v)
	case string:
		return v
	}
	return fmt.Sprint(v)
}

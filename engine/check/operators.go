package check

import (
	"fmt"
	"slices"

	"candelua/engine/syntax"
)

func (c *checker) unary(e *syntax.Unary) typ {
	x := c.eval(e.X)
	switch e.Op {
	case "not":
		return typ{kind: isBool, read: x.read && x.kind != isObject && x.kind != isTable}
	case "#":
		if x.kind == isTable && x.table != nil {
			c.listed(x.table, x, e.At, "# counts", "count with pairs, or make it a list")
		}
		if (x.kind == isNumber || x.kind == isBool || x.kind == isObject) && !x.maybe {
			c.add(Error, wrongArgument, e.At, "", "%s has no length", c.nameOf(x))
		}
		return typ{kind: isNumber}
	}
	c.operand(x, e.X, "-")
	out := typ{kind: isNumber, unit: x.unit, read: x.read}
	if x.kind == isNumber {
		for _, v := range x.values {
			if n, is := v.(float64); is {
				out.values = append(out.values, -n)
			}
		}
	}
	return out
}

func (c *checker) binary(e *syntax.Binary) typ {
	if e.Op == "and" || e.Op == "or" {
		return c.logical(e)
	}
	x, y := c.eval(e.X), c.eval(e.Y)
	read := numberish(x) && x.read || numberish(y) && y.read
	switch e.Op {
	case "==", "~=":
		c.compared(e, x, y, false)
		if x.kind == isNil || y.kind == isNil {
			read = false
		}
		return typ{kind: isBool, read: read}
	case "<", ">", "<=", ">=":
		c.compared(e, x, y, true)
		return typ{kind: isBool, read: read}
	case "..":
		return c.joined(e, x, y)
	}
	if x.kind == none || y.kind == none {
		return typ{}
	}
	okX, okY := c.operand(x, e.X, e.Op), c.operand(y, e.Y, e.Op)
	c.ofChromaticities(e, x, y)
	out := typ{kind: isNumber, read: read, ratio: ratioOf(e.Op, x, y)}
	if e.Op == "+" || e.Op == "-" {
		out.unit = sameUnit(x, y)
		if okX && okY {
			c.mixed(e, x, y, map[string]string{"+": "added", "-": "subtracted"}[e.Op])
		}
	}
	if !x.some && !y.some { // defaults of parameters need not be there together
		out.values = computed(e.Op, x, y)
	}
	return out
}

// numberish says whether a value can be a number that a reading gave.
func numberish(t typ) bool { return t.kind == isNumber || t.kind == isBool || t.kind == all }

func computed(op string, x, y typ) []any {
	if len(x.values)*len(y.values) == 0 || len(x.values)*len(y.values) > mostValues || x.kind != isNumber || y.kind != isNumber {
		return nil
	}
	var out []any
	for _, a := range x.values {
		for _, b := range y.values {
			v := a.(float64)
			switch w := b.(float64); op {
			case "+":
				v += w
			case "-":
				v -= w
			case "*":
				v *= w
			case "/":
				if w == 0 {
					return nil
				}
				v /= w
			default:
				return nil
			}
			if !slices.Contains(out, any(v)) {
				out = append(out, v)
			}
		}
	}
	return out
}

// logical is and, or: what the whole may be.
func (c *checker) logical(e *syntax.Binary) typ {
	x := c.eval(e.X)
	if x.read && (x.kind == isBool || x.kind == isNumber) {
		c.steered(x, e.X, "which steps are taken", &syntax.Block{Stmts: []syntax.Stmt{&syntax.Return{Values: []syntax.Expr{e.Y}}}})
	}
	y := c.eval(e.Y)
	if x.kind == none || y.kind == none {
		return typ{}
	}
	if e.Op == "or" {
		x.maybe = false
		switch {
		case x.kind == isNil, x.kind == isBool && len(x.values) == 1 && x.values[0] == false:
			return y
		case x.kind == isBool && y.kind != isBool:
			return typ{kind: all, read: y.read}
		}
		return join(x, y)
	}
	if x.kind == isBool {
		out := y
		out.maybe = true // false is as good as nil to those who look
		if y.kind == isBool {
			out = typ{kind: isBool, read: x.read || y.read}
		} else {
			out.values = nil
			out.read = out.read || x.read
		}
		return out
	}
	out := y
	out.maybe = true
	out.values = nil
	if y.values != nil && !x.maybe && x.kind != all && x.kind != isNil {
		out.values, out.maybe = y.values, y.maybe
	}
	return out
}

// operand finds what no arithmetic takes.
func (c *checker) operand(t typ, e syntax.Expr, op string) bool {
	if t.maybe && t.kind != isObject {
		return true
	}
	switch t.kind {
	case isNil:
		c.nothing(e, fmt.Sprintf("'%s'", op))
		return false
	case isObject, isTable, isModule, isFunction, isBool:
		c.asNumber(t, e, "in arithmetic")
		return false
	case isText:
		if len(t.values) != 1 {
			return true
		}
		c.add(Warning, textAndNumber, e.Pos(), "write numbers without quotes, or use tonumber", "%s computes with a text", fmt.Sprintf("'%s'", op))
		return false
	}
	return true
}

// nothing finds a value that is never there.
func (c *checker) nothing(e syntax.Expr, where string) {
	if id, is := e.(*syntax.Ident); is {
		if s := c.vars[id]; s == nil || !s.kindOfNil() {
			return // an argument that a call leaves out is found there
		}
		c.add(Error, noValueYet, e.Pos(), "give it a value where it is made", "%s has no value here, which %s does not take", id.Text, where)
		return
	}
	c.add(Error, noValueYet, e.Pos(), "", "this is nil, which %s does not take", where)
}

// asNumber finds an object or table in a number's place.
func (c *checker) asNumber(t typ, e syntax.Expr, where string) {
	if t.kind == isTable && (t.table == nil || t.table.open) || t.kind == isFunction && t.given == "" && t.fn == nil && t.builtin == nil {
		return
	}
	tip := ""
	if t.kind == isObject && slices.Contains(c.fieldsOf(t), "Y") {
		tip = "write .Y for its luminance"
	} else if t.kind == isFunction {
		tip = "call it, with () behind its name"
	}
	c.add(Error, objectAsNumber, e.Pos(), tip, "%s is used as a number %s", c.nameOf(t), where)
}

// compared finds comparisons that fail, or always give the same.
func (c *checker) compared(e *syntax.Binary, x, y typ, order bool) {
	for _, side := range []struct {
		t, o typ
		e    syntax.Expr
	}{{x, y, e.X}, {y, x, e.Y}} {
		switch {
		case side.t.kind == isText && side.o.kind == isNumber && !side.t.maybe && (order || !side.o.maybe):
			if len(side.t.values) == 0 && !order {
				continue
			}
			c.add(Error, textAndNumber, side.e.Pos(), "write the number without quotes", "a number is compared with a text")
			return
		case side.t.kind == isObject && side.o.kind == isNumber:
			c.asNumber(side.t, side.e, "in a comparison")
			return
		case order && side.t.kind == isNil && side.o.kind == isNumber:
			c.nothing(side.e, "a comparison")
			return
		}
	}
	if !order {
		c.neverEqual(e, x, y)
	}
	c.mixed(e, x, y, "compared")
}

// neverEqual finds what is never the same: values of two kinds, and a text that the other side never is.
func (c *checker) neverEqual(e *syntax.Binary, x, y typ) {
	plain := func(t typ) bool { return t.kind == isBool || t.kind == isNumber || t.kind == isText }
	if x.maybe || y.maybe || !plain(x) || !plain(y) {
		return
	}
	if x.kind != y.kind {
		tip := "compare values of the same kind"
		if u, is := e.X.(*syntax.Unary); is && u.Op == "not" {
			tip = "write ~= in place of not: here not is taken before the comparison"
		}
		c.add(Warning, neverEqual, e.At, tip, "%s and %s are never the same", c.nameOf(x), c.nameOf(y))
		return
	}
	for _, side := range [][2]typ{{x, y}, {y, x}} {
		known, one := side[0], side[1]
		if one.kind != isText || len(one.values) != 1 || one.some || known.some || len(known.values) < 2 || slices.Contains(known.values, one.values[0]) {
			continue
		}
		var words []string
		for _, v := range known.values {
			words = append(words, shown(v))
		}
		c.add(Warning, neverEqual, e.At, near(shown(one.values[0]), words, "it can be"), "it is never %q", shown(one.values[0]))
		return
	}
}

// joined is a text of two.
func (c *checker) joined(e *syntax.Binary, x, y typ) typ {
	for _, side := range []struct {
		t typ
		e syntax.Expr
	}{{x, e.X}, {y, e.Y}} {
		switch side.t.kind {
		case isNil:
			c.nothing(side.e, "'..'")
		case isTable, isFunction, isModule, isBool:
			if !side.t.maybe && (side.t.kind != isTable || side.t.table != nil) {
				c.add(Error, wrongArgument, side.e.Pos(), "write tostring(…), or one of its fields", "%s cannot be joined to a text", c.nameOf(side.t))
			}
		case isObject:
			c.add(Error, wrongArgument, side.e.Pos(), "write tostring(…), or one of its fields", "%s cannot be joined to a text", c.nameOf(side.t))
		}
	}
	out := typ{kind: isText}
	if len(x.values) > 0 && len(y.values) > 0 && len(x.values)*len(y.values) <= mostValues {
		out.some = x.some || y.some
		for _, a := range x.values {
			for _, b := range y.values {
				out.values = append(out.values, shown(a)+shown(b))
			}
		}
		return out
	}
	if len(x.values) == 1 {
		out.prefix = shown(x.values[0])
	} else if x.kind == isText {
		out.prefix = x.prefix
	}
	return out
}

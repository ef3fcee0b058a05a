package check

import (
	"candelua/engine/syntax"
)

// list evaluates expressions, and gives n values of them.
func (c *checker) list(all []syntax.Expr, n int) []typ {
	var out []typ
	for i, e := range all {
		if i == len(all)-1 && len(out)+1 < n {
			out = append(out, c.multi(e, n-len(out))...)
			break
		}
		out = append(out, c.eval(e))
	}
	for len(out) < n {
		out = append(out, typ{kind: isNil})
	}
	return out
}

// multi evaluates an expression that may give several values.
func (c *checker) multi(e syntax.Expr, n int) []typ {
	out := make([]typ, n)
	switch e := e.(type) {
	case *syntax.Call:
		out[0] = c.call(e, false)
		more := c.more
		for i := 1; i < n; i++ {
			out[i] = anything
			if more != nil {
				out[i] = typ{kind: isNil}
				if i <= len(more) {
					out[i] = more[i-1]
				}
			}
		}
	case *syntax.Vararg:
		for i := range out {
			out[i] = anything
		}
	default:
		out[0] = c.eval(e)
		for i := 1; i < n; i++ {
			out[i] = typ{kind: isNil}
		}
	}
	return out
}

func (c *checker) eval(e syntax.Expr) typ {
	switch e := e.(type) {
	case *syntax.Nil:
		return typ{kind: isNil}
	case *syntax.True:
		return typ{kind: isBool, values: []any{true}}
	case *syntax.False:
		return typ{kind: isBool, values: []any{false}}
	case *syntax.Vararg:
		return anything
	case *syntax.Number:
		return number(e.Value)
	case *syntax.Text:
		return text(e.Value)
	case *syntax.Ident:
		return c.ident(e)
	case *syntax.Index:
		return c.index(e)
	case *syntax.Call:
		return c.call(e, false)
	case *syntax.Function:
		t := c.functionOf(e, c.holder[e])
		c.body(e)
		return t
	case *syntax.Table:
		return c.tableOf(e)
	case *syntax.Unary:
		return c.unary(e)
	case *syntax.Binary:
		return c.binary(e)
	case *syntax.Paren:
		return c.eval(e.X)
	}
	return anything
}

func (c *checker) ident(e *syntax.Ident) typ {
	if s := c.vars[e]; s != nil {
		if s.kindOfNil() && c.final {
			t := s.typ
			t.kind = isNil
			return t
		}
		return s.typ
	}
	if m := c.moduleNamed(e.Text); m != nil {
		return typ{kind: isModule, module: m}
	}
	if fields, is := c.bare[e.Text]; is && fields != nil {
		return typ{kind: isModule, given: e.Text}
	} else if is {
		return typ{kind: isFunction, given: e.Text}
	}
	return anything
}

// kindOfNil says whether a variable never gets a value.
func (s *symbol) kindOfNil() bool { return s.what == "variable" && !s.valued && s.writes == 0 }

func (c *checker) tableOf(e *syntax.Table) typ {
	t := c.tables[e]
	if t == nil {
		t = &table{node: e, fields: map[string]*typ{}}
		c.tables[e] = t
	}
	t.list = nil
	read := false
	for i, f := range e.Fields {
		if f.Key == nil {
			v := c.eval(f.Value)
			if i == len(e.Fields)-1 && isMulti(f.Value) {
				t.grown = true
			}
			t.list = append(t.list, v)
			t.item = join(t.item, v)
			read = read || v.read
			continue
		}
		key := c.eval(f.Key)
		v := c.eval(f.Value)
		if key.kind == isText && len(key.values) == 1 {
			t.set(key.values[0].(string), v)
			continue
		}
		t.item = join(t.item, v)
		t.open = t.open || key.kind != isNumber
		t.grown = true
	}
	return typ{kind: isTable, table: t}
}

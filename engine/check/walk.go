package check

import (
	"reflect"
	"slices"
	"strings"

	"candelua/engine/script"
	"candelua/engine/syntax"
)

// place is where a statement stands, as far as rules need it.
type place struct {
	fn       *function
	loop     int  // how many loops of this function are around
	choice   bool // under a condition, since the innermost loop began
	leaves   bool // the innermost loop can be left from its body
	loading  bool // outside of each function
	branches []branch
	in       *syntax.Block
}

// branch is one of the ways at a condition.
type branch struct {
	of  *syntax.If
	way int
}

func (c *checker) block(b *syntax.Block, p place) {
	p.in = b
	for i, s := range b.Stmts {
		c.at = p
		c.rest = b.Stmts[i+1:]
		c.stmt(s, p)
	}
}

func (c *checker) stmt(s syntax.Stmt, p place) {
	switch s := s.(type) {
	case *syntax.Local:
		for i, v := range s.Values {
			if f, is := v.(*syntax.Function); is && i < len(s.Names) {
				c.holder[f] = c.vars[nameKey{s, i}]
			}
		}
		values := c.list(s.Values, len(s.Names))
		c.givesNothing(s.Values)
		for i := range s.Names {
			if len(s.Values) > 0 || c.vars[nameKey{s, i}].writes == 0 {
				c.give(c.vars[nameKey{s, i}], values[i])
			} else {
				c.give(c.vars[nameKey{s, i}], typ{kind: isNil})
			}
		}
	case *syntax.LocalFunction:
		sym := c.vars[nameKey{s, 0}]
		c.give(sym, c.functionOf(s.Func, sym))
		c.body(s.Func)
	case *syntax.Assign:
		values := c.list(s.Values, len(s.Targets))
		c.givesNothing(s.Values)
		for i, t := range s.Targets {
			c.assign(t, values[i])
		}
	case *syntax.Define:
		fn := c.functionOf(s.Func, nil)
		if s.Self {
			fn.fn.self = 1
		}
		c.assign(s.Target, fn)
		c.body(s.Func)
	case *syntax.Do:
		t := c.call(s.Call, true)
		_ = t
	case *syntax.Group:
		c.block(s.Body, p)
	case *syntax.While:
		cond := c.eval(s.Cond)
		if cond.kind == isBool && len(cond.values) == 1 && cond.values[0] == true && !leaves(s.Body, true) && !raises(s.Body) {
			c.add(Warning, neverEnds, s.At, "leave it with break or return", "the loop never ends")
		}
		c.steered(cond, s.Cond, "how often the loop goes round", s.Body)
		c.block(s.Body, p.looped(s.Body))
	case *syntax.Repeat:
		c.block(s.Body, p.looped(s.Body))
		c.at = p
		cond := c.eval(s.Cond)
		c.steered(cond, s.Cond, "how often the loop goes round", s.Body)
	case *syntax.If:
		c.condition(s, p)
	case *syntax.Count:
		from, to := c.eval(s.From), c.eval(s.To)
		v := typ{kind: isNumber, unit: sameUnit(from, to)}
		step := number(1.0)
		if s.Step != nil {
			step = c.eval(s.Step)
		}
		c.counts(s, from, to, step)
		if len(from.values) == 1 && len(to.values) == 1 && s.Step == nil {
			v.values = counted(from.values[0], to.values[0])
			if a, isA := from.values[0].(float64); isA && !from.some && !to.some {
				if b, isB := to.values[0].(float64); isB && a > b {
					c.add(Warning, neverRuns, s.From.Pos(), "write a step of -1 to count down", "the loop counts up from %s to %s, so it does nothing", shown(a), shown(b))
				}
			}
		}
		c.steered(join(from, to), s.To, "how often the loop goes round", s.Body)
		c.give(c.vars[nameKey{s, 0}], v)
		c.block(s.Body, p.looped(s.Body))
	case *syntax.Each:
		c.each(s, p)
	case *syntax.Return:
		values := c.list(s.Values, max(len(s.Values), 1))
		if p.fn == nil {
			c.returned = values[0]
			if len(s.Values) == 0 {
				c.returned = typ{kind: isNil}
			}
			return
		}
		for i, v := range values {
			if i == len(values)-1 && len(s.Values) > 0 && isMulti(s.Values[len(s.Values)-1]) {
				v = join(v, c.evalAgain(s.Values[len(s.Values)-1]))
			}
			for len(p.fn.results) <= i {
				p.fn.results = append(p.fn.results, typ{})
			}
			p.fn.results[i] = join(p.fn.results[i], v)
		}
		short := typ{kind: isNil}
		if n := len(s.Values); n > 0 && isMulti(s.Values[n-1]) {
			short = anything
		}
		for i := len(values); i < len(p.fn.results); i++ {
			p.fn.results[i] = join(p.fn.results[i], short)
		}
	}
}

// evalAgain is eval of what was evaluated already, without findings.
func (c *checker) evalAgain(e syntax.Expr) typ {
	quiet := c.quiet
	c.quiet = true
	defer func() { c.quiet = quiet }()
	return c.eval(e)
}

func counted(from, to any) []any {
	a, isA := from.(float64)
	b, isB := to.(float64)
	if !isA || !isB || b < a || b-a >= mostValues {
		return nil
	}
	var all []any
	for x := a; x <= b; x++ {
		all = append(all, x)
	}
	return all
}

func (p place) looped(body *syntax.Block) place {
	p.loop++
	p.choice = false
	p.leaves = leaves(body, true)
	return p
}

// leaves says whether a loop can be left from its body.
func leaves(b *syntax.Block, mine bool) bool {
	return slices.ContainsFunc(b.Stmts, func(s syntax.Stmt) bool {
		switch s := s.(type) {
		case *syntax.Break:
			return mine
		case *syntax.Return, *syntax.Goto:
			return true
		case *syntax.Group:
			return leaves(s.Body, mine)
		case *syntax.If:
			return slices.ContainsFunc(s.Clauses, func(k syntax.Clause) bool { return leaves(k.Body, mine) }) || s.Else != nil && leaves(s.Else, mine)
		case *syntax.While:
			return leaves(s.Body, false)
		case *syntax.Repeat:
			return leaves(s.Body, false)
		case *syntax.Each:
			return leaves(s.Body, false)
		case *syntax.Count:
			return leaves(s.Body, false)
		}
		return false
	})
}

// raises says whether a block may end with an error of its own.
func raises(b *syntax.Block) bool {
	found := false
	visit(b, func(n any) {
		if call, is := n.(*syntax.Call); is {
			if id, is := call.Func.(*syntax.Ident); is && id.Text == "error" {
				found = true
			}
		}
	})
	return found
}

func (c *checker) condition(s *syntax.If, p place) {
	rest, loop := c.rest, p.in
	read := false
	for i, k := range s.Clauses {
		cond := c.eval(k.Cond)
		read = read || cond.read
		if read && c.final {
			bodies := []*syntax.Block{k.Body}
			if s.Else != nil {
				bodies = append(bodies, s.Else)
			}
			cond.read = true
			if leaves(k.Body, true) {
				if p.loop > 0 && c.loopBody != nil {
					bodies = append(bodies, c.loopBody)
				}
				bodies = append(bodies, &syntax.Block{Stmts: rest})
			}
			c.steered(cond, k.Cond, "which steps are taken", bodies...)
		}
		q := p
		q.choice = true
		q.branches = append(slices.Clone(p.branches), branch{s, i})
		c.block(k.Body, q)
		c.at = p
	}
	if s.Else != nil {
		q := p
		q.choice = true
		q.branches = append(slices.Clone(p.branches), branch{s, len(s.Clauses)})
		c.block(s.Else, q)
	}
	_ = loop
}

// givesNothing finds variables that are given what a function does not return.
func (c *checker) givesNothing(values []syntax.Expr) {
	if !c.final || c.quiet {
		return
	}
	for _, v := range values {
		call, is := v.(*syntax.Call)
		if !is {
			continue
		}
		f, _ := c.calleeAgain(call)
		nothing := f.fn != nil && f.fn.owner == c && len(f.fn.results) == 0 && !endsWithReturn(f.fn.node.Body) ||
			f.builtin != nil && f.builtin.Given() == reflect.TypeFor[script.None]()
		if nothing {
			c.add(Warning, returnsNothing, call.Func.Pos(), "end the function with return, or call it without giving its result to a variable", "the function returns nothing")
		}
	}
}

// each is a loop over a list or a table.
func (c *checker) each(s *syntax.Each, p place) {
	values := c.list(s.Values, 3)
	if over := values[0]; len(s.Values) == 1 && !over.maybe && (over.kind == isTable && over.table != nil || over.kind == isNumber || over.kind == isText) {
		c.add(Error, notAFunction, s.Values[0].Pos(), "write ipairs(…) around it, or pairs(…) where its values have names", "a loop cannot go over %s alone", c.nameOf(over))
	}
	v := []typ{anything, anything}
	if call, is := s.Values[0].(*syntax.Call); is && len(call.Args) > 0 && call.Method == nil {
		name := c.evalAgain(call.Func).given
		over := c.evalAgain(call.Args[0])
		if t := over.table; over.kind == isTable && t != nil {
			switch name {
			case "ipairs":
				v = []typ{number(), t.item}
				c.listed(t, over, call.Args[0].Pos(), "ipairs goes over", "write pairs, or make it a list")
			case "pairs":
				v = []typ{anything, c.anyOf(t)}
				if !t.grown && !t.open && len(t.list) == 0 && len(t.names) > 0 {
					keys := typ{}
					for _, n := range t.names {
						keys = join(keys, text(n))
					}
					v[0] = keys
				}
				if t.params {
					t.passed = true
				}
			}
		}
		if over.kind == isObject && !over.maybe && (name == "ipairs" || name == "pairs") {
			c.add(Error, wrongArgument, call.Args[0].Pos(), near("", c.fieldsOf(over), "read its fields by name:"), "%s is no list, so %s cannot go over it", c.nameOf(over), name)
		}
		if over.read && name == "ipairs" && over.kind == isTable {
			v[1].read = true
		}
	}
	for i := range s.Names {
		t := anything
		if i < len(v) {
			t = v[i]
		}
		if t.kind == none {
			t = typ{}
		}
		c.give(c.vars[nameKey{s, i}], t)
	}
	was := c.loopBody
	c.loopBody = s.Body
	c.block(s.Body, p.looped(s.Body))
	c.loopBody = was
}

func (c *checker) anyOf(t *table) typ {
	out := t.item
	for _, f := range t.fields {
		out = join(out, *f)
	}
	if t.open || t.params {
		return anything
	}
	return out
}

// listed finds a table without a list where a list is wanted.
func (c *checker) listed(t *table, of typ, at syntax.Pos, verb, suggest string) {
	if !t.grown && !t.open && !t.params && !of.maybe && len(t.list) == 0 && len(t.names) > 0 && t.node != nil {
		c.add(Warning, namesNotListed, at, suggest, "%s nothing, because all values of this table have names (%s)", verb, strings.Join(t.names[:min(3, len(t.names))], ", "))
	}
}

// give notes what a variable is given.
func (c *checker) give(s *symbol, t typ) {
	if s == nil {
		return
	}
	s.typ = join(s.typ, t)
}

func (c *checker) assign(target syntax.Expr, v typ) {
	switch e := target.(type) {
	case *syntax.Ident:
		if s := c.vars[e]; s != nil {
			c.give(s, v)
		}
	case *syntax.Index:
		of, key := c.eval(e.Object), c.eval(e.Key)
		if of.kind == isModule || of.kind == isObject {
			what := "a module"
			if of.kind == isObject {
				what = c.nameOf(of)
			}
			c.add(Error, notAFunction, e.Key.Pos(), "keep what you compute in a variable or a table of your own", "%s cannot be changed", what)
			return
		}
		if of.table == nil {
			return
		}
		c.put(of.table, key, v)
	}
}

// put notes that a table is given a value at a key.
func (c *checker) put(t *table, key, v typ) {
	switch {
	case key.kind == isText && len(key.values) > 0:
		for _, k := range key.values {
			if s, is := k.(string); is {
				t.set(s, v)
				if t.node != nil {
					t.grown = true
				}
			}
		}
	case key.kind == isNumber:
		t.item = join(t.item, v)
		t.grown = true
	default:
		t.item = join(t.item, v)
		t.open, t.grown = true, true
	}
}

// functionOf is the function that a text makes; sym is the variable that alone holds it, nil where there is none.
func (c *checker) functionOf(f *syntax.Function, sym *symbol) typ {
	fn := c.functions[f]
	if fn == nil {
		fn = &function{node: f, owner: c, ends: !endsWithReturn(f.Body)}
		fn.exposed = sym == nil || sym.writes > 0 || sym.called < sym.reads
		for i := range f.Params {
			fn.params = append(fn.params, c.vars[nameKey{f, i}])
		}
		c.functions[f] = fn
		if fn.exposed {
			for _, p := range fn.params {
				p.typ = anything
			}
		}
		if c.mains[f] && len(fn.params) > 0 {
			fn.params[0].typ = typ{kind: isTable, table: c.params}
		}
	}
	return typ{kind: isFunction, fn: fn}
}

// endsWithReturn says whether a body always ends with a return or an error.
func endsWithReturn(b *syntax.Block) bool {
	if len(b.Stmts) == 0 {
		return false
	}
	switch s := b.Stmts[len(b.Stmts)-1].(type) {
	case *syntax.Return:
		return true
	case *syntax.Group:
		return endsWithReturn(s.Body)
	case *syntax.If:
		for _, k := range s.Clauses {
			if !endsWithReturn(k.Body) {
				return false
			}
		}
		return s.Else != nil && endsWithReturn(s.Else)
	case *syntax.Do:
		id, is := s.Call.Func.(*syntax.Ident)
		return is && id.Text == "error"
	}
	return false
}

// body walks a function's body where it is written.
func (c *checker) body(f *syntax.Function) {
	was, loop := c.at, c.loopBody
	c.loopBody = nil
	fn := c.functions[f]
	c.block(f.Body, place{fn: fn})
	if fn.ends {
		for i := range fn.results {
			fn.results[i] = join(fn.results[i], typ{kind: isNil})
		}
	}
	c.at, c.loopBody = was, loop
}

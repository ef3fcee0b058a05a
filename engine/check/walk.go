package check

import (
	"fmt"
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
				v = join(v, c.eval0(s.Values[len(s.Values)-1]))
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

// eval0 is eval of what was evaluated already.
func (c *checker) eval0(e syntax.Expr) typ {
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
		f, _ := c.callee0(call)
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
		name := c.eval0(call.Func).given
		over := c.eval0(call.Args[0])
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

package check

import (
	"candelua/engine/script"
	"candelua/engine/syntax"
)

// visit calls f with each statement and expression of a block, outer ones first, functions included.
func visit(b *syntax.Block, f func(any)) {
	if b == nil {
		return
	}
	for _, s := range b.Stmts {
		visitStmt(s, f)
	}
}

func visitStmt(s syntax.Stmt, f func(any)) {
	f(s)
	exprs := func(all ...syntax.Expr) {
		for _, e := range all {
			visitExpr(e, f)
		}
	}
	switch s := s.(type) {
	case *syntax.Local:
		exprs(s.Values...)
	case *syntax.LocalFunction:
		visitExpr(s.Func, f)
	case *syntax.Assign:
		exprs(s.Targets...)
		exprs(s.Values...)
	case *syntax.Define:
		visitExpr(s.Func, f)
	case *syntax.Do:
		visitExpr(s.Call, f)
	case *syntax.Group:
		visit(s.Body, f)
	case *syntax.While:
		exprs(s.Cond)
		visit(s.Body, f)
	case *syntax.Repeat:
		visit(s.Body, f)
		exprs(s.Cond)
	case *syntax.If:
		for _, k := range s.Clauses {
			exprs(k.Cond)
			visit(k.Body, f)
		}
		visit(s.Else, f)
	case *syntax.Count:
		exprs(s.From, s.To, s.Step)
		visit(s.Body, f)
	case *syntax.Each:
		exprs(s.Values...)
		visit(s.Body, f)
	case *syntax.Return:
		exprs(s.Values...)
	}
}

func visitExpr(e syntax.Expr, f func(any)) {
	if e == nil {
		return
	}
	f(e)
	switch e := e.(type) {
	case *syntax.Index:
		visitExpr(e.Object, f)
		visitExpr(e.Key, f)
	case *syntax.Call:
		visitExpr(e.Func, f)
		for _, a := range e.Args {
			visitExpr(a, f)
		}
	case *syntax.Function:
		visit(e.Body, f)
	case *syntax.Table:
		for _, x := range e.Fields {
			visitExpr(x.Key, f)
			visitExpr(x.Value, f)
		}
	case *syntax.Unary:
		visitExpr(e.X, f)
	case *syntax.Binary:
		visitExpr(e.X, f)
		visitExpr(e.Y, f)
	case *syntax.Paren:
		visitExpr(e.X, f)
	}
}

// takesSteps says whether what is in a block takes steps, also in the functions that it calls.
func (c *checker) takesSteps(b *syntax.Block, asked map[*function]bool) bool {
	found := false
	visit(b, func(n any) {
		call, is := n.(*syntax.Call)
		if !is || found {
			return
		}
		f, _ := c.calleeAgain(call)
		switch {
		case f.builtin != nil:
			found = c.steps(f.builtin) && f.builtin.Name != "run.decide"
		case f.fn != nil && !asked[f.fn]:
			asked[f.fn] = true
			found = f.fn.owner.takesSteps(f.fn.node.Body, asked)
		}
	})
	return found
}

// steered finds steps that hang on a number that a reading gave: in a draw, and in a replay with another correction, the script would take
// other ones.
func (c *checker) steered(cond typ, at syntax.Expr, what string, bodies ...*syntax.Block) {
	if !c.final || c.quiet || !cond.read || cond.kind != isBool && cond.kind != isNumber {
		return
	}
	for _, b := range bodies {
		if c.takesSteps(b, map[*function]bool{}) {
			c.add(Warning, steeredByReading, at.Pos(), `decide it once: run.decide("NAME", …) around the condition`,
				"a reading decides %s, so that each draw of the uncertainties may take other steps", what)
			return
		}
	}
}

// touch is what a script asks of the world first.
type touch int

const (
	nothingYet touch = iota
	readFirst        // the meter is read
	shownFirst       // a patch is shown, or nobody can say
)

// firstTouch finds what a block asks first, and where it reads the meter.
func (c *checker) firstTouch(b *syntax.Block, asked map[*function]bool) (touch, syntax.Pos) {
	if b == nil {
		return nothingYet, syntax.Pos{}
	}
	for _, s := range b.Stmts {
		if t, at := c.touchOf(s, asked); t != nothingYet {
			return t, at
		}
	}
	return nothingYet, syntax.Pos{}
}

func (c *checker) touchOf(s syntax.Stmt, asked map[*function]bool) (touch, syntax.Pos) {
	switch s := s.(type) {
	case *syntax.If:
		for _, k := range s.Clauses {
			if t, _ := c.firstTouch(k.Body, asked); t != nothingYet {
				return shownFirst, syntax.Pos{} // on one of the ways; nobody can say
			}
		}
		if t, _ := c.firstTouch(s.Else, asked); t != nothingYet {
			return shownFirst, syntax.Pos{}
		}
		return nothingYet, syntax.Pos{}
	case *syntax.LocalFunction, *syntax.Define:
		return nothingYet, syntax.Pos{}
	}
	found, where := nothingYet, syntax.Pos{}
	visitStmt(s, func(n any) {
		call, is := n.(*syntax.Call)
		if !is || found != nothingYet {
			return
		}
		f, _ := c.calleeAgain(call)
		switch {
		case f.builtin != nil:
			found, where = c.touched(f, call)
		case f.fn != nil && f.fn.owner != c:
			found = shownFirst
		case f.fn != nil && !asked[f.fn]:
			asked[f.fn] = true
			found, where = c.firstTouch(f.fn.node.Body, asked)
		}
	})
	return found, where
}

func (c *checker) touched(f typ, call *syntax.Call) (touch, syntax.Pos) {
	b := f.builtin
	device := b.Device()
	switch {
	case b.Class == script.ClassPure || b.Class == script.ClassOutput || !c.steps(b) && b.Class == script.ClassScope:
		return nothingYet, syntax.Pos{}
	case device == "meter" && c.given(b.Given(), "", true).kind == isObject:
		return readFirst, call.Func.Pos()
	case device == "unit" || device == "clock" || device == "rig":
		return nothingYet, syntax.Pos{}
	}
	return shownFirst, syntax.Pos{}
}

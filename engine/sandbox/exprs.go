package sandbox

import (
	"strconv"

	"github.com/yuin/gopher-lua/ast"
)

func (r *rewriter) exprs(list []ast.Expr) {
	for i, e := range list {
		list[i] = r.expr(e)
	}
}

// expr rewrites an expression.
func (r *rewriter) expr(e ast.Expr) ast.Expr {
	if e == nil {
		return nil
	}
	r.enter(e)
	defer r.leave()
	switch e := e.(type) {
	case *ast.NumberExpr:
		r.constant(e, "n"+e.Value)
	case *ast.StringExpr:
		r.constant(e, "s"+e.Value)
	case *ast.IdentExpr:
		r.constant(e, "s"+e.Value)
	case *ast.AttrGetExpr:
		r.noteIndex(e, e.Object, e.Key)
		e.Object, e.Key = r.expr(e.Object), r.expr(e.Key)
	case *ast.TableExpr:
		return r.table(e)
	case *ast.FuncCallExpr:
		r.call(e)
	case *ast.LogicalOpExpr:
		e.Lhs, e.Rhs = r.expr(e.Lhs), r.expr(e.Rhs)
	case *ast.RelationalOpExpr:
		r.noteOperands(e, "compare", e.Lhs, e.Operator, e.Rhs)
		e.Lhs, e.Rhs = r.expr(e.Lhs), r.expr(e.Rhs)
	case *ast.ArithmeticOpExpr:
		r.noteOperands(e, e.Operator, e.Lhs, e.Operator, e.Rhs)
		e.Lhs, e.Rhs = r.expr(e.Lhs), r.expr(e.Rhs)
	case *ast.StringConcatOpExpr:
		return r.concat(e)
	case *ast.UnaryMinusOpExpr:
		r.note(e, "unm", describeExpr(e.Expr))
		e.Expr = r.expr(e.Expr)
	case *ast.UnaryNotOpExpr:
		e.Expr = r.expr(e.Expr)
	case *ast.UnaryLenOpExpr:
		r.note(e, "#", describeExpr(e.Expr))
		e.Expr = r.expr(e.Expr)
	case *ast.FunctionExpr:
		r.function(e, "")
	}
	return e
}

// constant counts a constant of the open function.
func (r *rewriter) constant(at ast.PositionHolder, key string) {
	s := r.scope
	s.constants[key] = true
	if s.cost += len(s.constants); s.cost > mostConstantCost {
		refuse(at.Line(), "a function or file holds too many different constants; move its data into several files")
	}
}

// named rewrites an expression that gets a name: a function in it is called so in tracebacks.
func (r *rewriter) named(e ast.Expr, name string) ast.Expr {
	if f, ok := e.(*ast.FunctionExpr); ok {
		r.enter(e)
		defer r.leave()
		r.function(f, name)
		return f
	}
	return r.expr(e)
}

// function rewrites a function's body and makes its note.
func (r *rewriter) function(f *ast.FunctionExpr, name string) {
	if name == "" {
		name = "function at line " + strconv.Itoa(f.Line())
	}
	outer := r.scope
	r.scope = &scope{constants: map[string]bool{}, note: note{name: name}}
	f.Stmts = r.block(f.Stmts)
	r.notes = append(r.notes, r.scope.note)
	r.scope = outer
	f.SetLastLine(f.LastLine() | len(r.notes)<<lineBits)
}

func (r *rewriter) call(e *ast.FuncCallExpr) {
	if e.Func != nil {
		r.note(e, "()"+lastName(e.Func), describeExpr(e.Func))
		e.Func = r.expr(e.Func)
	} else {
		r.note(e, e.Method, describeExpr(e.Receiver))
		r.note(e, "()"+e.Method, describeExpr(e.Receiver)+":"+e.Method)
		e.Receiver = r.expr(e.Receiver)
		r.constant(e, "s"+e.Method)
	}
	r.exprs(e.Args)
}

// mostJoined is how many operands a chain of `..` may have: each needs a register.
const mostJoined = 150

// concat rewrites a chain of `..`, which binds from the right.
func (r *rewriter) concat(e *ast.StringConcatOpExpr) ast.Expr {
	last, n := e, 2
	last.Lhs = r.expr(last.Lhs)
	for {
		c, ok := last.Rhs.(*ast.StringConcatOpExpr)
		if !ok {
			break
		}
		last = c
		last.Lhs = r.expr(last.Lhs)
		n++
	}
	if n > mostJoined {
		refuse(e.Line(), "'..' joins over %d values in one expression; use table.concat", mostJoined)
	}
	last.Rhs = r.expr(last.Rhs)
	return e
}

// The library writes 50 items at a time, and numbers the groups in nine bits.
const (
	tableGroup = 50
	mostItems  = 511 * tableGroup
)

// Marks of a field's line, which tell finish what to do with the instruction that writes
// the group at its end.
const (
	groupNext = 1 << lineBits // write to the next group: the list at the end follows full groups
	groupDone = 2 << lineBits // write nothing: the group was full and written before this field
)

// table rewrites a constructor, and marks where the library would write a group of items
// wrongly.
func (r *rewriter) table(e *ast.TableExpr) ast.Expr {
	items := 0
	for i, f := range e.Fields {
		full := items > 0 && items%tableGroup == 0
		if f.Key == nil {
			f.Value = r.expr(f.Value)
			if full && i == len(e.Fields)-1 && manyValues(f.Value) {
				f.Value.SetLine(f.Value.Line() | groupNext)
			}
			items++
			continue
		}
		f.Key = r.expr(f.Key)
		name := ""
		if k, ok := f.Key.(*ast.StringExpr); ok {
			name = k.Value
		}
		f.Value = oneValue(r.named(f.Value, name))
		if full {
			f.Key.SetLine(f.Key.Line() | groupDone)
		}
	}
	if items > mostItems {
		refuse(e.Line(), "a table lists %d items, at most %d are possible; fill it in a loop, or in several tables", items, mostItems)
	}
	return e
}

// oneValue makes a call give one value. The library takes the call behind a last
// key for the end of the list, and would add what it gives to the items.
func oneValue(e ast.Expr) ast.Expr {
	switch e := e.(type) {
	case *ast.FuncCallExpr:
		e.AdjustRet = true
	case *ast.Comma3Expr:
		e.AdjustRet = true
	}
	return e
}

// manyValues reports whether an expression can give several values.
func manyValues(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.FuncCallExpr:
		return !e.AdjustRet
	case *ast.Comma3Expr:
		return !e.AdjustRet
	}
	return false
}

// condition rewrites an expression of which only the truth counts. A constant
// that is false becomes a comparison, which is no bare jump.
func (r *rewriter) condition(e ast.Expr) ast.Expr {
	return plainCondition(r.expr(e))
}

func plainCondition(e ast.Expr) ast.Expr {
	e = foldCondition(e)
	if truth, constant := constantTruth(e); constant && !truth {
		return never(e)
	}
	return e
}

// foldCondition removes constants from a condition, as far as they decide it.
func foldCondition(e ast.Expr) ast.Expr {
	switch e := e.(type) {
	case *ast.UnaryNotOpExpr:
		e.Expr = foldCondition(e.Expr)
		if truth, constant := constantTruth(e.Expr); constant {
			return constantBool(!truth, e)
		}
	case *ast.LogicalOpExpr:
		e.Lhs, e.Rhs = foldCondition(e.Lhs), foldCondition(e.Rhs)
		if truth, constant := constantTruth(e.Lhs); constant {
			if truth == (e.Operator == "and") {
				return e.Rhs
			}
			return constantBool(truth, e)
		}
		if truth, constant := constantTruth(e.Rhs); constant && !truth {
			e.Rhs = never(e)
		}
	}
	return e
}

// constantTruth tells the truth of a constant.
func constantTruth(e ast.Expr) (truth, constant bool) {
	switch e.(type) {
	case *ast.FalseExpr, *ast.NilExpr:
		return false, true
	}
	return true, isConstant(e)
}

func constantBool(truth bool, near ast.Expr) ast.Expr {
	if truth {
		return at(&ast.TrueExpr{}, near.Line())
	}
	return at(&ast.FalseExpr{}, near.Line())
}

// never is a comparison that is always false.
func never(near ast.Expr) ast.Expr {
	one, two := at(&ast.NumberExpr{Value: "1"}, near.Line()), at(&ast.NumberExpr{Value: "2"}, near.Line())
	return at(&ast.RelationalOpExpr{Operator: "==", Lhs: one, Rhs: two}, near.Line())
}

func isConstant(e ast.Expr) bool {
	_, ok := e.(ast.ConstExpr)
	return ok
}

// mayBeginWithJump reports whether the code of statements could begin with a jump.
func mayBeginWithJump(stmts []ast.Stmt) bool {
	if len(stmts) == 0 {
		return true
	}
	switch s := stmts[0].(type) {
	case *ast.AssignStmt:
		return beginsWithJump(s.Lhs...) || beginsWithJump(s.Rhs[0])
	case *ast.LocalAssignStmt:
		return beginsWithJump(s.Exprs...)
	case *ast.FuncCallStmt:
		return beginsWithJump(s.Expr)
	case *ast.NumberForStmt:
		return beginsWithJump(s.Init)
	case *ast.ReturnStmt:
		return beginsWithJump(s.Exprs...)
	case *ast.IfStmt:
		return isConstant(s.Condition) || beginsWithJump(s.Condition)
	case *ast.GotoStmt, *ast.FuncDefStmt:
		return false
	}
	return true
}

// beginsWithJump reports whether the code of expressions could begin with a jump.
// It does where the first operand to be computed is a constant before `and` or
// `or`; operands that are local variables or constants need no code of their own.
func beginsWithJump(exprs ...ast.Expr) bool {
	for _, e := range exprs {
		jump := false
		switch e := e.(type) {
		case *ast.LogicalOpExpr:
			jump = isConstant(e.Lhs) || beginsWithJump(e.Lhs, e.Rhs)
		case *ast.RelationalOpExpr:
			jump = beginsWithJump(e.Lhs, e.Rhs)
		case *ast.ArithmeticOpExpr:
			jump = beginsWithJump(e.Lhs, e.Rhs)
		case *ast.StringConcatOpExpr:
			jump = beginsWithJump(e.Lhs, e.Rhs)
		case *ast.UnaryMinusOpExpr:
			jump = beginsWithJump(e.Expr)
		case *ast.UnaryNotOpExpr:
			jump = beginsWithJump(e.Expr)
		case *ast.UnaryLenOpExpr:
			jump = beginsWithJump(e.Expr)
		case *ast.AttrGetExpr:
			jump = beginsWithJump(e.Object, e.Key)
		case *ast.FuncCallExpr:
			jump = beginsWithJump(e.Func, e.Receiver)
		}
		if jump {
			return true
		}
	}
	return false
}

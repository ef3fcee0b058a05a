package sandbox

import (
	"math"
	"strconv"

	"github.com/yuin/gopher-lua/ast"
)

// Lua 5.1 computes with constants when it compiles: `2 * 3` is 6, and `0 * -1` is -0. The
// numbers of a function are kept in a list where 0 and -0 are the same, so that all
// its zeros have the sign of the one that is listed first. The library computes with
// constants otherwise. So the folder does it before, in the order in which Lua 5.1
// lists them (lcode.c: luaK_prefix, luaK_infix, luaK_posfix, constfolding), and leaves
// the library nothing to compute.
type folder struct {
	keep  bool // compute nothing, as by the rules before 4
	most  int  // nesting
	depth int

	zeros  []*ast.NumberExpr // all of the open function
	signed bool              // a zero was listed
	minus  bool              // and its sign
}

// function folds the constants of a function, or of a file.
func (f *folder) function(stmts []ast.Stmt) {
	zeros, signed, minus := f.zeros, f.signed, f.minus
	f.zeros, f.signed, f.minus = nil, false, false
	f.block(stmts)
	for _, z := range f.zeros {
		z.Value = "0"
		if f.minus {
			z.Value = "-0.0"
		}
	}
	f.zeros, f.signed, f.minus = zeros, signed, minus
}

func (f *folder) block(stmts []ast.Stmt) {
	for _, s := range stmts {
		f.enter(s)
		f.stmt(s)
		f.depth--
	}
}

// enter bounds how deep the tree may be, as the rewriter does.
func (f *folder) enter(at ast.PositionHolder) {
	if f.depth++; f.depth > f.most {
		refuseDeep(at, f.most)
	}
}

func (f *folder) stmt(s ast.Stmt) {
	switch s := s.(type) {
	case *ast.AssignStmt:
		f.list(s.Lhs)
		f.list(s.Rhs)
	case *ast.LocalAssignStmt:
		f.list(s.Exprs)
	case *ast.FuncCallStmt:
		f.expr(s.Expr)
	case *ast.DoBlockStmt:
		f.block(s.Stmts)
	case *ast.WhileStmt:
		s.Condition = f.expr(s.Condition)
		f.block(s.Stmts)
	case *ast.RepeatStmt:
		f.block(s.Stmts)
		s.Condition = f.expr(s.Condition)
	case *ast.IfStmt:
		s.Condition = f.expr(s.Condition)
		f.block(s.Then)
		f.block(s.Else)
	case *ast.NumberForStmt:
		s.Init, s.Limit, s.Step = f.listed(s.Init), f.listed(s.Limit), f.listed(s.Step)
		f.block(s.Stmts)
	case *ast.GenericForStmt:
		f.list(s.Exprs)
		f.block(s.Stmts)
	case *ast.FuncDefStmt:
		s.Name.Func, s.Name.Receiver = f.expr(s.Name.Func), f.expr(s.Name.Receiver)
		f.function(s.Func.Stmts)
	case *ast.ReturnStmt:
		f.list(s.Exprs)
	}
}

// list folds expressions of which each is computed into a register or listed.
func (f *folder) list(exprs []ast.Expr) {
	for i, e := range exprs {
		exprs[i] = f.listed(e)
	}
}

func (f *folder) listed(e ast.Expr) ast.Expr {
	e = f.expr(e)
	f.enlist(e)
	return e
}

// enlist notes the sign of a zero that goes into the function's list of constants.
func (f *folder) enlist(e ast.Expr) {
	if l, ok := e.(*ast.LogicalOpExpr); ok {
		f.enlist(l.Rhs)
		return
	}
	if v, ok := constantNumber(e); ok && v == 0 && !f.signed {
		f.signed, f.minus = true, isMinusZero(v)
	}
}

// expr folds an expression. A number that it returns is not listed yet.
func (f *folder) expr(e ast.Expr) ast.Expr {
	if e == nil {
		return nil
	}
	f.enter(e)
	defer func() { f.depth-- }()
	switch e := e.(type) {
	case *ast.NumberExpr:
		n, _ := ParseNumber(e.Value)
		return f.number(e, float64(n))
	case *ast.AttrGetExpr:
		e.Object, e.Key = f.listed(e.Object), f.listed(e.Key)
	case *ast.TableExpr:
		for _, field := range e.Fields {
			field.Key, field.Value = f.listed(field.Key), f.listed(field.Value)
		}
	case *ast.FuncCallExpr:
		e.Func, e.Receiver = f.listed(e.Func), f.listed(e.Receiver)
		f.list(e.Args)
	case *ast.LogicalOpExpr:
		return f.logical(e)
	case *ast.RelationalOpExpr:
		e.Lhs, e.Rhs = f.listed(e.Lhs), f.listed(e.Rhs)
	case *ast.ArithmeticOpExpr:
		return f.arithmetic(e)
	case *ast.StringConcatOpExpr:
		e.Lhs, e.Rhs = f.listed(e.Lhs), f.listed(e.Rhs)
	case *ast.UnaryMinusOpExpr:
		return f.minusOf(e)
	case *ast.UnaryNotOpExpr:
		e.Expr = f.expr(e.Expr)
	case *ast.UnaryLenOpExpr:
		e.Expr = f.listed(e.Expr)
	case *ast.FunctionExpr:
		f.function(e.Stmts)
	}
	return e
}

// number makes a constant, written so that the library reads it as Lua does.
func (f *folder) number(near ast.Expr, v float64) ast.Expr {
	n := at(&ast.NumberExpr{Value: strconv.FormatFloat(v, 'g', -1, 64)}, near.Line())
	if v == 0 {
		n.Value = "0"
		if isMinusZero(v) {
			n.Value = "-0.0"
		}
		f.zeros = append(f.zeros, n)
	}
	return n
}

func constantNumber(e ast.Expr) (float64, bool) {
	if n, ok := e.(*ast.NumberExpr); ok {
		v, err := strconv.ParseFloat(n.Value, 64)
		return v, err == nil || math.IsInf(v, 0)
	}
	return 0, false
}

func (f *folder) minusOf(e *ast.UnaryMinusOpExpr) ast.Expr {
	e.Expr = f.expr(e.Expr)
	if v, ok := constantNumber(e.Expr); ok && !f.keep {
		return f.number(e, -v)
	}
	f.enlist(e.Expr)
	return e
}

// arithmetic folds an operator. A number on the left is listed after what is on the right,
// because until then the two may become one.
func (f *folder) arithmetic(e *ast.ArithmeticOpExpr) ast.Expr {
	e.Lhs = f.expr(e.Lhs)
	a, okA := constantNumber(e.Lhs)
	if !okA {
		f.enlist(e.Lhs)
	}
	e.Rhs = f.expr(e.Rhs)
	b, okB := constantNumber(e.Rhs)
	if okA && okB && !f.keep {
		if v := compute(e.Operator, a, b); !math.IsNaN(v) && (b != 0 || e.Operator != "/" && e.Operator != "%") {
			return f.number(e, v)
		}
		e.Lhs = at(&ast.LogicalOpExpr{Operator: "and", Lhs: at(&ast.TrueExpr{}, e.Line()), Rhs: e.Lhs}, e.Line()) // to be computed when it runs
	}
	f.enlist(e.Rhs)
	f.enlist(e.Lhs)
	return e
}

// logical folds `and` and `or`: a constant on the left that lets the right decide is nowhere
// listed, nor is one on the left of `and` in general.
func (f *folder) logical(e *ast.LogicalOpExpr) ast.Expr {
	e.Lhs = f.expr(e.Lhs)
	truth, constant := constantTruth(e.Lhs)
	if e.Operator == "or" {
		f.enlist(e.Lhs)
	}
	e.Rhs = f.expr(e.Rhs)
	if constant && truth == (e.Operator == "and") && !f.keep {
		return oneValue(e.Rhs)
	}
	return e
}

package sandbox

import (
	"strconv"

	"github.com/yuin/gopher-lua/ast"
)

// note keeps the source text of an operand for error messages.
func (r *rewriter) note(at ast.PositionHolder, key, text string) {
	if text == "" {
		return
	}
	n := &r.scope.note
	n.parts = append(n.parts, part{at.Line(), key, text})
}

func (r *rewriter) noteIndex(at ast.PositionHolder, object, key ast.Expr) {
	if k, ok := key.(*ast.StringExpr); ok {
		r.note(at, k.Value, describeExpr(object))
		return
	}
	r.note(at, "[]", describeExpr(object))
}

func (r *rewriter) noteOperands(at ast.PositionHolder, key string, a ast.Expr, operator string, b ast.Expr) {
	left, right := describeExpr(a), describeExpr(b)
	if left != "" && right != "" {
		r.note(at, key, left+" "+operator+" "+right)
	}
}

// describeExpr writes a simple expression as in the source: names, fields and
// constants. Others give "".
func describeExpr(e ast.Expr) string { return describeDeep(e, 8) }

func describeDeep(e ast.Expr, depth int) string {
	if depth == 0 {
		return ""
	}
	switch e := e.(type) {
	case *ast.IdentExpr:
		return e.Value
	case *ast.NumberExpr:
		return e.Value
	case *ast.StringExpr:
		return strconv.Quote(short(e.Value))
	case *ast.AttrGetExpr:
		object := describeDeep(e.Object, depth-1)
		if object == "" {
			return ""
		}
		if k, ok := e.Key.(*ast.StringExpr); ok {
			return object + "." + k.Value
		}
		if key := describeDeep(e.Key, depth-1); key != "" {
			return object + "[" + key + "]"
		}
	case *ast.FuncCallExpr:
		if f := describeDeep(e.Func, depth-1); e.Func != nil && f != "" {
			return f + "(…)"
		}
	}
	return ""
}

// lastName is the name under which the library knows a called expression.
func lastName(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.IdentExpr:
		return e.Value
	case *ast.AttrGetExpr:
		if k, ok := e.Key.(*ast.StringExpr); ok {
			return k.Value
		}
	}
	return "?"
}

package sandbox

import "github.com/yuin/gopher-lua/ast"

// A goto closes the upvalues of the scopes that it leaves. The library's
// compiler lets it close all of the function's in most cases, so that a variable
// which a closure shares splits in two. placeJumps counts for each goto how many
// variables are alive at its label, as the compiler does, and marks the
// goto with that; finish writes it into the code.
func placeJumps(file []ast.Stmt) {
	functionBody(file, 0)
}

// functionBody handles a function with so many parameters, apart from the functions in it.
func functionBody(stmts []ast.Stmt, params int) {
	b := &jumpBlock{alive: params}
	b.run(stmts, 0, false)
}

// jumpBlock is a block that is open.
type jumpBlock struct {
	outer  *jumpBlock
	alive  int // variables of the function that are alive here
	labels map[string]int
}

// run handles the statements of a block. before is how many variables are alive around
// it; a label at its end belongs there, except before until.
func (b *jumpBlock) run(stmts []ast.Stmt, before int, until bool) {
	alive := b.alive
	b.labels = map[string]int{}
	for i, s := range stmts {
		switch s := s.(type) {
		case *ast.LocalAssignStmt:
			alive += len(s.Names)
		case *ast.LabelStmt:
			b.labels[s.Name] = alive
			if !until && onlyLabels(stmts[i:]) {
				b.labels[s.Name] = before
			}
		}
	}
	for _, s := range stmts {
		b.stmt(s)
	}
}

// inner handles a block in this one that begins with so many variables of its own.
func (b *jumpBlock) inner(stmts []ast.Stmt, own int, until bool) *jumpBlock {
	in := &jumpBlock{outer: b, alive: b.alive + own}
	in.run(stmts, b.alive, until)
	return in
}

// hiddenVariables is how many the compiler keeps for a for loop.
const hiddenVariables = 3

func (b *jumpBlock) stmt(s ast.Stmt) {
	switch s := s.(type) {
	case *ast.LocalAssignStmt:
		eachFunction(s.Exprs...)
		b.alive += len(s.Names)
	case *ast.AssignStmt:
		eachFunction(s.Lhs...)
		eachFunction(s.Rhs...)
	case *ast.FuncCallStmt:
		eachFunction(s.Expr)
	case *ast.ReturnStmt:
		eachFunction(s.Exprs...)
	case *ast.FuncDefStmt:
		params := len(s.Func.ParList.Names)
		if s.Name.Func == nil {
			params++ // self
		}
		functionBody(s.Func.Stmts, params)
	case *ast.DoBlockStmt:
		b.inner(s.Stmts, 0, false)
	case *ast.WhileStmt:
		eachFunction(s.Condition)
		b.inner(s.Stmts, 0, false)
	case *ast.RepeatStmt:
		b.inner(s.Stmts, 0, true)
		eachFunction(s.Condition)
	case *ast.IfStmt:
		eachFunction(s.Condition)
		b.inner(s.Then, 0, false)
		b.inner(s.Else, 0, false)
	case *ast.NumberForStmt:
		eachFunction(s.Init, s.Limit, s.Step)
		b.inner(s.Stmts, hiddenVariables+1, false)
	case *ast.GenericForStmt:
		eachFunction(s.Exprs...)
		b.inner(s.Stmts, hiddenVariables+len(s.Names), false)
	case *ast.GotoStmt:
		b.jump(s)
	}
}

func (b *jumpBlock) jump(s *ast.GotoStmt) {
	for in := b; in != nil; in = in.outer {
		keep, ok := in.labels[s.Label]
		if !ok {
			continue
		}
		if keep > in.alive {
			refuse(s.Line(), "goto %s would jump into the scope of a local variable", s.Label)
		}
		s.SetLine(s.Line() | (keep+1)<<lineBits)
		return
	}
	refuse(s.Line(), "goto %s: no label of this name can be reached from here", s.Label)
}

// eachFunction handles the functions in expressions.
func eachFunction(exprs ...ast.Expr) {
	for _, e := range exprs {
		switch e := e.(type) {
		case *ast.FunctionExpr:
			functionBody(e.Stmts, len(e.ParList.Names))
		case *ast.AttrGetExpr:
			eachFunction(e.Object, e.Key)
		case *ast.TableExpr:
			for _, f := range e.Fields {
				eachFunction(f.Key, f.Value)
			}
		case *ast.FuncCallExpr:
			eachFunction(e.Func, e.Receiver)
			eachFunction(e.Args...)
		case *ast.LogicalOpExpr:
			eachFunction(e.Lhs, e.Rhs)
		case *ast.RelationalOpExpr:
			eachFunction(e.Lhs, e.Rhs)
		case *ast.ArithmeticOpExpr:
			eachFunction(e.Lhs, e.Rhs)
		case *ast.StringConcatOpExpr:
			eachFunction(e.Lhs, e.Rhs)
		case *ast.UnaryMinusOpExpr:
			eachFunction(e.Expr)
		case *ast.UnaryNotOpExpr:
			eachFunction(e.Expr)
		case *ast.UnaryLenOpExpr:
			eachFunction(e.Expr)
		}
	}
}

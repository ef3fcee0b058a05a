package sandbox

import "github.com/yuin/gopher-lua/ast"

// variable is a local variable.
type variable struct {
	owner   *ast.FunctionExpr // nil: the file
	written bool              // a function inside of its own assigns it
}

// names gives for each use of a local variable, within the function that declares it, which
// it is. Other expressions are not in it: globals, and variables of functions around.
type names map[ast.Expr]*variable

// resolver finds out what the names of a file stand for.
type resolver struct {
	names  names
	most   int // nesting
	depth  int
	owner  *ast.FunctionExpr
	blocks []map[string]*variable

	visible       int // variables that are declared where the resolver is, in the functions around, too
	labels, jumps int // of the open function
	functions     int // of the file
	searched      int // variables, labels and jumps that the compiler will look at to find names
}

// mostSearched bounds the time that the compiler searches: it compares each name with
// all variables that it could be, and each label of a function with all its jumps.
// So many take some two seconds.
const mostSearched = 100_000_000

// search notes that so many names will be looked at.
func (r *resolver) search(line, n int) {
	if r.searched += n; r.searched > mostSearched {
		refuse(line, "the file has too many names, or labels and jumps, in one function; split it into functions that stand beside each other")
	}
}

func resolve(file []ast.Stmt, most int) names {
	r := &resolver{names: names{}, most: most}
	r.block(file)
	return r.names
}

// block resolves statements in a scope of their own, in which some names are declared.
func (r *resolver) block(stmts []ast.Stmt, declared ...string) {
	r.scope(declared, func() { r.stmts(stmts) })
}

func (r *resolver) scope(declared []string, inside func()) {
	visible := r.visible
	r.blocks = append(r.blocks, map[string]*variable{})
	r.declare(declared...)
	inside()
	r.visible = visible
	r.blocks = r.blocks[:len(r.blocks)-1]
}

func (r *resolver) declare(names ...string) {
	r.visible += len(names)
	for _, n := range names {
		r.blocks[len(r.blocks)-1][n] = &variable{owner: r.owner}
	}
}

func (r *resolver) find(name string) *variable {
	for i := len(r.blocks) - 1; i >= 0; i-- {
		if v := r.blocks[i][name]; v != nil {
			return v
		}
	}
	return nil
}

func (r *resolver) stmts(stmts []ast.Stmt) {
	for _, s := range stmts {
		r.enter(s)
		r.stmt(s)
		r.depth--
	}
}

// enter bounds how deep the tree may be, as the rewriter does.
func (r *resolver) enter(at ast.PositionHolder) {
	if r.depth++; r.depth > r.most {
		refuseDeep(at, r.most)
	}
}

func (r *resolver) stmt(s ast.Stmt) {
	switch s := s.(type) {
	case *ast.AssignStmt:
		r.exprs(s.Lhs...)
		r.exprs(s.Rhs...)
		for _, l := range s.Lhs {
			r.write(l)
		}
	case *ast.LocalAssignStmt:
		if s.LastLine() != 0 { // local function, which sees itself
			r.declare(s.Names...)
			r.exprs(s.Exprs...)
			return
		}
		r.exprs(s.Exprs...)
		r.declare(s.Names...)
	case *ast.FuncCallStmt:
		r.exprs(s.Expr)
	case *ast.DoBlockStmt:
		r.block(s.Stmts)
	case *ast.WhileStmt:
		r.exprs(s.Condition)
		r.block(s.Stmts)
	case *ast.RepeatStmt:
		r.scope(nil, func() {
			r.stmts(s.Stmts)
			r.exprs(s.Condition)
		})
	case *ast.IfStmt:
		r.exprs(s.Condition)
		r.block(s.Then)
		r.block(s.Else)
	case *ast.NumberForStmt:
		r.exprs(s.Init, s.Limit, s.Step)
		r.block(s.Stmts, s.Name)
	case *ast.GenericForStmt:
		r.exprs(s.Exprs...)
		r.block(s.Stmts, s.Names...)
	case *ast.FuncDefStmt:
		r.exprs(s.Name.Func, s.Name.Receiver)
		if s.Name.Func == nil {
			r.function(s.Func, "self")
			return
		}
		r.function(s.Func)
		r.write(s.Name.Func)
	case *ast.ReturnStmt:
		r.exprs(s.Exprs...)
	case *ast.LabelStmt:
		r.labels++
		r.search(s.Line(), labelSearch*(r.labels+r.jumps))
	case *ast.GotoStmt, *ast.BreakStmt:
		r.jumps++
		r.search(s.Line(), labelSearch*r.labels)
	}
}

// labelSearch is how much longer it takes to look at a label or jump than at a variable.
const labelSearch = 8

// write notes that a name is assigned.
func (r *resolver) write(target ast.Expr) {
	if n, ok := target.(*ast.IdentExpr); ok {
		if v := r.find(n.Value); v != nil && v.owner != r.owner {
			v.written = true
		}
	}
}

// mostFunctions bounds the memory that the compiler takes, which is 12 KiB for each function
// of a file until it is done.
const mostFunctions = 10_000

func (r *resolver) function(f *ast.FunctionExpr, declared ...string) {
	if r.functions++; r.functions > mostFunctions {
		refuse(f.Line(), "a file defines over %d functions; split it into several files", mostFunctions)
	}
	outer, labels, jumps := r.owner, r.labels, r.jumps
	r.owner, r.labels, r.jumps = f, 0, 0
	r.block(f.Stmts, append(declared, f.ParList.Names...)...)
	r.owner, r.labels, r.jumps = outer, labels, jumps
}

func (r *resolver) exprs(list ...ast.Expr) {
	for _, e := range list {
		if e == nil {
			continue
		}
		r.enter(e)
		r.expr(e)
		r.depth--
	}
}

func (r *resolver) expr(e ast.Expr) {
	switch e := e.(type) {
	case *ast.IdentExpr:
		r.search(e.Line(), r.visible)
		if v := r.find(e.Value); v != nil && v.owner == r.owner {
			r.names[e] = v
		}
	case *ast.AttrGetExpr:
		r.exprs(e.Object, e.Key)
	case *ast.TableExpr:
		for _, f := range e.Fields {
			r.exprs(f.Key, f.Value)
		}
	case *ast.FuncCallExpr:
		r.exprs(e.Func, e.Receiver)
		r.exprs(e.Args...)
	case *ast.LogicalOpExpr:
		r.exprs(e.Lhs, e.Rhs)
	case *ast.RelationalOpExpr:
		r.exprs(e.Lhs, e.Rhs)
	case *ast.ArithmeticOpExpr:
		r.exprs(e.Lhs, e.Rhs)
	case *ast.StringConcatOpExpr:
		r.exprs(e.Lhs, e.Rhs)
	case *ast.UnaryMinusOpExpr:
		r.exprs(e.Expr)
	case *ast.UnaryNotOpExpr:
		r.exprs(e.Expr)
	case *ast.UnaryLenOpExpr:
		r.exprs(e.Expr)
	case *ast.FunctionExpr:
		r.function(e)
	}
}

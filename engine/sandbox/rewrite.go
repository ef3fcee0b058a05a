package sandbox

import (
	"strconv"

	"github.com/yuin/gopher-lua/ast"
)

// The library compiles some Lua wrongly, and one operator can allocate
// without bound. The rewriter turns these shapes into others that mean the same:
//
//   - several variables assigned at once go through variables of their own, because
//     `a, b = b, a` would give both the same value;
//   - `x = a and b` goes through a variable of its own, because x would be written
//     before it is read for the last time;
//   - `break` becomes a goto, whose jump can be told which upvalues to close (jumps.go);
//   - a constant condition becomes a comparison, and a loop does not begin with a jump,
//     because a jump back to a jump goes astray;
//   - the list of a for loop always has three values;
//   - `local f = function` does not see the new f in its own body;
//   - a table constructor is marked where the library would write items to the wrong
//     place, and finish corrects its code.
//
// What no source avoids is mended in the instructions themselves (instructions.go),
// constants are computed before (constants.go).
//
// Names in parentheses are ours: no source can write them.
type rewriter struct {
	most  int // nesting
	depth int
	names names
	count int // labels made so far
	scope *scope
	notes []note
}

// loop is a loop that is open; used says that something breaks out of it.
type loop struct {
	label string
	used  bool
}

// scope is a function that is open.
type scope struct {
	note      note
	constants map[string]bool
	cost      int
	loops     []*loop
}

// mostConstantCost bounds the library's search for constants, which compares each one used
// with all before it.
const mostConstantCost = 200_000_000

// file rewrites a whole file and makes its note, the last.
func (r *rewriter) file(stmts []ast.Stmt) []ast.Stmt {
	r.scope = &scope{constants: map[string]bool{}}
	stmts = r.block(stmts)
	r.notes = append(r.notes, r.scope.note)
	return stmts
}

// enter bounds how deep the tree may be: the compiler calls itself for each level.
func (r *rewriter) enter(at ast.PositionHolder) {
	if r.depth++; r.depth > r.most {
		refuseDeep(at, r.most)
	}
}

func refuseDeep(at ast.PositionHolder, most int) {
	refuse(at.Line(), "an expression or a chain of elseif is nested over %d deep", most)
}

func (r *rewriter) leave() { r.depth-- }

// block rewrites statements in their own scope.
func (r *rewriter) block(stmts []ast.Stmt) []ast.Stmt {
	out := make([]ast.Stmt, 0, len(stmts))
	for i, s := range stmts {
		r.enter(s)
		out = append(out, r.stmt(s))
		r.leave()
		if _, ok := s.(*ast.LabelStmt); ok && mayBeginWithJump(stmts[i+1:]) && !onlyLabels(stmts[i+1:]) {
			out = append(out, pad(s))
		}
	}
	return out
}

func onlyLabels(stmts []ast.Stmt) bool {
	for _, s := range stmts {
		if _, ok := s.(*ast.LabelStmt); !ok {
			return false
		}
	}
	return true
}

// stmt rewrites one statement.
func (r *rewriter) stmt(s ast.Stmt) ast.Stmt {
	switch s := s.(type) {
	case *ast.AssignStmt:
		return r.assign(s)
	case *ast.LocalAssignStmt:
		return r.local(s)
	case *ast.FuncCallStmt:
		s.Expr = r.expr(s.Expr)
	case *ast.DoBlockStmt:
		s.Stmts = r.block(s.Stmts)
	case *ast.WhileStmt:
		return r.while(s)
	case *ast.RepeatStmt:
		return r.repeat(s)
	case *ast.IfStmt:
		s.Condition = r.condition(s.Condition)
		s.Then, s.Else = r.block(s.Then), r.block(s.Else)
	case *ast.NumberForStmt:
		s.Init, s.Limit, s.Step = r.expr(s.Init), r.expr(s.Limit), r.expr(s.Step)
		return r.loop(s, func() { s.Stmts = r.block(s.Stmts) })
	case *ast.GenericForStmt:
		return r.each(s)
	case *ast.FuncDefStmt:
		return r.define(s)
	case *ast.ReturnStmt:
		r.exprs(s.Exprs)
	case *ast.BreakStmt:
		return r.break_(s)
	}
	return s
}

// assign sends an assignment through variables of its own where values could be
// overwritten before they are read.
func (r *rewriter) assign(s *ast.AssignStmt) ast.Stmt {
	names := make([]string, len(s.Rhs))
	for i, e := range s.Rhs {
		if i < len(s.Lhs) {
			names[i] = describeExpr(s.Lhs[i])
		}
		s.Rhs[i] = r.named(e, names[i])
	}
	r.exprs(s.Lhs)
	if len(s.Lhs) == 1 && len(s.Rhs) == 1 {
		switch e := s.Rhs[0].(type) { // one value is wanted anyway
		case *ast.FuncCallExpr:
			e.AdjustRet = false
		case *ast.Comma3Expr:
			e.AdjustRet = false
		}
		if r.direct(s.Lhs[0], s.Rhs[0]) {
			return s
		}
	}
	out := &ast.DoBlockStmt{}
	setLines(out, s.Line(), s.Line())
	r.holdTargets(out, s.Lhs)
	values := &ast.LocalAssignStmt{Exprs: s.Rhs}
	setLines(values, s.Line(), s.Line())
	for i := range s.Lhs {
		values.Names = append(values.Names, "(value "+strconv.Itoa(i)+")")
	}
	out.Stmts = append(out.Stmts, values)
	for i := len(s.Lhs) - 1; i >= 0; i-- {
		one := &ast.AssignStmt{Lhs: s.Lhs[i : i+1], Rhs: []ast.Expr{ident(values.Names[i], s.Line())}}
		setLines(one, s.Line(), s.Line())
		out.Stmts = append(out.Stmts, one)
	}
	return out
}

// direct says whether the library assigns one value to one target as Lua does.
func (r *rewriter) direct(target, value ast.Expr) bool {
	if get, ok := target.(*ast.AttrGetExpr); ok {
		v := r.names[get.Key] // read too early
		return v == nil || !v.written
	}
	_, logical := value.(*ast.LogicalOpExpr)
	return !logical
}

// holdTargets computes the tables and keys that are assigned to, before the values are. As in Lua
// 5.1, a local variable of the function is read only when its table is written, unless
// the same statement assigns it, too.
func (r *rewriter) holdTargets(block *ast.DoBlockStmt, targets []ast.Expr) {
	for i, t := range targets {
		switch t := t.(type) {
		case *ast.AttrGetExpr:
			if r.names[t.Object] == nil {
				t.Object = hold(block, t.Object, "(object "+strconv.Itoa(i)+")")
			}
			if r.names[t.Key] == nil {
				t.Key = hold(block, t.Key, "(key "+strconv.Itoa(i)+")")
			}
		case *ast.IdentExpr:
			if v := r.names[t]; v != nil {
				r.holdVariable(block, targets[:i], v)
			}
		}
	}
}

// holdVariable copies a variable where it is a table or key among targets.
func (r *rewriter) holdVariable(block *ast.DoBlockStmt, targets []ast.Expr, v *variable) {
	for i, t := range targets {
		get, ok := t.(*ast.AttrGetExpr)
		if !ok {
			continue
		}
		if r.names[get.Object] == v {
			get.Object = hold(block, get.Object, "(object "+strconv.Itoa(i)+")")
		}
		if r.names[get.Key] == v {
			get.Key = hold(block, get.Key, "(key "+strconv.Itoa(i)+")")
		}
	}
}

// hold computes an expression into a variable of the block, unless it is a constant.
func hold(block *ast.DoBlockStmt, e ast.Expr, name string) ast.Expr {
	if isConstant(e) {
		return e
	}
	s := &ast.LocalAssignStmt{Names: []string{name}, Exprs: []ast.Expr{e}}
	setLines(s, e.Line(), e.Line())
	block.Stmts = append(block.Stmts, s)
	return ident(name, e.Line())
}

// local rewrites a declaration. The parser gives `local function f` and
// `local f = function` the same tree, but only the former a last line; the
// compiler lets both see the new f.
func (r *rewriter) local(s *ast.LocalAssignStmt) ast.Stmt {
	for i, e := range s.Exprs {
		name := ""
		if i < len(s.Names) {
			name = s.Names[i]
		}
		s.Exprs[i] = r.named(e, name)
	}
	if len(s.Names) == 1 && len(s.Exprs) == 1 && s.LastLine() == 0 {
		if _, ok := s.Exprs[0].(*ast.FunctionExpr); ok {
			s.Names = append(s.Names, "(unused)") // two names keep the function apart from its own
			s.Exprs = append(s.Exprs, at(&ast.NilExpr{}, s.Line()))
		}
	}
	return s
}

func (r *rewriter) define(s *ast.FuncDefStmt) ast.Stmt {
	name := s.Name.Method
	if s.Name.Func != nil {
		name = describeExpr(s.Name.Func)
		s.Name.Func = r.expr(s.Name.Func)
	} else {
		name = describeExpr(s.Name.Receiver) + ":" + name
		s.Name.Receiver = r.expr(s.Name.Receiver)
	}
	r.function(s.Func, name)
	return s
}

// while rewrites a loop. A condition that could begin with a jump moves into the body.
func (r *rewriter) while(s *ast.WhileStmt) ast.Stmt {
	s.Condition = r.condition(s.Condition)
	return r.loop(s, func() {
		body := r.block(s.Stmts)
		if beginsWithJump(s.Condition) {
			end := &ast.IfStmt{Condition: s.Condition, Else: []ast.Stmt{r.break_(s)}}
			setLines(end, s.Line(), s.Line())
			s.Condition = at(&ast.TrueExpr{}, s.Line())
			body = append([]ast.Stmt{pad(s), end}, body...)
		} else if isConstant(s.Condition) && mayBeginWithJump(body) {
			body = append([]ast.Stmt{pad(s)}, body...)
		}
		s.Stmts = body
	})
}

func (r *rewriter) repeat(s *ast.RepeatStmt) ast.Stmt {
	return r.loop(s, func() {
		s.Stmts = r.block(s.Stmts)
		if mayBeginWithJump(s.Stmts) {
			s.Stmts = append([]ast.Stmt{pad(s)}, s.Stmts...)
		}
		s.Condition = r.condition(s.Condition)
	})
}

// each rewrites a for loop over an iterator.
func (r *rewriter) each(s *ast.GenericForStmt) ast.Stmt {
	r.exprs(s.Exprs)
	out := r.loop(s, func() {
		s.Stmts = r.block(s.Stmts)
		if mayBeginWithJump(s.Stmts) {
			s.Stmts = append([]ast.Stmt{pad(s)}, s.Stmts...)
		}
	})
	if call, ok := s.Exprs[0].(*ast.FuncCallExpr); ok && len(s.Exprs) == 1 && !call.AdjustRet {
		return out
	}
	list := &ast.LocalAssignStmt{Names: []string{"(iterator)", "(state)", "(control)"}, Exprs: s.Exprs}
	setLines(list, s.Line(), s.Line())
	s.Exprs = nil
	for _, n := range list.Names {
		s.Exprs = append(s.Exprs, ident(n, s.Line()))
	}
	block := &ast.DoBlockStmt{Stmts: []ast.Stmt{list, out}}
	setLines(block, s.Line(), s.LastLine())
	return block
}

// loop rewrites a loop's body, and puts a label after it where something breaks out.
func (r *rewriter) loop(s ast.Stmt, body func()) ast.Stmt {
	r.count++
	l := &loop{label: "(break " + strconv.Itoa(r.count) + ")"}
	r.scope.loops = append(r.scope.loops, l)
	body()
	r.scope.loops = r.scope.loops[:len(r.scope.loops)-1]
	if !l.used {
		return s
	}
	label := &ast.LabelStmt{Name: l.label}
	setLines(label, s.LastLine(), s.LastLine())
	out := &ast.DoBlockStmt{Stmts: []ast.Stmt{s, label}}
	setLines(out, s.Line(), s.LastLine())
	return out
}

func (r *rewriter) break_(s ast.Stmt) ast.Stmt {
	n := len(r.scope.loops)
	if n == 0 {
		refuse(s.Line(), "'break' is outside of a loop")
	}
	r.scope.loops[n-1].used = true
	g := &ast.GotoStmt{Label: r.scope.loops[n-1].label}
	setLines(g, s.Line(), s.Line())
	return g
}

func setLines(n ast.PositionHolder, first, last int) {
	n.SetLine(first)
	n.SetLastLine(last)
}

// at gives an expression a line.
func at[E ast.Expr](e E, line int) E {
	setLines(e, line, line)
	return e
}

func ident(name string, line int) *ast.IdentExpr { return at(&ast.IdentExpr{Value: name}, line) }

// pad is a statement that does nothing and is no jump.
func pad(near ast.PositionHolder) ast.Stmt {
	l := &ast.LocalAssignStmt{Names: []string{"(nothing)"}}
	setLines(l, near.Line(), near.Line())
	d := &ast.DoBlockStmt{Stmts: []ast.Stmt{l}}
	setLines(d, near.Line(), near.Line())
	return d
}

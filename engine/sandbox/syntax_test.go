package sandbox

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/yuin/gopher-lua/ast"
	"github.com/yuin/gopher-lua/parse"

	"candelua/engine/syntax"
	"candelua/testdata/campaign"
)

// TestSyntaxReadsAlike: package syntax and the interpreter's parser read each Lua file of the repository, random programs and spoilt ones
// alike: the same trees, and what the one refuses the other refuses. The interpreter's parser is the outside reference.
func TestSyntaxReadsAlike(t *testing.T) {
	read := 0
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".lua") {
			return err
		}
		src, err := os.ReadFile(path)
		if err == nil {
			read++
			alike(t, path, string(src))
		}
		return err
	})
	if err != nil || read < 100 {
		t.Fatalf("%d files were read: %v", read, err)
	}
	for seed := range uint64(campaign.Of(t, 40, 800)) {
		src, _ := variants(program(seed))
		alike(t, fmt.Sprintf("program %d", seed), src)
		r := rand.New(rand.NewPCG(seed, 7))
		words := strings.SplitAfter(src, " ")
		for range 3 {
			i, j := r.IntN(len(words)), r.IntN(len(words))
			words[i], words[j] = words[j], words[i]
		}
		alike(t, fmt.Sprintf("spoilt program %d", seed), strings.Join(words, ""))
	}
}

func alike(t *testing.T, what, src string) {
	t.Helper()
	f, err := syntax.Parse([]byte(src))
	if refusedByScan(src) {
		return // the interpreter's parser never sees it
	}
	theirs, wrong := parse.Parse(strings.NewReader(src), "")
	switch {
	case (err == nil) != (wrong == nil):
		t.Errorf("%s: %v, and the interpreter's parser: %v", what, err, wrong)
	case err == nil:
		got, want := dumpBlock(f.Body), dumpStmts(theirs)
		if got != want {
			i := 0
			for i < len(got) && i < len(want) && got[i] == want[i] {
				i++
			}
			t.Errorf("%s is read as …%.80s, and by the interpreter's parser as …%.80s", what, got[i:], want[i:])
		}
	}
}

func refusedByScan(src string) (refused bool) {
	defer func() { refused = recover() != nil }()
	scan([]byte(src), DefaultLimits())
	return false
}

func dumpBlock(b *syntax.Block) string {
	var parts []string
	for _, s := range b.Stmts {
		parts = append(parts, dumpStmt(s))
	}
	return strings.Join(parts, "\n")
}

func dumpNames(all []syntax.Name) string {
	var parts []string
	for _, n := range all {
		parts = append(parts, n.Text)
	}
	return strings.Join(parts, ",")
}

func dumpAll(all []syntax.Expr) string {
	var parts []string
	for _, e := range all {
		parts = append(parts, dumpExpr(e))
	}
	return strings.Join(parts, ",")
}

func dumpStmt(s syntax.Stmt) string {
	switch s := s.(type) {
	case *syntax.Local:
		return "local " + dumpNames(s.Names) + "=" + dumpAll(s.Values)
	case *syntax.LocalFunction:
		return "local " + s.Name.Text + "=" + dumpExpr(s.Func)
	case *syntax.Assign:
		return dumpAll(s.Targets) + "=" + dumpAll(s.Values)
	case *syntax.Define:
		return "def " + dumpExpr(s.Target) + "=" + dumpFunction(s.Func)
	case *syntax.Do:
		return "call " + dumpExpr(s.Call)
	case *syntax.Group:
		return "do " + dumpBlock(s.Body) + " end"
	case *syntax.While:
		return "while " + dumpExpr(s.Cond) + " " + dumpBlock(s.Body) + " end"
	case *syntax.Repeat:
		return "repeat " + dumpBlock(s.Body) + " until " + dumpExpr(s.Cond)
	case *syntax.If:
		text := ""
		for _, c := range s.Clauses {
			text += "if " + dumpExpr(c.Cond) + " " + dumpBlock(c.Body) + " else "
		}
		if s.Else != nil {
			text += dumpBlock(s.Else)
		}
		return text + strings.Repeat(" end", len(s.Clauses))
	case *syntax.Count:
		step := ""
		if s.Step != nil {
			step = dumpExpr(s.Step)
		}
		return "for " + s.Name.Text + "=" + dumpExpr(s.From) + "," + dumpExpr(s.To) + "," + step + " " + dumpBlock(s.Body) + " end"
	case *syntax.Each:
		return "for " + dumpNames(s.Names) + " in " + dumpAll(s.Values) + " " + dumpBlock(s.Body) + " end"
	case *syntax.Return:
		return "return " + dumpAll(s.Values)
	case *syntax.Break:
		return "break"
	case *syntax.Goto:
		return "goto " + s.Name
	case *syntax.Label:
		return "label " + s.Name
	}
	return fmt.Sprintf("?%T", s)
}

// dumpNumber leaves out the zeros before a numeral, as the interpreter's scanner does for some.
func dumpNumber(s string) string {
	if strings.HasPrefix(strings.ToLower(s), "0x") {
		return s
	}
	return strings.TrimLeft(s, "0")
}

func dumpFunction(f *syntax.Function) string {
	return fmt.Sprintf("function(%s %v) %s end", dumpNames(f.Params), f.Vararg, dumpBlock(f.Body))
}

func dumpExpr(e syntax.Expr) string {
	switch e := e.(type) {
	case *syntax.Nil:
		return "nil"
	case *syntax.True:
		return "true"
	case *syntax.False:
		return "false"
	case *syntax.Vararg:
		return "..."
	case *syntax.Number:
		return dumpNumber(e.Text)
	case *syntax.Text:
		return fmt.Sprintf("%q", e.Value)
	case *syntax.Ident:
		return e.Text
	case *syntax.Index:
		return "(" + dumpExpr(e.Object) + "[" + dumpExpr(e.Key) + "])"
	case *syntax.Call:
		method := ""
		if e.Method != nil {
			method = ":" + e.Method.Text
		}
		return dumpExpr(e.Func) + method + "(" + dumpAll(e.Args) + ")"
	case *syntax.Function:
		return dumpFunction(e)
	case *syntax.Table:
		text := "{"
		for _, f := range e.Fields {
			if f.Key != nil {
				text += "[" + dumpExpr(f.Key) + "]="
			}
			text += dumpExpr(f.Value) + ","
		}
		return text + "}"
	case *syntax.Unary:
		return "(" + e.Op + " " + dumpExpr(e.X) + ")"
	case *syntax.Binary:
		return "(" + dumpExpr(e.X) + " " + e.Op + " " + dumpExpr(e.Y) + ")"
	case *syntax.Paren:
		return dumpExpr(e.X)
	}
	return fmt.Sprintf("?%T", e)
}

func dumpStmts(all []ast.Stmt) string {
	var parts []string
	for _, s := range all {
		parts = append(parts, theirStmt(s))
	}
	return strings.Join(parts, "\n")
}

func theirs(all []ast.Expr) string {
	var parts []string
	for _, e := range all {
		parts = append(parts, theirExpr(e))
	}
	return strings.Join(parts, ",")
}

func theirStmt(s ast.Stmt) string {
	switch s := s.(type) {
	case *ast.LocalAssignStmt:
		return "local " + strings.Join(s.Names, ",") + "=" + theirs(s.Exprs)
	case *ast.AssignStmt:
		return theirs(s.Lhs) + "=" + theirs(s.Rhs)
	case *ast.FuncDefStmt:
		if s.Name.Func == nil {
			f := *s.Func
			f.ParList = &ast.ParList{HasVargs: f.ParList.HasVargs, Names: append([]string{"self"}, f.ParList.Names...)}
			return "def (" + theirExpr(s.Name.Receiver) + fmt.Sprintf("[%q])=", s.Name.Method) + theirFunction(&f)
		}
		return "def " + theirExpr(s.Name.Func) + "=" + theirFunction(s.Func)
	case *ast.FuncCallStmt:
		return "call " + theirExpr(s.Expr)
	case *ast.DoBlockStmt:
		return "do " + dumpStmts(s.Stmts) + " end"
	case *ast.WhileStmt:
		return "while " + theirExpr(s.Condition) + " " + dumpStmts(s.Stmts) + " end"
	case *ast.RepeatStmt:
		return "repeat " + dumpStmts(s.Stmts) + " until " + theirExpr(s.Condition)
	case *ast.IfStmt:
		return "if " + theirExpr(s.Condition) + " " + dumpStmts(s.Then) + " else " + dumpStmts(s.Else) + " end"
	case *ast.NumberForStmt:
		step := ""
		if s.Step != nil {
			step = theirExpr(s.Step)
		}
		return "for " + s.Name + "=" + theirExpr(s.Init) + "," + theirExpr(s.Limit) + "," + step + " " + dumpStmts(s.Stmts) + " end"
	case *ast.GenericForStmt:
		return "for " + strings.Join(s.Names, ",") + " in " + theirs(s.Exprs) + " " + dumpStmts(s.Stmts) + " end"
	case *ast.ReturnStmt:
		return "return " + theirs(s.Exprs)
	case *ast.BreakStmt:
		return "break"
	case *ast.GotoStmt:
		return "goto " + s.Label
	case *ast.LabelStmt:
		return "label " + s.Name
	}
	return fmt.Sprintf("?%T", s)
}

func theirFunction(f *ast.FunctionExpr) string {
	return fmt.Sprintf("function(%s %v) %s end", strings.Join(f.ParList.Names, ","), f.ParList.HasVargs, dumpStmts(f.Stmts))
}

func theirExpr(e ast.Expr) string {
	binary := func(op string, x, y ast.Expr) string { return "(" + theirExpr(x) + " " + op + " " + theirExpr(y) + ")" }
	switch e := e.(type) {
	case *ast.NilExpr:
		return "nil"
	case *ast.TrueExpr:
		return "true"
	case *ast.FalseExpr:
		return "false"
	case *ast.Comma3Expr:
		return "..."
	case *ast.NumberExpr:
		return dumpNumber(e.Value)
	case *ast.StringExpr:
		return fmt.Sprintf("%q", e.Value)
	case *ast.IdentExpr:
		return e.Value
	case *ast.AttrGetExpr:
		return "(" + theirExpr(e.Object) + "[" + theirExpr(e.Key) + "])"
	case *ast.FuncCallExpr:
		if e.Func == nil {
			return theirExpr(e.Receiver) + ":" + e.Method + "(" + theirs(e.Args) + ")"
		}
		return theirExpr(e.Func) + "(" + theirs(e.Args) + ")"
	case *ast.FunctionExpr:
		return theirFunction(e)
	case *ast.TableExpr:
		text := "{"
		for _, f := range e.Fields {
			if f.Key != nil {
				text += "[" + theirExpr(f.Key) + "]="
			}
			text += theirExpr(f.Value) + ","
		}
		return text + "}"
	case *ast.LogicalOpExpr:
		return binary(e.Operator, e.Lhs, e.Rhs)
	case *ast.RelationalOpExpr:
		return binary(e.Operator, e.Lhs, e.Rhs)
	case *ast.ArithmeticOpExpr:
		return binary(e.Operator, e.Lhs, e.Rhs)
	case *ast.StringConcatOpExpr:
		return binary("..", e.Lhs, e.Rhs)
	case *ast.UnaryMinusOpExpr:
		return "(- " + theirExpr(e.Expr) + ")"
	case *ast.UnaryNotOpExpr:
		return "(not " + theirExpr(e.Expr) + ")"
	case *ast.UnaryLenOpExpr:
		return "(# " + theirExpr(e.Expr) + ")"
	}
	return fmt.Sprintf("?%T", e)
}

package sandbox

import (
	"bytes"

	"github.com/yuin/gopher-lua/ast"
	"github.com/yuin/gopher-lua/parse"
)

// Lines says on which lines of a file the fields of a declaration are written,
// for errors that are found only once the file has been read.
type Lines struct {
	line   int // of the declaration or field itself; 0 where unknown
	fields map[string]*Lines
}

// LinesOf finds the fields of "return word { … }", as script.Declared reads it. Source
// that was refused has no lines, and neither have fields that are
// written elsewhere, in a variable or a function.
func LinesOf(word string, src []byte) *Lines {
	if _, err := Compile("", src, DefaultLimits()); err != nil {
		return &Lines{} // what the parser must not see, among others
	}
	tree, err := parse.Parse(bytes.NewReader(src), "")
	if err != nil || len(tree) == 0 {
		return &Lines{}
	}
	last, ok := tree[len(tree)-1].(*ast.ReturnStmt)
	if !ok || len(last.Exprs) != 1 {
		return &Lines{}
	}
	call, ok := last.Exprs[0].(*ast.FuncCallExpr)
	if !ok || len(call.Args) != 1 {
		return &Lines{}
	}
	if name, ok := call.Func.(*ast.IdentExpr); !ok || name.Value != word {
		return &Lines{}
	}
	return linesIn(last.Line(), call.Args[0])
}

// linesIn notes the fields of a table that is written out.
func linesIn(line int, value ast.Expr) *Lines {
	l := &Lines{line: line, fields: map[string]*Lines{}}
	table, ok := value.(*ast.TableExpr)
	if !ok {
		return l
	}
	for _, f := range table.Fields {
		if key, ok := f.Key.(*ast.StringExpr); ok {
			l.fields[key.Value] = linesIn(key.Line(), f.Value)
		}
	}
	return l
}

// Of gives the line of the field that a path of keys leads to or, where that is
// unknown, of the innermost one around it that is known; 0 where none is.
func (l *Lines) Of(path ...string) int {
	line := l.line
	for _, key := range path {
		if l = l.fields[key]; l == nil {
			break
		}
		if l.line > 0 {
			line = l.line
		}
	}
	return line
}

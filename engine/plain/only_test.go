package plain

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The screens are the only way out: no other file names stdout or stderr, writes an
// escape sequence, or makes text of candelua's own of anything but a constant. Files
// are the project's, without tests and the programs of testdata.
func TestOnlyWayOut(t *testing.T) {
	outs := map[string][]string{"os": {"Stdout", "Stderr"}, "fmt": {"Print", "Println", "Printf"}}
	allowed := map[string]bool{"cmd/candelua/main.go": true}
	const root = "../.."
	seen := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := filepath.ToSlash(strings.TrimPrefix(path, root+string(filepath.Separator)))
		if d.IsDir() && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && path != root) {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") || strings.HasPrefix(name, "engine/plain/") {
			return nil
		}
		seen++
		fset := token.NewFileSet()
		file, err := parser.ParseFile(fset, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.SelectorExpr:
				if of, ok := n.X.(*ast.Ident); ok && slices.Contains(outs[of.Name], n.Sel.Name) && !allowed[name] {
					t.Errorf("%s: %s.%s passes by the screens; write to the screen of the command", fset.Position(n.Pos()), of.Name, n.Sel.Name)
				}
			case *ast.BasicLit:
				if text, err := strconv.Unquote(n.Value); err == nil && n.Kind == token.STRING && strings.ContainsRune(text, '\x1b') {
					t.Errorf("%s: an escape sequence; package plain has them", fset.Position(n.Pos()))
				}
			case *ast.CallExpr:
				to, ok := n.Fun.(*ast.SelectorExpr)
				if !ok || to.Sel.Name != "Own" {
					return true
				}
				if of, ok := to.X.(*ast.Ident); ok && of.Name == "plain" {
					if _, constant := n.Args[0].(*ast.BasicLit); !constant {
						t.Errorf("%s: text that is no constant is made candelua's own", fset.Position(n.Pos()))
					}
				}
			}
			return true
		})
		return nil
	})
	if err != nil || seen < 100 {
		t.Errorf("%d files were read, %v", seen, err)
	}
}

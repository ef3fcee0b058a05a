// Structure prints what the code's structure is, in figures that are worth keeping
// low: for each package its files, lines and exported names, how many packages of
// ours it imports, and which of its files form a circle, each using something of
// the next.
//
//	go run ./testdata/structure [FOLDER]
//
// FOLDER is the module's root, "." where it is left out. Test files do not count.
package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"
)

func main() {
	root := "."
	if len(os.Args) > 1 {
		root = os.Args[1]
	}
	if err := run(root, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "structure:", err)
		os.Exit(1)
	}
}

// listed is what go list says of a package.
type listed struct {
	Dir        string
	ImportPath string
	GoFiles    []string
	Imports    []string
	Module     struct{ Path string }
}

func run(root string, out io.Writer) error {
	packages, err := list(root)
	if err != nil {
		return err
	}
	t := tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(t, "package\tfiles\tlines\texported\timports\tfiles in circles")
	var files, lines, exported, arrows, inCircles int
	for _, p := range packages {
		f, err := measure(p)
		if err != nil {
			return fmt.Errorf("%s: %w", p.ImportPath, err)
		}
		fmt.Fprintf(t, "%s\t%d\t%d\t%d\t%d\t%s\n", strings.TrimPrefix(p.ImportPath, p.Module.Path+"/"), len(p.GoFiles), f.lines, f.exported, f.imports, f.circles())
		files, lines, exported, arrows = files+len(p.GoFiles), lines+f.lines, exported+f.exported, arrows+f.imports
		for _, c := range f.circle {
			inCircles += len(c)
		}
	}
	fmt.Fprintf(t, "all\t%d\t%d\t%d\t%d\t%d\n", files, lines, exported, arrows, inCircles)
	return t.Flush()
}

// list asks go list for the packages, by path.
func list(root string) ([]listed, error) {
	cmd := exec.Command("go", "list", "-json=Dir,ImportPath,GoFiles,Imports,Module", "./...")
	cmd.Dir, cmd.Stderr = root, os.Stderr
	text, err := cmd.Output()
	if err != nil {
		return nil, err
	}
	var all []listed
	for d := json.NewDecoder(bytes.NewReader(text)); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all, nil
		} else if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
}

// figures are those of one package.
type figures struct {
	lines, exported, imports int
	circle                   [][]string // files, the largest circle first
}

func (f *figures) circles() string {
	var all []string
	for _, c := range f.circle {
		all = append(all, fmt.Sprintf("%d: %s", len(c), strings.Join(c, " ")))
	}
	return strings.Join(all, "; ")
}

func measure(p listed) (*figures, error) {
	f := &figures{}
	for _, i := range p.Imports {
		if strings.HasPrefix(i, p.Module.Path+"/") {
			f.imports++
		}
	}
	set := token.NewFileSet()
	var parsed []*ast.File
	for _, name := range p.GoFiles {
		path := filepath.Join(p.Dir, name)
		n, err := countLines(path)
		if err != nil {
			return nil, err
		}
		f.lines += n
		file, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		parsed = append(parsed, file)
	}
	info := &types.Info{Uses: map[*ast.Ident]types.Object{}, Defs: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: importer.ForCompiler(set, "source", nil), Error: func(error) {}} // what cannot be resolved is no arrow
	pkg, _ := conf.Check(p.ImportPath, set, parsed, info)
	f.exported = countExported(info.Defs, pkg)
	f.circle = circles(arrows(set, info.Uses, pkg))
	return f, nil
}

func countLines(path string) (n int, err error) {
	file, err := os.Open(path)
	if err != nil {
		return 0, err
	}
	defer file.Close()
	s := bufio.NewScanner(file)
	s.Buffer(nil, 1<<20)
	for s.Scan() {
		n++
	}
	return n, s.Err()
}

// countExported counts the names that other packages can use: those of the package
// itself, and methods and fields of its exported types.
func countExported(defs map[*ast.Ident]types.Object, pkg *types.Package) (n int) {
	for _, o := range defs {
		switch o := o.(type) {
		case nil:
		case *types.Var:
			if o.Exported() && (o.IsField() || o.Parent() == pkg.Scope()) {
				n++
			}
		default:
			if _, local := o.(*types.Label); !local && o.Exported() {
				n++
			}
		}
	}
	return n
}

// arrows say which file uses what another one of the package declares.
func arrows(set *token.FileSet, uses map[*ast.Ident]types.Object, pkg *types.Package) map[string]map[string]bool {
	all := map[string]map[string]bool{}
	for id, o := range uses {
		if o.Pkg() != pkg || !o.Pos().IsValid() {
			continue
		}
		from, to := filepath.Base(set.Position(id.Pos()).Filename), filepath.Base(set.Position(o.Pos()).Filename)
		if from == to {
			continue
		}
		if all[from] == nil {
			all[from] = map[string]bool{}
		}
		all[from][to] = true
	}
	return all
}

// circles are the sets of files in which each leads to all others, by Tarjan's
// algorithm (SIAM J. Comput. 1 (1972) 146, from memory).
func circles(to map[string]map[string]bool) [][]string {
	var found [][]string
	index, low, onStack := map[string]int{}, map[string]int{}, map[string]bool{}
	var stack []string
	var visit func(string)
	visit = func(file string) {
		index[file] = len(index) + 1
		low[file] = index[file]
		stack, onStack[file] = append(stack, file), true
		for next := range to[file] {
			if index[next] == 0 {
				visit(next)
				low[file] = min(low[file], low[next])
			} else if onStack[next] {
				low[file] = min(low[file], index[next])
			}
		}
		if low[file] != index[file] {
			return
		}
		at := slices.Index(stack, file)
		circle := slices.Clone(stack[at:])
		for _, f := range circle {
			onStack[f] = false
		}
		if stack = stack[:at]; len(circle) > 1 {
			slices.Sort(circle)
			found = append(found, circle)
		}
	}
	for file := range to {
		if index[file] == 0 {
			visit(file)
		}
	}
	slices.SortFunc(found, func(a, b []string) int { return len(b) - len(a) })
	return found
}

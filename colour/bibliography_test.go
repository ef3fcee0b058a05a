package colour

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// docComments returns every comment of the package's own files, the names of exported functions
// and methods with their doc comments, and all names that a doc comment may link to.
func docComments(t *testing.T) (comments []string, functions map[string]string, names []string) {
	t.Helper()
	functions = map[string]string{}
	files, err := fs.Glob(os.DirFS("."), "*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		for _, group := range f.Comments {
			comments = append(comments, group.Text())
		}
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Name.IsExported() {
				functions[name+": "+fn.Name.Name] = fn.Doc.Text()
			}
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if id, ok := n.(*ast.Ident); ok && id.IsExported() {
				names = append(names, id.Name)
			}
			return true
		})
	}
	return comments, functions, names
}

// key matches a citation: a bracketed word with a digit or all in capitals, which no link to a name of
// the package is.
var key = regexp.MustCompile(`\[([A-Z][A-Za-z]*[0-9][A-Za-z0-9-]*|[A-Z]{2,})\]`)

func TestEverySourceIsInTheBibliography(t *testing.T) {
	known := map[string]bool{}
	for _, r := range Bibliography() {
		if known[r.Key] {
			t.Errorf("%s is there twice", r.Key)
		}
		known[r.Key] = true
		if r.Authors == "" || r.Title == "" || r.Year < 1900 {
			t.Errorf("%s is incomplete", r.Key)
		}
	}
	comments, _, _ := docComments(t)
	cited := map[string]bool{}
	sources := 0
	for _, c := range comments {
		_, source, ok := strings.Cut(c, "Source:")
		if ok {
			sources++
			if strings.TrimSpace(source) == "" {
				t.Errorf("an empty source in %q", c)
			}
		}
		for _, m := range key.FindAllStringSubmatch(c, -1) {
			if known[m[1]] {
				cited[m[1]] = true
			}
		}
		for _, m := range key.FindAllStringSubmatch(source, -1) {
			if !known[m[1]] {
				t.Errorf("%s is cited and not in the bibliography: %q", m[1], strings.TrimSpace(source))
			}
		}
	}
	if sources < 80 {
		t.Errorf("only %d sources found", sources)
	}
	for k := range known {
		if !cited[k] {
			t.Errorf("%s is in the bibliography and nowhere cited", k)
		}
	}
}

// A bracketed word that is neither a citation nor a known name is a slip of the pen.
func TestCitationsOutsideSourceLines(t *testing.T) {
	comments, _, known := docComments(t)
	for _, r := range Bibliography() {
		known = append(known, r.Key)
	}
	for _, c := range comments {
		for _, m := range key.FindAllStringSubmatch(c, -1) {
			if !slices.Contains(known, m[1]) {
				t.Errorf("%s is neither cited nor a name: %q", m[1], c)
			}
		}
	}
}

// An exported function that states a formula states its source.
func TestFormulasHaveSources(t *testing.T) {
	_, functions, _ := docComments(t)
	if len(functions) < 100 {
		t.Fatalf("only %d functions found", len(functions))
	}
	for name, doc := range functions {
		if doc == "" {
			t.Errorf("%s has no doc comment", name)
		}
		if strings.Contains(doc, "\n\t") && strings.Contains(doc, " = ") && !strings.Contains(doc, "Source:") {
			t.Errorf("%s has a formula and no source", name)
		}
	}
}

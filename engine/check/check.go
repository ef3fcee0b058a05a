package check

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/procedure"
	"candelua/engine/sandbox"
	"candelua/engine/script"
	"candelua/engine/spell"
	"candelua/engine/syntax"
)

// Kind is a kind of file that declares something, beside procedures.
type Kind struct {
	// Plan is what its table is declared as.
	Plan *declare.Plan
	// Load reads it as those who use it do, and touches nothing.
	Load func(ctx context.Context, file string, src []byte) error
	// Names are what its files are given beside Lua: functions that make bytes for drivers and the like.
	Names map[string][]string
	// Link are the functions of the object that its functions are given under the name link; none where they are given none.
	Link []string
	// Truths are the functions of a world that a trial can state as a truth.
	Truths []string
	// Exchanges are the functions that are asked something, by the fields of the declaration.
	Exchanges map[string]Exchange
}

// Checker checks files, one after the other: what it has read of a library or of a procedure that trials test is kept.
type Checker struct {
	Modules []*script.Module
	Shipped fs.FS           // procedures and libraries that are shipped
	Kinds   map[string]Kind // by the word that declares them: trial, driver

	libraries map[string]*checker // by their text
	tested    map[string]*checker // procedures of trials, by their text
}

// source is a file and where it finds what it names.
type source struct {
	file string
	text []byte
	find func(file string) ([]byte, error) // beside it, or a shipped library
}

// File checks one file. name is how it is called in findings; p says where it finds libraries.
func (k *Checker) File(ctx context.Context, name string, p *procedure.Procedure) []Finding {
	find := p.Find
	if find == nil {
		find = func(string) ([]byte, error) { return nil, fs.ErrNotExist }
	}
	c := k.checker(ctx, source{name, p.Source, find})
	all := c.check()
	if k.tested == nil {
		k.tested = map[string]*checker{}
	}
	k.tested[string(p.Source)] = c
	return all
}

// checker is the work on one file.
type checker struct {
	k       *Checker
	ctx     context.Context
	file    string
	src     source
	tree    *syntax.File
	modules []*script.Module
	methods map[reflect.Type][]*script.Func
	bare    map[string][]string // names that are given, with what is in them
	final   bool                // finds, and does not only learn
	quiet   bool
	found   []Finding

	vars      map[any]*symbol
	symbols   []*symbol
	globals   map[string]*symbol
	holder    map[*syntax.Function]*symbol
	functions map[*syntax.Function]*function
	tables    map[*syntax.Table]*table

	declares    string // procedure, trial, driver; empty: a library
	declaration *syntax.Call
	mains       map[*syntax.Function]bool // those that are given the parameters
	run         *syntax.Function
	params      *table
	contract    *script.Contract
	returned    typ

	at              place
	rest            []syntax.Stmt // behind the statement that is looked at
	loopBody        *syntax.Block
	more            []typ
	said            []said
	ids             ids
	recordedColumns map[*syntax.Call]*columns

	libraries map[*syntax.Table]string
	required  []*checker
	loaded    map[string]*checker // of all files; nil while one is being read
}

func (k *Checker) checker(ctx context.Context, src source) *checker {
	c := &checker{k: k, ctx: ctx, file: src.file, src: src, modules: k.Modules, methods: map[reflect.Type][]*script.Func{}, bare: map[string][]string{},
		vars: map[any]*symbol{}, globals: map[string]*symbol{}, holder: map[*syntax.Function]*symbol{}, functions: map[*syntax.Function]*function{},
		tables: map[*syntax.Table]*table{}, mains: map[*syntax.Function]bool{}, recordedColumns: map[*syntax.Call]*columns{},
		libraries: map[*syntax.Table]string{}, loaded: map[string]*checker{}}
	for name, fields := range sandbox.Given() {
		c.bare[name] = fields
	}
	for _, m := range k.Modules {
		for _, f := range m.Funcs {
			if f.Object() != nil {
				c.methods[f.Object()] = append(c.methods[f.Object()], f)
			}
		}
	}
	return c
}

// knows gives the names that a kind of file can use.
func (c *checker) knows() {
	names := map[string][]string{"procedure": nil}
	if kind, is := c.k.Kinds[c.declares]; is {
		names = kind.Names
		c.modules = nil
	} else {
		for _, m := range c.modules {
			names[m.Name] = nil
		}
	}
	for name, fields := range names {
		c.bare[name] = fields
	}
}

func (c *checker) moduleNamed(name string) *script.Module {
	for _, m := range c.modules {
		if m.Name == name {
			return m
		}
	}
	return nil
}

// check reads the file, learns of it in three passes, and finds in a fourth.
func (c *checker) check() []Finding {
	c.final = true
	tree, err := syntax.Parse(c.src.text)
	var wrong *syntax.Error
	if errors.As(err, &wrong) {
		name := notLua
		if wrong.Foreign {
			name = otherDialect
		}
		c.add(Error, name, wrong.At, wrong.Tip, "%s", wrong.Message)
		return c.found
	}
	c.final = false
	c.tree = tree
	c.findDeclaration(tree)
	c.knows()
	failed := c.loadDeclared()
	if refused := c.compiled(failed); refused != nil {
		c.final = true
		c.add(Error, notCompiled, syntax.Pos{Line: refused.Line}, refused.Hint(), "%s", refused.Message)
		return c.found
	}
	c.learn()
	c.final = true
	c.pass()
	c.whole(tree)
	if failed != nil {
		c.notLoaded(failed)
	}
	sortFindings(c.found)
	return c.silenced(c.found, silencesOf(tree.Comments))
}

// compiled says why the interpreter refuses the file, nil where it does not. What was loaded was compiled.
func (c *checker) compiled(failed error) *sandbox.Error {
	if c.declares != "" && failed == nil {
		return nil
	}
	var refused *sandbox.Error
	if _, err := sandbox.Compile(c.file, c.src.text, sandbox.DefaultLimits()); errors.As(err, &refused) {
		return refused
	}
	return nil
}

// learn binds names and joins types.
func (c *checker) learn() {
	c.params = &table{fields: map[string]*typ{}, params: true, open: c.contract == nil, read: map[string]bool{}}
	if c.contract != nil {
		for i := range c.contract.Params {
			p := &c.contract.Params[i]
			c.params.set(p.Name, paramType(p))
		}
	}
	c.bind(c.tree)
	for range 3 {
		c.pass()
	}
}

func (c *checker) pass() {
	c.said, c.ids = nil, ids{}
	c.block(c.tree.Body, place{loading: true})
}

func paramType(p *script.Param) typ {
	switch d := p.Default.(type) {
	case float64:
		return typ{kind: isNumber, unit: p.Unit, values: []any{d}, some: true}
	case string:
		t := typ{kind: isText, values: []any{d}, some: true}
		if p.OneOf != nil {
			t = text()
			for _, w := range p.OneOf {
				t.values = append(t.values, w)
			}
		}
		return t
	case bool:
		return typ{kind: isBool}
	case []float64:
		t := &table{fields: map[string]*typ{}, grown: true, item: typ{kind: isNumber, unit: p.Unit, some: true}}
		for _, x := range d {
			t.item.values = append(t.item.values, x)
		}
		if len(d) > mostValues {
			t.item.values = nil
		}
		return typ{kind: isTable, table: t}
	case []string:
		return typ{kind: isTable, table: &table{fields: map[string]*typ{}, grown: true, item: typ{kind: isText}}}
	}
	return anything
}

// loadDeclared reads the file as those who use it do, and gives why it cannot be read.
func (c *checker) loadDeclared() error {
	switch kind, is := c.k.Kinds[c.declares]; {
	case is && kind.Load != nil:
		return kind.Load(c.ctx, c.file, c.src.text)
	case c.declares == "procedure":
		return c.loadProcedure()
	}
	return nil
}

// loadProcedure executes the top level of a procedure, and takes its contract.
func (c *checker) loadProcedure() error {
	loader := func(name string) (string, []byte, error) {
		file := strings.ReplaceAll(name, ".", "/") + ".lua"
		text, err := c.src.find(file)
		return file, text, err
	}
	program, err := script.Compile(c.file, c.src.text, loader, c.k.Modules)
	if err != nil {
		return err
	}
	rt, err := program.Start(c.ctx, script.Host{})
	if err != nil {
		return err
	}
	defer rt.Close()
	c.contract = rt.Contract()
	return nil
}

// notLoaded adds why the file could not be loaded, where nothing else says it.
func (c *checker) notLoaded(err error) {
	var in *sandbox.Error
	at := syntax.Pos{Line: 1}
	if c.declaration != nil {
		at = c.declaration.Func.Pos()
	}
	if !errors.As(err, &in) {
		c.add(Error, notLoaded, at, fault.HintOf(err), "%s", err)
		return
	}
	if strings.Contains(in.Message, "does not return a") {
		if c.declaration != nil && !returns(c.tree.Body) {
			return // which is said already
		}
		c.add(Error, nothingReturned, at, fault.HintOf(in.Err), "%s", in.Message)
		return
	}
	if in.File != "" && in.File != c.file && !strings.HasSuffix(c.file, in.File) {
		c.add(Error, notLoaded, at, fault.HintOf(err), "%s", err)
		return
	}
	if c.notLoadedField(in) {
		return
	}
	errors_ := slices.ContainsFunc(c.found, func(f Finding) bool {
		return f.Level == Error && (f.Line == in.Line || strings.Contains(f.Text, in.Message) || strings.Contains(in.Message, f.Text) ||
			f.Name == wrongField || f.Name == stepWhileLoading || f.Name == noSuchLibrary)
	})
	if errors_ {
		return
	}
	if in.Line > 0 {
		at = syntax.Pos{Line: in.Line}
	}
	c.add(Error, notLoaded, at, fault.HintOf(err), "%s", in.Message)
}

// statedPath is the field that an error of a declaration is about.
var statedPath = regexp.MustCompile(`^[a-z]+: ([A-Za-z_]+[^ :]*)`)

// notLoadedField places what is wrong with a field of the declaration.
func (c *checker) notLoadedField(in *sandbox.Error) bool {
	var wrong *fault.ArgError
	if c.declaration == nil || len(c.declaration.Args) != 1 || !errors.As(in, &wrong) {
		return false
	}
	t, is := c.declaration.Args[0].(*syntax.Table)
	m := statedPath.FindStringSubmatch(in.Message)
	if !is || m == nil || !strings.HasPrefix(in.Message, c.declares+": ") {
		return false
	}
	if slices.ContainsFunc(c.found, func(f Finding) bool { return f.Name == wrongField }) {
		return true
	}
	first, rest := cutPath(m[1])
	at := inValue(t, append([]string{first}, rest...), wrong, nil)
	c.add(Error, wrongField, at, fault.HintOf(in), "%s", in.Message)
	return true
}

// hasErrors says whether errors were found: what follows from them is not worth saying.
func (c *checker) hasErrors(names ...string) bool {
	return slices.ContainsFunc(c.found, func(f Finding) bool { return f.Level == Error && (len(names) == 0 || slices.Contains(names, f.Name)) })
}

// load reads a library that the file requires; nil where it is being read already.
func (c *checker) load(name string) (*checker, error) {
	file := strings.ReplaceAll(name, ".", "/") + ".lua"
	if lib, known := c.loaded[file]; known {
		return lib, nil
	}
	if c.src.find == nil {
		return nil, nil
	}
	text, err := c.src.find(file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no %s beside the file, nor among the shipped libraries", file)
	}
	if err != nil {
		return nil, err
	}
	if lib, known := c.k.libraries[string(text)]; known {
		c.loaded[file] = lib
		return lib, nil
	}
	c.loaded[file] = nil
	tree, err := syntax.Parse(text)
	if err != nil {
		return nil, nil
	}
	lib := c.k.checker(c.ctx, source{file, text, c.src.find})
	lib.loaded, lib.tree, lib.quiet = c.loaded, tree, true
	lib.findDeclaration(tree)
	lib.knows()
	lib.learn()
	for _, fn := range lib.functions {
		fn.exposed = true
	}
	c.loaded[file] = lib
	if c.k.libraries == nil {
		c.k.libraries = map[string]*checker{}
	}
	c.k.libraries[string(text)] = lib
	return lib, nil
}

// libraryMeant is the shipped library that was probably meant.
func (c *checker) libraryMeant(name string) string {
	files, _ := fs.Glob(c.k.Shipped, "lib/*.lua")
	var names []string
	for _, f := range files {
		names = append(names, strings.TrimSuffix(strings.TrimPrefix(f, "lib/"), ".lua"))
	}
	if n := spell.Nearest(name, names); n != "" {
		return "did you mean " + n + "?"
	}
	return "write the name of a file beside it without .lua; shipped are " + strings.Join(names, ", ")
}

// whole finds what only the whole file shows.
func (c *checker) whole(tree *syntax.File) {
	switch c.declares {
	case "procedure":
		c.wholeProcedure()
	case "trial":
		c.wholeTrial()
	case "driver":
		c.wholeDriver()
	}
	c.neither(tree)
	c.escapes(tree)
	c.holes(tree)
	if c.declaration != nil && !returns(tree.Body) {
		c.add(Error, nothingReturned, c.declaration.Func.Pos(), "write return before "+c.declares+", as the last statement of the file", "the file does not return the %s", c.declares)
	}
}

func returns(b *syntax.Block) bool {
	if len(b.Stmts) == 0 {
		return false
	}
	_, is := b.Stmts[len(b.Stmts)-1].(*syntax.Return)
	return is
}

func (c *checker) wholeProcedure() {
	if c.contract != nil && !c.params.passed && !c.hasErrors(noSuchParam) {
		for _, name := range c.params.names {
			if !c.params.read[name] {
				c.add(Warning, paramNeverRead, c.paramPos(name), "use it, or remove it", "the parameter %s is never used", name)
			}
		}
	}
	if c.run == nil {
		return
	}
	if !c.records(map[*checker]bool{}) {
		c.add(Warning, nothingRecorded, c.run.At, `record what was found, as in record.value { name = "White luminance", value = r, unit = "cd/m2" }`, "the procedure records nothing")
	}
	if c.contract != nil && !c.hasErrors() {
		if _, shows := c.contract.Needed["patches"]; shows {
			if t, at := c.firstTouch(c.run.Body, map[*function]bool{}); t == readFirst {
				c.add(Warning, readBeforePatch, at, "show a patch first, as in patches.show { grey = 1, window = 10 }", "the meter is read before any patch is shown")
			}
		}
	}
}

// records says whether a file, or a library that it requires, records anything.
func (c *checker) records(asked map[*checker]bool) bool {
	if asked[c] {
		return false
	}
	asked[c] = true
	found := false
	visit(c.tree.Body, func(n any) {
		if id, is := n.(*syntax.Ident); is && (id.Text == "record" || id.Text == "_G") {
			found = true
		}
	})
	return found || slices.ContainsFunc(c.required, func(lib *checker) bool { return lib.records(asked) })
}

// paramPos is where a parameter is declared.
func (c *checker) paramPos(name string) syntax.Pos {
	if t, is := c.declaration.Args[0].(*syntax.Table); is {
		for _, f := range t.Fields {
			key, isName := f.Key.(*syntax.Text)
			if params, isTable := f.Value.(*syntax.Table); isName && isTable && key.Value == "params" {
				return keyPos(params, name)
			}
		}
	}
	return c.declaration.Func.Pos()
}

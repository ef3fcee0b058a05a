package check

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"candelua/engine/sandbox"
	"candelua/engine/spell"
	"candelua/engine/syntax"
)

// symbol is a variable.
type symbol struct {
	name   string
	at     syntax.Pos
	what   string // "variable", "function", "argument", "loop variable"
	reads  int
	writes int // beside the value that it begins with
	valued bool
	called int // of the reads, those that call it
	typ    typ
	// indexed says that what the module of its name has is read of it.
	indexed bool
}

// scope is what is visible in a block.
type scope struct {
	outer *scope
	names map[string]*symbol
}

func (s *scope) find(name string) *symbol {
	for ; s != nil; s = s.outer {
		if sym := s.names[name]; sym != nil {
			return sym
		}
	}
	return nil
}

// visible are the names that can be read in a scope.
func (s *scope) visible() (names []string) {
	for ; s != nil; s = s.outer {
		names = slices.AppendSeq(names, maps.Keys(s.names))
	}
	return names
}

// binder binds each name to its variable, once for a file.
type binder struct {
	c       *checker
	scope   *scope
	unknown []unknownName
	made    map[string]syntax.Pos // globals, by where they are first given a value
	hiding  []*symbol             // variables with the name of a module
}

type unknownName struct {
	e       *syntax.Ident
	visible []string
}

func (c *checker) bind(f *syntax.File) {
	b := &binder{c: c, made: map[string]syntax.Pos{}}
	c.vars = map[any]*symbol{}
	b.block(f.Body)
	for _, name := range slices.Sorted(maps.Keys(b.made)) {
		c.globals[name] = &symbol{name: name, what: "global", valued: true}
	}
	c.final = true
	for _, u := range b.unknown {
		if g := c.globals[u.e.Text]; g != nil {
			g.reads++
			c.vars[u.e] = g
			continue
		}
		c.unknownName(u)
	}
	for _, name := range slices.Sorted(maps.Keys(b.made)) {
		c.add(Warning, madeGlobal, b.made[name], fmt.Sprintf("write local %s = …", name), "%s is made without local, so that all functions of the file share it", name)
	}
	c.unused()
	for _, s := range b.hiding {
		c.final = true
		if s.indexed {
			c.add(Warning, hidesModule, s.at, "give it another name", "%s hides the module of the same name, which cannot be reached from here on", s.name)
		}
	}
	c.final = false
}

// unknownName is a name that is neither a variable nor given.
func (c *checker) unknownName(u unknownName) {
	name := u.e.Text
	if words := map[string]string{"null": "nil", "None": "nil", "undefined": "nil", "True": "true", "False": "false", "self": ""}; words[name] != "" {
		c.add(Error, noSuchName, u.e.At, "write "+words[name], "there is nothing called %s", name)
		return
	}
	if sandbox.Removed(name) {
		c.add(Warning, noSuchName, u.e.At, "do without it", "%s of standard Lua is not there, and reads as nil", name)
		return
	}
	known := append(slices.Collect(maps.Keys(c.bare)), u.visible...)
	tip := "a variable needs a value before it is read"
	var inside []string
	for _, m := range c.modules {
		if slices.Contains(m.Members(), name) {
			inside = append(inside, m.Name+"."+name)
		}
	}
	for _, s := range c.symbols {
		switch {
		case s.name != name:
		case s.what == "argument":
			tip = fmt.Sprintf("%s is known only in the function of line %d: hand it over as an argument", name, s.at.Line)
		case u.e.At.Before(s.at):
			tip = fmt.Sprintf("it is made in line %d: move that before its use", s.at.Line)
		default:
			tip = fmt.Sprintf("the %s of line %d is known only in its own block: declare it before the block", name, s.at.Line)
		}
	}
	slices.Sort(known)
	switch near := spell.Nearest(name, slices.Compact(known)); {
	case near != "":
		tip = "did you mean " + near + "?"
	case len(inside) > 0:
		tip = "did you mean " + strings.Join(inside, " or ") + "?"
	}
	c.add(Error, noSuchName, u.e.At, tip, "there is nothing called %s", short(name))
}

func short(s string) string {
	if len(s) > 60 {
		return strings.ToValidUTF8(s[:60], "") + "…"
	}
	return s
}

func (c *checker) unused() {
	for _, s := range c.symbols {
		if s.reads > 0 || strings.HasPrefix(s.name, "_") {
			continue
		}
		switch s.what {
		case "variable", "function":
			tip := "remove it, or begin its name with _ if it is meant to be there"
			c.add(Warning, neverRead, s.at, tip, "the %s %s is never used", s.what, s.name)
		}
	}
}

func (b *binder) declare(n syntax.Name, what string, valued bool) *symbol {
	s := &symbol{name: n.Text, at: n.At, what: what, valued: valued}
	c := b.c
	if !strings.HasPrefix(n.Text, "_") {
		c.final = true
		if old := b.scope.find(n.Text); old != nil {
			c.add(Warning, hidesAnother, n.At, "give it another name", "%s hides the %s of the same name in line %d", n.Text, old.what, old.at.Line)
		} else if c.isModule(n.Text) {
			b.hiding = append(b.hiding, s)
		}
		c.final = false
	}
	b.scope.names[n.Text] = s
	c.symbols = append(c.symbols, s)
	return s
}

func (c *checker) isModule(name string) bool {
	for _, m := range c.modules {
		if m.Name == name {
			return true
		}
	}
	return false
}

func (b *binder) enter() { b.scope = &scope{b.scope, map[string]*symbol{}} }
func (b *binder) leave() { b.scope = b.scope.outer }

func (b *binder) block(x *syntax.Block) {
	b.enter()
	b.stmts(x)
	b.leave()
}

func (b *binder) stmts(x *syntax.Block) {
	for _, s := range x.Stmts {
		b.stmt(s)
	}
}

func (b *binder) stmt(s syntax.Stmt) {
	c := b.c
	switch s := s.(type) {
	case *syntax.Local:
		b.exprs(s.Values)
		for i, n := range s.Names {
			what := "variable"
			if i < len(s.Values) {
				if _, is := s.Values[i].(*syntax.Function); is {
					what = "function"
				}
			}
			multi := len(s.Values) > 0 && i >= len(s.Values) && isMulti(s.Values[len(s.Values)-1])
			if len(s.Names) > 1 && i < len(s.Names)-1 && len(s.Values) < len(s.Names) && len(s.Values) > 0 {
				what = "one of several" // stands for its place
			}
			c.vars[nameKey{s, i}] = b.declare(n, what, i < len(s.Values) || multi)
		}
	case *syntax.LocalFunction:
		c.vars[nameKey{s, 0}] = b.declare(s.Name, "function", true)
		b.function(s.Func)
	case *syntax.Assign:
		b.exprs(s.Values)
		for _, t := range s.Targets {
			b.target(t)
		}
	case *syntax.Define:
		b.target(s.Target)
		b.function(s.Func)
	case *syntax.Do:
		b.expr(s.Call)
	case *syntax.Group:
		b.block(s.Body)
	case *syntax.While:
		b.expr(s.Cond)
		b.block(s.Body)
	case *syntax.Repeat:
		b.enter()
		b.stmts(s.Body)
		b.expr(s.Cond)
		b.leave()
	case *syntax.If:
		for _, k := range s.Clauses {
			b.expr(k.Cond)
			b.block(k.Body)
		}
		if s.Else != nil {
			b.block(s.Else)
		}
	case *syntax.Count:
		b.exprs([]syntax.Expr{s.From, s.To, s.Step})
		b.enter()
		c.vars[nameKey{s, 0}] = b.declare(s.Name, "loop variable", true)
		b.stmts(s.Body)
		b.leave()
	case *syntax.Each:
		b.exprs(s.Values)
		b.enter()
		for i, n := range s.Names {
			c.vars[nameKey{s, i}] = b.declare(n, "loop variable", true)
		}
		b.stmts(s.Body)
		b.leave()
	case *syntax.Return:
		b.exprs(s.Values)
	case *syntax.Goto:
		c.final = true
		c.add(Warning, otherDialect, s.At, "put what is jumped over into if … then … end", "goto is not Lua 5.1")
		c.final = false
	}
}

// nameKey is where a statement or function makes a variable.
type nameKey struct {
	of any
	i  int
}

func isMulti(e syntax.Expr) bool {
	switch e.(type) {
	case *syntax.Call, *syntax.Vararg:
		return true
	}
	return false
}

// target is what is given a value.
func (b *binder) target(e syntax.Expr) {
	id, isName := e.(*syntax.Ident)
	if !isName {
		b.expr(e)
		return
	}
	if s := b.scope.find(id.Text); s != nil {
		s.writes++
		b.c.vars[id] = s
		return
	}
	if _, is := b.made[id.Text]; !is {
		b.made[id.Text] = id.At
	}
	b.unknown = append(b.unknown, unknownName{e: id})
}

func (b *binder) function(f *syntax.Function) {
	b.enter()
	for i, n := range f.Params {
		if n.Text == "self" {
			s := &symbol{name: "self", at: n.At, what: "argument", valued: true}
			b.scope.names["self"] = s
			b.c.vars[nameKey{f, i}] = s
			continue
		}
		b.c.vars[nameKey{f, i}] = b.declare(n, "argument", true)
	}
	b.stmts(f.Body)
	b.leave()
}

func (b *binder) exprs(all []syntax.Expr) {
	for _, e := range all {
		if e != nil {
			b.expr(e)
		}
	}
}

func (b *binder) expr(e syntax.Expr) {
	switch e := e.(type) {
	case *syntax.Ident:
		if s := b.scope.find(e.Text); s != nil {
			s.reads++
			b.c.vars[e] = s
			return
		}
		if _, is := b.c.bare[e.Text]; !is {
			b.unknown = append(b.unknown, unknownName{e, b.scope.visible()})
		}
	case *syntax.Index:
		b.expr(e.Object)
		if s := b.c.vars[e.Object]; s != nil && b.c.isModule(s.name) {
			key, is := e.Key.(*syntax.Text)
			s.indexed = s.indexed || is && slices.Contains(b.c.moduleNamed(s.name).Members(), key.Value)
		}
		b.expr(e.Key)
	case *syntax.Call:
		b.expr(e.Func)
		if id, is := e.Func.(*syntax.Ident); is && e.Method == nil {
			if s := b.scope.find(id.Text); s != nil {
				s.called++
			}
		}
		b.exprs(e.Args)
	case *syntax.Function:
		b.function(e)
	case *syntax.Table:
		for _, f := range e.Fields {
			if f.Key != nil {
				b.expr(f.Key)
			}
			b.expr(f.Value)
		}
	case *syntax.Unary:
		b.expr(e.X)
	case *syntax.Binary:
		b.expr(e.X)
		b.expr(e.Y)
	case *syntax.Paren:
		b.expr(e.X)
	}
}

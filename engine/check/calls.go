package check

import (
	"reflect"
	"slices"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/script"
	"candelua/engine/spell"
	"candelua/engine/syntax"
)

// near puts the known word that was probably meant into a suggestion.
func near(word string, known []string, of string) string {
	if n := spell.Nearest(word, known); n != "" {
		return "did you mean " + n + "?"
	}
	if len(known) == 0 {
		return ""
	}
	list := strings.Join(known[:min(len(known), 12)], ", ")
	if len(known) > 12 {
		list += ", …"
	}
	return of + " " + list
}

// nameOf names a value in a finding.
func (c *checker) nameOf(t typ) string {
	switch t.kind {
	case isNil:
		return "nil"
	case isBool:
		return "true or false"
	case isNumber:
		return "a number"
	case isText:
		return "a text"
	case isTable:
		return "a table"
	case isFunction:
		return "a function"
	case isObject:
		return declare.Article(declare.NameOf(t.object))
	case isModule:
		return "a module"
	}
	return "this"
}

// fieldsOf are the fields and methods of an object.
func (c *checker) fieldsOf(t typ) []string {
	var names []string
	for i := range t.object.NumField() {
		if name, is := t.object.Field(i).Tag.Lookup("lua"); is {
			names = append(names, name)
		}
	}
	for _, f := range c.methods[t.object] {
		names = append(names, f.Method())
	}
	return names
}

func (c *checker) index(e *syntax.Index) typ {
	of, key := c.eval(e.Object), c.eval(e.Key)
	name := ""
	if key.kind == isText && len(key.values) == 1 && !key.some {
		name, _ = key.values[0].(string)
	}
	switch of.kind {
	case none:
		return typ{}
	case isModule:
		return c.member(of, name, key, e)
	case isObject:
		return c.field(of, name, key, e)
	case isTable:
		return c.entry(of, name, key, e)
	case isNil:
		c.nothing(e.Object, "a field")
	case isNumber, isBool:
		if !of.maybe {
			tip := ""
			if name != "" {
				tip = "leave ." + name + " out"
			}
			c.add(Error, noSuchField, e.Key.Pos(), tip, "%s has no fields", c.nameOf(of))
		}
	}
	return anything
}

// member is what a module has by a name.
func (c *checker) member(of typ, name string, key typ, e *syntax.Index) typ {
	if key.kind != isText || name == "" {
		return anything
	}
	if of.module == nil {
		full := of.given + "." + name
		if slices.Contains(c.bare[of.given], name) {
			if full == "math.pi" || full == "math.huge" {
				return number()
			}
			return typ{kind: isFunction, given: full}
		}
		c.add(Error, noSuchFunction, e.Key.Pos(), near(name, c.bare[of.given], "there are"), "%s has no function %s", of.given, short(name))
		return anything
	}
	for _, f := range of.module.Funcs {
		if f.Object() == nil && f.Method() == name {
			return typ{kind: isFunction, builtin: f, device: of.device}
		}
	}
	for _, k := range of.module.Consts {
		if k.Name == name {
			return typ{kind: all, given: "const"}
		}
	}
	c.add(Error, noSuchFunction, e.Key.Pos(), near(name, of.module.Members(), "it has"), "%s has no function %s", of.module.Name, short(name))
	return anything
}

// field is what an object has by a name.
func (c *checker) field(of typ, name string, key typ, e *syntax.Index) typ {
	if key.kind != isText || name == "" {
		return anything
	}
	for i := range of.object.NumField() {
		f := of.object.Field(i)
		if n, is := f.Tag.Lookup("lua"); is && n == name {
			out := c.given(f.Type, f.Tag.Get("unit"), of.read)
			out.bare = out.kind == isNumber && out.unit == "" && strings.Contains(f.Tag.Get("help"), "chromaticity")
			return out
		}
	}
	for _, f := range c.methods[of.object] {
		if f.Method() == name {
			return typ{kind: isFunction, builtin: f}
		}
	}
	tip := near(name, c.fieldsOf(of), "its fields are")
	if strings.HasPrefix("luminance", strings.ToLower(name)) && slices.Contains(c.fieldsOf(of), "Y") {
		tip = "write Y for the luminance"
	}
	c.add(Error, noSuchField, e.Key.Pos(), tip, "%s has no field %s", c.nameOf(of), short(name))
	return anything
}

// entry is what a table of the script has by a key.
func (c *checker) entry(of typ, name string, key typ, e *syntax.Index) typ {
	t := of.table
	switch {
	case t == nil:
		return anything
	case t.params && name != "":
		t.read[name] = true
		if f := t.fields[name]; f != nil {
			return *f
		}
		if !t.open {
			c.add(Error, noSuchParam, e.Key.Pos(), near(name, t.names, "its parameters are"), "the procedure has no parameter %s", short(name))
		}
		return anything
	case t.params:
		t.passed = true
		return anything
	case name != "":
		if f := t.fields[name]; f != nil {
			return *f
		}
		library := c.libraries[t.node] != ""
		if !t.open && (!t.grown || library) && !of.maybe && len(t.names) > 0 && t.node != nil {
			what, is := noSuchField, "the table has no field"
			if library {
				what, is = noSuchFunction, "the library "+c.libraries[t.node]+" has no function"
			} else if spell.Nearest(name, t.names) == "" {
				return anything // a field that is asked for, whether it is there or not
			}
			level := Warning
			if what == noSuchFunction {
				level = Error
			}
			c.add(level, what, e.Key.Pos(), near(name, t.names, "it has"), "%s %s", is, short(name))
		}
		if t.open || t.item.kind != none {
			return anything
		}
		return typ{kind: all, maybe: true}
	case key.kind == isNumber:
		if t.item.kind == none {
			return typ{}
		}
		out := t.item
		out.maybe = true
		return out
	}
	out := c.anyOf(t)
	if out.kind == none {
		return typ{}
	}
	out.maybe = true
	return out
}

// call is what a call gives. Its further results are left in more; nil where nothing is known of them.
func (c *checker) call(e *syntax.Call, alone bool) typ {
	c.more = nil
	c.ofLink(e)
	f, self := c.callee(e)
	if alone && f.builtin != nil && f.builtin.Class == script.ClassPure && f.builtin.Given() != reflect.TypeFor[script.None]() {
		c.add(Warning, resultDropped, e.Func.Pos(), "give it to a variable, or record it", "what %s computes is not used", f.builtin.Name)
	}
	args := make([]typ, 0, len(e.Args)+1)
	if self != nil {
		args = append(args, *self)
	}
	for _, a := range e.Args {
		args = append(args, c.eval(a))
	}
	c.more = nil
	open := len(e.Args) > 0 && isMulti(e.Args[len(e.Args)-1])
	if open {
		if call, is := e.Args[len(e.Args)-1].(*syntax.Call); is && c.one(call) {
			open = false
		}
	}
	switch {
	case f.builtin != nil:
		return c.callBuiltin(f, e, args, open, self != nil)
	case f.given == "const":
		c.add(Error, notAFunction, e.Func.Pos(), "write it without ()", "this is a value, and no function")
		return anything
	case f.given != "":
		return c.callGiven(f.given, e, args)
	case f.fn != nil:
		return c.callOwn(f.fn, e, args, open)
	}
	if e.Method != nil && f.kind == all {
		c.foreignClass("string."+e.Method.Text, e, args)
	}
	for _, a := range args {
		c.handedOn(a)
	}
	switch f.kind {
	case none:
		return typ{}
	case isNumber, isText, isBool, isModule, isObject:
		if !f.maybe {
			c.add(Error, notAFunction, e.Func.Pos(), "", "%s is called, and is no function", c.nameOf(f))
		}
	case isNil:
		c.nothing(e.Func, "a call")
	}
	return anything
}

// one says whether a call gives one value.
func (c *checker) one(e *syntax.Call) bool {
	f, _ := c.calleeAgain(e)
	if f.fn != nil {
		return len(f.fn.results) == 1 && !f.fn.ends
	}
	return f.builtin != nil && f.builtin.Given() != reflect.TypeFor[script.Passed]() && f.builtin.Given() != reflect.TypeFor[script.None]()
}

func (c *checker) calleeAgain(e *syntax.Call) (typ, *typ) {
	quiet := c.quiet
	c.quiet = true
	defer func() { c.quiet = quiet }()
	return c.callee(e)
}

// callee is what a call calls, and the object of a method.
func (c *checker) callee(e *syntax.Call) (typ, *typ) {
	if e.Method == nil {
		if x, is := e.Func.(*syntax.Index); is && x.Dot {
			if of := c.eval(x.Object); of.kind == isObject {
				f := c.field(of, x.Key.(*syntax.Text).Value, text(x.Key.(*syntax.Text).Value), x)
				if f.builtin != nil && f.builtin.Object() != nil {
					c.add(Error, dotForColon, x.Key.Pos(), "write a colon before "+f.builtin.Method(), "%s is called with a dot, without its object", f.builtin.Name)
					return anything, nil
				}
			}
		}
		return c.eval(e.Func), nil
	}
	of := c.eval(e.Func)
	name := e.Method.Text
	key := &syntax.Index{Object: e.Func, Key: &syntax.Text{At: e.Method.At, Value: name}}
	switch of.kind {
	case isModule:
		f := c.member(of, name, text(name), key)
		if f.kind == isFunction {
			of := "the module"
			if f.builtin != nil {
				of = f.builtin.Name
			}
			c.add(Error, colonForDot, e.Method.At, "write a dot before "+name, "%s is called with a colon", of)
		}
		return anything, nil
	case isObject:
		return c.field(of, name, text(name), key), &of
	case isText:
		if fields := c.bare["string"]; !of.maybe && !slices.Contains(fields, name) {
			c.add(Error, noSuchFunction, e.Method.At, near(name, fields, "there are"), "a text has no function %s", short(name))
			return anything, nil
		}
		return typ{kind: isFunction, given: "string." + name}, &of
	case isTable:
		if of.table != nil && of.table.fields[name] != nil {
			return *of.table.fields[name], &of
		}
	}
	return anything, &of
}

// handedOn notes that something is given to what is not known.
func (c *checker) handedOn(t typ) {
	if t.table != nil {
		t.table.passed = true
		if !t.table.params {
			t.table.open, t.table.grown = true, true
		}
	}
	if t.fn != nil && !t.fn.exposed {
		t.fn.exposed = true
		for _, p := range t.fn.params {
			if p != nil && p.typ.table != c.params {
				p.typ = anything
			}
		}
	}
}

// callBuiltin judges a call of a builtin by its declaration.
func (c *checker) callBuiltin(f typ, e *syntax.Call, args []typ, open, method bool) typ {
	b := f.builtin
	device := b.Device()
	if f.device != "" {
		device = f.device
	}
	at := e.Func.Pos()
	if x, is := e.Func.(*syntax.Index); is {
		at = x.Object.Pos()
	}
	if c.at.fn == nil && b.Class != script.ClassPure {
		c.add(Error, stepWhileLoading, at, "call it inside run", "%s is called while the file is loaded", b.Name)
	}
	if c.final {
		c.judge(b, device, e, args, open, method, at)
	}
	read := false
	for _, a := range args {
		if a.table != nil && a.table.params {
			a.table.passed = true
		}
		read = read || deepRead(a, 0)
		if a.fn != nil {
			c.handedOn(a)
		}
	}
	steps := c.steps(b)
	out := c.given(b.Given(), "", read && b.Class == script.ClassPure || steps && reads(b, device))
	switch {
	case b.Name == "run.decide":
		out = typ{kind: all}
	case b.Name == "operator.choose" && len(args) > 1 && args[1].table != nil && !args[1].table.grown && !args[1].table.open:
		for _, word := range args[1].table.list {
			out.values = append(out.values, word.values...)
		}
		if slices.ContainsFunc(args[1].table.list, func(t typ) bool { return t.kind != isText || len(t.values) != 1 || t.some }) {
			out.values = nil
		}
	case b.Given() == reflect.TypeFor[script.Passed]():
		for _, a := range args {
			if a.fn != nil && len(a.fn.results) > 0 {
				out, c.more = a.fn.results[0], a.fn.results[1:]
			} else if a.fn != nil {
				out, c.more = typ{kind: isNil}, []typ{}
			}
		}
	case b.Name == "meter.named":
		out = typ{kind: isModule, module: c.moduleNamed("meter")}
		if len(args) > 0 && len(args[0].values) > 0 {
			out.device, _ = args[0].values[0].(string)
		}
	case (b.Name == "table:at" || b.Name == "table:column") && len(args) > 1:
		out = c.cellOf(b.Name, args)
	}
	if out.kind != all || b.Given() != reflect.TypeFor[script.Passed]() {
		if c.more == nil && b.Given() != reflect.TypeFor[script.Passed]() {
			c.more = []typ{}
		}
	}
	c.recorded(b, e, args, &out)
	return out
}

// steps says whether a builtin takes steps: one itself, or a scope that is given nothing to call.
func (c *checker) steps(b *script.Func) bool {
	if b.Class == script.ClassStep {
		return true
	}
	if b.Class != script.ClassScope {
		return false
	}
	return !slices.ContainsFunc(b.Plan().Fields, func(f declare.Field) bool {
		return f.Typ == reflect.TypeFor[declare.Function]() || f.Typ == reflect.TypeFor[*declare.Function]()
	})
}

// reads says whether a step gives what an instrument read, which draws change.
func reads(b *script.Func, device string) bool {
	return device == "meter" || device == "reference" || b.Name == "rig.lux"
}

func deepRead(t typ, depth int) bool {
	if t.read {
		return true
	}
	if t.table == nil || t.table.params || depth > 4 {
		return false
	}
	if deepRead(t.table.item, depth+1) {
		return true
	}
	for _, f := range t.table.fields {
		if deepRead(*f, depth+1) {
			return true
		}
	}
	return false
}

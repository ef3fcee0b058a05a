package check

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/fault"
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
	f, _ := c.callee0(e)
	if f.fn != nil {
		return len(f.fn.results) == 1 && !f.fn.ends
	}
	return f.builtin != nil && f.builtin.Given() != reflect.TypeFor[script.Passed]() && f.builtin.Given() != reflect.TypeFor[script.None]()
}

func (c *checker) callee0(e *syntax.Call) (typ, *typ) {
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

// judge puts the arguments before the checks of the declaration.
func (c *checker) judge(b *script.Func, device string, e *syntax.Call, args []typ, open, method bool, at syntax.Pos) {
	most := 1
	for _, a := range args {
		most = max(most, choices(a))
	}
	plan := b.Plan()
	var request any
	var failed error
	fits := false
	for k := range min(most, mostValues) {
		values := make([]any, 0, len(args))
		for _, a := range args {
			values = append(values, literal(a, k))
		}
		if open {
			values[len(values)-1] = script.Unknown{}
			for len(values) < len(plan.Positional)+map[bool]int{true: 1}[method] {
				values = append(values, script.Unknown{})
			}
		}
		asked, err := b.Judge(values)
		if err != nil && failed == nil {
			failed = err
		}
		if err != nil && !c.at.choice {
			break
		}
		if err == nil {
			fits, request = true, asked
		}
	}
	if failed != nil && !(fits && c.at.choice) { // a condition may keep away the values that do not fit
		c.wrongArgument(b, e, failed, at)
		return
	}
	c.shares(plan, e, args, method)
	if b.Class == script.ClassStep || c.steps(b) {
		if c.contract != nil {
			if err := script.Lacks(c.contract.Needed, device, request); err != nil {
				c.add(Error, needNotStated, at, fault.HintOf(err), "%s: %s", b.Name, err)
			}
		}
	}
}

// wrongArgument places what is wrong with a call.
func (c *checker) wrongArgument(b *script.Func, e *syntax.Call, err error, at syntax.Pos) {
	var wrong *fault.ArgError
	if !errors.As(err, &wrong) {
		c.add(Error, wrongArgument, at, fault.HintOf(err), "%s", err)
		return
	}
	name := wrongArgument
	switch {
	case wrong.Got == declare.WithDot:
		name = dotForColon
	case wrong.Got == "missing":
		name = argumentLeftOut
	case strings.Contains(wrong.Got, "has no argument") || strings.Contains(wrong.Got, "has no field"):
		name = noSuchArgument
	case strings.Contains(wrong.Got, "too many arguments"):
		name = tooManyArgs
	}
	c.add(Error, name, placeOf(b.Plan(), e, wrong, at), fault.HintOf(err), "%s", err)
}

// placeOf is where the argument stands that an error is about.
func placeOf(plan *declare.Plan, e *syntax.Call, wrong *fault.ArgError, at syntax.Pos) syntax.Pos {
	first, rest := cutPath(wrong.Arg)
	for i, n := range plan.Positional {
		if plan.Fields[n].Name == first && i < len(e.Args) {
			return inValue(e.Args[i], rest, wrong, nil)
		}
	}
	for i := len(e.Args) - 1; i >= 0; i-- {
		if t, is := e.Args[i].(*syntax.Table); is {
			return inValue(t, append([]string{first}, rest...), wrong, func(key string) bool {
				return slices.ContainsFunc(plan.Fields, func(f declare.Field) bool { return f.Name == key })
			})
		}
	}
	return at
}

// cutPath splits the name of an argument: tolerance.min, rgb[2], settings["a b"].
func cutPath(arg string) (string, []string) {
	var parts []string
	for _, p := range strings.FieldsFunc(arg, func(r rune) bool { return r == '.' || r == '[' || r == ']' }) {
		parts = append(parts, strings.Trim(p, `"`))
	}
	if len(parts) == 0 {
		return arg, nil
	}
	return parts[0], parts[1:]
}

// inValue follows a path into tables that are written out. Where it ends before a field that is not known, that field is meant.
func inValue(e syntax.Expr, path []string, wrong *fault.ArgError, known func(string) bool) syntax.Pos {
	t, is := e.(*syntax.Table)
	if !is {
		return e.Pos()
	}
	if len(path) > 0 {
		n, place := 0, 0
		if i, err := strconv.Atoi(path[0]); err == nil {
			place = i
		}
		for _, f := range t.Fields {
			if key, is := f.Key.(*syntax.Text); is && key.Value == path[0] {
				if len(path) == 1 && !strings.HasPrefix(wrong.Got, "has no") {
					return f.Value.Pos()
				}
				return inValue(f.Value, path[1:], wrong, nil)
			}
			if f.Key == nil {
				if n++; n == place {
					return inValue(f.Value, path[1:], wrong, nil)
				}
			}
		}
	}
	for _, f := range t.Fields {
		if key, is := f.Key.(*syntax.Text); is && strings.Contains(wrong.Got, declare.Quote(key.Value)) && (known == nil || !known(key.Value)) {
			return key.At
		}
	}
	return t.At
}

// shares finds a share of 1 where percent of a whole are wanted.
func (c *checker) shares(plan *declare.Plan, e *syntax.Call, args []typ, method bool) {
	for i := range plan.Fields {
		f := &plan.Fields[i]
		least := 1.0
		if f.Name == "relative" && slices.ContainsFunc(plan.Fields, func(f declare.Field) bool { return f.Name == "most" }) { // of a reading; what is asked for in vain costs the most readings
			least = 0.011
		} else if f.DefText != "100" {
			least = 0
		}
		if f.Unit != "%" || least == 0 {
			continue
		}
		for j, a := range e.Args {
			t, is := a.(*syntax.Table)
			if !is {
				continue
			}
			_ = j
			for _, x := range t.Fields {
				key, is := x.Key.(*syntax.Text)
				if !is || key.Value != f.Name {
					continue
				}
				v := c.eval0(x.Value)
				for _, n := range v.values {
					if n, is := n.(float64); is && n > 0 && n < least {
						c.add(Warning, shareForPercent, x.Value.Pos(), fmt.Sprintf("write %s = %s, if a share of the whole was meant", f.Name, declare.Number(100*n)),
							"%s is %s %%, which is very little", f.Name, declare.Number(n))
						break
					}
				}
			}
		}
	}
	_ = method
}

// callOwn is a call of a function of the script.
func (c *checker) callOwn(fn *function, e *syntax.Call, args []typ, open bool) typ {
	if !fn.exposed && fn.owner == c {
		for i, p := range fn.params {
			switch {
			case i < len(args) && !(open && i == len(args)-1):
				c.give(p, args[i])
			case open:
				c.give(p, anything)
			default:
				c.give(p, typ{kind: isNil})
			}
		}
	} else {
		for _, a := range args {
			if fn.owner != c || a.table == nil {
				c.handedOn(a)
			}
		}
	}
	if !open && c.final {
		c.counted(fn, e, args)
	}
	if len(fn.results) == 0 {
		c.more = []typ{}
		if endsWithReturn(fn.node.Body) {
			return typ{}
		}
		return typ{kind: isNil}
	}
	c.more = fn.results[1:]
	return fn.results[0]
}

// counted finds calls with too many arguments, or without one that is computed with.
func (c *checker) counted(fn *function, e *syntax.Call, args []typ) {
	if len(args) > len(fn.params) && !fn.node.Vararg {
		extra := e.Args[len(e.Args)-(len(args)-len(fn.params))]
		c.add(Warning, tooManyArgs, extra.Pos(), "leave it out", "the function takes %d arguments, and is given %d", len(fn.params), len(args))
		return
	}
	for i := len(args); i < len(fn.params); i++ {
		if p := fn.params[i]; p != nil && needsValue(fn.node.Body, fn.owner, p) {
			c.add(Error, argumentLeftOut, e.Func.Pos(), "give it", "the argument %s is left out, and the function computes with it", p.name)
			return
		}
	}
}

// needsValue says whether a body computes with a variable that it never tests, nor gives a value.
func needsValue(b *syntax.Block, c *checker, s *symbol) bool {
	if s.writes > 0 {
		return false
	}
	computes, tests := false, false
	is := func(e syntax.Expr) bool {
		id, ok := e.(*syntax.Ident)
		return ok && c.vars[id] == s
	}
	visit(b, func(n any) {
		switch n := n.(type) {
		case *syntax.Binary:
			if !is(n.X) && !is(n.Y) {
				return
			}
			switch n.Op {
			case "and", "or", "==", "~=":
				tests = true
			default:
				computes = true
			}
		case *syntax.Unary:
			tests = tests || n.Op == "not" && is(n.X)
			computes = computes || n.Op != "not" && is(n.X)
		case *syntax.Index:
			computes = computes || is(n.Object)
		case *syntax.If:
			for _, k := range n.Clauses {
				tests = tests || is(k.Cond)
			}
		case *syntax.While:
			tests = tests || is(n.Cond)
		}
	})
	return computes && !tests
}

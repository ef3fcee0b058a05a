package check

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
	"candelua/engine/syntax"
)

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
				v := c.evalAgain(x.Value)
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

package check

import (
	"regexp"
	"slices"
	"strings"

	"candelua/engine/syntax"
)

// callGiven is a call of what Lua gives to each script, or of what declares the file.
func (c *checker) callGiven(name string, e *syntax.Call, args []typ) typ {
	arg := func(i int) typ {
		if i < len(args) {
			return args[i]
		}
		return typ{kind: isNil}
	}
	if name == "string.format" {
		c.format(e, args)
	}
	c.foreignClass(name, e, args)
	read := false
	for _, a := range args {
		read = read || deepRead(a, 0) && a.kind != isObject
	}
	switch name {
	case "require":
		return c.require(e, args)
	case "procedure", "trial", "driver":
		c.declared(name, e)
		return anything
	case "tostring", "type", "string.format", "string.lower", "string.upper", "string.rep", "string.sub", "string.reverse", "string.char", "table.concat":
		c.more = []typ{}
		return typ{kind: isText}
	case "string.gsub":
		return typ{kind: isText}
	case "string.len", "string.byte":
		return typ{kind: isNumber}
	case "tonumber":
		c.more = []typ{}
		return typ{kind: isNumber, maybe: true, read: read}
	case "ipairs", "pairs", "next":
		return anything
	case "table.insert":
		if t := arg(0).table; t != nil && len(args) >= 2 {
			t.item, t.grown = join(t.item, args[len(args)-1]), true
		}
		return typ{kind: isNil}
	case "table.sort", "table.remove":
		if name == "table.sort" {
			c.sorted(e, args)
		}
		if t := arg(0).table; t != nil {
			t.grown = true
			out := t.item
			out.maybe = true
			if name == "table.remove" && out.kind != none {
				return out
			}
		}
		if f := arg(1).fn; f != nil {
			c.handedOn(arg(1))
		}
		return anything
	case "pcall", "xpcall":
		for _, a := range args {
			c.handedOn(a)
		}
		return typ{kind: isBool}
	case "assert", "select", "unpack":
		for _, a := range args {
			c.handedOn(a)
		}
		if name == "assert" {
			out := arg(0)
			out.maybe = false
			return out
		}
		return anything
	case "print", "error":
		for _, a := range args {
			if a.table != nil && a.table.params {
				a.table.passed = true
			}
		}
		return typ{kind: isNil}
	}
	if strings.HasPrefix(name, "math.") {
		for i, a := range args {
			if i < len(e.Args) && a.kind == isTable && !a.maybe {
				tip := "give it a number of the table"
				if name == "math.max" || name == "math.min" {
					tip = "write " + name + "(unpack(LIST))"
				}
				c.add(Error, objectAsNumber, e.Args[i].Pos(), tip, "%s takes numbers, and is given a table", name)
			} else if i < len(e.Args) {
				c.operand(a, e.Args[min(i, len(e.Args)-1)], name)
			}
		}
		out := typ{kind: isNumber, read: read}
		if slices.Contains([]string{"math.max", "math.min", "math.abs", "math.floor", "math.ceil"}, name) && len(args) > 0 {
			out.unit = args[0].unit
			for _, a := range args[1:] {
				if a.unit != out.unit {
					out.unit = ""
				}
			}
		}
		return out
	}
	for _, a := range args {
		c.handedOn(a)
	}
	return anything
}

// require is what a library returns.
func (c *checker) require(e *syntax.Call, args []typ) typ {
	if len(args) != 1 || len(args[0].values) != 1 || args[0].kind != isText {
		return anything
	}
	name := args[0].values[0].(string)
	lib, err := c.load(name)
	if err != nil {
		c.add(Error, noSuchLibrary, e.Args[0].Pos(), c.libraryMeant(name), "%s", err)
		return anything
	}
	if lib == nil {
		return anything
	}
	if lib.returned.table != nil && lib.returned.table.node != nil {
		c.libraries[lib.returned.table.node] = name
	}
	c.required = append(c.required, lib)
	return lib.returned
}

// declared notes what the file declares.
func (c *checker) declared(word string, e *syntax.Call) {
	c.declares = word
	if len(e.Args) != 1 {
		return
	}
	t, is := e.Args[0].(*syntax.Table)
	if !is {
		return
	}
	if c.final {
		c.judgeDeclaration(word, e, t)
	}
}

// findDeclaration finds the call that declares the file and, of a procedure, the functions that are given its parameters.
func (c *checker) findDeclaration(f *syntax.File) {
	texts := map[string]*syntax.Function{}
	visit(f.Body, func(n any) {
		switch n := n.(type) {
		case *syntax.LocalFunction:
			texts[n.Name.Text] = n.Func
		case *syntax.Local:
			for i, v := range n.Values {
				if fn, is := v.(*syntax.Function); is && i < len(n.Names) {
					texts[n.Names[i].Text] = fn
				}
			}
		case *syntax.Call:
			id, is := n.Func.(*syntax.Ident)
			if !is || n.Method != nil || len(n.Args) == 0 || !slices.Contains([]string{"procedure", "trial", "driver"}, id.Text) {
				return
			}
			c.declares, c.declaration = id.Text, n
			t, is := n.Args[0].(*syntax.Table)
			if !is || id.Text != "procedure" {
				return
			}
			for _, field := range t.Fields {
				key, isName := field.Key.(*syntax.Text)
				if !isName || key.Value != "run" && key.Value != "on_resume" {
					continue
				}
				fn, _ := field.Value.(*syntax.Function)
				if id, is := field.Value.(*syntax.Ident); is {
					fn = texts[id.Text]
				}
				if fn != nil {
					c.mains[fn] = true
					if key.Value == "run" {
						c.run = fn
					}
				}
			}
		}
	})
}

// verb is one place in a format, with its sign; %% is none.
var verb = regexp.MustCompile(`%[-+ #0]*[0-9]*(\.[0-9]+)?([A-Za-z%])`)

// format counts the places of a format that is written out.
func (c *checker) format(e *syntax.Call, args []typ) {
	if len(args) == 0 || len(e.Args) == 0 || isMulti(e.Args[len(e.Args)-1]) {
		return
	}
	text, known := oneText(&args[0])
	if !known {
		return
	}
	n := 0
	for _, m := range verb.FindAllStringSubmatch(text, -1) {
		if m[2] != "%" {
			n++
		}
	}
	switch given := len(args) - 1; {
	case given < n:
		c.add(Error, argumentLeftOut, e.Func.Pos(), "give one value for each %, and write %% for a percent sign", "the format has %d places, and %d values are given", n, given)
	case given > n:
		c.add(Warning, tooManyArgs, e.Func.Pos(), "give one value for each %, and write %% for a percent sign", "the format has %d places, and %d values are given", n, given)
	}
}

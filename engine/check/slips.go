package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/syntax"
)

// Slips are mistakes that Lua takes without a word, or that fail only after an hour of measuring: a loop that begins at
// place 0, a schedule whose period and duration are exchanged, readings that are sorted as if they were numbers.

// isReading says whether a value is surely a reading of a meter.
func isReading(t typ) bool {
	return t.kind == isObject && !t.maybe && declare.NameOf(t.object) == "reading"
}

// oneNumber is the only number that a value can be.
func oneNumber(t typ) (float64, bool) {
	if t.kind != isNumber || t.maybe || t.some || len(t.values) != 1 {
		return 0, false
	}
	n, is := t.values[0].(float64)
	return n, is
}

// counts looks at the ends of a loop that counts.
func (c *checker) counts(s *syntax.Count, from, to, step typ) {
	if a, known := oneNumber(from); known && a == 0 && s.Step == nil {
		c.fromZero(s)
	}
	a, knowsA := oneNumber(from)
	b, knowsB := oneNumber(to)
	d, knowsD := oneNumber(step)
	if !knowsA || !knowsB || !knowsD || d == 0 || d == math.Trunc(d) && a == math.Trunc(a) {
		return
	}
	rounds := (b - a) / d
	whole := math.Round(rounds)
	if rounds < 0.5 || whole > 1e5 || math.Abs(rounds-whole) > 1e-9 {
		return
	}
	x := a
	for range int(whole) {
		x += d // as Lua counts, with the error of each step
	}
	if d > 0 && x > b || d < 0 && x < b {
		c.add(Warning, endMissed, s.To.Pos(), fmt.Sprintf("count in whole numbers: for i = 0, %d do local %s = %s + i * %s", int(whole), s.Name.Text, shown(a), shown(d)),
			"the loop ends before %s, because %s is not exact in binary and its errors add up", shown(b), shown(d))
	}
}

// fromZero finds a loop from 0 to the length of a list that reads the list at the loop's variable: lists begin at 1.
func (c *checker) fromZero(s *syntax.Count) {
	length, is := s.To.(*syntax.Unary)
	if !is || length.Op != "#" {
		return
	}
	list, is := length.X.(*syntax.Ident)
	if !is || c.vars[list] == nil {
		return
	}
	visit(s.Body, func(n any) {
		x, is := n.(*syntax.Index)
		if !is {
			return
		}
		of, isName := x.Object.(*syntax.Ident)
		key, isKey := x.Key.(*syntax.Ident)
		if isName && isKey && c.vars[of] == c.vars[list] && c.vars[key] == c.vars[nameKey{s, 0}] {
			c.add(Warning, placeZero, s.From.Pos(), "begin at 1", "the loop reads place 0 of %s, and a list begins at place 1", of.Text)
		}
	})
}

// schedule finds a period and a duration that are exchanged.
func (c *checker) schedule(e *syntax.Call, t *table) {
	period, duration := t.fields["period"], t.fields["duration"]
	if period == nil || duration == nil {
		return
	}
	p, knowsP := oneNumber(*period)
	d, knowsD := oneNumber(*duration)
	if knowsP && knowsD && d > 0 && p > d {
		c.add(Warning, goesOnce, fieldPos(e, "period"), "the duration is that of the whole schedule", "the period (%s s) is longer than the duration (%s s), so that there is one tick only", shown(p), shown(d))
	}
}

// tickFirst finds a tick that is taken for the time.
func (c *checker) tickFirst(t *table) {
	run := t.fields["run"]
	if run == nil || run.fn == nil || len(run.fn.node.Params) != 1 || run.fn.owner != c {
		return
	}
	if p := run.fn.node.Params[0]; slices.Contains([]string{"seconds", "second", "s", "sec", "secs", "time", "elapsed"}, p.Text) {
		c.add(Warning, timeForTick, p.At, "write function(_, "+p.Text+")", "the first argument is the number of the tick, and the second is the time in seconds")
	}
}

// sorted finds a list of what cannot be compared with <.
func (c *checker) sorted(e *syntax.Call, args []typ) {
	if len(args) != 1 || args[0].table == nil || args[0].maybe || args[0].table.open {
		return
	}
	if item := args[0].table.item; isReading(item) {
		c.add(Error, objectAsNumber, e.Args[0].Pos(), "write table.sort(LIST, function(a, b) return a.Y < b.Y end)", "table.sort cannot tell which of two readings is the lower one")
	}
}

// valueTaken finds values and origins that record.value does not take.
func (c *checker) valueTaken(e *syntax.Call, t *table) {
	if v := t.fields["value"]; v != nil && !v.maybe {
		wrong := v.kind == isBool || v.kind == isFunction || v.kind == isModule || v.kind == isTable && v.table != nil && !v.table.params || v.kind == isObject && !isReading(*v)
		if wrong {
			tip := ""
			if v.kind == isObject && slices.Contains(c.fieldsOf(*v), "Y") {
				tip = "write .Y for its luminance, with its unit"
			} else if v.kind == isObject {
				tip = near("", c.fieldsOf(*v), "record one of its fields:")
			}
			c.add(Error, wrongArgument, fieldPos(e, "value"), tip, "record.value: value is %s; it must be a number, a text or a reading", c.nameOf(*v))
		}
	}
	if from := t.fields["from"]; from != nil && !from.maybe {
		item, of := *from, "from is"
		if from.table != nil && !from.table.grown && !from.table.open && len(from.table.names) == 0 && len(from.table.list) > 0 {
			item, of = from.table.list[0], "from[1] is"
		}
		if !item.maybe && (item.kind == isNumber || item.kind == isText || item.kind == isBool) {
			c.add(Error, wrongArgument, fieldPos(e, "from"), "write the reading itself, without .Y", "record.value: %s %s; it must be a reading", of, c.nameOf(item))
		}
	}
	if tol := t.fields["tolerance"]; tol != nil && tol.table != nil && tol.table.fields["min"] != nil && tol.table.fields["max"] != nil {
		low, knowsLow := oneNumber(*tol.table.fields["min"])
		high, knowsHigh := oneNumber(*tol.table.fields["max"])
		if knowsLow && knowsHigh && low > high {
			c.add(Error, wrongArgument, fieldPos(e, "tolerance"), "make min the lower one", "record.value: tolerance has a min (%s) above its max (%s)", shown(low), shown(high))
		}
	}
}

// asShare finds a ratio that is recorded as if it were in percent.
func (c *checker) asShare(v typ, unit string, at syntax.Pos) bool {
	if !v.ratio || unit != "%" {
		return false
	}
	c.add(Warning, unitDiffers, at, "multiply it by 100", "a ratio of two quantities is recorded in percent")
	return true
}

// ratioOf says whether arithmetic gives the ratio of two quantities of one unit, or what is left of it to 1.
func ratioOf(op string, x, y typ) bool {
	switch op {
	case "/":
		return x.kind == isNumber && y.kind == isNumber && x.unit != "" && x.unit != "%" && x.unit == y.unit
	case "-":
		n, known := oneNumber(x)
		m, knows := oneNumber(y)
		return known && n == 1 && y.ratio || knows && m == 1 && x.ratio
	}
	return false
}

// ofChromaticities finds y of one reading divided by y of another: the luminance was meant.
func (c *checker) ofChromaticities(e *syntax.Binary, x, y typ) {
	if e.Op != "/" || !x.bare || !y.bare {
		return
	}
	a, isA := e.X.(*syntax.Index)
	b, isB := e.Y.(*syntax.Index)
	if !isA || !isB || !isReading(c.evalAgain(a.Object)) || !isReading(c.evalAgain(b.Object)) {
		return
	}
	of, isOf := a.Object.(*syntax.Ident)
	by, isBy := b.Object.(*syntax.Ident)
	p, isP := a.Key.(*syntax.Text)
	q, isQ := b.Key.(*syntax.Text)
	if isOf && isBy && isP && isQ && p.Value == "y" && q.Value == "y" && c.vars[of] != c.vars[by] {
		c.add(Warning, chromaticityRatio, e.At, "write Y for the luminance", "the chromaticity y of two readings is divided")
	}
}

// foreignClass finds a class of other languages' patterns, \d, in a pattern of Lua.
func (c *checker) foreignClass(name string, e *syntax.Call, args []typ) {
	if !slices.Contains([]string{"string.match", "string.gmatch", "string.find", "string.gsub"}, name) || len(args) < 2 {
		return
	}
	pattern, known := oneText(&args[1])
	if !known || args[1].some {
		return
	}
	for _, class := range []string{`\d`, `\s`, `\w`, `\S`, `\D`, `\W`} {
		if strings.Contains(pattern, class) {
			at := e.Args[len(e.Args)-(len(args)-1)].Pos()
			c.add(Warning, otherDialect, at, "write %"+class[1:]+" in place of "+class, "%s is not in the patterns of Lua", class)
			return
		}
	}
}

// ofLink looks at a call of a function of the link that a driver is given, which its functions call link.
func (c *checker) ofLink(e *syntax.Call) bool {
	known := c.k.Kinds[c.declares].Link
	if len(known) == 0 {
		return false
	}
	object, name, dot := e.Func, e.Method, false
	if x, is := e.Func.(*syntax.Index); is && e.Method == nil && x.Dot {
		key := x.Key.(*syntax.Text)
		object, name, dot = x.Object, &syntax.Name{At: key.At, Text: key.Value}, true
	}
	id, is := object.(*syntax.Ident)
	if !is || name == nil || id.Text != "link" || c.vars[id] == nil || c.vars[id].what != "argument" {
		return false
	}
	switch {
	case !slices.Contains(known, name.Text):
		c.add(Error, noSuchFunction, name.At, near(name.Text, known, "it has"), "link has no function %s", short(name.Text))
	case dot:
		c.add(Error, dotForColon, name.At, "write a colon before "+name.Text, "link:%s is called with a dot, without its object", name.Text)
	default:
		return false
	}
	return true
}

// escapes finds \d and the like in texts: Lua reads the letter alone.
func (c *checker) escapes(tree *syntax.File) {
	for _, x := range tree.Escapes {
		tip := "write \\\\ for a backslash"
		if strings.Contains("dswDSW", x.Letter) {
			tip = "in a pattern, write %" + x.Letter
		}
		c.add(Warning, otherDialect, x.At, tip, "\\%s in a text is no escape of Lua 5.1, and reads as %s", x.Letter, x.Letter)
	}
}

// loose finds tolerances of a trial that let even a value of 0 pass.
func (c *checker) loose(of *table) {
	expect := of.fields["expect"]
	if expect == nil || expect.table == nil || of.fields["draws"] != nil { // which tests what the values state of themselves
		return
	}
	for _, id := range expect.table.names {
		x := expect.table.fields[id]
		if x.table == nil || x.table.node == nil || x.table.fields["unit"] == nil || x.table.fields["within"] == nil {
			continue
		}
		unit, _ := oneText(x.table.fields["unit"])
		within, known := oneNumber(*x.table.fields["within"])
		if unit == "%" && known && within >= 100 {
			c.add(Warning, cannotFail, fieldIn(x.table.node, "within"), "state how far the value may be from the truth, in percent", "within %s %% of the truth, a value of 0 passes too", shown(within))
		}
	}
}

// truths finds functions of a truth that no world has.
func (c *checker) truths(of *table) {
	known := c.k.Kinds[c.declares].Truths
	expect := of.fields["expect"]
	if expect == nil || expect.table == nil || len(known) == 0 {
		return
	}
	for _, id := range expect.table.names {
		x := expect.table.fields[id]
		if x.table == nil || x.table.fields["truth"] == nil {
			continue
		}
		t := x.table.fields["truth"].table
		if t == nil || t.node == nil || t.open || len(t.names) != 1 || slices.Contains(known, t.names[0]) {
			continue
		}
		c.add(Error, noSuchFunction, keyPos(t.node, t.names[0]), near(t.names[0], known, "it has"), "the simulated world has no truth %s", short(t.names[0]))
	}
}

// neither finds a file that declares nothing and, as a library, gives nothing.
func (c *checker) neither(tree *syntax.File) {
	if c.declares != "" || returns(tree.Body) || len(c.globals) > 0 {
		return
	}
	at := syntax.Pos{Line: 1}
	c.add(Warning, nothingReturned, at, "end a procedure's file with return procedure { … }; candelua api procedure shows one", "the file returns neither a procedure, trial or driver, nor the functions of a library")
}

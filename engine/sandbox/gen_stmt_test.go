package sandbox

import (
	"fmt"
	"strings"
)

func (g *generator) statements(n int) {
	for range n {
		if g.budget--; g.budget < 0 {
			break
		}
		g.statement()
	}
}

// body writes a block's statements.
func (g *generator) body(s *genScope, n int) {
	g.push(s)
	g.statements(n)
	g.pop()
}

func (g *generator) statement() {
	deep := len(g.scopes) > 5
	if g.IntN(3) == 0 {
		g.edge()
		return
	}
	switch k := g.IntN(24); {
	case k < 3:
		g.declare()
	case k < 6:
		g.assign()
	case k < 8:
		g.line("show(%s)", g.many(1+g.IntN(3), 2))
	case k < 10 && !deep:
		g.branch()
	case k < 15 && !deep:
		g.loop()
	case k < 17 && !deep:
		g.function()
	case k == 17 && !deep:
		g.line("do")
		g.body(&genScope{}, 1+g.IntN(3))
		g.line("end")
	case k == 18:
		g.closure()
	case k == 19:
		g.table()
	case k == 20 && !deep:
		g.line("show((pcall(function(...)")
		g.body(&genScope{function: true, varargs: true}, 1+g.IntN(3))
		g.line("  if %s then error('e') end", g.bool(1))
		g.line("end, 5, 6)))")
	case k == 21 && !deep:
		g.method()
	case k == 22:
		g.leave()
	default:
		g.assign()
	}
}

func (g *generator) declare() {
	n := 1 + g.IntN(3)
	names := make([]string, n)
	for i := range names {
		names[i] = g.name("v")
	}
	g.line("local %s = %s", strings.Join(names, ", "), g.numbers(n, 2))
	g.top().numbers = append(g.top().numbers, names...)
}

// target writes something that a number can be assigned to.
func (g *generator) target() string {
	if t := g.tables(); len(t) > 0 && g.IntN(3) == 0 {
		to := g.one(t...)
		return to + g.one("[1]", ".x", ".y", "[#"+to+"]")
	}
	return g.number()
}

func (g *generator) assign() {
	switch n := 1 + g.IntN(4); n {
	case 2, 3:
		targets := make([]string, n)
		for i := range targets {
			targets[i] = g.target()
		}
		g.line("%s = %s", strings.Join(targets, ", "), g.numbers(n, 2))
	default:
		v := g.target()
		g.line("%s = %s", v, g.one(g.num(3), fmt.Sprintf("%s and %s or %s", g.bool(2), g.num(2), g.num(1)), g.paren(g.num(2))))
	}
}

func (g *generator) branch() {
	g.line("if %s then", g.bool(2))
	g.body(&genScope{}, g.IntN(3))
	if g.IntN(3) == 0 {
		g.line("elseif %s then", g.bool(2))
		g.body(&genScope{}, 1+g.IntN(2))
	}
	if g.IntN(2) == 0 {
		g.line("else")
		g.body(&genScope{}, g.IntN(3))
	}
	g.line("end")
}

// loop writes a loop that ends.
func (g *generator) loop() {
	in := &genScope{loop: true}
	if g.IntN(3) == 0 {
		in.label = g.name("next")
	}
	open, shut := "", ""
	if in.label != "" {
		open, shut = "\x01\x02repeat\x03", fmt.Sprintf("\x01::%s::\x02until true\x03", in.label)
	}
	inside := func(last string) {
		if open != "" {
			g.line("%s", open)
		}
		g.body(in, 1+g.IntN(4))
		if shut != "" {
			g.line("%s", shut)
		}
		if last != "" {
			g.line("  %s", last)
		}
	}
	switch g.IntN(6) {
	case 0:
		v := g.name("i")
		in.numbers = []string{v}
		g.line("for %s = %s do", v, g.one("1, 3", "3, 1, -1", "1, 2, 0.5", "2, 1", "1, #{1, 2}", "'1', ' 0x2 '", "-0, 1", "'2', 1, '-0.5'", "0, -1, -1", "1, '1e0', 1"))
		inside("")
		g.line("end")
	case 1:
		k, v := g.name("k"), g.name("v")
		in.numbers = []string{k, v}
		g.line("for %s, %s in %s do", k, v, g.one("ipairs({4, 5, 6})", "next, {7, 8}", "next, {9}, nil", "pairs({3, 2})"))
		inside("")
		g.line("end")
	case 2:
		c, v := g.name("c"), g.name("v")
		in.numbers = []string{v}
		g.line("local %s = 0", c)
		g.line("for %s in function() %s = %s + 1 if %s < 4 then return %s end end do", v, c, c, c, c)
		inside("")
		g.line("end")
	case 3:
		c := g.name("c")
		g.line("local %s = 0", c)
		g.line("while %s and %s < 3 do %s = %s + 1", g.one("true", "1", "(not nil)", "(false or true)"), c, c, c)
		inside("")
		g.line("end")
	case 4:
		c := g.name("c")
		g.line("local %s = 0", c)
		g.line("while %s do", g.one("true", "1", "not false", g.bool(1)))
		g.line("  %s if %s >= 3 then break end %s = %s + 1", g.one("", "if false then show(1) end", "local z = nil and 1"), c, c, c)
		in.label, open, shut = "", "", ""
		inside("")
		g.line("end")
	default:
		c := g.name("c")
		g.line("local %s = 0", c)
		g.line("repeat")
		in.label, open, shut = "", "", ""
		w := g.name("w")
		g.line("  %slocal %s = %s", g.one("", "while false do show(1) end ", "if nil then break end "), w, c)
		in.numbers = []string{w}
		inside(fmt.Sprintf("%s = %s + 1", c, c))
		g.line("until %s >= 2 or %s", c, g.one(w+" > 5", g.bool(1), "false", "nil"))
	}
}

// leave writes a break, a continue or a return, as is possible here.
func (g *generator) leave() {
	condition := g.one("true", g.bool(1), g.bool(2))
	for i := len(g.scopes) - 1; i >= 0; i-- {
		s := g.scopes[i]
		switch {
		case s.loop && s.label != "":
			if g.IntN(2) == 0 {
				g.line("if %s then \x01goto %s\x02break\x03 end", condition, s.label)
			} else {
				v := g.name("u")
				g.line("do local %s = %s; g%d = function() %s = %s + 1 return %s end; g%d = g%d() if %s then \x01goto %s\x02break\x03 end end",
					v, g.num(1), 3, v, v, v, 3, 3, condition, s.label)
			}
			return
		case s.loop:
			g.line("if %s then break end", condition)
			return
		case s.function && i > 0 && !s.method:
			g.line("if %s then return %s end", condition, g.numbers(1+g.IntN(2), 2))
			return
		case s.function:
			return
		}
	}
}

func (g *generator) function() {
	f := g.name("f")
	params := []string{g.name("p"), g.name("p")}[:g.IntN(3)]
	s := &genScope{function: true, varargs: g.IntN(2) == 0, numbers: params}
	list := append([]string(nil), params...)
	if s.varargs {
		list = append(list, "...")
	}
	g.line("%s(%s)", g.one("local function "+f, "local "+f+" = function"), strings.Join(list, ", "))
	for _, p := range params {
		g.line("  %s = %s or 1", p, p)
	}
	g.body(s, 1+g.IntN(4))
	g.push(s)
	g.line("return %s", g.one(g.num(2), g.numbers(2, 1), g.num(1)+", "+g.num(1)))
	g.pop()
	g.line("end")
	g.top().functions = append(g.top().functions, f)
}

// closure makes closures over a variable, some in a loop, and calls them later.
func (g *generator) closure() {
	c, v := g.name("c"), g.number()
	switch g.IntN(3) {
	case 0:
		g.line("local %s = function() %s = (%s) + 1 return %s end", c, v, v, v)
		g.line("show(%s(), %s, %s())", c, v, c)
		g.top().functions = append(g.top().functions, c)
	case 1:
		g.line("local %s = {}", c)
		g.line("for q = 1, 3 do local z = q * 2 %s[q] = function(d) z = z + (d or 1) return z, q end %s end", c,
			g.one("", "if z == 4 then break end", "z = z + 1"))
		g.line("show(%s[1](), %s[2](%s), %s[1]())", c, c, v, c)
	default:
		g.line("local %s", c)
		g.line("while true do do local y = %s; %s = function() y = y + 1 return y end; if %s then break end end break end", g.num(1), c, g.bool(1))
		g.line("local %s, %s = 50, 60 show(%s(), %s())", g.name("z"), g.name("z"), c, c)
	}
}

func (g *generator) table() {
	t := g.name("t")
	switch g.IntN(5) {
	case 0:
		n := g.one("49", "50", "51", "100", "101")
		var count int
		fmt.Sscan(n, &count)
		g.line("local %s = { %s, %s }", t, strings.TrimSuffix(strings.Repeat("1, ", count), ", "), g.one("2", "x = 3", "unpack({7, 8})", "y = 1, 9"))
	case 1:
		g.line("local %s = { %s, x = %s, [%s] = 4, %s }", t, g.num(2), g.num(2), g.one(`"y"`, "0", "true"), g.num(1))
	default:
		g.line("local %s = { %s, x = %s }", t, g.numbers(1+g.IntN(3), 2), g.num(1))
	}
	g.line("show(#%s, %s[1], %s[50], %s[51], %s[52], %s[101], %s.x)", t, t, t, t, t, t, t)
	g.top().tables = append(g.top().tables, t)
}

func (g *generator) method() {
	o, p := g.name("o"), g.name("p")
	g.line("local %s = { n = %s }", o, g.num(1))
	g.line("function %s:add(%s, ...)", o, p)
	g.line("  %s = %s or 2", p, p)
	g.body(&genScope{function: true, varargs: true, method: true, numbers: []string{"self.n", p}}, 1+g.IntN(2))
	g.line("  self.n = self.n + 1 return self, %s", p)
	g.line("end")
	g.line("show(%s:add(%s):add().n, (select(2, %s:add(3))))", o, g.num(1), o)
}

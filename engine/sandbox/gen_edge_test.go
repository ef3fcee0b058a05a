package sandbox

import (
	"fmt"
	"strings"
)

// edge writes a statement in which interpreters differ at the edges: varargs into variables,
// long constructors, %, signed zeros, errors and levels, the order of evaluation,
// conversions.
func (g *generator) edge() {
	deep := len(g.scopes) > 5
	switch g.IntN(12) {
	case 11:
		g.power()
	case 10:
		g.texts()
	case 0:
		g.varargs()
	case 1:
		g.long()
	case 2, 3:
		g.zeros()
	case 4:
		g.levels()
	case 5:
		g.sequence()
	case 6:
		g.late()
	case 7:
		g.conversion()
	case 8:
		g.meta()
	default:
		if !deep {
			g.constants()
		}
	}
}

func (g *generator) constant() string {
	return g.one("0", "0", "1", "2", "3", "7", "1.5", "0x10", "010", "1e2", ".5", "0.1", "0.2", "6", "50", "97", "1e15", "1e-7", "1e300", "0.0", "0e5")
}

// edgeNumber is any constant, also those that are no numeral.
func (g *generator) edgeNumber() string {
	return g.one("", "-") + g.one(g.constant(), g.constant(), "5e-324", "1e308", "(1/0)", "(0/0)", "math.huge", "2^53", "0", "'0'", "' 2 '", "(0 * -1)", "1e999")
}

// varargs assigns from the values of a function to variables of its own.
func (g *generator) varargs() {
	f, a, b, c := g.name("va"), g.name("a"), g.name("b"), g.name("c")
	params := g.one("...", "q, ...", "q, r, ...")
	g.line("local function %s(%s) local %s, %s, %s = %s, %s, false", f, params, a, b, c, g.num(1), g.num(0))
	for range 1 + g.IntN(3) {
		g.line("  %s", strings.NewReplacer("A", a, "B", b, "C", c).Replace(g.one(
			"A = (...)", "A = ...", "B = (...)", "A, B = (...), 3", "A, B = ...", "A = A and (...)", "A = A or (...)", "A = (... or 5)", "B = (select(2, ...))",
			"C = not ...", "local d = (...) A = d", "A = ({...})[1]", "A = #{...}", "A = #{(...)}", "A = {...} A = A[2]", "A = {(...), ...} A = #A", "g1 = (...) or 2",
			"local t = {} t[1], A = (...), ... B = t[1]", "local function h() A = B return A end B = (h(...))", "A, B, C = ...", "A = -((...) or 0)", "if (...) then B = (...) end",
			"A = ((...))", "A, C = (...)", "A = txt(...)", "A = (txt(...))", "for z = 1, 2 do A = (...) end", "do local e, f = 6, 7 A = (...) B = e + f end")))
	}
	g.line("  show(%s, %s, %s) return %s, %s end", a, b, c, b, g.one(a, "...", "(...)"))
	g.line("show(%s(%s))", f, g.numbers(g.IntN(5), 1))
}

// long writes a constructor of about a multiple of fifty items.
func (g *generator) long() {
	t := g.name("l")
	g.line("local %s = %s", t, g.items(1))
	g.line("do local s, n = 0, 0 for i = 1, #%s + 3 do local v = %s[i] if type(v) == 'table' then v = #v + (tonumber(v[51]) or 0.5) end n = n + 1 s = s + n * (tonumber(v) or 0.25) end order(#%s, s, %s.x, %s.y, %s[-1]) end",
		t, t, t, t, t, t)
}

func (g *generator) items(depth int) string {
	n := 50*(1+g.IntN(4)) + g.IntN(5) - 2
	if g.IntN(6) == 0 {
		n = g.IntN(4)
	}
	list := make([]string, 0, n+8)
	for i := range n {
		s := fmt.Sprint(i % 7)
		if g.IntN(40) == 0 {
			s = g.one("p(3, 4)", "(p(3, 4))", "g1", "-0", "p(6)", "#{1, 2, 3}", "unpack({8, 9})")
		}
		if g.IntN(60) == 0 && depth > 0 {
			s = g.items(depth - 1)
		}
		if near := i % 50; near < 2 || near > 47 {
			if g.IntN(8) == 0 {
				list = append(list, g.one("x = p(1, 2)", "y = p(5)", "[-1] = p(4, 5)", "x = 3", "[p('k')] = p(1, 2)", "[{}] = 5", "x = {p(1, 2)}"))
			}
			if g.IntN(5) == 0 {
				s = g.one("p(1, 2)", "p(2)", "(p(1, 2))")
			}
		}
		list = append(list, s)
	}
	for range g.IntN(4) {
		list = append(list, g.one("p(1, 2)", "p(1, 2, 3)", "(p(4, 5))", "x = p(7, 8)", "unpack({1, 2, 3})", "y = 2", "g2", "{p(1, 2)}", "[-p(9)] = p(8, 7)"))
	}
	if g.inVarargs() && g.IntN(4) == 0 {
		list = append(list, g.one("...", "((...) or 1)"))
	}
	return "{ " + strings.Join(list, ", ") + " }"
}

// zeros computes with the numbers at the edges, as constants and as variables.
func (g *generator) zeros() {
	a, b := g.name("z"), g.name("z")
	g.line("do local %s, %s = %s, %s", a, b, g.edgeNumber(), g.edgeNumber())
	op := func() string { return g.one("%", "%", "%", "*", "/", "+", "-") }
	one := func() string { return g.one(a, b, g.edgeNumber()) }
	g.line("  show(%s %s %s, %s %s %s, - %s)", a, op(), b, one(), op(), one(), one())
	g.line("  show(%s)", g.one(
		fmt.Sprintf("math.atan2(%s * 0, %s)", one(), one()), fmt.Sprintf("1 / (%s %s %s)", one(), op(), one()),
		fmt.Sprintf("math.max(%s, %s), math.min(%s, %s)", one(), one(), one(), one()),
		fmt.Sprintf("(%s) ^ %s", g.one("0", "-0", "2", "-2", a+" * 0", "(-1/0)", "0.5"), g.one("0", "1", "2", "3", "-1", "-3", "(1/0)")),
		fmt.Sprintf("math.floor(%s), math.ceil(%s), math.abs(%s)", one(), one(), one()),
		fmt.Sprintf("math.fmod(%s, %s), math.modf(%s)", one(), one(), one()),
		fmt.Sprintf("txt(%s %s %s) .. '|' .. %s", one(), op(), one(), g.one("-0", "0", "0 * -1")),
		fmt.Sprintf("#{%s, %s}, ({[%s * 0] = 1})[0]", one(), one(), b),
		fmt.Sprintf("%s %s %s %s %s", one(), op(), one(), op(), one()),
		fmt.Sprintf("-(%s %s -%s)", one(), op(), g.constant()),
		fmt.Sprintf("(function(q) q = q %s %s return q, -q end)(%s)", op(), one(), one()),
	))
	g.line("end")
}

// constants writes a function of which the constants are computed when it is compiled.
func (g *generator) constants() {
	zero := func() string {
		return g.one("0", "-0", "0", "-0", "0 * -1", "1 - 1", "(1 and 0)", "(nil or -0)", "-(0)", "0 / 3", "0 / -3", "-6 % 3", "6 % -3", "(g1 and 0)", "(nil and 0 or -0)", "(0 / 0)", "-0 - 0", "0 ^ 3",
			"(not 0)", "(0 and 5)", "({[0] = -0})[0]", "({-0, 0})[2]", "2^-2", "(1 / -0)", "1 / (1 / 0)", "-1 / (1 / 0)", "5 % (1 / 0)", "-5 % (1 / 0)", "(g1 or 0)", "#'' * -1", "(0 < -0)")
	}
	f, x := g.name("k"), g.name("x")
	g.line("local function %s(%s)", f, x)
	for range 1 + g.IntN(3) {
		g.line("  %s", g.one(
			fmt.Sprintf("show(%s, %s)", zero(), zero()), fmt.Sprintf("local y = %s show(y)", zero()), fmt.Sprintf("%s = %s", x, zero()),
			fmt.Sprintf("show(0 + (%s * %s))", g.one("-0", "0"), x), fmt.Sprintf("if %s then show(%s) end", zero(), zero()), fmt.Sprintf("show(%s and %s, %s or %s)", zero(), zero(), x, zero()),
			fmt.Sprintf("local t = {%s, [%s] = %s} show(t[1])", zero(), g.one("0", "-0", "1", "'k'"), zero()), fmt.Sprintf("show((function() return %s, %s end)())", zero(), zero()),
			fmt.Sprintf("for i = %s, %s do show(i) break end", g.one("0", "-0", "0 * -1"), g.one("0", "-0", "1")), fmt.Sprintf("show(%s == %s, %s .. '')", zero(), g.one("0", "-0", "nil"), g.one("0", "-0", "(0 * -1)")),
			fmt.Sprintf("while %s do show(%s) break end", g.one("0", "-0", x), zero()), fmt.Sprintf("repeat local q = %s show(q) until %s", zero(), g.one("0", "-0")),
			fmt.Sprintf("show(%s %s %s)", g.paren(zero()), g.one("<", "==", "<=", "~="), g.one("0", "-0")), fmt.Sprintf("%s = %s show(-%s)", x, g.one("0", "-0"), x), "show(- -0, - - -0)"))
	}
	g.line("  return %s end", g.one(zero(), zero()+", "+zero(), x))
	g.line("show(pcall(%s, %s))", f, g.one("-0", "0", "1", "-1", g.number()))
}

// levels raises values at levels, through calls of all kinds.
func (g *generator) levels() {
	e, f := g.name("e"), g.name("e")
	value := g.one("'m'", "'m'", "42", "-0", "{}", "nil", "true", "''", "print", "'7'", "1.5")
	g.line("local function %s(l) error(%s, l) end local function %s(l) %s end", e, value, f,
		g.one(e+"(l)", "return "+e+"(l)", "local x = "+e+"(l) return x", "return ("+e+"(l))", "pcall("+e+", l) "+e+"(l)", "error("+value+", l)", "return error("+value+", l)"))
	level := func() string { return g.one("0", "1", "2", "3", "4", "nil", "7", "'1'") }
	one := g.one(e, f)
	g.line("show(%s)", g.one(
		fmt.Sprintf("pcall(error, %s, %s)", value, level()), fmt.Sprintf("pcall(error%s)", g.one("", ", "+value)), fmt.Sprintf("pcall(%s, %s)", one, level()),
		fmt.Sprintf("pcall(pcall, %s, %s)", one, level()), fmt.Sprintf("xpcall(function() %s(%s) end, function(m) return m, 1 end)", one, level()),
		fmt.Sprintf("xpcall(%s, function(m) return type(m) end)", one), fmt.Sprintf("pcall(function() local q = %s(%s) return q end)", one, level()),
		fmt.Sprintf("pcall(function() return %s(%s) end)", one, level()), fmt.Sprintf("pcall(string.gsub, 'a', 'a', function() %s(%s) end)", one, level()),
		fmt.Sprintf("pcall(table.sort, {1, 2}, function() %s(%s) end)", one, level()), fmt.Sprintf("pcall(function() return setmetatable({}, {__index = function() %s(%s) end}).x end)", one, level()),
		fmt.Sprintf("pcall(function() for i = 1, 2 do %s(%s) end end)", one, level()), fmt.Sprintf("pcall(assert, %s)", g.one("false, 'a'", "nil", "false, 42", "1, 2", "nil, 'b', 3")),
		fmt.Sprintf("pcall(function() assert(%s) end)", g.one("false, 'a'", "nil", "false, 42", "1 == 2, 'x'", "1")), fmt.Sprintf("pcall(function() local ok, m = pcall(%s, %s) error(m, %s) end)", one, level(), level()),
		fmt.Sprintf("type(select(2, pcall(error, %s, %s)))", value, level()), "pcall(function() return nil + 1 end)", "pcall(function() local n n.x = 1 end)", "pcall(xpcall, "+one+", txt)",
		"pcall(function() for i = 1, 'x' do end end)", "pcall(function() return 'x' + 1 end)", "pcall(function() return {} .. 'x' end)", "pcall(function() return #nil end)", "pcall(function() return 1 < '2' end)"))
}

// sequence shows the order in which parts of a statement are computed.
func (g *generator) sequence() {
	t := g.name("s")
	g.line("local %s = {{}, {}, {}, {}, x = {}}", t)
	p := func() string { return fmt.Sprintf("p(%d%s)", 1+g.IntN(4), g.one("", "", ", 5", ", 6, 7")) }
	target := func() string {
		return g.one(fmt.Sprintf("%s[%s]", t, p()), fmt.Sprintf("%s[%s][%s]", t, p(), p()), fmt.Sprintf("p(%s)[%s]", t, p()), "g2", t+".y", fmt.Sprintf("p(%s).x", t), t+"[1]")
	}
	list := func(one func() string) string {
		all := make([]string, 1+g.IntN(3))
		for i := range all {
			all[i] = one()
		}
		return strings.Join(all, ", ")
	}
	g.line("show(pcall(function() %s end))", g.one(
		fmt.Sprintf("%s = %s", list(target), list(p)), fmt.Sprintf("%s = %s", list(target), list(p)), fmt.Sprintf("local a, b = %s show(a, b)", list(p)), fmt.Sprintf("show(%s + %s * -%s)", p(), p(), p()),
		fmt.Sprintf("show(%s .. %s .. %s)", p(), p(), p()), fmt.Sprintf("show(#{%s, [-%s] = %s, x = %s, %s})", p(), p(), p(), p(), p()), fmt.Sprintf("show(%s < %s, %s >= %s)", p(), p(), p(), p()),
		fmt.Sprintf("p(show)(%s)", list(p)), fmt.Sprintf("return %s", list(p)), fmt.Sprintf("for i = %s, %s, %s do end", p(), p(), p()), fmt.Sprintf("show((%s and %s) or %s)", p(), p(), p()),
		fmt.Sprintf("show(p('ab'):rep(%s))", p()), fmt.Sprintf("%s, g2 = %s", target(), p()), fmt.Sprintf("setmetatable(%s, {__newindex = function(_, k) p(k) end}) %s = %s", t, list(target), list(p))))
	g.line("order(rawget(_G, 'g2'), %s.y) g2 = 2", t)
}

// late has functions that change variables of which an expression has read, or not yet.
func (g *generator) late() {
	i, t, f := g.name("i"), g.name("t"), g.name("f")
	g.line("do local %s, %s, u = %s, {1, 2, 3, {}}, {}", i, t, g.one("1", "2", "-0"))
	r := strings.NewReplacer("I", i, "T", t, "F", f)
	g.line("  %s", r.Replace(g.one("local function F() I = I + 1 return I end", "local function F() I = I + 1 T = {5, 6, 7} return I, T end", "local F = function() T, I = u, 3 return 1 end")))
	for range 1 + g.IntN(2) {
		g.line("  show(pcall(function(...) %s%s return 1 end, 1, 2))", r.Replace(g.one("", "local I, T = 1, {4, 5} local function F() I = I + 1 T = {9} return I end ")), r.Replace(g.one(
			"T[I] = F()", "T[I], I = F(), 3", "I, T[I] = F(), 3", "T[I], T[F()] = F(), I", "T[I], u = F()", "show(I + F(), F() + I)", "show(I < F(), I == F(), F() >= I)",
			"show(I .. F() .. I)", "show(({I, F(), I})[2])", "show(({I, F(), I})[1])", "show(({[I] = F()})[I])", "show(T[I], F(), T[I])", "show(T[F()], T[I])", "show((T[I] or 0) + F())",
			"local a, b = I, F() show(a, b)", "local a, b = F(), I show(a, b)", "I, T = F(), I", "T[I] = I + F()", "T.x, T[I] = I, F()", "T[I] = (F())", "T[I] = (...)", "T[I], u[I] = ..., F()", "show(I % F(), -I, I * F())",
			"show((I and F()) or I, I or F())", "I = F() + I", "I = I and F() + I", "u[1], T[I], I = I, F(), T", "T, T[I] = u, F()", "T[I], T = F(), u", "for q = I, F() do show(q) end")))
	}
	g.line("  show(%s, %s[1], %s[2], %s[3], u[1], u[2]) end", i, t, t, t)
}

// conversion writes what becomes a number, or text.
func (g *generator) conversion() {
	text := g.one("'", "' ", "'-", "'+", "' -", "'--") + g.one("10", "0x10", "1e1", "0x1.8", "0x1p4", "0x.8p-1", "inf", "nan", "infinity", "ff", "0", "", ".", "5.", ".5", "1e", "1e+", "0x", "0xg", "12x", "1 2", "zz", "0b1", "1_0", "010", "1e400", "-0", "nan(1)") +
		g.one("'", "'", " '", "\\n'", "\\0x'", "x'")
	g.line("show(%s)", g.one(
		fmt.Sprintf("tonumber(%s), tonumber(%s, 10)", text, text), fmt.Sprintf("tonumber(%s, %s)", text, g.one("2", "8", "16", "36", "10", "'16'")), fmt.Sprintf("pcall(function() return %s %s %s end)", text, g.one("+", "*", "%", "-", "/"), g.one("1", "-1", text)),
		fmt.Sprintf("pcall(function() return -%s end)", text), fmt.Sprintf("%s .. %s", g.one("1", "-0", "1.5", "1e100", "0.1", "123456789012345"), text), fmt.Sprintf("pcall(function() for i = %s, 1 do return i end end)", text),
		fmt.Sprintf("pcall(math.floor, %s)", text), fmt.Sprintf("pcall(string.rep, 'x', %s)", g.one("'2'", "2.9", "'0x2'", "-1", "'x'")), fmt.Sprintf("(%s) == %s, ({[1] = 2})[%s]", g.one("1", "'1'"), g.one("1", "'1'"), g.one("1", "'1'", "1.0")),
		fmt.Sprintf("pcall(function() return %s < %s end)", g.one("1", text), g.one("2", text)), fmt.Sprintf("tostring(%s), #tostring(%s)", g.one("-0", "1e15", "1e14", "2^53", "1/3", "100", "1e-5", "123456.789e3"), g.one("nil", "true", "12")),
		fmt.Sprintf("pcall(string.sub, 'hello', %s, %s)", g.one("'2'", "2.5", "-3"), g.one("'4'", "nil", "-1")), fmt.Sprintf("pcall(string.format, '%%d|%%s|%%g', %s, %s, %s)", g.one("'3'", "3.9", "-0"), g.one("-0", "1.0", "'s'"), g.one("'1e2'", "-0", "0.1")),
		fmt.Sprintf("pcall(table.concat, {%s, %s}, %s)", g.one("1", "-0", "'a'", "{}"), g.one("2.5", "'b'"), g.one("','", "1", "nil")), fmt.Sprintf("math.max('10', %s), pcall(math.min, %s)", g.one("9", "'9'"), text)))
}

// power writes powers and roots where the last place shows. All of these are the nearest number in glibc, too, which is
// said of few others: 10^23 is not 1e23 there.
func (g *generator) power() {
	b, n, k := 1+g.IntN(30), 2+g.IntN(8), g.IntN(63)-40
	whole := 1
	for range n {
		whole *= b
	}
	v := g.name("v")
	g.line("local %s = %d show(%s)", v, whole, g.one(
		fmt.Sprintf("math.floor(%s ^ (1/%d)), %d ^ (1 / %d) == %d", v, n, whole, n, b), fmt.Sprintf("math.floor(math.pow(%s, 1/%d)), math.ceil('%d' ^ (1/%d))", v, n, whole, n),
		fmt.Sprintf("10 ^ %d == 1e%d, math.pow(10, %d) == 1e%d", k, k, k, k), fmt.Sprintf("math.floor(10 ^ %d / 1e%d), '10' ^ '%d' - 1e%d", k, k, k, k),
		fmt.Sprintf("%d ^ %d == %s, %d ^ -%d * %s", b, n, v, b, n, v), fmt.Sprintf("(-%d) ^ %d / %s, -%d ^ -%d, (-%s) ^ 0.5, (-%s) ^ (1/3)", b, n, v, b, n, v, v),
		fmt.Sprintf("%s ^ %s, %s ^ %s", g.one("0", "-0", "1", "-1", "2", "(1/0)", "(-1/0)", "(0/0)", "0.5"), g.one("0", "1", "-1", "0.5", "-0.5", "3", "-4", "(1/0)", "(-1/0)", "(0/0)", "2^60"), v, g.one("0", "-0", "2", "(1/0)", "400", "-400", "0.5"))))
}

// texts writes calls of string functions, on text that other parts of the program made, too.
func (g *generator) texts() {
	s := func() string {
		return g.one("'hello world'", "'a,b,,c'", "' x = 1, y = -0 '", "'%d'", "('ab'):rep(3)", "'\\0z'", "''", g.paren(g.str(1)), "('x'):rep("+g.one("0", "2", "60")+")", "12.5", "-0")
	}
	n := func() string {
		return g.one("1", "2", "-1", "-3", "0", "7", "'2'", "2.5", "-0", "1e9", "-1e9", "nil", "(1 + 2)") // no other: C leaves open what becomes of larger ones
	}
	pattern := func() string {
		return g.one("'l+'", "'(%w+)'", "'(%w)(%w*)'", "'%s*(.-)%s*$'", "'^h'", "'()'", "'()l()'", "'[^,]*'", "','", "'%d*'", "''", "'.-'", "'%f[%w]%w+'", "'(a*(.)%w(%s*))'", "'%b()'", "'x-y'", "'%z'", "'[%a_][%w_]*'", "'(.)%1'", "'$'", "'^'", "'%'", "'('", "'[a'")
	}
	with := g.one("'<%0>'", "'%1%1'", "''", "'%%'", "{l = 'L', hello = 1, x = false}", "function(a, b) p(a) p(b) return b end", "function(a) p(a) end", "function() return false end", "function(a) return #a end", "'%9'", "12", "setmetatable({}, {__index = function(_, k) p(k) return k .. '!' end})", "function() return {} end", "function() error('m', 0) end")
	g.line("show(pcall(function() %s end)) order()", g.one(
		fmt.Sprintf("return string.gsub(%s, %s, %s)", s(), pattern(), with), fmt.Sprintf("return string.gsub(%s, %s, %s, %s)", s(), pattern(), with, n()), fmt.Sprintf("return string.find(%s, %s, %s)", s(), pattern(), n()),
		fmt.Sprintf("return string.find(%s, %s, %s, true)", s(), g.one("'l'", "'.'", "''", "'lo'"), n()), fmt.Sprintf("return string.match(%s, %s, %s)", s(), pattern(), n()), fmt.Sprintf("for a, b in string.gmatch(%s, %s) do p(a) p(b) end", s(), pattern()),
		fmt.Sprintf("return string.sub(%s, %s, %s)", s(), n(), n()), fmt.Sprintf("return string.byte(%s, %s, %s)", s(), n(), n()), fmt.Sprintf("return string.char(%s, %s)", g.one("65", "'66'", "0", "255", "256", "-1", "65.7"), g.one("97", "104")), fmt.Sprintf("return (%s):len(), #%s", g.one("'a'", "'\\0'"), g.paren(s())),
		fmt.Sprintf("return string.lower(%s), string.upper(%s), string.reverse(%s)", s(), s(), s()), fmt.Sprintf("return string.rep(%s, %s)", s(), g.one("0", "1", "3", "-1", "2.9", "'2'")), fmt.Sprintf("return string.format(%s, %s, %s)", g.one("'%s|%5s'", "'%d|%i'", "'%5.1f|%g'", "'%q|%s'", "'%x|%X'", "'%c%c'", "'%%|%s'", "'%-5d|'", "'%+d|% d'", "'%e|%G'", "'%.3s|%s'", "'%05d|%5.2s'", "'%o|%u'", "'%s'", "'%d'", "'%'", "'%y'"), g.one("1", "-0", "'12'", "65", "1.5", "'x'", "'-3'"), g.one("2", "'y'", "66", "0.1")),
		fmt.Sprintf("return table.concat({%s, %s, %s}, %s, %s, %s)", s(), n(), s(), g.one("','", "''", "1", "nil"), g.one("1", "2", "nil"), g.one("3", "2", "0", "nil", "4")), fmt.Sprintf("return %s == %s, %s < %s", s(), s(), g.paren(g.str(1)), g.paren(g.str(1))),
		fmt.Sprintf("local t = {3, 1, 2, n = %s} table.sort(t%s) return t[1], t[2], t[3], table.concat(t, ' ')", n(), g.one("", ", function(a, b) return a > b end")), fmt.Sprintf("local t = {1, 2, 3} p(table.remove(t%s)) table.insert(t, %s) table.insert(t, 1, %s) return #t, t[1], t[2], t[3], t[4], table.maxn(t)", g.one("", ", 1", ", 3", ", 2"), g.one("7", "'x'"), g.one("8", "'y'")),
		fmt.Sprintf("return select(%s, 4, 5, 6)", g.one("1", "2", "-1", "'#'", "3", "4", "-3", "'2'", "1.9")), fmt.Sprintf("return unpack({1, nil, 3}, %s, %s)", g.one("1", "2", "0", "nil"), g.one("3", "1", "0", "4", "-1")), fmt.Sprintf("return next({}), next({%s}), rawequal(%s, %s), type(%s)", g.one("1", "x = 2"), g.one("1", "'a'"), g.one("1", "'a'"), g.one("nil", "1", "''", "{}", "type")), fmt.Sprintf("return rawget({5, x = -0}, %s), rawset({}, %s, 2)[1]", g.one("1", "'x'", "1.0", "'1'"), g.one("1", "'1'", "nil", "0/0", "-0"))))
}

// meta writes operators on tables that have metamethods.
func (g *generator) meta() {
	m := g.name("m")
	g.line("do local %s = {} local mt = {}", m)
	for _, event := range []string{"__add", "__sub", "__mul", "__div", "__mod", "__pow", "__unm", "__concat", "__eq", "__lt", "__le", "__len", "__call", "__index", "__newindex", "__tostring"} {
		if g.IntN(3) == 0 {
			continue
		}
		result := g.one("-0", "1", "'r'", "nil", "0", "true", "2, 3")
		if event == "__tostring" {
			result = "'text'"
		}
		f := fmt.Sprintf("function(a, b) p('%s') p(type(a)) p(type(b)) return %s end", event, result)
		switch g.IntN(6) { // a metamethod that is no function
		case 0:
			f = "setmetatable({}, {__call = " + strings.Replace(f, "a, b", "_, a, b", 1) + "})"
		case 1:
			f = g.one("5", "false", "true", "'f'", "{}", "setmetatable({}, {__call = 5})", "setmetatable({}, {__call = setmetatable({}, {__call = print})})")
		}
		g.line("  mt.%s = %s", event, f)
	}
	g.line("  local o, q = setmetatable(%s, mt), setmetatable({1, 2}, mt)", m)
	other := g.one("o", "q", "1", "'2'", "'x'", "nil", "-0", "{}")
	g.line("  show(pcall(function() %s end)) order(rawget(o, 1), #q) end", g.one(
		"return o + "+other, other2(other)+" - o", "return o * "+other, other2(other)+" % q", "return -o", "return o .. "+other, "return 'a' .. o .. 1", "return 1 .. "+other+" .. o", "return #o, #q",
		"return o == q, o ~= o, o == 1", "return o < q, o <= q, o > q", "return o < "+other, "return o("+other+")", "return o.x, q[1], q[3]", "o[1], q[1] = "+other+", 7", "return tostring(o)", "return o ^ 2, 2 / o", "return (o(1))"))
}

func other2(s string) string { return "return " + s }

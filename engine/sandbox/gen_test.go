package sandbox

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// generator writes random programs that mean the same to every Lua 5.1. It
// leans towards the shapes that interpreters get wrong: constants in conditions, several
// variables assigned at once, closures over loop variables, jumps out of scopes.
//
// Text between \x01 and \x02 is for us, text between \x02 and \x03 for the reference
// interpreter, which has no goto.
type generator struct {
	*rand.Rand
	b      strings.Builder
	indent int
	scopes []*genScope
	names  int
	budget int // statements left
}

// genScope is what is visible in a block.
type genScope struct {
	numbers, tables, functions []string
	function                   bool // a function's outermost block
	varargs                    bool
	loop                       bool
	label                      string // where continue goes
	method                     bool
}

// prelude is executed once, before many programs: what they use. show prints values: nan as such, whose sign is the
// processor's; the lines of messages counted from the first of the program; of a
// machine's own messages, which have other words, just that there was one.
const prelude = `
function txt(v) if v ~= v then return 'nan' elseif type(v) == 'table' or type(v) == 'function' then return type(v) end return tostring(v) end
function place(v) if type(v) ~= 'string' then return v end for _, w in ipairs({'attempt', 'argument', 'invalid', 'for loop', "'for'", 'item', 'string.', 'table.', 'unpack:', 'select:', 'malformed', 'unfinished', 'missing', 'table index', 'capture', 'too many', 'pattern'}) do if v:find(w, 1, true) then return 'fails' end end v = v:gsub('table: .*', 'table'):gsub('%z', '0'):gsub('[^%s:]+:(%d+): ', function(n) return n - base >= 0 and '@' .. n - base .. ': ' or '' end) return v end
function show(...) local s = {} for i = 1, select('#', ...) do local v = select(i, ...) s[i] = type(v) .. '=' .. txt(place(v)) end print(table.concat(s, ' ')) end
function p(v, ...) trace[#trace + 1] = txt(v) return v, ... end
function order(...) show(table.concat(trace, ','), ...) trace = {} end
`

// opening is at the start of each program.
const opening = `
g1, g2, g3, trace = 1, 2, -0.5, {}
base = tonumber((select(2, pcall(function() error('x') end))):match(':(%d+):'))
`

// program writes one program.
func program(seed uint64) string {
	g := &generator{Rand: rand.New(rand.NewPCG(seed, 7)), budget: 30}
	for line := range strings.SplitSeq(strings.TrimSpace(opening), "\n") {
		g.line("%s", line)
	}
	g.push(&genScope{function: true, varargs: true, numbers: []string{"g1", "g2", "g3"}})
	g.statements(4 + g.IntN(8))
	g.line("show(%s)", strings.Join(g.visible(func(s *genScope) []string { return s.numbers }), ", "))
	g.pop()
	return g.b.String()
}

// variants gives a program as we run it and as the reference interpreter does.
func variants(p string) (ours, theirs string) {
	var a, b strings.Builder
	for _, part := range strings.Split(p, "\x01") {
		both := part
		if i := strings.IndexByte(part, 3); i >= 0 {
			x, y, _ := strings.Cut(part[:i], "\x02")
			a.WriteString(x)
			b.WriteString(y)
			both = part[i+1:]
		}
		a.WriteString(both)
		b.WriteString(both)
	}
	return a.String(), b.String()
}

func (g *generator) line(format string, args ...any) {
	fmt.Fprintf(&g.b, "%s%s\n", strings.Repeat("  ", g.indent), fmt.Sprintf(format, args...))
}

func (g *generator) push(s *genScope) { g.scopes = append(g.scopes, s); g.indent++ }
func (g *generator) pop()             { g.scopes = g.scopes[:len(g.scopes)-1]; g.indent-- }
func (g *generator) top() *genScope   { return g.scopes[len(g.scopes)-1] }

func (g *generator) name(kind string) string {
	g.names++
	return fmt.Sprintf("%s%d", kind, g.names)
}

func (g *generator) visible(pick func(*genScope) []string) []string {
	var all []string
	for _, s := range g.scopes {
		all = append(all, pick(s)...)
	}
	return all
}

func (g *generator) one(list ...string) string { return list[g.IntN(len(list))] }

func (g *generator) number() string {
	return g.one(g.visible(func(s *genScope) []string { return s.numbers })...)
}

func (g *generator) tables() []string {
	return g.visible(func(s *genScope) []string { return s.tables })
}

func (g *generator) functions() []string {
	return g.visible(func(s *genScope) []string { return s.functions })
}

// inVarargs reports whether `...` may be used here.
func (g *generator) inVarargs() bool {
	for i := len(g.scopes) - 1; i >= 0; i-- {
		if g.scopes[i].function {
			return g.scopes[i].varargs
		}
	}
	return false
}

// num writes an expression that gives a number.
func (g *generator) num(d int) string {
	if d <= 0 {
		if g.IntN(3) == 0 {
			return g.constant()
		}
		return g.number()
	}
	switch g.IntN(16) {
	case 0, 1, 2:
		return fmt.Sprintf("%s %s %s", g.paren(g.num(d-1)), g.one("+", "-", "*", "/", "%"), g.paren(g.num(d-1)))
	case 3:
		return fmt.Sprintf("(%s and %s or %s)", g.any(d-1), g.num(d-1), g.num(d-1))
	case 4:
		return fmt.Sprintf("#%s", g.paren(g.str(d-1)))
	case 5, 6:
		if f := g.functions(); len(f) > 0 {
			return fmt.Sprintf("(%s(%s))", g.one(f...), g.numbers(g.IntN(4), d-1))
		}
	case 7:
		return "- " + g.paren(g.num(d-1))
	case 8:
		if t := g.tables(); len(t) > 0 {
			return fmt.Sprintf("(%s[%s] or %s)", g.one(t...), g.one("1", "2", "3", g.num(d-1)), g.num(d-1))
		}
	case 9:
		if t := g.tables(); len(t) > 0 {
			return fmt.Sprintf("(%s.%s or %s)", g.one(t...), g.one("x", "y"), g.num(d-1))
		}
	case 10:
		if g.inVarargs() {
			return g.one("select('#', ...)", "((...) or 4)", "#{...}")
		}
	case 11:
		return fmt.Sprintf("(tonumber(%s) or %s)", g.str(0), g.num(d-1))
	case 12:
		return fmt.Sprintf("(function(a, ...) %s return a end)(%s)", g.one("", "a = a and (a + 1)", "a, g1 = g1, a", "local b = a; a = b and a or b"), g.num(d-1))
	case 13:
		return fmt.Sprintf("%s %s %s", g.one(g.constant(), g.number()), g.one("+", "-", "*", "/", "%"), g.one(g.constant(), "-"+g.constant(), g.number()))
	case 14:
		if t := g.tables(); len(t) > 0 {
			return "#" + g.one(t...)
		}
	}
	return g.number()
}

func (g *generator) paren(s string) string { return "(" + s + ")" }

func (g *generator) numbers(n, d int) string {
	list := make([]string, n)
	for i := range list {
		list[i] = g.num(d)
	}
	return strings.Join(list, ", ")
}

// str writes an expression that gives text.
func (g *generator) str(d int) string {
	if d <= 0 {
		return g.one(`"a"`, `"bc"`, `""`, `"12"`, `' 7e1 '`)
	}
	switch g.IntN(5) {
	case 0:
		return fmt.Sprintf("%s .. %s", g.paren(g.str(d-1)), g.paren(g.str(d-1)))
	case 1:
		return fmt.Sprintf("txt(%s) .. %s .. %s", g.num(d-1), g.str(0), g.one("1", "-0", "0.5", "txt("+g.num(d-1)+")"))
	case 2:
		return fmt.Sprintf("tostring(%s)", g.bool(d-1))
	case 3:
		return fmt.Sprintf("(%s):rep(%s)", g.str(d-1), g.one("0", "1", "2"))
	}
	return fmt.Sprintf("(%s and %s or %s)", g.bool(d-1), g.str(d-1), g.str(d-1))
}

// bool writes an expression of which the truth counts.
func (g *generator) bool(d int) string {
	if d <= 0 {
		return g.one("true", "false", "nil", "1", g.number()+" > 2", "g1 == g2")
	}
	switch g.IntN(7) {
	case 0, 1:
		return fmt.Sprintf("%s %s %s", g.paren(g.num(d-1)), g.one("<", ">", "<=", ">=", "==", "~="), g.paren(g.num(d-1)))
	case 2:
		return "not " + g.paren(g.bool(d-1))
	case 3:
		return fmt.Sprintf("%s and %s", g.paren(g.bool(d-1)), g.bool(d-1))
	case 4:
		return fmt.Sprintf("%s or %s", g.paren(g.bool(d-1)), g.bool(d-1))
	case 5:
		return fmt.Sprintf("%s == %s", g.paren(g.any(d-1)), g.paren(g.any(d-1)))
	}
	return g.bool(0)
}

// any writes an expression of any kind.
func (g *generator) any(d int) string {
	if d <= 0 {
		return g.one("nil", "false", "true", "0", `"s"`, g.number())
	}
	switch g.IntN(8) {
	case 0:
		return g.num(d - 1)
	case 1:
		return g.str(d - 1)
	case 2:
		return g.bool(d - 1)
	case 3, 4:
		return fmt.Sprintf("%s %s %s", g.paren(g.any(d-1)), g.one("and", "or"), g.paren(g.any(d-1)))
	case 5:
		return "not " + g.paren(g.any(d-1))
	case 6:
		if t := g.tables(); len(t) > 0 {
			return g.one(t...)
		}
	}
	return g.any(0)
}

// many writes a list of expressions that may end in several values.
func (g *generator) many(n, d int) string {
	list := make([]string, n)
	for i := range list {
		list[i] = g.any(d)
	}
	if g.IntN(3) == 0 {
		last := "unpack({1, 2, 3})"
		if f := g.functions(); len(f) > 0 && g.IntN(2) == 0 {
			last = fmt.Sprintf("%s(%s)", g.one(f...), g.numbers(g.IntN(3), d-1))
		} else if g.inVarargs() && g.IntN(2) == 0 {
			last = "..."
		}
		list[g.IntN(n)] = last
	}
	return strings.Join(list, ", ")
}

package sandbox

import (
	"math"

	lua "github.com/yuin/gopher-lua"
)

// arithmetic are the operators on numbers, by metamethod.
var arithmetic = map[string]func(a, b float64) float64{
	"__add": func(a, b float64) float64 { return a + b },
	"__sub": func(a, b float64) float64 { return a - b },
	"__mul": func(a, b float64) float64 { return a * b },
	"__div": func(a, b float64) float64 { return a / b },
	"__mod": modulo,
	"__pow": pow,
	"__unm": func(a, _ float64) float64 { return -a },
}

// compute is an operator on two numbers, by its sign.
func compute(operator string, a, b float64) float64 {
	switch operator {
	case "+":
		return a + b
	case "-":
		return a - b
	case "*":
		return a * b
	case "/":
		return a / b
	case "%":
		return modulo(a, b)
	}
	return pow(a, b)
}

// modulo is % as Lua 5.1 computes it, with the roundings of each step.
func modulo(a, b float64) float64 { return a - float64(math.Floor(a/b)*b) }

// modulo3 is % by the rules before 4: exact, the sign being that of b.
func modulo3(a, b float64) float64 {
	v := math.Mod(a, b)
	if b > 0 && v < 0 || b < 0 && v > 0 {
		v += b
	}
	return v
}

// textArithmetic is a metamethod of text. The virtual machine itself reads "010" as
// octal and takes Go's underscores and prefixes; this reads numbers as Lua does.
func (m *Machine) textArithmetic(event string, op func(a, b float64) float64) lua.LGFunction {
	read := toNumber
	if m.lim.Before4 {
		read = toNumber3
		switch event {
		case "__mod":
			op = modulo3
		case "__pow":
			op = math.Pow
		}
	}
	return func(L *lua.LState) int {
		a, b := L.Get(1), L.Get(2)
		for _, v := range []lua.LValue{a, b} {
			if s, ok := v.(lua.LString); ok {
				m.work(numberCost(string(s)))
			}
		}
		if event == "__unm" {
			b = a
		}
		x, okA := read(a)
		y, okB := read(b)
		if okA && okB {
			L.Push(lua.LNumber(op(float64(x), float64(y))))
			return 1
		}
		for _, v := range []lua.LValue{a, b} { // the other operand may know how
			if f := metaField(L, v, event); f != lua.LNil {
				L.Push(callOne(L, f, a, b))
				return 1
			}
		}
		bad := b
		if !okA {
			bad = a
		}
		if s, ok := bad.(lua.LString); ok {
			throw(L, 1, "attempt to compute with text that is not a number: %q", short(string(s)))
		}
		throw(L, 1, "attempt to compute with a %s value", bad.Type())
		return 0
	}
}

// short cuts text for a message.
func short(s string) string {
	if len(s) > 40 {
		return s[:40] + "…"
	}
	return s
}

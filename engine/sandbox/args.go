package sandbox

import (
	"math"

	lua "github.com/yuin/gopher-lua"
)

// anyArg returns an argument that must be given, though it may be nil.
func anyArg(L *lua.LState, i int, who string) lua.LValue {
	if i > L.GetTop() {
		throw(L, 1, "%s: argument %d is missing", who, i)
	}
	return L.Get(i)
}

func tableArg(L *lua.LState, i int, who string) *lua.LTable {
	v := anyArg(L, i, who)
	t, ok := v.(*lua.LTable)
	if _, isObject := v.(*lua.LUserData); isObject {
		throw(L, 1, "%s: argument %d is an object, which has no list of its fields; it must be a table; read the fields of an object by name", who, i)
	}
	if !ok {
		throw(L, 1, "%s: argument %d is a %s value; it must be a table", who, i, v.Type())
	}
	return t
}

// textArg returns an argument that is text or a number.
func textArg(L *lua.LState, i int, who string) string {
	v := anyArg(L, i, who)
	s, ok := textOf(v)
	if !ok {
		throw(L, 1, "%s: argument %d is a %s value; it must be text", who, i, v.Type())
	}
	return s
}

func numberArg(L *lua.LState, i int, who string) float64 {
	v := anyArg(L, i, who)
	if s, ok := v.(lua.LString); ok {
		work(L, numberCost(string(s)))
	}
	n, ok := toNumber(v)
	if !ok {
		throw(L, 1, "%s: argument %d is a %s value; it must be a number", who, i, v.Type())
	}
	return float64(n)
}

// work counts work of a library function that knows no machine.
func work(L *lua.LState, n int64) {
	if f := fuelOf(L); f != nil {
		f.machine.work(n)
	}
}

// intArg returns an argument as a whole number, cut towards zero as Lua 5.1 does.
func intArg(L *lua.LState, i int, who string) int { return toInt(numberArg(L, i, who)) }

func optInt(L *lua.LState, i int, who string, missing int) int {
	if L.Get(i) == lua.LNil {
		return missing
	}
	return intArg(L, i, who)
}

// toInt cuts a number to a whole one, within ±2^53, the same on every processor.
func toInt(f float64) int {
	const most = 1 << 53 // an int has 64 bits: the marks of lines need them, too (source.go)
	switch {
	case math.IsNaN(f):
		return 0
	case f >= most:
		return most
	case f <= -most:
		return -most
	}
	return int(f)
}

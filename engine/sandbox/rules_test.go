package sandbox

import (
	"strings"
	"testing"
)

// TestBefore4 runs scripts by the rules before 4, which compute as they did then.
func TestBefore4(t *testing.T) {
	for src, want := range map[string]struct{ then, now string }{
		"print(1 % 0.1, 1 % 0.2)":                                                                                {"0.1\t0.2", "0\t0"},
		"local a, b = 1, 0.1 print(a % b, '1' % '0.1')":                                                          {"0.1\t0.1", "0\t0"},
		"local z, m = 0, -1 print(z * m, z / m)":                                                                 {"0\t0", "-0\t-0"},
		"print(#setmetatable({}, { __len = print and function() return 7 end }))":                                {"7", "0"},
		"print(tonumber('-ff', 16), tonumber('inf'), tonumber('0x1p4'))":                                         {"-255\tnil\tnil", "1.844674407371e+19\tinf\t16"},
		"print(8 ^ (1/3) == 2, 10 ^ -25 == 1e-25)":                                                               {"false\tfalse", "true\ttrue"},
		"local x, y = 10, -25 print(x ^ y == 1e-25, math.pow(x, y) == 1e-25)":                                    {"false\tfalse", "true\ttrue"},
		"local t = { __eq = {} } print(pcall(function() return setmetatable({}, t) == setmetatable({}, t) end))": {"true\tfalse", "false\tx.lua:1: attempt to call a table value"},
		"print(pcall(5))": {"false\t attempt to call a non-function object", "false\tx.lua:1: attempt to call a number value"},
		"print(pcall(function() for _ in 5 do end end))":        {"false\tx.lua:1: attempt to call a value that is not a function", "false\tx.lua:1: attempt to call a number value"},
		"print(pcall(table.sort, { {}, {} }))":                  {"false\t attempt to compare table with table", "false\tx.lua:1: attempt to compare a table value with a table value"},
		"print('8' ^ (1/3) == 2)":                               {"false", "true"},
		"print(type(select(2, pcall(error, 42, 0))))":           {"string", "number"},
		"print(pcall(function() assert(false, 'm') end))":       {"false\tm", "false\tx.lua:1: m"},
		"print(pcall(function() assert(nil) end))":              {"false\tx.lua:1: assertion failed", "false\tx.lua:1: assertion failed!"},
		"print(xpcall(error, function() return 1, 2 end))":      {"false\t1\t2", "false\t1"},
		"print(xpcall(function(...) return ... end, print, 5))": {"true\t5", "ERROR"},
		"print(pcall(function() for i = '1', 2 do end end))": {
			"false\tx.lua:1: the first value of a for loop is not a number", "true"},
	} {
		for lim, want := range map[Limits]string{{Before4: true}: want.then, {}: want.now} {
			got, err := execute(t, "x.lua", src, lim)
			if err != nil {
				got = "ERROR"
			}
			if strings.TrimSpace(got) != want {
				t.Errorf("%s, before 4: %v: got %q, want %q", src, lim.Before4, got, want)
			}
		}
	}
}

// TestNoAddresses raises what has a key that is a table or function: an address would be
// another one in each execution.
func TestNoAddresses(t *testing.T) {
	for src, want := range map[string]string{
		"local a return a[{}]":                             "attempt to use a field of a nil value (a); its key is a table",
		"local a a[print] = 1":                             "attempt to use a field of a nil value (a); its key is a function",
		"local a = {} return a.b[a]":                       "attempt to use a field of a nil value (a.b); its key is a table",
		"local _, e = pcall(require, 'none') return e[{}]": "an error has no field whose key is a table, only code, message and hint",
	} {
		if _, err := execute(t, "x.lua", src, Limits{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, want %q", src, err, want)
		}
	}
}

// TestMoreForXpcall refuses what Lua 5.1 would drop.
func TestMoreForXpcall(t *testing.T) {
	_, err := execute(t, "x.lua", "\nxpcall(print, print, 1)", Limits{})
	if err == nil || !strings.HasPrefix(err.Error(), "x.lua:2: xpcall: 3 arguments, want 2") {
		t.Errorf("got %v", err)
	}
}

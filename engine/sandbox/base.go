package sandbox

import (
	"math"
	"slices"
	"strconv"
	"strings"

	lua "github.com/yuin/gopher-lua"
)

// openGlobals gives the machine its globals: a table that the script may
// assign, which falls back to one that it may not.
func (m *Machine) openGlobals() {
	m.base = m.L.CreateTable(0, 48)
	m.ipairsStep = m.L.NewFunction(ipairsNext)
	m.globals = m.L.G.Global
	m.register(m.base, []libraryFunction{
		{"assert", m.luaAssert}, {"error", m.luaError}, {"getmetatable", m.luaGetMetatable}, {"ipairs", m.luaIpairs},
		{"next", m.luaNext}, {"pairs", m.luaPairs}, {"pcall", m.luaPcall}, {"print", m.luaPrint}, {"rawequal", m.luaRawEqual},
		{"rawget", m.luaRawGet}, {"rawset", m.luaRawSet}, {"select", m.luaSelect}, {"setmetatable", m.luaSetMetatable},
		{"tonumber", m.luaToNumber}, {"tostring", m.luaToString}, {"type", m.luaType}, {"unpack", m.luaUnpack},
		{"xpcall", m.luaXpcall},
	})
	m.base.RawSetString("_G", m.globals)
	m.base.RawSetString("_VERSION", lua.LString("Lua 5.1"))
	m.base.RawSetString("string", m.openStrings())
	m.base.RawSetString("table", m.openTables())
	m.base.RawSetString("math", m.openMaths())
	m.lockGlobals()
}

// lockGlobals makes reading an unknown name an error.
func (m *Machine) lockGlobals() {
	outer, inner := m.L.CreateTable(0, 2), m.L.CreateTable(0, 1)
	inner.RawSetString("__index", m.L.NewFunction(m.unknownGlobal))
	m.base.Metatable = inner
	outer.RawSetString("__index", m.base)
	outer.RawSetString("__metatable", lua.LFalse)
	m.globals.Metatable = outer
}

// libraryFunction is a Go function by its name in a library of the script.
type libraryFunction struct {
	name string
	call lua.LGFunction
}

// register puts Go functions into a table, in the order of their names, so that
// scripts that list the table see the same order each time.
func (m *Machine) register(t *lua.LTable, functions []libraryFunction) {
	slices.SortFunc(functions, func(a, b libraryFunction) int { return strings.Compare(a.name, b.name) })
	for _, f := range functions {
		t.RawSetString(f.name, m.L.NewFunction(f.call))
	}
}

func (m *Machine) luaPrint(L *lua.LState) int {
	var b strings.Builder
	for i := 1; i <= L.GetTop(); i++ {
		if i > 1 {
			b.WriteByte('\t')
		}
		m.holding(b.Cap(), func() { b.WriteString(m.text(L, L.Get(i))) })
		m.checkLength(L, "print", b.Len())
	}
	m.Grow(int64(b.Len()))
	m.Charge(int64(b.Len()) / 8)
	m.print(b.String())
	return 0
}

func (m *Machine) luaType(L *lua.LState) int {
	L.Push(lua.LString(anyArg(L, 1, "type").Type().String()))
	return 1
}

func (m *Machine) luaToString(L *lua.LState) int {
	L.Push(lua.LString(m.text(L, anyArg(L, 1, "tostring"))))
	return 1
}

// text is tostring: it honours __tostring, and gives tables and functions
// numbers in place of addresses, which would differ from run to run.
func (m *Machine) text(L *lua.LState, v lua.LValue) string {
	if f := metaField(L, v, "__tostring"); f != lua.LNil {
		r := callOne(L, f, v)
		if s, ok := textOf(r); ok {
			return s
		}
		throw(L, 1, "__tostring returned a %s; it must be text", r.Type())
	}
	switch v.Type() {
	case lua.LTTable, lua.LTFunction, lua.LTUserData:
		id, ok := m.ids[v]
		if !ok {
			m.Charge(10)
			m.Grow(keyBytes)
			id = len(m.ids) + 1
			m.ids[v] = id
		}
		return v.Type().String() + ": " + strconv.Itoa(id)
	}
	s, ok := textOf(v)
	if !ok {
		s = v.String()
	}
	return s
}

// textOf returns text or a number as text.
func textOf(v lua.LValue) (string, bool) {
	switch v := v.(type) {
	case lua.LString:
		return string(v), true
	case lua.LNumber:
		return formatNumber(v), true
	}
	return "", false
}

// formatNumber writes a number as Lua 5.1 does, with up to 14 significant digits
// (LUAI_NUMFFORMAT "%.14g"), the same on every processor.
func formatNumber(n lua.LNumber) string {
	f := float64(n)
	switch {
	case math.IsInf(f, 1):
		return "inf"
	case math.IsInf(f, -1):
		return "-inf"
	case math.IsNaN(f):
		return "nan"
	case f == math.Trunc(f) && math.Abs(f) < 1e14 && (f != 0 || !math.Signbit(f)):
		return strconv.FormatInt(int64(f), 10)
	}
	return strconv.FormatFloat(f, 'g', 14, 64)
}

func (m *Machine) luaToNumber(L *lua.LState) int {
	v := anyArg(L, 1, "tonumber")
	base := optInt(L, 2, "tonumber", 10)
	if base < 2 || base > 36 {
		throw(L, 1, "tonumber: base is %d; it must be 2 to 36", base)
	}
	read, readBase := toNumber, wholeNumber
	if m.lim.Before4 {
		read, readBase = toNumber3, parseBase
	}
	if base != 10 {
		read = func(lua.LValue) (lua.LNumber, bool) {
			s, ok := textOf(v)
			if !ok {
				throw(L, 1, "tonumber: argument 1 is a %s; it must be text", v.Type())
			}
			return readBase(s, base)
		}
	}
	if s, ok := v.(lua.LString); ok {
		m.work(2 * numberCost(string(s)))
	}
	if n, ok := read(v); ok {
		L.Push(n)
	} else {
		L.Push(lua.LNil)
	}
	return 1
}

func (m *Machine) luaSelect(L *lua.LState) int {
	n := L.GetTop() - 1
	if s, ok := L.Get(1).(lua.LString); ok && s == "#" {
		L.Push(lua.LNumber(n))
		return 1
	}
	i := intArg(L, 1, "select")
	switch {
	case i < 0 && -i <= n:
		return -i
	case i < 1:
		throw(L, 1, "select: argument 1 is %d; it must be '#', 1 or more, or %d to -1", i, -n)
	}
	m.Charge(int64(n) / 8)
	return max(0, n-i+1)
}

func (m *Machine) luaUnpack(L *lua.LState) int {
	t := tableArg(L, 1, "unpack")
	from := optInt(L, 2, "unpack", 1)
	to := optInt(L, 3, "unpack", lua.MaxArrayIndex)
	if L.Get(3) == lua.LNil {
		to = m.length(t)
	}
	m.checkRange(L, "unpack", from, to, mostUnpacked)
	m.Grow(slotBytes * int64(max(0, to-from+1)))
	room(L, to-from+1)
	for i := from; i <= to; i++ {
		L.Push(rawIndex(t, i))
	}
	return max(0, to-from+1)
}

// mostUnpacked is the longest list of values that a call may take or give.
const mostUnpacked = 100_000

// checkRange refuses a range of more than most items and charges for it.
func (m *Machine) checkRange(L *lua.LState, who string, from, to, most int) {
	if to >= from && to-from >= most {
		throw(L, 1, "%s: from %d to %d is more than %d items", who, from, to, most)
	}
	m.Charge(int64(max(0, to-from)) / 4)
}

// rawIndex reads an item by number, also one outside of the array part.
func rawIndex(t *lua.LTable, i int) lua.LValue { return t.RawGet(lua.LNumber(i)) }

func (m *Machine) luaNext(L *lua.LState) int {
	t, from := tableArg(L, 1, "next"), L.Get(2)
	k, v := t.Next(from)
	m.work(passedOver(tableOf(t), from, k))
	if k == lua.LNil {
		L.Push(lua.LNil)
		return 1
	}
	L.Push(k)
	L.Push(v)
	return 2
}

// passedOver is what it cost to go from a key of a table to the next one that has a value: empty
// places of its list, and keys that were removed.
func passedOver(t *table, from, to lua.LValue) int64 {
	i, listed := from.(lua.LNumber)
	j, still := to.(lua.LNumber)
	start, end := 0, len(t.array)
	if listed && i > 0 && int(i) <= end {
		start = int(i)
	}
	if still && j > 0 && int(j) <= end && t.array[int(j)-1] != lua.LNil {
		return int64(int(j)-start) / scanCost
	}
	first, cost := 0, int64(hostCost)
	if from == lua.LNil || listed && i > 0 && int(i) <= end {
		cost += int64(end-start) / scanCost
	} else {
		first = t.k2i[from]
	}
	last := len(t.keys)
	if to != lua.LNil {
		last = t.k2i[to]
	}
	if s, ok := from.(lua.LString); ok {
		cost += int64(len(s)) / compareCost
	}
	return cost + keyScanUnits*int64(max(0, last-first-1))
}

func (m *Machine) luaPairs(L *lua.LState) int {
	t := tableArg(L, 1, "pairs")
	L.Push(m.base.RawGetString("next"))
	L.Push(t)
	L.Push(lua.LNil)
	return 3
}

func (m *Machine) luaIpairs(L *lua.LState) int {
	t := tableArg(L, 1, "ipairs")
	L.Push(m.ipairsStep)
	L.Push(t)
	L.Push(lua.LNumber(0))
	return 3
}

func ipairsNext(L *lua.LState) int {
	i := intArg(L, 2, "ipairs") + 1
	v := rawIndex(tableArg(L, 1, "ipairs"), i)
	if v == lua.LNil {
		L.Push(lua.LNil)
		return 1
	}
	L.Push(lua.LNumber(i))
	L.Push(v)
	return 2
}

func (m *Machine) luaRawEqual(L *lua.LState) int {
	a, b := anyArg(L, 1, "rawequal"), anyArg(L, 2, "rawequal")
	if s, ok := a.(lua.LString); ok {
		m.work(int64(len(s)) / compareCost)
	}
	L.Push(lua.LBool(L.RawEqual(a, b)))
	return 1
}

func (m *Machine) luaRawGet(L *lua.LState) int {
	t, k := tableArg(L, 1, "rawget"), anyArg(L, 2, "rawget")
	m.keyWork(k)
	L.Push(t.RawGet(k))
	return 1
}

func (m *Machine) luaRawSet(L *lua.LState) int {
	t := tableArg(L, 1, "rawset")
	m.keyWork(L.Get(2))
	before := startTable(t, L.Get(2))
	setRaw(L, t, anyArg(L, 2, "rawset"), anyArg(L, 3, "rawset"))
	m.grew(t, before)
	L.Push(t)
	return 1
}

// keyWork counts what it costs to find a key.
func (m *Machine) keyWork(k lua.LValue) {
	if s, ok := k.(lua.LString); ok {
		m.work(int64(len(s)) / compareCost)
	}
}

// setRaw sets a table's field without metamethods.
func setRaw(L *lua.LState, t *lua.LTable, k, v lua.LValue) {
	if n, ok := k.(lua.LNumber); ok && math.IsNaN(float64(n)) {
		throw(L, 1, "table index is NaN")
	}
	if k == lua.LNil {
		throw(L, 1, "table index is nil")
	}
	t.RawSet(k, v)
}

func (m *Machine) luaSetMetatable(L *lua.LState) int {
	t, mt := tableArg(L, 1, "setmetatable"), L.Get(2)
	if mt != lua.LNil {
		mt = tableArg(L, 2, "setmetatable")
	} else if L.GetTop() < 2 {
		throw(L, 1, "setmetatable: argument 2 is missing; it must be a table or nil")
	}
	if old, ok := t.Metatable.(*lua.LTable); ok && old.RawGetString("__metatable") != lua.LNil {
		throw(L, 1, "setmetatable: this table's metatable is protected")
	}
	t.Metatable = mt
	L.Push(t)
	return 1
}

func (m *Machine) luaGetMetatable(L *lua.LState) int {
	switch v := anyArg(L, 1, "getmetatable"); v.Type() {
	case lua.LTTable, lua.LTUserData:
		L.Push(L.GetMetatable(v))
	default: // the metatable of text is everybody's
		L.Push(lua.LNil)
	}
	return 1
}

package sandbox

import (
	"strings"

	lua "github.com/yuin/gopher-lua"
)

func (m *Machine) openTables() *lua.LTable {
	lib := m.L.CreateTable(0, 16)
	m.register(lib, []libraryFunction{
		{"concat", m.tableConcat}, {"insert", m.tableInsert}, {"maxn", m.tableMaxn},
		{"remove", m.tableRemove}, {"sort", m.tableSort}, {"unpack", m.luaUnpack},
	})
	return lib
}

// length is the operator # without metamethods. It reads back from the end of
// the array, so it is charged for.
func (m *Machine) length(t *lua.LTable) int {
	n := t.Len()
	m.Charge(1)
	m.work(int64(len(tableOf(t).array)-n) / scanCost)
	return n
}

func (m *Machine) tableConcat(L *lua.LState) int {
	const who = "table.concat"
	t := tableArg(L, 1, who)
	separator := ""
	if L.Get(2) != lua.LNil {
		separator = textArg(L, 2, who)
	}
	from := optInt(L, 3, who, 1)
	to := optInt(L, 4, who, 0)
	if L.Get(4) == lua.LNil {
		to = m.length(t)
	}
	m.checkRange(L, who, from, to, m.lim.TableItems)
	m.work(joinCost * int64(max(0, to-from+1)))
	var b strings.Builder
	for i := from; i <= to; i++ {
		s, ok := textOf(rawIndex(t, i))
		if !ok {
			throw(L, 1, "%s: item %d is a %s value; it must be text or a number", who, i, rawIndex(t, i).Type())
		}
		if i > from {
			b.WriteString(separator)
		}
		b.WriteString(s)
		m.checkLength(L, who, b.Len())
	}
	return m.pushText(L, who, b.String())
}

func (m *Machine) tableInsert(L *lua.LState) int {
	const who = "table.insert"
	t := tableArg(L, 1, who)
	n := m.length(t)
	at := n + 1
	switch L.GetTop() {
	case 2:
	case 3:
		if at = intArg(L, 2, who); at < 1 || at > n+1 {
			throw(L, 1, "%s: position is %d; it must be 1 to %d", who, at, n+1)
		}
	default:
		throw(L, 1, "%s: %d arguments; it takes a table, a position if it is not the end, and a value", who, L.GetTop())
	}
	if n+1 >= m.lim.TableItems {
		throw(L, 1, "%s: the list is full, at most %d items are possible", who, m.lim.TableItems-1)
	}
	m.Charge(int64(n-at) / 64)
	m.work(int64(max(0, n-at)) / copyCost)
	if at == n+1 {
		before := startTable(t, lua.LNumber(at))
		t.RawSetInt(at, L.Get(-1))
		m.grew(t, before)
	} else {
		m.Grow(2 * slotBytes)
		t.Insert(at, L.Get(-1))
	}
	return 0
}

func (m *Machine) tableRemove(L *lua.LState) int {
	const who = "table.remove"
	t := tableArg(L, 1, who)
	n := m.length(t)
	at := optInt(L, 2, who, n)
	if at < 1 || at > n {
		return 0
	}
	m.Charge(int64(n-at) / 64)
	m.work(int64(n-at) / copyCost)
	L.Push(rawIndex(t, at))
	t.Remove(at)
	return 1
}

func (m *Machine) tableMaxn(L *lua.LState) int {
	t := tableArg(L, 1, "table.maxn")
	m.work(int64(len(tableOf(t).array)) + keyScanUnits*int64(len(tableOf(t).keys)))
	most := lua.LNumber(0)
	for k, _ := t.Next(lua.LNil); k != lua.LNil; k, _ = t.Next(k) {
		m.Charge(1)
		if n, ok := k.(lua.LNumber); ok && n > most {
			most = n
		}
	}
	L.Push(most)
	return 1
}

// tableSort sorts in place by merging: stable, and bounded whatever the
// comparison answers.
func (m *Machine) tableSort(L *lua.LState) int {
	const who = "table.sort"
	t := tableArg(L, 1, who)
	n := m.length(t)
	var less func(a, b lua.LValue) bool
	if by := L.Get(2); by != lua.LNil {
		fn, ok := by.(*lua.LFunction)
		if !ok {
			throw(L, 1, "%s: argument 2 is a %s value; it must be a function", who, by.Type())
		}
		less = func(a, b lua.LValue) bool {
			m.work(hostCost)
			return lua.LVAsBool(callOne(L, fn, a, b))
		}
	} else {
		less = func(a, b lua.LValue) bool { return m.lessThan(L, a, b) }
	}
	m.allocate(32 * n)
	items, spare := make([]lua.LValue, n), make([]lua.LValue, n)
	for i := range items {
		items[i] = rawIndex(t, i+1)
	}
	m.holding(2*slotBytes*n, func() { m.mergeSort(items, spare, less) })
	for i, v := range items {
		t.RawSetInt(i+1, v)
	}
	return 0
}

func (m *Machine) lessThan(L *lua.LState, a, b lua.LValue) bool {
	x, okX := a.(lua.LNumber)
	y, okY := b.(lua.LNumber)
	if okX && okY {
		return x < y
	}
	m.work(orderCost(a, b))
	if a.Type() != b.Type() || a.Type() == lua.LTNil || a.Type() == lua.LTBool {
		throw(L, 1, "attempt to compare a %s value with a %s value", a.Type(), b.Type())
	}
	if !m.lim.Before4 {
		if less, ok := compareOther(L, "__lt", a, b); ok {
			return less
		}
	}
	return L.LessThan(a, b)
}

// mergeSort sorts items, using spare as work space of the same length.
func (m *Machine) mergeSort(items, spare []lua.LValue, less func(a, b lua.LValue) bool) {
	if len(items) < 2 {
		return
	}
	half := len(items) / 2
	m.mergeSort(items[:half], spare[:half], less)
	m.mergeSort(items[half:], spare[half:], less)
	copy(spare, items)
	left, right := spare[:half], spare[half:]
	m.Charge(int64(len(items)))
	for i := range items {
		if len(right) == 0 || len(left) > 0 && !less(right[0], left[0]) {
			items[i], left = left[0], left[1:]
		} else {
			items[i], right = right[0], right[1:]
		}
	}
}

package sandbox

import (
	"slices"
	"strings"

	lua "github.com/yuin/gopher-lua"
)

// openStrings makes the library string, and the metatable of text.
func (m *Machine) openStrings() *lua.LTable {
	lib := m.L.CreateTable(0, 24)
	m.register(lib, []libraryFunction{
		{"byte", m.stringByte}, {"char", m.stringChar}, {"find", m.stringFind}, {"format", m.stringFormat},
		{"gmatch", m.stringGmatch}, {"gsub", m.stringGsub}, {"len", m.stringLen}, {"lower", m.stringLower},
		{"match", m.stringMatch}, {"rep", m.stringRep}, {"reverse", m.stringReverse}, {"sub", m.stringSub},
		{"upper", m.stringUpper},
	})
	mt := m.L.CreateTable(0, 2)
	mt.RawSetString("__index", lib)
	for event, operator := range arithmetic {
		mt.RawSetString(event, m.L.NewFunction(m.textArithmetic(event, operator)))
	}
	m.L.SetMetatable(lua.LString(""), mt)
	m.texts = mt
	return lib
}

// checkLength refuses text that would be longer than allowed.
func (m *Machine) checkLength(L *lua.LState, who string, n int) {
	if n > m.lim.StringBytes {
		throw(L, 1, "%s: the text would be %d bytes long, at most %d are allowed", who, n, m.lim.StringBytes)
	}
}

// pushText gives a script text that a library function made, and charges for it.
func (m *Machine) pushText(L *lua.LState, who, s string) int {
	m.checkLength(L, who, len(s))
	m.allocate(len(s))
	L.Push(lua.LString(s))
	return 1
}

func (m *Machine) stringLen(L *lua.LState) int {
	L.Push(lua.LNumber(len(textArg(L, 1, "string.len"))))
	return 1
}

func (m *Machine) stringLower(L *lua.LState) int {
	s := textArg(L, 1, "string.lower")
	m.work(int64(len(s)) / compareCost)
	return m.pushText(L, "string.lower", eachByte(s, lowerByte))
}

func (m *Machine) stringUpper(L *lua.LState) int {
	s := textArg(L, 1, "string.upper")
	m.work(int64(len(s)) / compareCost)
	return m.pushText(L, "string.upper", eachByte(s, upperByte))
}

// eachByte changes text byte by byte: as in Lua, letters outside of ASCII stay.
func eachByte(s string, change func(byte) byte) string {
	b := []byte(s)
	for i, c := range b {
		b[i] = change(c)
	}
	return string(b)
}

func upperByte(c byte) byte {
	if 'a' <= c && c <= 'z' {
		return c - 'a' + 'A'
	}
	return c
}

func (m *Machine) stringReverse(L *lua.LState) int {
	s := textArg(L, 1, "string.reverse")
	m.work(int64(len(s)) / compareCost)
	b := make([]byte, len(s))
	for i := range len(s) {
		b[len(s)-1-i] = s[i]
	}
	return m.pushText(L, "string.reverse", string(b))
}

func (m *Machine) stringRep(L *lua.LState) int {
	s, n := textArg(L, 1, "string.rep"), max(0, intArg(L, 2, "string.rep"))
	if len(s) > 0 && n > m.lim.StringBytes/len(s) {
		throw(L, 1, "string.rep: %d times %d bytes is too long, at most %d bytes are allowed", n, len(s), m.lim.StringBytes)
	}
	if s == "" {
		n = 0
	}
	m.allocate(len(s) * n)
	L.Push(lua.LString(strings.Repeat(s, n)))
	return 1
}

// span turns Lua's first and last position, which may count from the end, into offsets.
func span(n, first, last int) (from, to int) {
	if first < 0 {
		first = max(n+first+1, 1)
	}
	if last < 0 {
		last = n + last + 1
	}
	from, to = max(first, 1)-1, min(last, n)
	if from >= to {
		return 0, 0
	}
	return from, to
}

func (m *Machine) stringSub(L *lua.LState) int {
	s := textArg(L, 1, "string.sub")
	from, to := span(len(s), intArg(L, 2, "string.sub"), optInt(L, 3, "string.sub", -1))
	L.Push(m.piece(s[from:to]))
	return 1
}

// piece makes a part of a text a text of its own, which does not keep the whole.
func (m *Machine) piece(s string) lua.LString {
	m.Grow(int64(len(s)))
	return lua.LString(strings.Clone(s))
}

func (m *Machine) stringByte(L *lua.LState) int {
	s := textArg(L, 1, "string.byte")
	first := optInt(L, 2, "string.byte", 1)
	from, to := span(len(s), first, optInt(L, 3, "string.byte", first))
	m.checkRange(L, "string.byte", from+1, to, mostUnpacked)
	m.Grow(slotBytes * int64(to-from))
	room(L, to-from)
	for i := from; i < to; i++ {
		L.Push(lua.LNumber(s[i]))
	}
	return to - from
}

func (m *Machine) stringChar(L *lua.LState) int {
	m.work(2 * int64(L.GetTop()))
	b := make([]byte, L.GetTop())
	for i := range b {
		c := intArg(L, i+1, "string.char")
		if c < 0 || c > 255 {
			throw(L, 1, "string.char: argument %d is %d; it must be 0 to 255", i+1, c)
		}
		b[i] = byte(c)
	}
	return m.pushText(L, "string.char", string(b))
}

// join is the operator `..` on a whole chain of values, which are in registers. As in Lua the
// chain binds from the right.
func (m *Machine) join(L *lua.LState, values []lua.LValue) lua.LValue {
	if s, ok := m.joinAll(L, values); ok {
		return s
	}
	values = slices.Clone(values) // what is called may move the registers
	right := values[len(values)-1]
	for i := len(values) - 2; i >= 0; i-- {
		right = m.concat(L, values[i], right)
	}
	return right
}

// joinCost is what one value costs that is joined; a number is written out.
const joinCost = 6

// joinAll joins values where all are text or numbers.
func (m *Machine) joinAll(L *lua.LState, values []lua.LValue) (lua.LString, bool) {
	var few [8]string
	parts, size := few[:0], 0
	m.work(joinCost * int64(len(values)))
	for _, v := range values {
		s, ok := textOf(v)
		if !ok {
			return "", false
		}
		parts = append(parts, s)
		size += len(s)
	}
	m.checkLength(L, "..", size)
	m.allocate(size)
	return lua.LString(strings.Join(parts, "")), true
}

func (m *Machine) concat(L *lua.LState, a, b lua.LValue) lua.LValue {
	left, ok := textOf(a)
	right, both := textOf(b)
	if ok && both {
		m.checkLength(L, "..", len(left)+len(right))
		m.allocate(len(left) + len(right))
		return lua.LString(left + right)
	}
	f := metaField(L, a, "__concat")
	if f == lua.LNil {
		f = metaField(L, b, "__concat")
	}
	if f != lua.LNil {
		m.work(hostCost)
		return callOne(L, f, a, b)
	}
	if ok {
		a = b
	}
	throw(L, 1, "attempt to join a %s value with '..'; use tostring", a.Type())
	return nil
}

// pattern arguments

func (m *Machine) newMatcher(text, pattern string) *matcher {
	m.work(int64(len(pattern)) / compareCost)
	return &matcher{text: text, pattern: pattern, charge: m.Charge, counted: !m.lim.Before4}
}

func (m *Machine) stringFind(L *lua.LState) int { return m.findOrMatch(L, "string.find", true) }

func (m *Machine) stringMatch(L *lua.LState) int { return m.findOrMatch(L, "string.match", false) }

func (m *Machine) findOrMatch(L *lua.LState, who string, find bool) int {
	text, pattern := textArg(L, 1, who), textArg(L, 2, who)
	from := optInt(L, 3, who, 1)
	if from < 0 {
		from = max(len(text)+from+1, 1)
	}
	from = min(max(from, 1)-1, len(text))
	m.work(int64(len(pattern)) / compareCost)
	if find && (lua.LVAsBool(L.Get(4)) || !strings.ContainsAny(pattern, "^$*+?.([%-")) {
		return m.findPlain(L, text, pattern, from)
	}
	mt := m.newMatcher(text, pattern)
	start, end, err := mt.find(from)
	if err != nil {
		throw(L, 1, "%s: %v", who, err)
	}
	if start < 0 {
		L.Push(lua.LNil)
		return 1
	}
	if find {
		L.Push(lua.LNumber(start + 1))
		L.Push(lua.LNumber(end))
		return 2 + m.pushCaptures(L, who, mt, -1, -1)
	}
	return m.pushCaptures(L, who, mt, start, end)
}

func (m *Machine) findPlain(L *lua.LState, text, pattern string, from int) int {
	m.Charge(int64(len(text)-from) / 16)
	m.work(int64(len(text)-from) / compareCost)
	i := strings.Index(text[from:], pattern)
	if i < 0 {
		L.Push(lua.LNil)
		return 1
	}
	L.Push(lua.LNumber(from + i + 1))
	L.Push(lua.LNumber(from + i + len(pattern)))
	return 2
}

// pushCaptures gives the captures of a match; where the pattern has none, the
// whole match, unless start is -1.
func (m *Machine) pushCaptures(L *lua.LState, who string, mt *matcher, start, end int) int {
	if len(mt.captures) == 0 && start >= 0 {
		L.Push(m.piece(mt.text[start:end]))
		return 1
	}
	for i := range mt.captures {
		L.Push(m.capture(L, who, mt, i))
	}
	return len(mt.captures)
}

func (m *Machine) capture(L *lua.LState, who string, mt *matcher, i int) lua.LValue {
	c := mt.captures[i]
	switch c.length {
	case capturePosition:
		return lua.LNumber(c.start + 1)
	case captureOpen:
		throw(L, 1, "%s: %v", who, errPatternOpen)
	}
	return m.piece(mt.text[c.start : c.start+c.length])
}

func (m *Machine) stringGmatch(L *lua.LState) int {
	const who = "string.gmatch"
	mt := m.newMatcher(textArg(L, 1, who), textArg(L, 2, who))
	at := 0
	m.Grow(functionBytes + 2*upvalueBytes)
	L.Push(L.NewClosure(func(L *lua.LState) int { // its texts are among its variables, so that they are counted
		for at <= len(mt.text) {
			mt.captures = mt.captures[:0]
			start := at
			end, err := mt.match(start, 0)
			if err != nil {
				throw(L, 1, "%s: %v", who, err)
			}
			at++
			if end < 0 {
				continue
			}
			if end > start {
				at = end
			}
			return m.pushCaptures(L, who, mt, start, end)
		}
		L.Push(lua.LNil)
		return 1
	}, lua.LString(mt.text), lua.LString(mt.pattern)))
	return 1
}

func (m *Machine) stringGsub(L *lua.LState) int {
	const who = "string.gsub"
	text, pattern, with := textArg(L, 1, who), textArg(L, 2, who), anyArg(L, 3, who)
	if s, ok := textOf(with); ok {
		with = lua.LString(s)
	} else if t := with.Type(); t != lua.LTTable && t != lua.LTFunction {
		throw(L, 1, "%s: argument 3 is a %s value; it must be text, a table or a function", who, t)
	}
	most := optInt(L, 4, who, len(text)+1)
	p, anchored := 0, strings.HasPrefix(pattern, "^")
	if anchored {
		p = 1
	}
	mt := m.newMatcher(text, pattern)
	var b strings.Builder
	s, count := 0, 0
	for count < most {
		m.work(1)
		mt.captures = mt.captures[:0]
		end, err := mt.match(s, p)
		if err != nil {
			throw(L, 1, "%s: %v", who, err)
		}
		if end >= 0 {
			count++
			m.substitute(L, &b, mt, with, s, end)
		}
		switch {
		case end > s:
			s = end
		case s < len(text):
			b.WriteByte(text[s])
			s++
		default:
			s++
		}
		if s > len(text) || anchored {
			break
		}
		m.checkLength(L, who, b.Len())
	}
	if s < len(text) {
		b.WriteString(text[s:])
	}
	m.pushText(L, who, b.String())
	L.Push(lua.LNumber(count))
	return 2
}

// substitute writes what stands for a match.
func (m *Machine) substitute(L *lua.LState, b *strings.Builder, mt *matcher, with lua.LValue, start, end int) {
	const who = "string.gsub"
	var v lua.LValue
	switch with := with.(type) {
	case lua.LString:
		m.expand(L, b, mt, string(with), start, end)
		return
	case *lua.LTable:
		key := m.first(L, who, mt, start, end)
		m.work(hostCost + chainCost(with, key, "__index"))
		m.keyWork(key)
		m.holding(b.Cap(), func() { v = L.GetTable(with, key) })
	default:
		m.work(hostCost)
		L.Push(with)
		n := m.pushCaptures(L, who, mt, start, end)
		m.holding(b.Cap(), func() { L.Call(n, 1) })
		v = L.Get(-1)
		L.Pop(1)
	}
	if !lua.LVAsBool(v) {
		b.WriteString(mt.text[start:end])
		return
	}
	s, ok := textOf(v)
	if !ok {
		throw(L, 1, "%s: the replacement is a %s value; it must be text", who, v.Type())
	}
	m.Charge(int64(len(s)) / 16)
	b.WriteString(s)
}

// first returns the first capture, or the whole match where there is none.
func (m *Machine) first(L *lua.LState, who string, mt *matcher, start, end int) lua.LValue {
	if len(mt.captures) == 0 {
		return m.piece(mt.text[start:end])
	}
	return m.capture(L, who, mt, 0)
}

// expand writes a replacement text, in which %1 to %9 stand for captures and %0
// for the match.
func (m *Machine) expand(L *lua.LState, b *strings.Builder, mt *matcher, with string, start, end int) {
	const who = "string.gsub"
	m.Charge(int64(len(with)) / 8)
	for i := 0; i < len(with); i++ {
		c := with[i]
		if c != '%' || i+1 >= len(with) {
			b.WriteByte(c)
			continue
		}
		i++
		d := int(with[i]) - '0'
		switch {
		case d < 0 || d > 9:
			b.WriteByte(with[i])
			continue
		case d == 0:
			b.WriteString(mt.text[start:end])
		case d == 1 && len(mt.captures) == 0:
			b.WriteString(mt.text[start:end])
		case d > len(mt.captures):
			throw(L, 1, "%s: %%%d in the replacement refers to no capture", who, d)
		default:
			s, _ := textOf(m.capture(L, who, mt, d-1))
			b.WriteString(s)
		}
		m.checkLength(L, who, b.Len())
	}
}

func lowerByte(c byte) byte {
	if 'A' <= c && c <= 'Z' {
		return c + 'a' - 'A'
	}
	return c
}

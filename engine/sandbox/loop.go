package sandbox

import (
	"unsafe" // to put a loop in place of the library's

	lua "github.com/yuin/gopher-lua"
)

// The library's loop asks the context before each instruction through a channel, and calls a function
// for each. This loop counts in place, and executes itself what instructions mostly are: moves, constants,
// sums and comparisons of numbers, fields of tables that have them. Where anything is unusual, and for all others, it calls
// the functions in the library's table. What an instruction does and costs is the same either way, so that
// neither results nor the place where a budget ends depend on it (TestLoop).

// takeLoop has a thread execute by our loop. It must follow SetContext, which sets the library's.
var takeLoop = func(th *lua.LState) {
	*(*func(*lua.LState, *frame))(unsafe.Pointer(&stateOf(th).mainLoop)) = runLoop
}

// librarysLoop is the library's own, for the calls of Go functions.
var librarysLoop = func() func(*lua.LState, *frame) {
	L := lua.NewState(lua.Options{SkipOpenLibs: true})
	defer L.Close()
	L.SetContext(&fuel{})
	return *(*func(*lua.LState, *frame))(unsafe.Pointer(&stateOf(L).mainLoop))
}()

func runLoop(L *lua.LState, base *frame) {
	s := stateOf(L)
	f, ok := L.Context().(*fuel)
	if !ok || s.currentFrame.Fn.IsG {
		librarysLoop(L, base)
		return
	}
	for {
		cf := s.currentFrame
		inst := cf.Fn.Proto.Code[cf.Pc]
		cf.Pc++
		f.left--
		if (f.left <= f.check || f.urgent.Load()) && f.slow() {
			L.RaiseError("%s", f.Err().Error())
			return
		}
		if !s.quick(cf, inst) && instructions[inst>>26](L, inst, base) == 1 {
			return
		}
	}
}

// quick executes an instruction if it is a usual one, and says whether it did.
func (s *state) quick(cf *frame, inst uint32) bool {
	reg := s.reg
	to := cf.LocalBase + fieldA(inst)
	if to >= reg.top { // the library makes room
		return false
	}
	switch opcode(inst) {
	case lua.OP_MOVE:
		reg.array[to] = reg.array[cf.LocalBase+fieldB(inst)]
		return true
	case lua.OP_LOADK:
		reg.array[to] = cf.Fn.Proto.Constants[inst&0x3ffff]
		return true
	case lua.OP_GETUPVAL:
		reg.array[to] = cf.Fn.Upvalues[fieldB(inst)].Value()
		return true
	case lua.OP_JMP:
		cf.Pc += int(inst&0x3ffff) - mostJump
		return true
	case lua.OP_TEST:
		if lua.LVAsBool(reg.array[to]) == (fieldC(inst) == 0) {
			cf.Pc++
		}
		return true
	case lua.OP_GETTABLEKS, lua.OP_GETTABLE:
		v := s.field(inst)
		if v == nil {
			v = s.fieldOf(inst)
		}
		if v != nil {
			reg.array[to] = v
		}
		return v != nil
	case lua.OP_ADD, lua.OP_SUB, lua.OP_MUL, lua.OP_DIV:
		return s.compute(to, inst)
	case lua.OP_EQ, lua.OP_LT, lua.OP_LE:
		return s.compare(inst)
	}
	return false
}

// mostJump is what instructions add to the distance of a jump.
const mostJump = 1<<17 - 1

// field is what a table holds under a short text or in its list; nil where it holds nothing there, or
// where it is no table.
func (s *state) field(inst uint32) lua.LValue {
	object, ok := s.operand(fieldB(inst)).(*lua.LTable)
	if !ok {
		return nil
	}
	t := tableOf(object)
	switch key := s.operand(fieldC(inst)).(type) {
	case lua.LString:
		if len(key) <= longText {
			return t.strdict[string(key)]
		}
	case lua.LNumber:
		if i := int(key); i > 0 && i <= len(t.array) && lua.LNumber(i) == key {
			if v := t.array[i-1]; v != lua.LNil {
				return v
			}
		}
	}
	return nil
}

// setField writes a field where no metamethod is asked, and says whether it did.
func (s *state) setField(t *lua.LTable, key, v lua.LValue) bool {
	if v == lua.LNil {
		return false
	}
	tb, plain := tableOf(t), t.Metatable == lua.LNil
	switch k := key.(type) {
	case lua.LString:
		_, has := tb.strdict[string(k)]
		if has || plain {
			tb.strdict[string(k)] = v
		}
		if plain && !has {
			tb.list(key)
		}
		return has || plain
	case lua.LNumber:
		i := int(k)
		switch {
		case lua.LNumber(i) != k || i < 1 || i > len(tb.array)+1 || i >= lua.MaxArrayIndex:
			return false
		case i <= len(tb.array) && (plain || tb.array[i-1] != lua.LNil):
			tb.array[i-1] = v
			return true
		case i > len(tb.array) && plain:
			tb.array = append(tb.array, v)
			return true
		}
	}
	return false
}

// list enters a key among those that pairs lists.
func (t *table) list(key lua.LValue) {
	if t.keys == nil {
		t.keys, t.k2i = make([]lua.LValue, 0, 4), map[lua.LValue]int{}
	}
	if _, known := t.k2i[key]; !known {
		t.k2i[key] = len(t.keys)
		t.keys = append(t.keys, key)
	}
}

// compute is a sum, difference, product or quotient of two numbers that is no zero, whose sign arithmeticOp minds.
func (s *state) compute(to int, inst uint32) bool {
	a, okA := s.operand(fieldB(inst)).(lua.LNumber)
	b, okB := s.operand(fieldC(inst)).(lua.LNumber)
	if !okA || !okB {
		return false
	}
	var f float64
	switch opcode(inst) {
	case lua.OP_ADD:
		f = float64(a + b)
	case lua.OP_SUB:
		f = float64(a - b)
	case lua.OP_MUL:
		f = float64(a * b)
	default:
		f = float64(a / b)
	}
	if f == 0 {
		return false
	}
	if f > 0 && f < float64(len(small)) {
		if n := int(f); f == float64(n) {
			s.reg.array[to] = small[n]
			return true
		}
	}
	s.reg.array[to] = s.reg.alloc.value(f)
	return true
}

// compare compares two numbers, or anything with nil for equality.
func (s *state) compare(inst uint32) bool {
	left, right := s.operand(fieldB(inst)), s.operand(fieldC(inst))
	a, okA := left.(lua.LNumber)
	b, okB := right.(lua.LNumber)
	if !okA || !okB {
		return false
	}
	yes := false
	switch opcode(inst) {
	case lua.OP_EQ:
		yes = a == b
	case lua.OP_LT:
		yes = a < b
	default:
		yes = a <= b
	}
	s.skip(inst, yes)
	return true
}

package sandbox

import (
	"math"
	"unsafe" // to reach variables that closures share

	lua "github.com/yuin/gopher-lua"
)

// An instruction costs one unit of the budget, which stands for some 10 ns. Some can take far
// longer, or make much: comparing long texts, a key that is searched for along a chain of
// __index, lists of values, tables that grow, variables that many closures share. This file
// puts functions before the library's that charge for it by counting, never by the clock:
// so a script ends at the same instruction in the run, in its replay and in each draw, on
// any machine. What one instruction may do at most is bounded to some milliseconds, so
// that those are charged at once that can only be counted afterwards.
//
// Code by the rules before 4 is charged by time, as it was (see [Machine.slowness]).

// charge puts them into the library's table.
func charge() {
	for op, f := range map[int]operation{
		lua.OP_GETTABLE: getTableOp, lua.OP_GETTABLEKS: getTableOp, lua.OP_SELF: getTableOp,
		lua.OP_SETTABLE: setTableOp, lua.OP_SETTABLEKS: setTableOp, lua.OP_NEWTABLE: newTableOp, lua.OP_SETLIST: setListOp,
		lua.OP_EQ: equalOp, lua.OP_LT: orderOp, lua.OP_LE: orderOp,
		lua.OP_CALL: callOp, lua.OP_TAILCALL: callOp, lua.OP_TFORLOOP: iterateOp, lua.OP_RETURN: returnOp, lua.OP_VARARG: varargOp,
		lua.OP_CLOSURE: closureOp, lua.OP_CLOSE: closeOp,
	} {
		instructions[op] = f
	}
}

// What work costs, in units.
const (
	hostCost     = 10 // calling a Go function, which takes some 100 ns
	linkCost     = 6  // one table of a chain of __index
	compareCost  = 8  // so many bytes of text are gone through in one unit; eight times as many are compared for equality
	perUnit      = 8  // so many bytes are made in one unit
	keyCost      = 60 // a new key of a table
	tableCost    = 15 // a new table
	scanCost     = 3  // so many empty places of a list are skipped in one unit
	copyCost     = 4  // so many values are copied in one unit
	longText     = 64 // text below is not charged for as a key
	upvalueScan  = 4  // so many shared variables are passed over in one unit
	keyScanUnits = 8  // passing over a removed key
)

// fuelOf returns what a thread's instructions are counted in.
func fuelOf(L *lua.LState) *fuel {
	f, _ := L.Context().(*fuel)
	return f
}

// metered returns the thread's fuel if the running code is charged by counting, else nil.
func metered(L *lua.LState) *fuel {
	if !stateOf(L).currentFrame.mended() {
		return nil
	}
	return fuelOf(L)
}

// grow charges for n bytes. What the instructions made since the memory was last
// counted is looked at before the next one.
func (f *fuel) grow(n int64) {
	f.left -= n / perUnit
	f.made(n)
}

// made counts n bytes without the work.
func (f *fuel) made(n int64) {
	if f.fresh += n; f.fresh >= f.full {
		f.check = max(f.check, f.left)
	}
}

// getTableOp reads a field.
func getTableOp(L *lua.LState, inst uint32, base *frame) int {
	op := opcode(inst)
	f := metered(L)
	if f == nil {
		return own[op](L, inst, base)
	}
	s := stateOf(L)
	object, key := s.operand(fieldB(inst)), s.operand(fieldC(inst))
	if k, ok := key.(lua.LString); ok && len(k) > longText {
		f.left -= int64(len(k)) / compareCost
	}
	if t, ok := object.(*lua.LTable); ok && t.Metatable != lua.LNil {
		f.left -= chainCost(t, key, "__index")
	}
	return own[op](L, inst, base)
}

// chainCost is what it costs to search for a key along a chain of __index or __newindex.
func chainCost(t *lua.LTable, key lua.LValue, event string) (cost int64) {
	for range lua.MaxTableGetLoop {
		mt, ok := t.Metatable.(*lua.LTable)
		if !ok || t.RawGet(key) != lua.LNil {
			return cost
		}
		switch next := mt.RawGetString(event).(type) {
		case *lua.LTable:
			cost += linkCost
			t = next
		case *lua.LFunction:
			return cost + hostCost
		default:
			return cost
		}
	}
	return cost
}

// setTableOp writes a field. A table may grow by it.
func setTableOp(L *lua.LState, inst uint32, base *frame) int {
	op := opcode(inst)
	f := metered(L)
	if f == nil {
		return own[op](L, inst, base)
	}
	s := stateOf(L)
	t, ok := s.operand(fieldA(inst)).(*lua.LTable)
	if !ok {
		return own[op](L, inst, base)
	}
	key := s.operand(fieldB(inst))
	if k, ok := key.(lua.LString); ok && len(k) > longText {
		f.left -= int64(len(k)) / compareCost
	}
	if t.Metatable != lua.LNil {
		f.left -= chainCost(t, key, "__newindex")
	}
	before := startTable(t, key)
	result := 0
	if !s.setField(t, key, s.operand(fieldC(inst))) {
		result = own[op](L, inst, base)
	}
	f.grew(tableOf(t), before)
	return result
}

// grew charges for what a table has grown.
func (f *fuel) grew(t *table, before extent) {
	if keys := len(t.keys) - before.keys; keys > 0 {
		f.left -= keyCost * int64(keys)
		f.grow(keyBytes * int64(keys))
	}
	if items := len(t.array) - before.list; items > 0 {
		f.grow(3 * slotBytes * int64(items)) // lists are copied as they grow
	}
}

// extent is how large a table is.
type extent struct{ list, keys int }

// startTable makes the first room of a table for a key. The library would make room for 32
// keys at once, of which most tables use one or two. It returns how large the table is.
func startTable(t *lua.LTable, key lua.LValue) extent {
	tb := tableOf(t)
	switch key.(type) {
	case lua.LString:
		if tb.strdict == nil {
			tb.strdict = map[string]lua.LValue{}
		}
	case lua.LNumber:
		if tb.array == nil {
			tb.array = make([]lua.LValue, 0, 4)
		}
	}
	return extent{len(tb.array), len(tb.keys)}
}

// newTableOp makes a table, with room for its list, not for its keys.
func newTableOp(L *lua.LState, inst uint32, base *frame) int {
	f := metered(L)
	if f == nil {
		return own[lua.OP_NEWTABLE](L, inst, base)
	}
	items := fieldB(inst)
	stateOf(L).set(L, fieldA(inst), L.CreateTable(items, 0))
	f.left -= tableCost
	f.grow(tableBytes + slotBytes*int64(items))
	return 0
}

// setListOp writes the items of a constructor.
func setListOp(L *lua.LState, inst uint32, base *frame) int {
	if f := metered(L); f != nil {
		s := stateOf(L)
		n := fieldB(inst)
		if n == 0 {
			n = s.listed(fieldA(inst))
		}
		f.left -= int64(n) / copyCost
		f.grow(slotBytes * int64(n))
	}
	return own[lua.OP_SETLIST](L, inst, base)
}

// listed is how many values a list holds that goes from after a register to the top.
func (s *state) listed(register int) int {
	return max(0, s.reg.top-s.currentFrame.LocalBase-register-1)
}

// equalOp compares for equality.
func equalOp(L *lua.LState, inst uint32, base *frame) int {
	if f := metered(L); f != nil {
		s := stateOf(L)
		switch a := s.operand(fieldB(inst)).(type) {
		case lua.LString:
			if b, ok := s.operand(fieldC(inst)).(lua.LString); ok && len(a) == len(b) {
				f.left -= int64(len(a)) / (8 * compareCost)
			}
		case *lua.LTable, *lua.LUserData: // which may have an __eq
			f.left -= hostCost
			if b := s.operand(fieldC(inst)); a != b {
				if yes, ok := compareOther(L, "__eq", a, b); ok {
					s.skip(inst, yes)
					return 0
				}
			}
		}
	}
	return own[lua.OP_EQ](L, inst, base)
}

// orderOp compares by order.
func orderOp(L *lua.LState, inst uint32, base *frame) int {
	op := opcode(inst)
	if f := metered(L); f != nil {
		s := stateOf(L)
		if a, ok := s.operand(fieldB(inst)).(lua.LNumber); !ok {
			b, c := s.operand(fieldB(inst)), s.operand(fieldC(inst))
			f.left -= orderCost(b, c)
			if yes, ok := orderOther(L, op, b, c); ok {
				s.skip(inst, yes)
				return 0
			}
		} else if _, ok := s.operand(fieldC(inst)).(lua.LNumber); !ok {
			_ = a
			f.left -= hostCost
		}
	}
	return own[op](L, inst, base)
}

// orderCost is what it costs to compare two values by order that are not both numbers.
func orderCost(a, b lua.LValue) int64 {
	x, ok := a.(lua.LString)
	y, both := b.(lua.LString)
	if ok && both {
		return 2 * int64(min(len(x), len(y))) / compareCost // byte by byte
	}
	return hostCost
}

// callOp calls a function.
func callOp(L *lua.LState, inst uint32, base *frame) int {
	if f := metered(L); f != nil {
		s := stateOf(L)
		if fn, ok := s.operand(fieldA(inst)).(*lua.LFunction); !ok || fn.IsG {
			f.left -= hostCost
		}
		if fieldB(inst) == 0 {
			f.left -= int64(s.listed(fieldA(inst))) / copyCost
		}
	}
	return own[opcode(inst)](L, inst, base)
}

// iterateOp calls the iterator of a for loop.
func iterateOp(L *lua.LState, inst uint32, base *frame) int {
	if f := metered(L); f != nil {
		f.left -= hostCost
	}
	return own[lua.OP_TFORLOOP](L, inst, base)
}

// returnOp returns from a function.
func returnOp(L *lua.LState, inst uint32, base *frame) int {
	if f := metered(L); f != nil {
		s := stateOf(L)
		if fieldB(inst) == 0 {
			f.left -= int64(s.listed(fieldA(inst))) / copyCost
		}
		if s.shared != nil {
			f.left -= s.sharedBelow(s.currentFrame.LocalBase) / upvalueScan
		}
	}
	return own[lua.OP_RETURN](L, inst, base)
}

// varargOp copies the values of `...`.
func varargOp(L *lua.LState, inst uint32, base *frame) int {
	if f := metered(L); f != nil && fieldB(inst) == 0 {
		frame := stateOf(L).currentFrame
		n := int64(max(0, frame.NArgs-int(frame.Fn.Proto.NumParameters)))
		f.left -= n / copyCost
		f.grow(slotBytes * n)
	}
	return own[lua.OP_VARARG](L, inst, base)
}

// closureOp makes a function. For each variable that it shares with the function around, the
// library passes over all that are shared on the thread.
func closureOp(L *lua.LState, inst uint32, base *frame) int {
	if f := metered(L); f != nil {
		s := stateOf(L)
		n := int64(s.currentFrame.Fn.Proto.FunctionPrototypes[inst&0x3ffff].NumUpvalues)
		if n > 0 {
			f.left -= n * s.sharedBelow(math.MaxInt) / upvalueScan
		}
		f.grow(functionBytes + upvalueBytes*n)
	}
	return own[lua.OP_CLOSURE](L, inst, base)
}

// closeOp ends the sharing of variables at the end of their block.
func closeOp(L *lua.LState, inst uint32, base *frame) int {
	if f := metered(L); f != nil {
		if s := stateOf(L); s.shared != nil {
			f.left -= s.sharedBelow(s.currentFrame.LocalBase+fieldA(inst)) / upvalueScan
		}
	}
	return own[lua.OP_CLOSE](L, inst, base)
}

// sharedVariable begins as the library's Upvalue does.
type sharedVariable struct {
	next  unsafe.Pointer
	_     unsafe.Pointer // reg
	index int
}

// sharedBelow counts the variables of the thread's open calls that closures share, in
// registers below one.
func (s *state) sharedBelow(register int) (n int64) {
	for v := s.shared; v != nil && v.index < register; v = (*sharedVariable)(v.next) {
		n++
	}
	return n
}

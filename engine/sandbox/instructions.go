package sandbox

import (
	"fmt"
	"math"
	"reflect"
	"unsafe" // for go:linkname, and to reach the registers

	lua "github.com/yuin/gopher-lua"
)

// Some instructions of the library's virtual machine compute other things than Lua 5.1, and
// no source that the rewriter could write avoids them:
//
//   - arithmetic loses the sign of a zero, because small whole numbers are shared, and
//     0 == -0;
//   - `%` is exact, where Lua 5.1 computes a - floor(a/b)*b with its roundings;
//   - `^` is often one unit off in the last place;
//   - `#` asks a table's __len, which came with Lua 5.2;
//   - __unm gets its operand once, not twice;
//   - a metamethod that is no function is taken for missing;
//   - a for loop does not take text as a number;
//   - `..` can allocate without bound.
//
// The library looks instructions up in a table. This file puts its own functions
// there; all but `..` hand on to the library's, and mend only what differs. Code that this
// package did not compile, and code by the rules before 4, keeps the library's own
// (see [Limits.Before4]).
//
// The library exports neither the table nor the registers. The table is reached by its
// linker's name, the registers by structs of the same layout, which init compares with
// the library's: an upgrade that changes them ends the program at its start, and the tests
// with it.

// operation executes one instruction.
type operation = func(L *lua.LState, inst uint32, base *frame) int

//go:linkname instructions github.com/yuin/gopher-lua.jumpTable
var instructions [lua.OP_NOP + 1]operation

// own are the library's own instructions.
var own [lua.OP_NOP + 1]operation

func init() {
	mirrors(reflect.TypeFor[state](), reflect.TypeFor[lua.LState]())
	own = instructions
	for op := lua.OP_ADD; op <= lua.OP_POW; op++ {
		instructions[op] = arithmeticOp
	}
	instructions[lua.OP_UNM] = minusOp
	instructions[lua.OP_LEN] = lengthOp
	instructions[lua.OP_FORPREP] = forOp
	instructions[lua.OP_CONCAT] = concatOp
	charge()
}

// state begins as [lua.LState] does.
type state struct {
	_            unsafe.Pointer // G
	_            unsafe.Pointer // Parent
	_            unsafe.Pointer // Env
	_            func(*lua.LState)
	_            bool // Dead
	_            lua.Options
	_            int32 // stop
	reg          *registry
	_            [2]unsafe.Pointer // stack
	_            unsafe.Pointer    // alloc
	currentFrame *frame
	_            bool            // wrapped
	shared       *sharedVariable `library:"uvcache"`
	_            bool            // hasErrorFunc
	mainLoop     unsafe.Pointer  // a function
}

// registry begins as the library's does.
type registry struct {
	array []lua.LValue
	top   int
	_     [2]int // growBy, maxSize
	alloc *allocator
}

// allocator begins as the library's does.
type allocator struct {
	_     int // size
	fptrs []float64
}

// frame begins as the library's callFrame does.
type frame struct {
	_         int // Idx
	Fn        *lua.LFunction
	_         unsafe.Pointer // Parent
	Pc        int
	_         int // Base
	LocalBase int
	_         int // ReturnBase
	NArgs     int
}

// mirrors panics unless each named field of a struct lies where the library's field of the
// same name does, or of the name in its tag.
func mirrors(ours, theirs reflect.Type) {
	for i := range ours.NumField() {
		f := ours.Field(i)
		if f.Name == "_" {
			continue
		}
		name := f.Name
		if other := f.Tag.Get("library"); other != "" {
			name = other
		}
		g, ok := theirs.FieldByName(name)
		inner := f.Type.Kind() == reflect.Pointer && f.Type != g.Type // a struct of ours in place of the library's
		if !ok || f.Offset != g.Offset || f.Type.Size() != g.Type.Size() || !inner && f.Type != g.Type && f.Type != reflect.TypeFor[unsafe.Pointer]() {
			panic(fmt.Sprintf("sandbox: the interpreter's %s has another layout than is known; field %s", theirs, f.Name))
		}
		if inner {
			mirrors(f.Type.Elem(), g.Type.Elem())
		}
	}
}

// mendedMark marks code of ours by today's rules, in a field of which nothing reads this bit
// once the code is made.
const mendedMark = 1 << 30

func (f *frame) mended() bool { return f.Fn.Proto.LastLineDefined&mendedMark != 0 }

// operandBit says of an operand that it is a constant.
const operandBit = 1 << 8

// operand reads a register or constant.
func (s *state) operand(n int) lua.LValue {
	if n&operandBit != 0 {
		return s.currentFrame.Fn.Proto.Constants[n&^operandBit]
	}
	return s.reg.array[s.currentFrame.LocalBase+n]
}

// set writes a register.
func (s *state) set(L *lua.LState, register int, v lua.LValue) {
	i := s.currentFrame.LocalBase + register
	if i >= len(s.reg.array) { // let the library make room
		own[lua.OP_LOADNIL](L, uint32(lua.OP_LOADNIL<<26|register<<18|register), nil)
	}
	s.reg.array[i] = v
	s.reg.top = max(s.reg.top, i+1)
}

func stateOf(L *lua.LState) *state { return (*state)(unsafe.Pointer(L)) }

func tableOf(t *lua.LTable) *table { return (*table)(unsafe.Pointer(t)) }

// The fields of an instruction.
func opcode(inst uint32) int { return int(inst >> 26) }
func fieldA(inst uint32) int { return int(inst>>18) & 0xff }
func fieldB(inst uint32) int { return int(inst & 0x1ff) }
func fieldC(inst uint32) int { return int(inst>>9) & 0x1ff }

// small are the numbers that results most often are, made once.
var small = func() (all [128]lua.LValue) {
	for i := range all {
		all[i] = lua.LNumber(i)
	}
	return all
}()

func isMinusZero(f float64) bool { return f == 0 && math.Signbit(f) }

// zero is a value that holds a number, of which the value function takes the type.
var zero lua.LValue = lua.LNumber(0)

// value makes a value of a number, which is kept among the library's own: one at a
// time, each would cost an allocation.
func (a *allocator) value(f float64) lua.LValue {
	if len(a.fptrs) == cap(a.fptrs) {
		a.fptrs = make([]float64, 0, numbersAtOnce)
	}
	a.fptrs = append(a.fptrs, f)
	v := zero
	(*[2]unsafe.Pointer)(unsafe.Pointer(&v))[1] = unsafe.Pointer(&a.fptrs[len(a.fptrs)-1])
	return v
}

const numbersAtOnce = 32

// powCost is what `^` costs, as math.pow does. It takes up to three times as long as the library's.
const powCost = twoCost

// arithmeticOp is + - * / % ^. It is one function, because calls would be a sixth of its time.
func arithmeticOp(L *lua.LState, inst uint32, base *frame) int {
	s := stateOf(L)
	a, okA := s.operand(fieldB(inst)).(lua.LNumber)
	b, okB := s.operand(fieldC(inst)).(lua.LNumber)
	op := opcode(inst)
	if !okA || !okB {
		if fuel := metered(L); fuel != nil {
			fuel.left -= hostCost
			if v, ok := computeOther(L, op, s.operand(fieldB(inst)), s.operand(fieldC(inst))); ok {
				s.set(L, fieldA(inst), v)
				return 0
			}
		}
		return own[op](L, inst, base)
	}
	var f float64
	switch op {
	case lua.OP_ADD:
		f = float64(a + b)
	case lua.OP_SUB:
		f = float64(a - b)
	case lua.OP_MUL:
		f = float64(a * b)
	case lua.OP_DIV:
		f = float64(a / b)
	case lua.OP_MOD:
		if !s.currentFrame.mended() {
			return own[op](L, inst, base)
		}
		f = modulo(float64(a), float64(b))
	default:
		if !s.currentFrame.mended() {
			return own[op](L, inst, base)
		}
		if fuel := metered(L); fuel != nil {
			fuel.left -= powCost
		}
		f = pow(float64(a), float64(b))
	}
	i := s.currentFrame.LocalBase + fieldA(inst)
	if f == 0 || i >= s.reg.top {
		return s.result(L, inst, f)
	}
	if f > 0 && f < float64(len(small)) {
		if n := int(f); f == float64(n) {
			s.reg.array[i] = small[n]
			return 0
		}
	}
	s.reg.array[i] = s.reg.alloc.value(f)
	return 0
}

// result writes a number that an operator gave. The rules before 4 know no -0.
func (s *state) result(L *lua.LState, inst uint32, f float64) int {
	if f == 0 && !s.currentFrame.mended() {
		f = 0
	}
	v := small[0]
	if f != 0 || math.Signbit(f) {
		v = s.reg.alloc.value(f)
	}
	s.set(L, fieldA(inst), v)
	return 0
}

// minusOp is the sign before an operand. Lua hands the operand of __unm over twice.
func minusOp(L *lua.LState, inst uint32, base *frame) int {
	s := stateOf(L)
	v := s.operand(fieldB(inst))
	f := metaField(L, v, "__unm")
	if f == lua.LNil || !s.currentFrame.mended() {
		return own[lua.OP_UNM](L, inst, base)
	}
	if fuel := metered(L); fuel != nil {
		fuel.left -= hostCost
	}
	s.set(L, fieldA(inst), callOne(L, f, v, v))
	return 0
}

// lengthOp is #. The length of a table is its own, whatever its metatable says.
func lengthOp(L *lua.LState, inst uint32, base *frame) int {
	s := stateOf(L)
	t, ok := s.operand(fieldB(inst)).(*lua.LTable)
	if !ok || !s.currentFrame.mended() {
		return own[lua.OP_LEN](L, inst, base)
	}
	n := t.Len()
	if fuel := metered(L); fuel != nil {
		fuel.left -= int64(len(tableOf(t).array)-n) / scanCost
	}
	return s.result(L, inst, float64(n))
}

// forOp begins a for loop over numbers, whose limits may be text that is a number.
func forOp(L *lua.LState, inst uint32, base *frame) int {
	s := stateOf(L)
	for i := fieldA(inst); i < fieldA(inst)+3 && s.currentFrame.mended(); i++ {
		if text, ok := s.operand(i).(lua.LString); ok {
			if fuel := metered(L); fuel != nil {
				fuel.left -= numberCost(string(text))
			}
			if n, ok := toNumber(text); ok {
				s.set(L, i, n)
			}
		}
	}
	return own[lua.OP_FORPREP](L, inst, base)
}

// concatOp is a chain of `..`: the values of several registers are joined.
func concatOp(L *lua.LState, inst uint32, base *frame) int {
	f, ok := L.Context().(*fuel)
	if !ok {
		return own[lua.OP_CONCAT](L, inst, base)
	}
	s := stateOf(L)
	first := s.currentFrame.LocalBase
	v := f.machine.join(L, s.reg.array[first+fieldB(inst):first+fieldC(inst)+1])
	s.set(L, fieldA(inst), v)
	return 0
}

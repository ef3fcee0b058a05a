package sandbox

import lua "github.com/yuin/gopher-lua"

// A metamethod can be any value. Where it is no function, Lua 5.1 calls it all the same: by its own __call, or it
// fails. The library takes it for missing, so that == was false without a word. The functions here are asked first, by today's rules.

// events are the metamethods of operators on numbers, from the instruction for + on.
var events = [...]string{"__add", "__sub", "__mul", "__div", "__mod", "__pow"}

// isOther says whether a metamethod is there and no function.
func isOther(f lua.LValue) bool { return f.Type() != lua.LTFunction && f != lua.LNil }

// computeOther is an operator of which the metamethod is no function; ok is false where it is none of these.
func computeOther(L *lua.LState, op int, a, b lua.LValue) (v lua.LValue, ok bool) {
	event := events[op-lua.OP_ADD]
	f := metaField(L, a, event)
	if f == lua.LNil {
		f = metaField(L, b, event)
	}
	if !isOther(f) {
		return nil, false
	}
	return callOne(L, f, a, b), true
}

// compareOther is a comparison of two values of one type that have the same metamethod, which is no function.
func compareOther(L *lua.LState, event string, a, b lua.LValue) (yes, ok bool) {
	f := metaField(L, a, event)
	if !isOther(f) || a.Type() != b.Type() || f != metaField(L, b, event) {
		return false, false
	}
	return lua.LVAsBool(callOne(L, f, a, b)), true
}

// orderOther is < or <=, which can be the contrary of >.
func orderOther(L *lua.LState, op int, a, b lua.LValue) (yes, ok bool) {
	if op == lua.OP_LT {
		return compareOther(L, "__lt", a, b)
	}
	if f := metaField(L, a, "__le"); f.Type() == lua.LTFunction && f == metaField(L, b, "__le") {
		return false, false
	}
	if yes, ok = compareOther(L, "__le", a, b); ok {
		return yes, ok
	}
	yes, ok = compareOther(L, "__lt", b, a)
	return !yes, ok
}

// skip goes over the next instruction if a comparison did not come to what its instruction asks for.
func (s *state) skip(inst uint32, yes bool) {
	if yes == (fieldA(inst) == 0) {
		s.currentFrame.Pc++
	}
}

// mustCall refuses to call what cannot be called, with the message of a direct call. The library's own would have no
// place where a function of the host calls, and would name that function.
func mustCall(L *lua.LState, fn lua.LValue) {
	if fn.Type() == lua.LTFunction || metaField(L, fn, "__call").Type() == lua.LTFunction {
		return
	}
	if f := fuelOf(L); f == nil || f.machine.lim.Before4 {
		return
	}
	frames, place := FramesOf(L), ""
	if len(frames) > 0 {
		place = frames[0].place()
	}
	panic(&thrown{value: lua.LString(place + "attempt to call a " + fn.Type().String() + " value"), frames: frames})
}

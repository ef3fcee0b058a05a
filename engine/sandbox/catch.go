package sandbox

import lua "github.com/yuin/gopher-lua"

// luaPcall runs a function on a thread of its own. Raising an error closes the
// upvalues of each live frame of its thread, so that a local which the calling
// function shares with a closure would split in two; on a thread of its own the
// error reaches only frames that are lost with it.
func (m *Machine) luaPcall(L *lua.LState) int {
	fn := anyArg(L, 1, "pcall")
	results, caught := m.try(L, "pcall", fn, rest(L, 2))
	if caught != nil {
		L.Push(lua.LFalse)
		L.Push(caught.value)
		return 2
	}
	return pushAll(L, lua.LTrue, results)
}

func (m *Machine) luaXpcall(L *lua.LState) int {
	fn, handler := anyArg(L, 1, "xpcall"), anyArg(L, 2, "xpcall")
	if L.GetTop() > 2 && !m.lim.Before4 {
		throw(L, 1, "xpcall: %d arguments, want 2; Lua 5.1 passes none on to the function, so put them into one: function() return f(…) end", L.GetTop())
	}
	results, caught := m.try(L, "xpcall", fn, rest(L, 3))
	if caught == nil {
		return pushAll(L, lua.LTrue, results)
	}
	results, again := m.try(L, "xpcall", handler, []lua.LValue{caught.value})
	switch {
	case again != nil:
		results = []lua.LValue{again.value}
	case !m.lim.Before4: // as Lua 5.1 does, which asks the handler for one value
		results = append(results, lua.LNil)[:1]
	}
	return pushAll(L, lua.LFalse, results)
}

// try runs a function and catches what it throws, unless the machine was stopped.
func (m *Machine) try(L *lua.LState, who string, fn lua.LValue, args []lua.LValue) ([]lua.LValue, *thrown) {
	if m.depth > m.lim.CallDepth {
		throw(L, 1, "%s: more than %d calls are open at once; look for a function that calls itself without end", who, m.lim.CallDepth)
	}
	m.Charge(20)
	m.work(int64(len(args)) / copyCost)
	m.Grow(slotBytes * int64(len(args)))
	results, caught := m.protect(fn, lua.MultRet, args)
	if m.cause() != nil {
		panic(halted{})
	}
	if caught != nil && caught.final {
		panic(caught)
	}
	if caught != nil {
		m.Charge(costOfCatching)
		m.Grow(objectBytes + failureBytes + frameBytes*int64(len(caught.frames)))
		m.work(frameCost * int64(len(caught.frames)))
	}
	return results, caught
}

// costOfCatching is the work of an error that is raised and caught, some 17 µs.
const costOfCatching = 700

// frameCost is what each open call adds to that, for the traceback.
const frameCost = 150

// rest returns the arguments from number n on.
func rest(L *lua.LState, n int) []lua.LValue {
	var args []lua.LValue
	for i := n; i <= L.GetTop(); i++ {
		args = append(args, L.Get(i))
	}
	return args
}

// room makes room for n values at once. The library would make it for some 2,000 at a time, and
// copy all registers each time.
func room(L *lua.LState, n int) {
	if n > registryStart {
		top := L.GetTop()
		L.SetTop(top + n)
		L.SetTop(top)
	}
}

func pushAll(L *lua.LState, first lua.LValue, others []lua.LValue) int {
	room(L, len(others))
	L.Push(first)
	for _, v := range others {
		L.Push(v)
	}
	return 1 + len(others)
}

// luaError raises any value. A message gets the place of the frame at the level:
// 1, the default, is the function that calls error, 2 the one that called that. As in
// Lua, it gets none where that is no function of a script, and level 0 leaves a
// number what it is.
func (m *Machine) luaError(L *lua.LState) int {
	v, level := L.Get(1), optInt(L, 2, "error", 1)
	if m.lim.Before4 {
		if s, ok := textOf(v); ok {
			t := newThrown(L, level, s)
			t.said = true
			panic(t)
		}
	}
	if s, ok := v.(lua.LString); ok {
		m.Grow(int64(len(s)))
	}
	t := &thrown{value: v, frames: FramesOf(L), said: true}
	own := len(threadFrames(L))
	t.level = max(min(level, own)-1, 0) // beyond the script's calls there is nobody to blame
	if s, ok := textOf(v); ok && level > 0 {
		t.value = lua.LString(placeAt(L, level) + s)
	}
	if f := toFailure(v); f != nil { // raised again: it keeps where it came from
		t.frames, t.level = f.frames, 0
	}
	panic(t)
}

// placeAt gives the place of the call at a level of the stack as Lua 5.1 counts it: 0 is the
// function that asks. A tail call leaves a level without a place, and so has a
// function of the host none. The stack goes on on the threads around.
func placeAt(L *lua.LState, level int) string {
	threads := []*lua.LState{L}
	if f, ok := L.Context().(*fuel); ok {
		for i := len(f.threads) - 1; i >= 0; i-- {
			if f.threads[i] != L {
				threads = append(threads, f.threads[i])
			}
		}
	}
	for _, th := range threads {
		for at := 0; ; {
			dbg, ok := th.GetStack(at)
			if !ok {
				break
			}
			fn, err := th.GetInfo("fl", dbg, nil)
			if err != nil {
				return ""
			}
			tails := tailCalls(dbg)
			if f, ok := fn.(*lua.LFunction); ok && level == 0 && !f.IsG {
				return Frame{File: f.Proto.SourceName, Line: dbg.CurrentLine}.place()
			}
			if level -= 1 + tails; level < 0 {
				return ""
			}
			at += 1 + tails
		}
	}
	return ""
}

// luaAssert raises its message with the place of its caller, as Lua 5.1 does. Other values
// than text, which Lua 5.1 does not take as a message, are raised as they are.
func (m *Machine) luaAssert(L *lua.LState) int {
	if lua.LVAsBool(anyArg(L, 1, "assert")) {
		return L.GetTop()
	}
	v := L.Get(2)
	if m.lim.Before4 {
		return assert3(L, v)
	}
	if v == lua.LNil {
		v = lua.LString("assertion failed!")
	}
	t := &thrown{value: v, frames: FramesOf(L), said: L.GetTop() > 1}
	if s, ok := textOf(v); ok {
		t.value = lua.LString(placeAt(L, 1) + s)
	}
	if f := toFailure(v); f != nil {
		t.frames = f.frames
	}
	panic(t)
}

// assert3 is a failed assert by the rules before 4.
func assert3(L *lua.LState, v lua.LValue) int {
	if L.GetTop() < 2 {
		throw(L, 1, "assertion failed")
	}
	if s, ok := textOf(v); ok {
		v = lua.LString(s)
	}
	frames := FramesOf(L)
	if f := toFailure(v); f != nil {
		frames = f.frames
	}
	panic(&thrown{value: v, frames: frames, said: true})
}

// callOne calls a function or a value with __call and returns one result. What
// it throws passes through.
func callOne(L *lua.LState, fn lua.LValue, args ...lua.LValue) lua.LValue {
	mustCall(L, fn)
	L.Push(fn)
	for _, a := range args {
		L.Push(a)
	}
	L.Call(len(args), 1)
	v := L.Get(-1)
	L.Pop(1)
	return v
}

// metaField returns a field of a value's metatable, or nil.
func metaField(L *lua.LState, v lua.LValue, name string) lua.LValue {
	switch v := v.(type) {
	case *lua.LTable:
		if mt, ok := v.Metatable.(*lua.LTable); ok {
			return mt.RawGetString(name)
		}
	case *lua.LUserData:
		if mt, ok := v.Metatable.(*lua.LTable); ok {
			return mt.RawGetString(name)
		}
	}
	return lua.LNil
}

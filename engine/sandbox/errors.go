package sandbox

import (
	"errors"
	"fmt"
	"reflect"
	"strings"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/fault"
	"candelua/engine/plain"
)

// Error is an error of a script, in the script's terms.
type Error struct {
	File    string  // the script's file; empty where no script ran
	Line    int     // the line that raised it, from 1; 0 where unknown
	Message string  // what is wrong, without place
	Frames  []Frame // the script's open calls, innermost first
	Err     error   // the Go error inside, if one was raised
	Said    bool    // the script itself raised it, with error or assert

	level int        // the frame that is blamed
	value lua.LValue // what the script raised, where it was no Go error
	final bool       // no pcall catches it, see [Unwind]
}

// Frame is one open call of a script.
type Frame struct {
	File     string
	Line     int
	Function string // its name as the source defines it; empty for the file's own level
}

// Error gives place and message: "sweep.lua:31: window is 180".
func (e *Error) Error() string {
	switch {
	case e.File == "":
		return e.Message
	case e.Line <= 0:
		return e.File + ": " + e.Message
	}
	return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Message)
}

// Unwrap returns the Go error inside.
func (e *Error) Unwrap() error { return e.Err }

// Hint returns the advice of the Go error inside, if it has any.
func (e *Error) Hint() string { return fault.HintOf(e.Err) }

// Traceback gives the script's open calls, one on a line, innermost first. Of a
// deep recursion the middle is left out.
func (e *Error) Traceback() string {
	const most = 20
	var b strings.Builder
	for i, f := range e.Frames {
		if len(e.Frames) > most && i == most/2 {
			fmt.Fprintf(&b, "    (%d more)\n", len(e.Frames)-most)
		}
		if len(e.Frames) > most && i >= most/2 && i < len(e.Frames)-most/2 {
			continue
		}
		if f.Function == "" {
			fmt.Fprintf(&b, "    %s:%d: in the file itself\n", plain.Line(f.File), f.Line)
			continue
		}
		fmt.Fprintf(&b, "    %s:%d: in function '%s'\n", plain.Line(f.File), f.Line, plain.Line(f.Function))
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// halted unwinds the stack of a stopped machine. Nothing catches it but the
// protected calls, which pass it on.
type halted struct{}

// thrown is a Lua error on its way up.
type thrown struct {
	value  lua.LValue
	frames []Frame
	level  int  // the frame to blame, counted from the innermost
	said   bool // by error or assert
	final  bool // no pcall catches it
}

// failure is the userdata value of a Go error in Lua.
type failure struct {
	err    error
	frames []Frame // where it was first raised
}

// Raise throws a Go error in Lua: as a userdata with the fields code and
// message, which the script may catch, look at and throw again. It does not
// return.
//
// An error of a script that a host function called, as it came from call, is
// thrown again as it was.
func Raise(L *lua.LState, err error) {
	if e, ok := err.(*Error); ok && e.value != nil {
		panic(&thrown{value: e.value, frames: e.Frames, level: e.level, said: e.Said, final: e.final})
	}
	panic(&thrown{value: newFailure(L, err), frames: FramesOf(L)})
}

// Unwind throws a Go error past each pcall of the script, to the host's [Machine.Call], which
// returns it. Unlike after [Machine.Stop], the machine can be called again. It does not return.
func Unwind(L *lua.LState, err error) {
	panic(&thrown{value: newFailure(L, err), frames: FramesOf(L), final: true})
}

// newFailure wraps a Go error for Lua.
func newFailure(L *lua.LState, err error) lua.LValue {
	ud := L.NewUserData()
	ud.Value = &failure{err: err, frames: FramesOf(L)}
	ud.Metatable = failureMetatable(L)
	return ud
}

// failureMetatable returns the metatable of errors; each state has its own.
func failureMetatable(L *lua.LState) *lua.LTable {
	const key = "failure"
	if mt, ok := L.G.Registry.RawGetString(key).(*lua.LTable); ok {
		return mt
	}
	mt := L.NewTable()
	mt.RawSetString("__metatable", lua.LString("error"))
	mt.RawSetString("__index", L.NewFunction(failureIndex))
	mt.RawSetString("__newindex", L.NewFunction(func(L *lua.LState) int {
		throw(L, 1, "an error's fields cannot be set")
		return 0
	}))
	mt.RawSetString("__tostring", L.NewFunction(func(L *lua.LState) int {
		L.Push(lua.LString(toFailure(L.Get(1)).err.Error()))
		return 1
	}))
	L.G.Registry.RawSetString(key, mt)
	return mt
}

func failureIndex(L *lua.LState) int {
	f := toFailure(L.Get(1))
	name, ok := textOf(L.Get(2))
	if !ok {
		throw(L, 1, "an error has no field whose key is a %s, only code, message and hint", L.Get(2).Type())
	}
	switch name {
	case "message":
		L.Push(lua.LString(f.err.Error()))
	case "code":
		L.Push(lua.LString(fault.CodeOf(f.err)))
	case "hint":
		L.Push(lua.LString(fault.HintOf(f.err)))
	default:
		throw(L, 1, "an error has no field '%s', only code, message and hint", short(name))
	}
	return 1
}

// Passing says whether a panic is of a script, on its way through a host function
// that called it.
func Passing(p any) bool {
	switch p.(type) {
	case *lua.ApiError, *thrown, halted:
		return true
	}
	return false
}

// IsFailure says whether a value is a Go error that a script caught.
func IsFailure(v lua.LValue) bool { return toFailure(v) != nil }

// toFailure returns the failure that a value holds, or nil.
func toFailure(v lua.LValue) *failure {
	if ud, ok := v.(*lua.LUserData); ok {
		if f, ok := ud.Value.(*failure); ok {
			return f
		}
	}
	return nil
}

// throw raises a message in Lua, blaming the script's frame at a level: 1 is
// the innermost, 0 gives the message no place. It does not return.
func throw(L *lua.LState, level int, format string, args ...any) {
	panic(newThrown(L, level, fmt.Sprintf(format, args...)))
}

func newThrown(L *lua.LState, level int, message string) *thrown {
	frames := FramesOf(L)
	if own := len(threadFrames(L)); level > 0 && own > 0 {
		level = min(level, own) // beyond the script's calls there is nobody to blame
		message = frames[level-1].place() + message
	}
	return &thrown{value: lua.LString(message), frames: frames, level: max(level-1, 0)}
}

// place gives "file:line: ", as Lua writes it before messages.
func (f Frame) place() string { return fmt.Sprintf("%s:%d: ", f.File, f.Line) }

// panicked is what the virtual machine calls to raise an error of its own: the value is on the
// top of the stack and the frames are still there.
func (m *Machine) panicked(L *lua.LState) {
	if m.cause() != nil {
		m.stopped()
		panic(halted{})
	}
	frames := FramesOf(L)
	value := L.Get(-1)
	if s, ok := value.(lua.LString); ok {
		m.work(int64(m.notes(L)))
		value = lua.LString(m.plain(L, string(s), frames))
	}
	panic(&thrown{value: value, frames: frames})
}

// notes is how many notes the innermost function has, among which the words for an error are
// sought.
func (m *Machine) notes(L *lua.LState) int {
	if s := innermost(L); s != nil {
		return noteCost * len(s.proto.DbgLocals)
	}
	return 0
}

const noteCost = 3

// stopped notes, the first time, where the script was when it was stopped.
func (m *Machine) stopped() {
	if n := len(m.fuel.threads); m.halt == nil && n > 0 {
		m.halt = &Error{Frames: FramesOf(m.fuel.threads[n-1])}
	}
}

// stopError returns the cause of a stop. The limits of the sandbox get the
// place where the script was; other causes come out as they went in.
func (m *Machine) stopError(cause error) error {
	if !errors.Is(cause, ErrBudget) && !errors.Is(cause, ErrMemory) && !errors.Is(cause, ErrHeap) {
		return cause
	}
	e := &Error{Message: cause.Error(), Err: cause}
	if m.halt != nil {
		e.Frames = m.halt.Frames
	}
	if len(e.Frames) > 0 {
		e.File, e.Line = e.Frames[0].File, e.Frames[0].Line
	}
	return e
}

// explain makes an Error of what a script threw.
func (m *Machine) explain(t *thrown) *Error {
	e := &Error{Frames: t.frames, level: t.level, value: t.value, Said: t.said, final: t.final}
	if f := toFailure(t.value); f != nil {
		e.Err, e.Frames, t.level = f.err, f.frames, 0
		e.Message = f.err.Error()
	} else {
		e.Message = m.describe(t.value)
	}
	if t.level < len(e.Frames) {
		e.File, e.Line = e.Frames[t.level].File, e.Frames[t.level].Line
		e.Message = strings.TrimPrefix(e.Message, e.Frames[t.level].place())
	}
	var inner *Error
	if errors.As(e.Err, &inner) { // an error of a script inside a script keeps its own place
		e.File, e.Line, e.Message = inner.File, inner.Line, inner.Message
	}
	return e
}

// describe gives the message of a thrown Lua value.
func (m *Machine) describe(v lua.LValue) string {
	switch v := v.(type) {
	case lua.LString:
		return string(v)
	case lua.LNumber:
		return formatNumber(v)
	case *lua.LTable:
		if s, ok := v.RawGetString("message").(lua.LString); ok {
			return string(s)
		}
		return "a table was raised as an error; give it a field message"
	}
	return "a value of type " + v.Type().String() + " was raised as an error"
}

// FramesOf returns the script's open calls, innermost first: those on a thread, and those
// on the threads around it, which called it by pcall or through a host function.
func FramesOf(L *lua.LState) []Frame {
	frames := threadFrames(L)
	f, ok := L.Context().(*fuel)
	if !ok {
		return frames
	}
	for i := len(f.threads) - 1; i >= 0 && len(frames) < mostFrames; i-- {
		if f.threads[i] != L {
			frames = append(frames, threadFrames(f.threads[i])...)
		}
	}
	return frames
}

// mostFrames bounds a traceback.
const mostFrames = 1000

// threadFrames returns the script's open calls on one thread, innermost first.
func threadFrames(L *lua.LState) []Frame {
	var frames []Frame
	for level := 0; len(frames) < mostFrames; {
		dbg, ok := L.GetStack(level)
		if !ok {
			break
		}
		fn, err := L.GetInfo("fl", dbg, nil)
		if err != nil {
			break
		}
		level += 1 + tailCalls(dbg)
		if f, ok := fn.(*lua.LFunction); ok && !f.IsG {
			frames = append(frames, Frame{
				File: f.Proto.SourceName, Line: dbg.CurrentLine, Function: functionName(f.Proto),
			})
		}
	}
	return frames
}

// tailCalls returns how many calls a frame has replaced. The library counts
// each as a level of the stack but does not tell their number.
func tailCalls(dbg *lua.Debug) int {
	frame := reflect.ValueOf(dbg).Elem().FieldByName("frame")
	if frame.IsNil() || frame.Elem().FieldByName("Fn").Elem().FieldByName("IsG").Bool() {
		return 0
	}
	return int(frame.Elem().FieldByName("TailCall").Int())
}

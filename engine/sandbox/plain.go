package sandbox

import (
	"fmt"
	"reflect"
	"regexp"
	"strings"

	lua "github.com/yuin/gopher-lua"
)

// The virtual machine's own messages.
var (
	vmIndex   = regexp.MustCompile(`^attempt to index a non-table object\((\w+)\) with key '(?s:(.*))'$`)
	vmAddress = regexp.MustCompile(`^(table|function|userdata): 0x[0-9a-f]+$`)
	vmCompute = regexp.MustCompile(`^cannot perform (\w+) operation between (\w+) and (\w+)$`)
	vmCompare = regexp.MustCompile(`^attempt to compare (\w+) with (\w+)$`)
	vmFor     = regexp.MustCompile(`^for statement (\w+) must be a number$`)
)

// signs are the operators by the virtual machine's names for them.
var signs = map[string]string{"add": "+", "sub": "-", "mul": "*", "div": "/", "mod": "%", "pow": "^"}

// plain puts a message of the virtual machine into plain words, with the names of
// the source where it knows them. The place at its front stays. It is missing where only functions of the host are open on the
// thread; then the nearest one on the threads around it takes its place.
func (m *Machine) plain(L *lua.LState, message string, frames []Frame) string {
	if text, bare := strings.CutPrefix(message, " "); bare && !m.lim.Before4 {
		text = m.words(nil, 0, text)
		if len(frames) > 0 {
			text = frames[0].place() + text
		}
		return text
	}
	if len(frames) == 0 {
		return message
	}
	place := frames[0].place()
	text := strings.TrimPrefix(message, place)
	if text == message && !strings.HasPrefix(message, frames[0].File) {
		return message
	}
	return place + m.words(innermost(L), frames[0].Line, text)
}

// site is the instruction that raised an error.
type site struct {
	L     *lua.LState
	dbg   *lua.Debug
	proto *lua.FunctionProto
	pc    int
}

// innermost returns the script's innermost frame on a thread.
func innermost(L *lua.LState) *site {
	for level := 0; ; level++ {
		dbg, ok := L.GetStack(level)
		if !ok {
			return nil
		}
		if fn, err := L.GetInfo("f", dbg, nil); err == nil {
			if f, ok := fn.(*lua.LFunction); ok && !f.IsG {
				return &site{L, dbg, f.Proto, framePc(dbg) - 1}
			}
		}
	}
}

// framePc returns a frame's program counter, which the library does not show.
func framePc(dbg *lua.Debug) int {
	return int(reflect.ValueOf(dbg).Elem().FieldByName("frame").Elem().FieldByName("Pc").Int())
}

// words translates a message.
func (m *Machine) words(s *site, line int, text string) string {
	part := func(key string) string {
		if s == nil {
			return ""
		}
		if p := partText(s.proto, line, key); p != "" {
			return " (" + p + ")"
		}
		return ""
	}
	switch {
	case text == "attempt to call a non-function object":
		return s.called(line, m.lim.Before4)
	case text == "stack overflow":
		return fmt.Sprintf("more than %d calls are open at once; look for a function that calls itself without end", m.lim.CallDepth)
	case text == "registry overflow":
		return "too many values at once in calls and lists"
	case text == "__unm undefined":
		return "attempt to negate a value that is not a number" + part("unm")
	case text == "__len undefined":
		return "attempt to take the length of a value that is neither a table nor a text" + part("#")
	case strings.HasPrefix(text, "too many recursions in "):
		return "a chain of __index or __newindex is too long, or leads back to itself"
	}
	if f := vmIndex.FindStringSubmatch(text); f != nil {
		object := part(f[2])
		if object == "" {
			object = part("[]")
		}
		if kind := vmAddress.FindStringSubmatch(f[2]); kind != nil { // which is another one each time
			return fmt.Sprintf("attempt to use a field of a %s value%s; its key is a %s", f[1], object, kind[1])
		}
		return fmt.Sprintf("attempt to use field '%s' of a %s value%s", short(f[2]), f[1], object)
	}
	if f := vmCompute.FindStringSubmatch(text); f != nil {
		return fmt.Sprintf("attempt to compute %s %s %s%s", f[2], signs[f[1]], f[3], part(signs[f[1]]))
	}
	if f := vmCompare.FindStringSubmatch(text); f != nil {
		return fmt.Sprintf("attempt to compare a %s value with a %s value%s", f[1], f[2], part("compare"))
	}
	if f := vmFor.FindStringSubmatch(text); f != nil {
		return fmt.Sprintf("the %s of a for loop is not a number", map[string]string{"init": "first value", "limit": "last value", "step": "step"}[f[1]])
	}
	return text
}

// called says what was called that is not a function. The rules before 4 did not say it of the iterator of a loop.
func (s *site) called(line int, before4 bool) string {
	const unknown = "attempt to call a value that is not a function"
	if s == nil || s.pc < 0 || s.pc >= len(s.proto.Code) {
		return unknown
	}
	kind := "value that is not a function"
	inst := s.proto.Code[s.pc]
	if _, v := s.L.GetLocal(s.dbg, fieldA(inst)+1); v != nil && (opcode(inst) != lua.OP_TFORLOOP || !before4) {
		kind = v.Type().String() + " value"
	}
	for _, c := range s.proto.DbgCalls {
		if c.Pc != s.pc {
			continue
		}
		if p := partText(s.proto, line, "()"+c.Name); p != "" {
			return fmt.Sprintf("attempt to call a %s (%s)", kind, p)
		}
		if c.Name != "?" && c.Name != "(anonymous)" {
			return fmt.Sprintf("attempt to call a %s (%s)", kind, c.Name)
		}
	}
	return "attempt to call a " + kind
}

package sandbox

import (
	"unsafe" // an object begins as a userdata

	lua "github.com/yuin/gopher-lua"
)

// object is a userdata of the host, with what it holds. The field Env of it, of which the
// library makes nothing, tells it from others.
type object struct {
	lua.LUserData
	held   int64        // bytes, beside objectBytes
	values []lua.LValue // of the script
	read   Reader
}

// A Reader gives a field of an object by its name, as the function in its metatable would; nil where only that can
// tell.
type Reader func(value any, name string) lua.LValue

// Reads lets the loop read the fields of all objects with a metatable by a function of Go, without the call that
// __index is.
func (m *Machine) Reads(metatable *lua.LTable, read Reader) {
	if m.readers == nil {
		m.readers = map[*lua.LTable]Reader{}
	}
	m.readers[metatable] = read
}

// fieldOf is a field of an object that has a reader; nil where it is none.
func (s *state) fieldOf(inst uint32) lua.LValue {
	v, ok := s.operand(fieldB(inst)).(*lua.LUserData)
	if !ok || v.Env != objects {
		return nil
	}
	o := (*object)(unsafe.Pointer(v))
	name, ok := s.operand(fieldC(inst)).(lua.LString)
	if !ok || o.read == nil {
		return nil
	}
	return o.read(v.Value, string(name))
}

var objects = &lua.LTable{} // the Env of each object; nobody writes to it

// NewObject gives a script something of the host's. held is how many bytes it holds beside a
// few numbers, measured alike in the run, its replay and its draws; values are those of the
// script among what it holds.
func (m *Machine) NewObject(value any, metatable *lua.LTable, held int64, values ...lua.LValue) *lua.LUserData {
	m.Grow(objectBytes + held)
	o := &object{lua.LUserData{Value: value, Env: objects, Metatable: metatable}, held, values, m.readers[metatable]}
	return &o.LUserData
}

// object counts a userdata, with what it holds.
func (c *counter) object(v *lua.LUserData) {
	c.sum += objectBytes
	c.add(v.Metatable)
	if v.Env == objects {
		o := (*object)(unsafe.Pointer(v))
		c.sum += o.held
		c.add(o.values...)
	}
	if f, ok := v.Value.(*failure); ok {
		c.sum += failureBytes + frameBytes*int64(len(f.frames))
	}
}

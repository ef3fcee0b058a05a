package sandbox

import (
	"unsafe" // to tell texts apart by where they are

	lua "github.com/yuin/gopher-lua"
)

// The memory of a script is counted: all values that it can reach, by what they take. So a
// script that needs too much ends at the same instruction wherever it is executed; what
// the heap of the process holds depends on when garbage was collected, and on what else
// runs. The count is made again when so much was made since that it may have changed
// ([Machine.grow]).

// countEvery is how many bytes are made at least between two counts. Where a script holds much,
// the counts are farther apart, so that they cost no more than the making.
const countEvery = 16 << 20

// count adds up what the script holds, and ends the run where it is too much.
func (m *Machine) count() {
	c := &counter{seen: map[unsafe.Pointer]struct{}{}, sum: m.held + m.kept, most: m.lim.MemoryBytes}
	c.add(m.globals, m.base, m.texts, m.L.G.Registry, m.ipairsStep)
	for v := range m.ids {
		c.sum += keyBytes
		c.add(v)
	}
	for _, v := range m.modules {
		c.add(v)
	}
	for _, th := range m.fuel.threads {
		c.thread(th)
	}
	for _, th := range m.clean {
		c.thread(th)
	}
	c.follow()
	m.fuel.left -= countCost * int64(len(c.seen))
	m.fuel.fresh, m.fuel.full = 0, max(countEvery, c.sum/4)
	if c.sum > c.most {
		m.Stop(memoryError(m.lim))
	}
}

// countCost is what it costs to count one table, function or text.
const countCost = 6

// counter adds up values, each once.
type counter struct {
	seen map[unsafe.Pointer]struct{}
	todo []lua.LValue
	sum  int64
	most int64
}

func (c *counter) first(at unsafe.Pointer) bool {
	if _, ok := c.seen[at]; ok {
		return false
	}
	c.seen[at] = struct{}{}
	return true
}

// add counts values; what is in them is counted by follow.
func (c *counter) add(values ...lua.LValue) {
	for _, v := range values {
		switch v := v.(type) {
		case lua.LString:
			c.text(string(v))
		case *lua.LTable:
			if v != nil && c.first(unsafe.Pointer(v)) {
				c.todo = append(c.todo, v)
			}
		case *lua.LFunction:
			if v != nil && c.first(unsafe.Pointer(v)) {
				c.todo = append(c.todo, v)
			}
		case *lua.LUserData:
			if c.first(unsafe.Pointer(v)) {
				c.todo = append(c.todo, v)
			}
		}
	}
}

// text counts text; that in several places once, where it is long enough to be shared.
func (c *counter) text(s string) {
	if len(s) < longText || c.first(unsafe.Pointer(unsafe.StringData(s))) {
		c.sum += slotBytes + int64(len(s))
	}
}

func (c *counter) follow() {
	for len(c.todo) > 0 && c.sum <= c.most {
		v := c.todo[len(c.todo)-1]
		c.todo = c.todo[:len(c.todo)-1]
		switch v := v.(type) {
		case *lua.LTable:
			c.table(v)
		case *lua.LFunction:
			c.sum += functionBytes
			for _, u := range v.Upvalues {
				if u != nil && c.first(unsafe.Pointer(u)) {
					c.sum += upvalueBytes
					c.add(u.Value())
				}
			}
		case *lua.LUserData:
			c.object(v)
		}
	}
}

func (c *counter) table(v *lua.LTable) {
	t := tableOf(v)
	c.sum += tableBytes + slotBytes*int64(cap(t.array)) + keyBytes*int64(len(t.keys))
	if len(t.keys) > 0 {
		c.sum += mapBytes
	}
	c.add(v.Metatable)
	for _, x := range t.array {
		if x != lua.LNil {
			c.sum += slotBytes / 2 // what a number takes
			c.add(x)
		}
	}
	c.add(t.keys...) // also the removed ones
	for _, x := range t.strdict {
		c.add(x)
	}
	for _, x := range t.dict {
		c.add(x)
	}
}

// thread counts the registers of a thread, used or not, and the functions that run on it.
func (c *counter) thread(th *lua.LState) {
	if !c.first(unsafe.Pointer(th)) {
		return
	}
	reg := stateOf(th).reg.array
	c.sum += threadBytes + slotBytes*int64(len(reg))
	c.add(reg...)
	for level := 0; ; {
		dbg, ok := th.GetStack(level)
		if !ok {
			return
		}
		if fn, err := th.GetInfo("f", dbg, nil); err == nil {
			c.add(fn)
		}
		level += 1 + tailCalls(dbg)
	}
}

const (
	mapBytes    = 512   // the maps of a table with keys, when they are small
	threadBytes = 32768 // a thread with its calls
	frameBytes  = 64    // one call in a traceback

	failureBytes = 768 // an error of the host, with its words
)

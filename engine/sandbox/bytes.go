package sandbox

import (
	"reflect"

	lua "github.com/yuin/gopher-lua"
)

// What values take, in bytes: rather more than on any processor that Go knows.
const (
	slotBytes     = 16  // a value in a list
	keyBytes      = 160 // a key with its value, in the maps and the list of a table
	tableBytes    = 144
	functionBytes = 112
	upvalueBytes  = 64
	objectBytes   = 256 // a userdata with a few numbers; what more it holds: see object
)

// Bytes measures what a copy of a value would take, before it is copied: a text or table that
// is found n times counts n times, as each would be copied, and so does each empty place of
// a list. Where that is over most, it stops and gives a number over most: a table
// that contains itself has no end. Its own work is at most about most/16 values.
func Bytes(v lua.LValue, most int64) int64 {
	m := measure{most: most}
	m.value(v, 0)
	return m.sum
}

type measure struct{ sum, most int64 }

// deepest is how deep in each other tables are measured; who copies them has to follow.
const deepest = 1000

func (m *measure) value(v lua.LValue, depth int) {
	switch v := v.(type) {
	case lua.LString:
		m.sum += slotBytes + int64(len(v))
	case *lua.LTable:
		m.table(tableOf(v), depth)
	case *lua.LUserData:
		m.sum += objectBytes
	default:
		m.sum += slotBytes
	}
}

func (m *measure) table(t *table, depth int) {
	m.sum += tableBytes + slotBytes*int64(len(t.array)) + keyBytes*int64(len(t.keys))
	if depth >= deepest {
		m.sum = m.most + 1
	}
	for _, v := range t.array {
		if m.sum > m.most {
			return
		}
		if v != lua.LNil {
			m.value(v, depth+1)
		}
	}
	for k, v := range t.strdict {
		if m.sum > m.most {
			return
		}
		m.sum += int64(len(k))
		m.value(v, depth+1)
	}
	for k, v := range t.dict {
		if m.sum > m.most {
			return
		}
		m.value(k, depth+1)
		m.value(v, depth+1)
	}
}

// table begins as [lua.LTable] does.
type table struct {
	_       lua.LValue // Metatable
	array   []lua.LValue
	dict    map[lua.LValue]lua.LValue
	strdict map[string]lua.LValue
	keys    []lua.LValue // all that were ever set, also those that were removed since
	k2i     map[lua.LValue]int
}

func init() { mirrors(reflect.TypeFor[table](), reflect.TypeFor[lua.LTable]()) }

package sandbox

import (
	"context"
	"slices"
	"sync"

	lua "github.com/yuin/gopher-lua"
)

// Given are the names that every script is given: a library such as string with the names in it, any other one with none. They are read from
// a machine, so that nothing is listed twice.
var Given = sync.OnceValue(func() map[string][]string {
	m := New(context.Background(), DefaultLimits(), func(string) {}, 0)
	defer m.Close()
	given := map[string][]string{"require": nil}
	for k, v := m.base.Next(lua.LNil); k != lua.LNil; k, v = m.base.Next(k) {
		given[k.String()] = nil
		if t, ok := v.(*lua.LTable); ok && t != m.globals {
			given[k.String()] = tableNames(t)
		}
	}
	return given
})

// Removed says whether standard Lua has a name that scripts do not have. It reads as nil.
func Removed(name string) bool { return slices.Contains(removed, name) }

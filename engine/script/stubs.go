package script

import lua "github.com/yuin/gopher-lua"

func (m *machine) openStrings() *lua.LTable                                   { return m.L.NewTable() }
func (m *machine) openTables() *lua.LTable                                    { return m.L.NewTable() }
func (m *machine) openMaths() *lua.LTable                                     { return m.L.NewTable() }
func (m *machine) luaConcat(L *lua.LState) int                                { return 0 }
func (m *machine) checkLength(L *lua.LState, who string, n int)               {}
func (m *machine) plain(L *lua.LState, message string, frames []Frame) string { return message }

type random struct{}

func newRandom(seed uint64) *random { return nil }

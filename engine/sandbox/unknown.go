package sandbox

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/spell"
)

// removed are the names of standard Lua that scripts do not have. They read as
// nil, so that a library can ask for them; other unknown names are errors.
var removed = []string{
	"_printregs", "arg", "channel", "collectgarbage", "coroutine", "debug", "dofile", "getfenv", "io",
	"load", "loadfile", "loadstring", "module", "newproxy", "os", "package", "setfenv",
}

// Inside tells the machine what the tables hold that the script was given: for a bare name, such
// as cct, what a script writes for it, colour.cct. The error of an unknown global says so. It
// is asked for when the first one is read; nobody may change it from then on.
func (m *Machine) Inside(names func() map[string][]string) { m.inside = names }

func (m *Machine) unknownGlobal(L *lua.LState) int {
	key, ok := L.Get(2).(lua.LString)
	if !ok || slices.Contains(removed, string(key)) {
		L.Push(lua.LNil)
		return 1
	}
	name, meant := short(string(key)), m.meant
	if m.lim.Before4 {
		meant = m.meant3
	}
	if words := meant(name); len(words) > 0 {
		throw(L, 1, "unknown name '%s'; did you mean %s?", name, either(words))
	}
	throw(L, 1, "unknown name '%s'; a variable needs a value before it is read", name)
	return 0
}

// mostMeant is how many names an error offers.
const mostMeant = 4

// meant are the names that the script may have meant by one that is unknown.
func (m *Machine) meant(name string) []string {
	m.work(knownCost * int64(namesIn(m.base)+namesIn(m.globals)))
	given := tableNames(m.base)
	words := append(spell.Near(name, tableNames(m.globals)), spell.Near(name, given)...)
	words = append(words, m.within(name)...)
	if len(words) == 0 {
		words = startingWith(name, given)
	}
	if len(words) == 0 && len(name) >= leastInside {
		words = m.nearInside(name)
	}
	return words[:min(len(words), mostMeant)]
}

// meant3 is meant by the rules before 4.
func (m *Machine) meant3(name string) []string {
	if near := spell.Nearest(name, append(tableNames(m.base), tableNames(m.globals)...)); near != "" {
		return []string{near}
	}
	return nil
}

// A name that is the start of a global is taken for it from so many letters on, and one that is
// near to what is inside of a table: shorter ones are mostly variables.
const (
	leastStart  = 3
	leastInside = 4
)

// startingWith are the words that a name is the start of, such as patches for patch.
func startingWith(name string, words []string) (found []string) {
	for _, w := range words {
		if len(name) >= leastStart && strings.HasPrefix(w, strings.ToLower(name)) {
			found = append(found, w)
		}
	}
	slices.Sort(found)
	return found
}

// within says how a script writes what is called so inside of a table that it was given.
func (m *Machine) within(name string) (words []string) {
	if m.inside != nil {
		words = append(words, m.inside()[name]...)
	}
	for _, library := range []string{"math", "string", "table"} {
		if t, ok := m.base.RawGetString(library).(*lua.LTable); ok && t.RawGetString(name) != lua.LNil {
			words = append(words, library+"."+name)
		}
	}
	return words
}

// nearInside is within for the names that are nearest to one.
func (m *Machine) nearInside(name string) (words []string) {
	if m.inside == nil {
		return nil
	}
	inside := m.inside()
	m.work(insideCost * int64(len(inside)))
	for _, near := range spell.Near(name, slices.Collect(maps.Keys(inside))) {
		words = append(words, inside[near]...)
	}
	return words
}

// either joins names for a message: 'a', 'b' or 'c'.
func either(names []string) string {
	text := ""
	for i, n := range names {
		switch {
		case i > 0 && i == len(names)-1:
			text += " or "
		case i > 0:
			text += ", "
		}
		text += fmt.Sprintf("'%s'", n)
	}
	return text
}

// Of so many names of a table the nearest one to a misspelt name is sought, where they are
// no longer than so many bytes; and what it costs to compare one, and one of [Machine.Inside].
const (
	mostNames   = 500
	longestName = 60
	knownCost   = 800
	insideCost  = 20
)

// namesIn is how many keys tableNames looks at.
func namesIn(t *lua.LTable) int { return min(len(tableOf(t).keys), mostNames) }

// tableNames returns the text keys of a table, the first ones.
func tableNames(t *lua.LTable) []string {
	var names []string
	for _, k := range tableOf(t).keys[:namesIn(t)] {
		if s, ok := k.(lua.LString); ok && len(s) <= longestName && t.RawGet(k) != lua.LNil {
			names = append(names, string(s))
		}
	}
	return names
}

package declare

import (
	"reflect"
	"strconv"
	"strings"
	"unicode"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/sandbox"
)

// Describe names a Lua value in an error.
func Describe(v lua.LValue) string {
	switch v := v.(type) {
	case *lua.LNilType:
		return "nil"
	case lua.LBool:
		return strconv.FormatBool(bool(v))
	case lua.LNumber:
		return Number(float64(v))
	case lua.LString:
		s := string(v)
		if len(s) > 40 {
			s = strings.ToValidUTF8(s[:40], "") + "…"
		}
		return strconv.Quote(s)
	case *lua.LTable:
		return describeTable(v)
	case *lua.LFunction:
		return "a function"
	case *lua.LUserData:
		if sandbox.IsFailure(v) {
			return "an error"
		}
		return Article(NameOf(reflect.TypeOf(v.Value)))
	}
	return "a " + v.Type().String()
}

// Quote quotes a name that is not known; a long one is cut.
func Quote(name string) string {
	if len(name) > mostName {
		name = strings.ToValidUTF8(name[:mostName], "") + "…"
	}
	return strconv.Quote(name)
}

// mostDescribed is how many places a table may have to be looked into for an error:
// nobody has paid for more.
const mostDescribed = 1000

func describeTable(t *lua.LTable) string {
	if slots(t) > mostDescribed {
		return "a table"
	}
	n := t.Len()
	if n == 0 && countKeys(t) == 0 {
		return "an empty table"
	}
	if n == 0 || n > 6 || countKeys(t) != n {
		return "a table"
	}
	parts := make([]string, n)
	for i := range n {
		x := t.RawGetInt(i + 1)
		if _, nested := x.(*lua.LTable); nested {
			return "a table of tables"
		}
		parts[i] = Describe(x)
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// A Named type says by itself what scripts call it.
type Named interface{ LuaName() string }

// NameOf is what scripts call a Go type: its own word for it, else its name.
func NameOf(t reflect.Type) string {
	if n, ok := reflect.Zero(t).Interface().(Named); ok && t.Kind() != reflect.Pointer {
		return n.LuaName()
	}
	if t.Kind() == reflect.Pointer {
		return NameOf(t.Elem())
	}
	return strings.ToLower(t.Name())
}

// Article puts a or an before a name. Initialisms are spelled out: an XYZ colour.
func Article(name string) string {
	vowels := "aeiouAEIOU"
	if len(name) > 1 && unicode.IsUpper(rune(name[0])) && unicode.IsUpper(rune(name[1])) {
		vowels = "AEFHILMNORSX"
	}
	if name != "" && strings.ContainsRune(vowels, rune(name[0])) {
		return "an " + name
	}
	return "a " + name
}

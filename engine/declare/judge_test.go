package declare

import (
	"reflect"
	"strings"
	"testing"

	lua "github.com/yuin/gopher-lua"
)

type judgedArgs struct {
	Window float64     `lua:"window" unit:"%" min:"0.01" max:"100"`
	RGB    *[3]float64 `lua:"rgb" min:"0" max:"1"`
	Name   string      `lua:"name" default:""`
	Any    any         `lua:"any" optional:"true"`
}

// What is not known is taken for right; what is known goes through the checks of a call; a kind alone is compared with the type.
func TestJudge(t *testing.T) {
	table := func(named map[string]lua.LValue, list ...lua.LValue) *lua.LTable {
		out := &lua.LTable{Metatable: lua.LNil}
		for k, v := range named {
			out.RawSetString(k, v)
		}
		for _, v := range list {
			out.Append(v)
		}
		return out
	}
	type named = map[string]lua.LValue
	for _, c := range []struct {
		what string
		args named
		want string // in the error; empty: none
	}{
		{"nothing known", named{"window": Unknown, "rgb": Unknown, "name": Unknown, "any": Unknown}, ""},
		{"one out of range", named{"window": lua.LNumber(180), "rgb": Unknown}, "window is 180"},
		{"one of a list out of range", named{"window": Unknown, "rgb": table(nil, Unknown, lua.LNumber(2), Unknown)}, "rgb[2] is 2"},
		{"a list that may be right", named{"window": Unknown, "rgb": table(nil, Unknown, lua.LNumber(1), UnknownNumber)}, ""},
		{"a list that is too short", named{"window": Unknown, "rgb": table(nil, Unknown, Unknown)}, "rgb is"},
		{"an unknown name", named{"window": Unknown, "windwo": Unknown}, `did you mean "window"?`},
		{"one missing", named{"name": UnknownText}, "window is missing"},
		{"a text for a number", named{"window": UnknownText}, "window is a text"},
		{"a table for a number", named{"window": UnknownTable}, "window is a table"},
		{"a number for a text", named{"window": UnknownNumber, "name": UnknownNumber}, "name is a number"},
		{"anything for any", named{"window": Unknown, "any": UnknownTable}, ""},
	} {
		_, err := For(reflect.TypeFor[judgedArgs]()).Judge(&Intake{}, []lua.LValue{table(c.args)}, false)
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.what, err, c.want)
		}
	}
}

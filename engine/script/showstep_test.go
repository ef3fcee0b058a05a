package script

import (
	"context"
	"testing"
)

func TestShowStep(t *testing.T) {
	type wants struct {
		Grey   float64 `lua:"grey"`
		Window float64 `lua:"window" default:"10"`
	}
	show := Step("rig.show", "shows", func(context.Context, *Call, wants) (None, error) { return None{}, nil },
		func(*Call, wants, None) (None, error) { return None{}, nil }, LeavesNothing())
	modules := []*Module{{Name: "rig", Funcs: []*Func{show}}}
	for _, c := range []struct{ name, args, want string }{
		{"rig.show", `{"grey":0.5,"window":10}`, `rig.show{grey=0.5}`},
		{"rig.show", `{"grey":0.5,"window":2,"tint":"red"}`, `rig.show{grey=0.5, window=2, ["tint"]="red"}`},
		{"rig.show", `[1]`, `rig.show{[1]}`},
		{"rig.sing", `{"song":1}`, `rig.sing{"song":1}`},
		{"rig.sing", ``, `rig.sing`},
	} {
		if got := ShowStep(modules, c.name, []byte(c.args)); got != c.want {
			t.Errorf("%s with %s is %s, want %s", c.name, c.args, got, c.want)
		}
	}
}

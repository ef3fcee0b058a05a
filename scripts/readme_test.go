package scripts_test

import (
	"context"
	"os"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine/bench"
	"candelua/engine/procedure"
	"candelua/engine/sim"
	"candelua/scripts"
)

// The procedure that the README shows runs as it stands, and finds what it says.
func TestProcedureOfTheReadme(t *testing.T) {
	text, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, found := strings.Cut(string(text), "```lua\n")
	source, _, ended := strings.Cut(rest, "```")
	if !found || !ended {
		t.Fatal("the README holds no Lua")
	}
	p := &procedure.Procedure{Name: "black-and-white", File: "black-and-white.lua", Source: []byte(source), Find: scripts.Files.ReadFile}
	loaded, err := procedure.Load(context.Background(), p, builtins.Modules())
	if err != nil {
		t.Fatal(err)
	}
	program, contract := loaded.Program, loaded.Contract
	params, err := contract.Values(nil)
	if err != nil {
		t.Fatal(err)
	}
	world := sim.Default()
	world.Light.Black = 0.2
	out := execute(t, program, params, 1, func(ctx context.Context) (*bench.Bench, error) {
		return bench.Open(ctx, bench.SimFile, bench.Openers{"sim": sim.Opener(world, 1, 0)})
	})
	if out.Err != nil {
		t.Fatal(out.Err)
	}
	want := world.Light.White / world.Light.Black
	if got := value(t, out.Results, "contrast"); got < 0.98*want || got > 1.02*want {
		t.Errorf("contrast is %g, want %g within 2 %%", got, want)
	}
}

// What the README says of interruptions is a procedure too.
func TestInterruptedOfTheReadme(t *testing.T) {
	text, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, found := strings.Cut(string(text), "**Interrupted.**")
	_, rest, open := strings.Cut(rest, "```lua\n")
	source, _, ended := strings.Cut(rest, "```")
	if !found || !open || !ended {
		t.Fatal("the README shows no procedure there")
	}
	p := &procedure.Procedure{Name: "decay", File: "decay.lua", Source: []byte(source), Find: scripts.Files.ReadFile}
	loaded, err := procedure.Load(context.Background(), p, builtins.Modules())
	if err != nil {
		t.Fatal(err)
	}
	program, contract := loaded.Program, loaded.Contract
	params, err := contract.Values(nil)
	if err != nil {
		t.Fatal(err)
	}
	out := execute(t, program, params, 1, func(ctx context.Context) (*bench.Bench, error) {
		return bench.Open(ctx, bench.SimFile, bench.Openers{"sim": sim.Opener(sim.Default(), 1, 0)})
	})
	if v := out.Results.Values(); out.Err != nil || len(v) != 1 || v[0].ID != "remains" {
		t.Errorf("it comes to %v, %v", v, out.Err)
	}
}

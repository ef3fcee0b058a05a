package scripts_test

import (
	"context"
	"math"
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
	p := &procedure.Procedure{Name: "half-signal", File: "half-signal.lua", Source: []byte(source), Find: scripts.Files.ReadFile}
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
	world.Retention.Terms = nil // or white is left in the grey that follows it
	out := execute(t, program, params, 1, func(ctx context.Context) (*bench.Bench, error) {
		return bench.Open(ctx, bench.SimFile, bench.Openers{"sim": sim.Opener(world, 1, 0)})
	})
	if out.Err != nil {
		t.Fatal(out.Err)
	}
	want := 100 * math.Pow(128./255, world.Tone.Exponent) // the nearest of 8 bits to a half
	if got := value(t, out.Results, "light-at-half-signal"); math.Abs(got/want-1) > 0.005 {
		t.Errorf("light at half signal is %g %%, want %g within 0.5 %%", got, want)
	}
}

// The example of interruptions that the README names runs as it stands.
func TestExampleOfInterruptions(t *testing.T) {
	source, err := os.ReadFile("../testdata/examples/decay.lua")
	if err != nil {
		t.Fatal(err)
	}
	p := &procedure.Procedure{Name: "decay", File: "decay.lua", Source: source, Find: scripts.Files.ReadFile}
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

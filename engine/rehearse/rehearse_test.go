package rehearse_test

import (
	"fmt"
	"io/fs"
	"math"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/procedure"
	"candelua/engine/rehearse"
	"candelua/engine/sim"
	"candelua/scripts"
	"candelua/testdata/campaign"
)

func target() rehearse.Target {
	return rehearse.Target{Unit: bench.DefaultUnit(), World: sim.Default(), Seed: 1, Ready: engine.Ready}
}

func load(t testing.TB, src string) *procedure.Loaded {
	t.Helper()
	p := &procedure.Procedure{Name: "t", File: "t.lua", Source: []byte(src), Find: func(string) ([]byte, error) { return nil, fs.ErrNotExist }}
	l, err := procedure.Load(t.Context(), p, builtins.Modules())
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func run(t testing.TB, l *procedure.Loaded, on rehearse.Target) *rehearse.Report {
	t.Helper()
	params, err := l.Contract.Values(nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := rehearse.Run(t.Context(), l, params, on, 0)
	if err != nil {
		t.Fatal(err)
	}
	return r.Report
}

func script(body string) string {
	return "return procedure {\n  title = 't', purpose = 'p', needs = { meter = {}, patches = {}, unit = {}, operator = {} },\n  run = function()\n" + body + "\n  end,\n}\n"
}

// An error in minute ninety is found, with its line.
func TestSurpriseInMinuteNinety(t *testing.T) {
	r := run(t, load(t, script("    clock.wait(5400)\n    local a\n    print(a.b)")), target())
	if r.Done || r.Surprise == nil || r.Surprise.At != "t.lua:6" || math.Abs(r.Surprise.Seconds-5400) > 1 {
		t.Errorf("the surprise is %+v", r.Surprise)
	}
}

// Light and heat of a worked example: full white on the full screen for 600 s is a sixth of an hour of both; on a tenth of the screen heat is a
// tenth of that. Black adds nothing.
func TestLightAndHeat(t *testing.T) {
	for _, c := range []struct{ window, still, heat float64 }{{100, 1. / 6, 1. / 6}, {10, 1. / 6, 1. / 60}} {
		r := run(t, load(t, script(fmt.Sprintf("    patches.show { grey = 1, window = %v }\n    clock.wait(600)\n    patches.black()\n    clock.wait(600)", c.window))), target())
		if math.Abs(r.Light.Still-c.still) > 0.001 || math.Abs(r.Light.Heat-c.heat) > 0.001 || math.Abs(r.Light.Longest-600) > 2 {
			t.Errorf("a window of %v %%: %+v, want %.4f and %.4f", c.window, r.Light, c.still, c.heat)
		}
	}
}

// Where a person is the instruments, the run takes longer by what the person does, and each prompt counts.
func TestHands(t *testing.T) {
	l := load(t, script("    patches.show { grey = 1 }\n    meter.read { repeats = 3 }\n    unit.set { Brightness = 100 }\n    operator.confirm('Do it.')"))
	on := target()
	sim := run(t, l, on)
	on.Bench = bench.OperatorFile
	hand := run(t, l, on)
	if sim.Hands != (rehearse.Hands{}) || hand.Hands.Prompts != 6 || hand.Hands.Moves != 1 {
		t.Errorf("simulated %+v, by hand %+v; want 6 prompts and 1 movement", sim.Hands, hand.Hands)
	}
	more := 8.0 + 3*12 + 20 + 15 // the times of a person that the package states
	if got := hand.Seconds - sim.Seconds; math.Abs(got-more) > 5 || hand.Hands.Seconds < more {
		t.Errorf("by hand it takes %.1f s longer, want %.1f; %.1f s of it are yours", got, more, hand.Hands.Seconds)
	}
	if len(hand.Untold) < 3 {
		t.Errorf("what cannot be told is %q", hand.Untold)
	}
}

// What a person does is never longer than the run, and each second of it counts once: here the operator does everything.
func TestHandsWithinTheRun(t *testing.T) {
	on := target()
	on.Bench = bench.OperatorFile
	r := run(t, load(t, script("    for _ = 1, 5 do\n      patches.show { grey = 1, window = 10 }\n      meter.read { repeats = 3 }\n      patches.black()\n      meter.read { repeats = 2 }\n    end")), on)
	want := 10*8.0 + 25*12 // the times of a person that the package states
	if r.Hands.Seconds > r.Seconds || r.Hands.Seconds < want {
		t.Errorf("%.1f s of %.1f s are yours, of which the prompts alone are %.1f", r.Hands.Seconds, r.Seconds, want)
	}
}

const unitText = `name = "Crake 2"
modes = ["Day", "Dusk"]
[controls."Adaptive dimming"]
role = "automatic brightness"
values = ["active", "idle"]
words = { off = "idle", on = "active" }
[controls.Glow]
min = 0
max = 40
step = 1
`

// The simulated unit has the controls, words and modes of the unit file, and no others.
func TestUnitFile(t *testing.T) {
	u, err := bench.ParseUnit("unit.toml", []byte(unitText))
	if err != nil {
		t.Fatal(err)
	}
	on := target()
	on.Unit, on.Mode = u, "Dusk"
	good := run(t, load(t, script("    unit.set { ['automatic brightness'] = 'off', Glow = 40 }\n    print(run.mode)\n    if run.mode ~= 'Dusk' then error('mode') end")), on)
	if !good.Done || good.Unit != "Crake 2" || good.Mode != "Dusk" {
		t.Errorf("it ends with %+v", good.Surprise)
	}
	for _, body := range []string{"unit.set { Glow = 41 }", "unit.set { Brightness = 50 }"} {
		if bad := run(t, load(t, script("    "+body)), on); bad.Done || !strings.Contains(bad.Surprise.Error, "t.lua:4: unit.set") {
			t.Errorf("%s: the surprise is %+v", body, bad.Surprise)
		}
	}
}

// A bench without what the procedure needs is refused as a run refuses it.
func TestNotReady(t *testing.T) {
	file, err := bench.ParseFile("b.toml", []byte("name = \"b\"\n[meter]\ndriver = \"operator\"\n[patches]\ndriver = \"operator\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	on := target()
	on.Bench = file
	p, err := procedure.Find("meter-match", scripts.Files)
	if err != nil {
		t.Fatal(err)
	}
	l, err := procedure.Load(t.Context(), p, builtins.Modules())
	if err != nil {
		t.Fatal(err)
	}
	params, _ := l.Contract.Values(nil)
	if _, err := rehearse.Run(t.Context(), l, params, on, 0); err == nil || !strings.Contains(err.Error(), "reference") {
		t.Errorf("without a reference: %v", err)
	}
}

// Each shipped procedure comes to its end, takes what its outcome says, and its parts are the whole.
func TestShipped(t *testing.T) {
	for _, name := range campaign.Some(t, procedure.Shipped(scripts.Files), 4) {
		p, err := procedure.Find(name, scripts.Files)
		if err != nil {
			t.Fatal(err)
		}
		l, err := procedure.Load(t.Context(), p, builtins.Modules())
		if err != nil {
			t.Fatal(err)
		}
		params, _ := l.Contract.Values(nil)
		r, err := rehearse.Run(t.Context(), l, params, target(), 0)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !r.Report.Done || r.Report.Readings != len(r.Outcome.Readings) || r.Report.Values == 0 {
			t.Errorf("%s: %+v; %d readings are on record", name, r.Report, len(r.Outcome.Readings))
		}
		sum := 0.0
		for _, part := range r.Report.Parts {
			sum += part.Seconds
		}
		if len(r.Report.Parts) > 0 && math.Abs(sum-r.Report.Seconds) > 0.01 {
			t.Errorf("%s: the parts take %.2f s of %.2f s", name, sum, r.Report.Seconds)
		}
	}
}

func BenchmarkHundredMinutes(b *testing.B) {
	l := load(b, script("    patches.show { grey = 0.5 }\n    clock.every { period = 10, duration = 6000, run = function() local r = meter.read { repeats = 5 } print(r.Y) end }"))
	for b.Loop() {
		if r := run(b, l, target()); !r.Done || r.Seconds < 6000 {
			b.Fatalf("%+v", r)
		}
	}
}

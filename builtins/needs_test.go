package builtins

import (
	"context"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/script"
)

// asks are calls of each step, in all the ways that need something else of the bench.
// TestNeedsOfEveryStep fails if a step is missing.
var asks = map[string][]string{
	"clock.wait":       {"clock.wait(1)"},
	"meter.read":       {"meter.read()", "meter.read { spectrum = true }", `meter.named("reference").read()`},
	"meter.settle":     {"meter.settle { over = 5, timeout = 10 }", `meter.named("reference").settle { over = 5, timeout = 10 }`},
	"meter.dark":       {"meter.dark()", `meter.named("reference").dark()`},
	"operator.confirm": {`operator.confirm "go"`},
	"operator.ask":     {`operator.ask("how much", { example = 1 })`},
	"operator.choose":  {`operator.choose("which", { "a", "b" })`},
	"patches.show":     {"patches.show { grey = 1 }"},
	"patches.black":    {"patches.black()"},
	"patches.sequence": {"patches.sequence { { grey = 1, hold = 1 } }"},
	"patches.pattern":  {`patches.pattern { kind = "checkerboard" }`},
	"rig.set":          {`rig.set { lamp = "front", level = 1 }`},
	"rig.turn":         {"rig.turn { degrees = 1 }"},
	"rig.place":        {"rig.place { x = 0, y = 0 }"},
	"rig.lux":          {"rig.lux()", `rig.lux { at = "sensor" }`},
	"run.decide":       {`run.decide("a", 1)`},
	"unit.set":         {"unit.set { Brightness = 50 }"},
	"unit.off":         {"unit.off()"},
	"unit.on":          {"unit.on()"},
}

// withoutNeed are the steps that speak to no device that a bench may lack.
var withoutNeed = []string{"clock.wait", "run.decide"}

func needing(needs, call string) string {
	return "return procedure { title = 't', purpose = 'p', needs = " + needs + ", run = function()\n" + call + "\nend }"
}

// TestNeedsOfEveryStep: of each step there is, one that the contract's needs do not name
// is an error with the line. Where the advice is followed, it works on a bench that has
// what is needed, and a bench that lacks any part of it is found out before step 1.
func TestNeedsOfEveryStep(t *testing.T) {
	advice := regexp.MustCompile(`^write needs = (.*); then the bench is checked before step 1$`)
	for _, m := range Modules() {
		for _, f := range m.Shown() {
			if f.Class != script.ClassStep {
				continue
			}
			if asks[f.Name] == nil {
				t.Errorf("%s has no call in this test", f.Name)
			}
			for _, call := range asks[f.Name] {
				t.Run(call, func(t *testing.T) {
					needs := "{}"
					err := onSim(t).load(t, needing(needs, call))
					if slices.Contains(withoutNeed, f.Name) {
						if err != nil {
							t.Error(err)
						}
						return
					}
					found := advice.FindStringSubmatch(fault.HintOf(err))
					if found == nil || !strings.HasPrefix(err.Error(), "test.lua:2: "+f.Name+": needs of the procedure lack ") {
						t.Fatalf("without a need: %v, hint %q", err, fault.HintOf(err))
					}
					needs = found[1]
					if err := onSim(t).load(t, needing(needs, call)); err != nil {
						t.Errorf("with needs = %s: %v", needs, err)
					}
					lacked(t, needing(needs, call))
				})
			}
		}
	}
}

// lacked takes each part away of what a script needs.
func lacked(t *testing.T, src string) {
	t.Helper()
	program, err := script.Compile("test.lua", []byte(src), nil, Modules())
	if err != nil {
		t.Fatal(err)
	}
	rt, err := program.Start(t.Context(), script.Host{})
	if err != nil {
		t.Fatal(err)
	}
	defer rt.Close()
	needed := rt.Contract().Needed
	for _, place := range slices.Sorted(maps.Keys(needed)) {
		full := onSim(t).bench
		if lacks := full.Lacks(needed); lacks != nil {
			t.Errorf("the simulated bench lacks %q", lacks)
		}
		empty := &bench.Bench{}
		if lacks := empty.Lacks(needed); !slices.Contains(lacks, bench.DeviceWords(place)) {
			t.Errorf("a bench without a %s lacks %q", place, lacks)
		}
		for word := range needed[place].Abilities {
			if word == "lamps" { // each rig has them
				continue
			}
			poor := poorBench(t, place)
			want := fmt.Sprintf("%s that %s (%s: %s)", bench.DeviceWords(place), bench.DoesWords(place, word), place, word)
			if lacks := poor.Lacks(bench.Needs{place: needed[place]}); !slices.Contains(lacks, want) {
				t.Errorf("a plain %s lacks %q, want %q", place, lacks, want)
			}
		}
	}
}

// poorBench is a bench with a device in one place that can do only what it must.
func poorBench(t *testing.T, place string) *bench.Bench {
	t.Helper()
	file, err := bench.ParseFile("poor.toml", []byte("["+place+"]\ndriver = \"poor\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	b, err := bench.Open(t.Context(), file, bench.Openers{"poor": func() (bench.Driver, error) { return poorDriver{newRig()}, nil }})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// poorDriver makes devices that can do only what each must.
type poorDriver struct{ *rig }

func (d poorDriver) Open(_ context.Context, kind bench.Kind, _ bench.Section) (bench.Device, error) {
	return map[bench.Kind]bench.Device{bench.KindMeter: fakeMeter(d), bench.KindReference: fakeMeter(d),
		bench.KindPatches: fakePatches(d), bench.KindUnit: fakeUnit(d), bench.KindRig: newSurround(d.rig)}[kind], nil
}

func (poorDriver) Close() error { return nil }

// A lamp that a bench knows not to have is named, with the nearest.
func TestLampsAreKnown(t *testing.T) {
	needs := bench.Needs{"rig": {Abilities: map[string]bench.Wish{"lamps": {Names: []string{"front", "frunt", "sky"}}}}}
	want := []string{`the lamp "frunt"; it has front, did you mean "front"?`, `the lamp "sky"; it has front`}
	if lacks := onSim(t).bench.Lacks(needs); !slices.Equal(lacks, want) {
		t.Errorf("lacks %q, want %q", lacks, want)
	}
	if lacks := poorBench(t, "rig").Lacks(needs); lacks != nil {
		t.Errorf("lacks %q of a rig that knows no names", lacks)
	}
}

// Runs of older rules did not know of it.
func TestOlderRulesNeedNothing(t *testing.T) {
	for rules, want := range map[int]string{3: "", 4: "lack meter = {}"} {
		program, err := script.Compile("test.lua", []byte(needing("{}", "meter.read()")), nil, Modules())
		if err != nil {
			t.Fatal(err)
		}
		r := newRig()
		rt, err := program.Start(t.Context(), script.Host{Door: r, Bench: r.bench, Results: r.results, Rules: rules})
		if err != nil {
			t.Fatal(err)
		}
		if err := rt.Run(script.Params{}); (err != nil) != (want != "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("rules %d: %v", rules, err)
		}
		rt.Close()
	}
}

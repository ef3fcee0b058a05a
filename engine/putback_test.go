package engine_test

import (
	"context"
	"fmt"
	"hash/fnv"
	"maps"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/script"
)

// plainDriver opens instruments that do what they are asked and remember nothing
// of a run: no ability but those that their requests need.
type plainDriver struct{ stands map[string]string }

type plainDevice struct {
	name string
	d    *plainDriver
}

func (d *plainDriver) Close() error { return nil }

func (d *plainDriver) Open(_ context.Context, k bench.Kind, _ bench.Section) (bench.Device, error) {
	device := plainDevice{string(k), d}
	switch k {
	case bench.KindPatches:
		return plainPatches{device}, nil
	case bench.KindUnit:
		return plainUnit{device}, nil
	case bench.KindRig:
		return plainRig{device}, nil
	}
	return plainMeter{device}, nil
}

func (d plainDevice) About() bench.Identity {
	return bench.Identity{Name: "plain " + d.name, Driver: "plain"}
}

type plainPatches struct{ plainDevice }

func (p plainPatches) Show(_ context.Context, q bench.Patch) (bench.Shown, error) {
	p.d.stands["patch"], p.d.stands["power"] = fmt.Sprint(q.RGB, q.Window, q.Pattern), "true" // it wakes the unit
	return bench.Shown{Area: q.Window}, nil
}

// Paints implements [bench.Painter]: it shows everything.
func (plainPatches) Paints(bench.Patch) error { return nil }

// Sequence takes no time: a plain bench has none to take.
func (p plainPatches) Sequence(ctx context.Context, all []bench.TimedPatch) (shown []bench.Shown, err error) {
	for _, q := range all {
		one, err := p.Show(ctx, q.Patch)
		if err != nil {
			return nil, err
		}
		shown = append(shown, one)
	}
	return shown, nil
}

type plainUnit struct{ plainDevice }

func (u plainUnit) Set(_ context.Context, all []bench.Setting) (bench.SetAnswer, error) {
	for _, s := range all {
		u.d.stands[s.Name] = fmt.Sprint(s.Value)
	}
	return bench.SetAnswer{}, nil
}

func (u plainUnit) Switch(_ context.Context, on bool) (bench.SetAnswer, error) {
	u.d.stands["power"] = fmt.Sprint(on)
	return bench.SetAnswer{}, nil
}

type plainRig struct{ plainDevice }

func (r plainRig) Set(_ context.Context, lamp string, level float64) (bench.SetAnswer, error) {
	r.d.stands["lamp "+lamp] = fmt.Sprint(level)
	return bench.SetAnswer{}, nil
}

func (r plainRig) Turn(_ context.Context, axis string, degrees float64) (float64, error) {
	r.d.stands[axis] = fmt.Sprint(degrees)
	return degrees, nil
}

func (r plainRig) Place(_ context.Context, at [2]float64) ([2]float64, error) {
	r.d.stands["place"] = fmt.Sprint(at)
	return at, nil
}

// plainMeter reads a number that tells all that stands on the bench; a unit that is
// off shows nothing.
type plainMeter struct{ plainDevice }

func (m plainMeter) Read(_ context.Context, _ bench.ReadRequest, take func(bench.Sample) error) error {
	seen := maps.Clone(m.d.stands)
	if seen["power"] == "false" {
		delete(seen, "patch")
	}
	sum := fnv.New32a()
	fmt.Fprint(sum, seen) // printed in the order of its keys
	return take(bench.Sample{Y: float64(sum.Sum32()%1e6) / 100})
}

const plainBench = `name = "plain"
[meter]
driver = "plain"
[patches]
driver = "plain"
[unit]
driver = "plain"
[rig]
driver = "plain"
`

// plainOpeners open instruments that stand as from their makers.
func plainOpeners() bench.Openers {
	return bench.Openers{"plain": func() (bench.Driver, error) { return &plainDriver{map[string]string{"power": "true"}}, nil }}
}

func reopenPlain(history.Head) (*bench.File, bench.Openers, error) {
	f, err := bench.ParseFile("bench.toml", []byte(plainBench))
	return f, plainOpeners(), err
}

// plainLine draws a line of a script that asks for something.
func plainLine(r *rapid.T) string {
	level := rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(r, "level")
	switch name := rapid.SampledFrom([]string{"a", "b"}).Draw(r, "name"); rapid.IntRange(0, 10).Draw(r, "kind") {
	case 0:
		return fmt.Sprintf("patches.show { grey = %g, window = %g }", level, 10+90*level)
	case 1:
		return fmt.Sprintf("unit.set { [%q] = %g }", name, level)
	case 2:
		return fmt.Sprintf("rig.set { lamp = %q, level = %g }", name, 100*level)
	case 3:
		return fmt.Sprintf("rig.turn { degrees = %g }", 30*level)
	case 4:
		return fmt.Sprintf("rig.place { x = %g, y = 0.5 }", level)
	case 5:
		return "patches.black()"
	case 6:
		return "unit.off()"
	case 7:
		return "unit.on()"
	case 8:
		return fmt.Sprintf("patches.pattern { kind = 'checkerboard', columns = %d }", 2+int(level))
	case 9:
		return fmt.Sprintf("patches.sequence { { grey = %g, window = 20, hold = 1 }, { grey = %g, window = 30, hold = 1 } }", 1-level, level)
	}
	return "n = n + 1 record.value { name = 'V' .. n, value = meter.read().Y }"
}

// changesNothing are the steps that leave a bench as it was.
var changesNothing = []string{
	"clock.wait", "meter.dark", "meter.read", "meter.settle", "operator.ask", "operator.choose", "operator.confirm", "rig.lux", "run.decide", "run.held",
}

// TestPlainLineAsksEverything: plainLine has each step that leaves something on a
// bench, so TestPlainDriversResumeRight sees that the engine puts it back.
func TestPlainLineAsksEverything(t *testing.T) {
	src, err := os.ReadFile("putback_test.go")
	must(t, err)
	_, body, _ := strings.Cut(string(src), "\nfunc plainLine(")
	body, _, _ = strings.Cut(body, "\n}\n")
	for _, m := range builtins.Modules() {
		for _, f := range m.Funcs {
			asked := regexp.MustCompile(`\b` + regexp.QuoteMeta(f.Name) + `\b`).MatchString(body)
			if f.Class == script.ClassStep && !asked && !slices.Contains(changesNothing, f.Name) {
				t.Errorf("%s: add it to plainLine or, if it leaves a bench as it was, to changesNothing (both in putback_test.go)", f.Name)
			}
		}
	}
}

// A run that is stopped anywhere reads the same after it is resumed, on
// instruments that remember nothing and were switched off meanwhile; whatever
// on_resume does in between to what the run has set.
func TestPlainDriversResumeRight(t *testing.T) {
	checks(t, 30)
	rapid.Check(t, func(r *rapid.T) {
		body := strings.Join(rapid.SliceOfN(rapid.Custom(plainLine), 1, 12).Draw(r, "lines"), "\n")
		const first = "patches.black() unit.set { a = 1, b = 1 } rig.set { lamp = 'a', level = 5 } rig.set { lamp = 'b', level = 5 } rig.turn { degrees = 1 } rig.place { x = 0.1, y = 0.1 }\n"
		src := `local n = 0
return procedure { title = "T", purpose = "P", ` + mayUseAll + `, flashing = "no line waits",
  on_resume = function()
    local n = 0
    ` + strings.Join(rapid.SliceOfN(rapid.Custom(plainLine).Filter(func(l string) bool { return !strings.Contains(l, "record") }), 0, 3).Draw(r, "on resume"), "\n") + `
  end,
  run = function(p)
` + first + body + "\n record.value { name = 'Last', value = meter.read().Y }\n end }"
		s := engine.Spec{Setup: plain(), Procedure: sourceOf(src), Unit: bench.DefaultUnit(), Seed: 1, Out: memoryDir(t)}
		s.Bench, s.Openers, _ = reopenPlain(history.Head{})
		whole := ran(t, s, journal.Done)
		at := rapid.IntRange(1, whole.Steps).Draw(r, "stopped at")
		rep := stopped(t, s, at)
		wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopenPlain}))
		if got, want := valuesOf(t, rep.Path), valuesOf(t, whole.Path); got != want {
			r.Fatalf("stopped at step %d, it reads %s, want %s\n%s", at, got, want, src)
		}
		replayed(t, rep.Path, journal.Done)
	})
}

// What is read after a stop is what an uninterrupted run reads, on the simulated
// bench: a unit that is off is no reason to read another patch, and a patch wakes it.
func TestOffAndInterrupted(t *testing.T) {
	for _, body := range []string{
		"patches.show { grey = 1, window = 10 } unit.off() clock.wait(30) clock.wait(30) unit.on()",
		"patches.show { grey = 1, window = 10 } unit.off() clock.wait(30) patches.show { grey = 1, window = 10 } clock.wait(1) clock.wait(1)",
	} {
		p := sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {}, patches = {}, unit = { power = true } },
  on_resume = function() patches.show { grey = 0.5, window = 30 } clock.wait(5) end,
  run = function()
` + body + "\n record.value { name = 'Last', value = meter.read { after = 2 }.Y }\n end }")
		whole := ran(t, simSpec(t, p), journal.Done)
		want := *whole.Results.Values()[0].Value
		for at := 2; at <= whole.Steps; at++ {
			rep := stopped(t, simSpec(t, p), at)
			again := resumed(t, rep.Path, journal.Done)
			if got := *again.Results.Values()[0].Value; math.Abs(got/want-1) > 0.02 {
				t.Errorf("%s\nstopped at step %d, it reads %g, want about %g", body, at, got, want)
			}
			replayed(t, rep.Path, journal.Done)
		}
	}
}

// A control that was set under two of its names is put back as it was set last.
func TestTwoNamesOfAControl(t *testing.T) {
	p := procedureOf(`unit.set { ["Adaptive brightness"] = "on" } unit.set { ["Automatic brightness"] = "off" } patches.show { grey = 1 }
    clock.wait(1) clock.wait(1) record.value { name = "Last", value = meter.read().Y }`)
	whole := ran(t, simSpec(t, p), journal.Done)
	rep := stopped(t, simSpec(t, p), 5)
	again := resumed(t, rep.Path, journal.Done)
	if got, want := *again.Results.Values()[0].Value, *whole.Results.Values()[0].Value; math.Abs(got/want-1) > 0.02 {
		t.Errorf("it reads %g, want about %g", got, want)
	}
}

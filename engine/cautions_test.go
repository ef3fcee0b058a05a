package engine_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/procedure"
	"candelua/engine/script"
	"candelua/scripts"
	"candelua/testdata/campaign"
)

// watched is a bench of plain instruments that notes what reaches them, and what was told by then.
type watched struct {
	told    []caution.Kind
	reached []any
	untold  []caution.Kind
}

func (w *watched) openers() bench.Openers {
	return bench.Openers{"plain": func() (bench.Driver, error) {
		return &seenDriver{plainDriver{map[string]string{"power": "true"}}, w}, nil
	}}
}

func (w *watched) reopen(history.Head) (*bench.File, bench.Openers, error) {
	f, err := bench.ParseFile("bench.toml", []byte(plainBench))
	return f, w.openers(), err
}

// reach notes a request, and which hazards of it nobody was told of.
func (w *watched) reach(request any) {
	w.reached = append(w.reached, request)
	for _, kind := range hazardsOf(request) {
		if !slices.Contains(w.told, kind) {
			w.untold = append(w.untold, kind)
		}
	}
}

// hazardsOf says in plain words what can happen by a request.
func hazardsOf(request any) (all []caution.Kind) {
	switch q := request.(type) {
	case bench.Patch:
		if q.RGB != [3]float64{} && q.Signal == bench.PQ {
			all = append(all, caution.Bright)
		}
		if q.RGB != [3]float64{} {
			all = append(all, caution.Standing)
		}
	case bench.LampRequest:
		if q.Level > 0 {
			all = append(all, caution.Lamps)
		}
	case bench.TurnRequest:
		all = append(all, caution.Turntable)
	case bench.PlaceRequest:
		all = append(all, caution.Stage)
	case bench.ReadRequest:
		all = append(all, caution.Pressure)
	}
	return all
}

type seenDriver struct {
	plainDriver
	w *watched
}

func (d *seenDriver) Open(ctx context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	device, err := d.plainDriver.Open(ctx, k, s)
	switch device := device.(type) {
	case plainPatches:
		return seenPatches{device, d.w}, err
	case plainRig:
		return seenRig{device, d.w}, err
	case plainMeter:
		return seenMeter{device, d.w}, err
	}
	return device, err
}

type seenPatches struct {
	plainPatches
	w *watched
}

func (p seenPatches) Show(ctx context.Context, q bench.Patch) (bench.Shown, error) {
	p.w.reach(q)
	return p.plainPatches.Show(ctx, q)
}

func (p seenPatches) Sequence(ctx context.Context, all []bench.TimedPatch) ([]bench.Shown, error) {
	for _, q := range all {
		p.w.reach(q.Patch)
	}
	return p.plainPatches.Sequence(ctx, all)
}

type seenRig struct {
	plainRig
	w *watched
}

func (r seenRig) Set(ctx context.Context, lamp string, level float64) (bench.SetAnswer, error) {
	r.w.reach(bench.LampRequest{Lamp: lamp, Level: level})
	return r.plainRig.Set(ctx, lamp, level)
}

func (r seenRig) Turn(ctx context.Context, axis string, degrees float64) (float64, error) {
	r.w.reach(bench.TurnRequest{Axis: axis, Degrees: degrees})
	return r.plainRig.Turn(ctx, axis, degrees)
}

func (r seenRig) Place(ctx context.Context, at [2]float64) ([2]float64, error) {
	r.w.reach(bench.PlaceRequest{At: at})
	return r.plainRig.Place(ctx, at)
}

type seenMeter struct {
	plainMeter
	w *watched
}

func (m seenMeter) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	m.w.reach(q)
	return m.plainMeter.Read(ctx, q, take)
}

// hazardLine draws a line that may cause a hazard, written in one of several ways.
func hazardLine(r *rapid.T) string {
	call := func(module, name, args string) string {
		return fmt.Sprintf(rapid.SampledFrom([]string{
			"%[1]s.%[2]s%[3]s", "%[1]s[%[2]q]%[3]s", "do local f = %[1]s.%[2]s f%[3]s end", "do local m = %[1]s m.%[2]s%[3]s end",
			"do local key = (%[2]q):sub(1, 1) .. (%[2]q):sub(2) %[1]s[key]%[3]s end", "_G.%[1]s.%[2]s%[3]s", "helper(%[1]s)[%[2]q]%[3]s", "pcall(%[1]s.%[2]s, %[3]s)",
		}).Draw(r, "way"), module, name, args)
	}
	switch rapid.IntRange(0, 6).Draw(r, "what") {
	case 0:
		return call("rig", "set", "{ lamp = 'a', level = 40 }")
	case 1:
		return call("rig", "turn", "{ degrees = 20 }")
	case 2:
		return call("rig", "place", "{ x = 0.2, y = 0.5 }")
	case 3:
		return call("patches", "show", "{ grey = 0.9, signal = "+rapid.SampledFrom([]string{"'pq'", "'p' .. 'q'", "p.signal"}).Draw(r, "signal")+" }")
	case 4:
		return call("patches", "show", "{ grey = 1, window = 4 }")
	case 5:
		return call("patches", "sequence", "{ { grey = 1, signal = p.signal, hold = 1 } }")
	}
	return call("meter", "read", "{}")
}

// Whatever a script asks, and however it is written, no request that can cause a hazard reaches a device before its caution
// was shown; where nobody accepts, none reaches it that is about people. The same holds when the run goes on.
func TestNoHazardWithoutItsCaution(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		lines := rapid.SliceOfN(rapid.Custom(hazardLine), 1, 6).Draw(r, "lines")
		p := sourceOf("local function helper(m) return m end\nreturn procedure { title = 'T', purpose = 'P', needs = { meter = {}, patches = { sequence = true }, rig = { lamps = { 'a' }, turn = true, place = true } }, flashing = 'no line waits'," +
			"params = { signal = { default = 'sdr', one_of = { 'sdr', 'pq' } } }, run = function(p)\n" + strings.Join(lines, "\n") + "\nend }")
		signal := rapid.SampledFrom([]string{"sdr", "pq"}).Draw(r, "signal")
		w := &watched{}
		s := engine.Spec{Setup: plain(), Procedure: p, Unit: bench.DefaultUnit(), Seed: 1, Out: memoryDir(t), Set: []string{"signal=" + signal}}
		s.Bench, s.Openers, _ = w.reopen(history.Head{})
		s.Accept = func(_ context.Context, all []caution.Caution, _ bool) error {
			for _, c := range all {
				w.told = append(w.told, c.Kind)
			}
			return nil
		}
		rep := ran(t, s, journal.Done)
		if len(w.untold) > 0 {
			r.Fatalf("nobody was told of %v before\n%s", w.untold, strings.Join(lines, "\n"))
		}
		replayed(t, rep.Path, journal.Done)
		for _, c := range w.told { // describe sees all that does not hang on what texts become
			if described := kindsIn(t, p); c != caution.Bright && !slices.Contains(described, c) {
				r.Fatalf("describe has %v, and not %s", described, c)
			}
		}

		nobody := errors.New("nobody accepts")
		refusing := &watched{}
		s.Out, s.Openers = memoryDir(t), refusing.openers()
		s.Accept = func(_ context.Context, all []caution.Caution, _ bool) error {
			if slices.ContainsFunc(all, func(c caution.Caution) bool { return c.Accepted && c.Kind != caution.Flashing }) {
				return nobody
			}
			for _, c := range all {
				refusing.told = append(refusing.told, c.Kind)
			}
			return nil
		}
		paused, err := engine.Run(context.Background(), s)
		if len(refusing.untold) > 0 {
			r.Fatalf("not accepted, and asked all the same: %v\n%s", refusing.untold, strings.Join(lines, "\n"))
		}
		if err == nil && paused.Status == journal.Paused && !errors.Is(paused.Err, nobody) {
			r.Fatalf("paused with %v", paused.Err)
		}
	})
}

func kindsIn(t testing.TB, p *procedure.Procedure) (kinds []caution.Kind) {
	t.Helper()
	loaded := get(procedure.Load(context.Background(), p, builtins.Modules()))(t)
	for _, c := range loaded.Cautions() {
		kinds = append(kinds, c.Kind)
	}
	return kinds
}

// A run that went on puts up again what it left, and tells of it first.
func TestCautionsBeforePuttingBack(t *testing.T) {
	p := sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {}, patches = {}, rig = {} }, run = function()
    patches.show { grey = 1, signal = "p" .. "q" } meter.read() meter.read() end }`)
	w := &watched{}
	s := engine.Spec{Setup: plain(), Procedure: p, Unit: bench.DefaultUnit(), Seed: 1, Out: t.TempDir()}
	s.Bench, s.Openers, _ = w.reopen(history.Head{})
	rep := stopped(t, s, 2)
	w.reached = nil
	setup := plain()
	setup.Accept = func(_ context.Context, all []caution.Caution, _ bool) error {
		for _, c := range all {
			if c.Kind == caution.Bright {
				return errors.New("nobody accepts")
			}
		}
		return nil
	}
	again := wants(t, journal.Paused)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: setup, Reopen: w.reopen}))
	has(t, again.Err.Error(), "nobody accepts")
	if i := slices.IndexFunc(w.reached, func(q any) bool { p, is := q.(bench.Patch); return is && p.Signal == bench.PQ }); i >= 0 {
		t.Errorf("it was put back all the same: %v", w.reached)
	}
}

// Each builtin that can cause a hazard is known to, whatever it is called: what it asks of a device tells.
func TestHazardsOfBuiltins(t *testing.T) {
	hazardous := map[string]bool{}
	for _, name := range []string{"patches.show", "patches.pattern", "patches.sequence", "rig.set", "rig.turn", "rig.place", "meter.read", "meter.settle"} {
		hazardous[name] = true
		if len(caution.OfCall(name)) == 0 {
			t.Errorf("%s has no caution", name)
		}
	}
	harmless := []string{"patches.black", "rig.lux", "meter.dark", "unit.set", "unit.off", "unit.on", "clock.wait", "run.decide", "run.held",
		"operator.ask", "operator.choose", "operator.confirm"}
	for _, m := range builtins.Modules() {
		for _, f := range m.Funcs {
			if f.Class == script.ClassStep && !hazardous[f.Name] && !slices.Contains(harmless, f.Name) {
				t.Errorf("%s: say here, and in engine/caution/kinds.go, which hazards it can cause", f.Name)
			}
		}
	}
}

// A shipped procedure never flashes, also with the short waits of the small runs; so none is refused.
func TestShippedProceduresDoNotFlash(t *testing.T) {
	for _, c := range campaign.Some(t, smallRuns, 4) {
		rep := ran(t, simSpec(t, shipped(t, c.name), c.set...), journal.Done)
		if rep.Contract.Flashing != "" {
			t.Errorf("%s says that it flashes", c.name)
		}
	}
	for _, name := range procedure.Shipped(scripts.Files) {
		if !slices.Contains(kindsIn(t, shipped(t, name)), caution.Pressure) {
			t.Errorf("%s reads a meter, and has no caution of its pressure", name)
		}
	}
}

// What would flash is refused before the patch, at its line; no pcall gets past it; with the contract's word it runs.
func TestFlashesAreRefused(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		hold := rapid.Float64Range(0.001, 0.3).Draw(r, "hold")
		a, b := rapid.Float64Range(0, 0.2).Draw(r, "dark"), rapid.Float64Range(0.6, 1).Draw(r, "bright")
		window := rapid.SampledFrom([]string{"1", "10", "100"}).Draw(r, "window")
		lines := map[bool]string{
			true: fmt.Sprintf("local all = {} for n = 1, 12 do all[n] = { grey = n %% 2 == 0 and %g or %g, window = %s, hold = %g } end patches.sequence(all)",
				a, b, window, hold),
			false: fmt.Sprintf("for n = 1, 12 do pcall(patches.show, { grey = n %% 2 == 0 and %g or %g, window = %s }) clock.wait(%g) end", a, b, window, hold),
		}
		body := lines[rapid.Bool().Draw(r, "sequence")]
		f := &faults{}
		s := f.spec(t, body)
		s.Out = memoryDir(t)
		if strings.Contains(body, "sequence") { // which the faulty source cannot show
			s.Openers = simOpeners()
		}
		rep, err := engine.Run(context.Background(), s)
		must(t, err)
		const sixth = 1. / 6
		switch {
		case hold < 0.02 || strings.Contains(body, "sequence") && hold < sixth-0.001: // a patch takes its time, too
			if rep.Err == nil {
				r.Fatalf("%s is not refused", body)
			}
			has(t, rep.Err.Error(), "probe.lua:5: patches.s", "flash more than three times in a second")
			if len(f.shown) > 9 { // seven changes, and the black at the end
				r.Fatalf("%s: %d patches were shown", body, len(f.shown))
			}
		case hold > sixth:
			if rep.Err != nil {
				r.Fatalf("%s: %v", body, rep.Err)
			}
		}
		s.Procedure.Source = []byte(strings.Replace(string(s.Procedure.Source), "run =", "flashing = 'it must', run =", 1))
		s.Out = memoryDir(t)
		ran(t, s, journal.Done)
	})
}

// Not only patches flash: whatever switches light to and fro, by itself or in turn with others, is refused at the seventh
// change, whichever of its names a control is called by.
func TestSwitchesFlashToo(t *testing.T) {
	checks(t, 30)
	rapid.Check(t, func(r *rapid.T) {
		ways := rapid.SliceOfN(rapid.SampledFrom([][2]string{
			{"unit.off()", "unit.on()"},
			{"unit.off()", "patches.show { grey = 1 }"},
			{"patches.black()", "patches.show { grey = 1 }"},
			{"rig.set { lamp = 'a', level = 10 }", "rig.set { lamp = 'a', level = 90 }"},
			{"unit.set { brightness = 'minimum' }", "unit.set { brightness = 'maximum' }"},
			{"unit.set { b = 3 }", "unit.set { b = 40 }"},
			{"unit.set { c = 'Calm' }", "unit.set { c = 'Bold' }"},
		}), 1, 2).Draw(r, "ways")
		body := "patches.show { grey = 1 }\n"
		for n := range 20 {
			body += ways[n%len(ways)][n/len(ways)%2] + "\n"
		}
		s := engine.Spec{Setup: plain(), Procedure: procedureOf(body), Unit: bench.DefaultUnit(), Seed: 1, Out: memoryDir(t)}
		s.Bench, s.Openers, _ = reopenPlain(history.Head{})
		rep, err := engine.Run(context.Background(), s)
		must(t, err)
		if rep.Err == nil {
			r.Fatalf("not refused:\n%s", body)
		}
		has(t, rep.Err.Error(), "flash more than three times in a second")
		if rep.Steps > 16 { // where two change the same light, it changes at every other step
			r.Fatalf("only refused after %d steps:\n%s", rep.Steps, body)
		}
		s.Procedure = procedureOf("local n = 0 for level = 0, 100 do rig.set { lamp = 'a', level = level } end unit.set { a = 1, b = 1 } unit.set { c = 1 } unit.off() unit.on()")
		s.Out = memoryDir(t)
		ran(t, s, journal.Done) // a lamp that fades in, and settings that are made one after the other, do not flash
	})
}

// A hazard is a hazard on a bench where only some instruments are simulated, also one that nothing foresaw.
func TestCautionsWithASimulatedMeter(t *testing.T) {
	p := sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {}, patches = {} }, run = function()
    patches.show { grey = 1, signal = "p" .. "q" } end }`)
	w := &watched{}
	s := engine.Spec{Setup: plain(), Procedure: p, Unit: bench.DefaultUnit(), Seed: 1, Out: memoryDir(t), Openers: w.openers()}
	s.Openers["sim"] = simOpeners()["sim"]
	s.Bench = get(bench.ParseFile("b.toml", []byte("[meter]\ndriver = 'sim'\n[patches]\ndriver = 'plain'\n")))(t)
	s.Accept = func(_ context.Context, all []caution.Caution, _ bool) error {
		for _, c := range all {
			w.told = append(w.told, c.Kind)
		}
		return nil
	}
	ran(t, s, journal.Done)
	if len(w.untold) > 0 || !slices.Contains(w.told, caution.Bright) {
		t.Errorf("told of %v, and not of %v", w.told, w.untold)
	}
}

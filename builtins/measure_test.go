package builtins

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"candelua/engine/bench"
	"candelua/engine/result"
	"candelua/engine/script"
	"candelua/engine/sim"
)

// asked names the steps of a rig, each with its device.
func asked(r *rig) string {
	var all []string
	for _, s := range r.steps {
		name := s.Name
		if s.Device == "reference" {
			name += "@reference"
		}
		all = append(all, name)
	}
	return strings.Join(all, " ")
}

// A light is watched where it changed, where the script says so, and where the patch is
// large; never by a person.
func TestMeasureWatches(t *testing.T) {
	const plain, watched = "patches.show meter.read run.decide", "patches.show meter.read run.decide meter.settle meter.read"
	for _, tt := range []struct {
		name, patch, args string
		changes, byHand   bool
		want              string
	}{
		{"a small window", "window = 4", "", false, false, plain},
		{"a large window", "window = 10", "", false, false, watched},
		{"a large dark window", "grey = 0.3, window = 100", "", false, false, plain},
		{"a small window on white", "grey = 0, window = 4, background = 1", "", false, false, watched},
		{"as the script says", "window = 4", "{ watch = true }", false, false, watched},
		{"not, as the script says", "window = 100", "{ watch = false }", false, false, plain},
		{"it changes", "window = 4", "{ watch = false }", true, false, watched + " run.decide"},
		{"it changes, but there is no time", "window = 100", "{ settle = 0 }", true, false, plain},
		{"by hand", "window = 100", "{ watch = true }", false, true, plain},
		{"another meter", "window = 100", "@reference", false, false, "patches.show meter.read@reference run.decide meter.settle@reference meter.read@reference run.decide"}, // nobody states its floor,
	} {
		r := newRig()
		r.about.ByHand, r.about.Floor = tt.byHand, 0.01
		if tt.changes {
			r.light = func(s float64) bench.Sample { return bench.Sample{Y: 100 + 50*math.Exp(-s/20)} }
		}
		call := "meter.measure(" + tt.args + ")"
		if tt.args == "@reference" {
			call = `meter.named("reference").measure()`
		}
		patch := tt.patch
		if !strings.Contains(patch, "grey") {
			patch += ", grey = 1"
		}
		if err := r.play(t, "patches.show { "+patch+" }\n"+call); err != nil {
			t.Errorf("%s: %v", tt.name, err)
		}
		if got := asked(r); got != tt.want {
			t.Errorf("%s: the steps are %s, want %s", tt.name, got, tt.want)
		}
		for _, q := range r.requests {
			if !q.Sync {
				t.Errorf("%s: a reading does not cover whole periods: %+v", tt.name, q)
			}
		}
	}
}

// What stands against a measured reading follows it into values, and into what is
// computed from it.
func TestMeasureSaysWhatStandsAgainstIt(t *testing.T) {
	still := func(s float64) bench.Sample { return bench.Sample{Y: 100 + 1e-3*math.Mod(s, 3)} }
	for _, tt := range []struct {
		name  string
		light func(float64) bench.Sample
		floor float64
		bound result.Bound
		value float64 // NaN: not evaluated
		why   string
		from  string // why what is computed from it is not evaluated
	}{
		{"nothing", still, 0.01, "", 100.001, "", ""},
		{"it goes on changing", func(s float64) bench.Sample { return bench.Sample{Y: 100 - s/10} }, 0, "", math.NaN(), "the light still changed after 40 s", "the light still changed after 40 s"},
		{"dark, and no floor is stated", func(s float64) bench.Sample { return bench.Sample{Y: -0.001} }, 0, "", math.NaN(), whyNoFloor, whyBelowFloor},
		{"saturated", func(s float64) bench.Sample { x := still(s); x.Flags = []bench.Flag{bench.Saturated}; return x }, 0, result.Lower, 100.001, "", whySaturated},
		{"below the floor", func(float64) bench.Sample { return bench.Sample{Y: 0.004} }, 0.01, result.Upper, 0.01, "", whyBelowFloor},
		{"negative", func(float64) bench.Sample { return bench.Sample{Y: -0.004} }, 0.01, result.Upper, 0.01, "", whyBelowFloor},
		{"about the floor, with scatter", func(s float64) bench.Sample { return bench.Sample{Y: 0.009 + 0.004*math.Mod(s, 2)} }, 0.01, result.Upper, 0.02, "", whyBelowFloor},
	} {
		r := newRig()
		r.light, r.about.Floor = tt.light, tt.floor
		err := r.play(t, `patches.show { grey = 1, window = 100 }
local r = meter.measure()
record.value { name = "as it is", value = r }
record.value { name = "from it", value = 2 * r.Y, unit = "cd/m2", from = { r } }
record.value { name = "as a bound", value = 2 * r.Y, bound = "lower", from = { r } }
print(r.bound, r.limit)`)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		v := r.results.Values()
		if v[0].Bound != tt.bound || v[0].Why != tt.why || (v[0].Value == nil) != math.IsNaN(tt.value) || v[0].Value != nil && math.Abs(*v[0].Value-tt.value) > 0.3*tt.value {
			t.Errorf("%s: the value is %+v", tt.name, v[0])
		}
		if v[1].Why != tt.from || (v[1].Value == nil) != (tt.from != "") {
			t.Errorf("%s: what is computed from it is %v, %q; want the reason %q", tt.name, v[1].Value, v[1].Why, tt.from)
		}
		if v[2].Bound != result.Lower {
			t.Errorf("%s: the script's own bound is lost: %+v", tt.name, v[2])
		}
		if known := tt.bound != "" || tt.why == whyNoFloor; known == strings.HasPrefix(r.printed.String(), "nil\tnil") {
			t.Errorf("%s: the script sees %s", tt.name, r.printed.String())
		}
	}
}

func TestMeasureRefuses(t *testing.T) {
	newRig().fails(t, "meter.measure { least = 60 }", "meter.measure: most is 50; it must be 60 or more, because least is 60")
	newRig().fails(t, "meter.measure { relative = 0 }", "meter.measure: relative is 0; it must be above 0, to 100 %")
	r := newRig()
	r.fault = bench.Errorf(bench.CodeTimeout, "", "the meter does not answer")
	r.prints(t, "local ok, e = pcall(meter.measure) print(ok, e.code)", "false\ttimeout")
}

// In a world with a power limit of any speed, a window of any size is measured as it is
// in the end, or is withheld: never stated wrong by more than what counts as stable would
// come to in the limit's time. Panels that are switched on and off, and
// are perfectly still, are never said to change.
func TestMeasureInSlowWorlds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		seconds := rapid.SampledFrom([]float64{0.3, 3, 8, 20, 60, 200, 600}).Draw(rt, "seconds")
		window := rapid.SampledFrom([]float64{4, 10, 18, 30, 50, 100}).Draw(rt, "window")
		depth := rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(rt, "depth")
		period := rapid.Float64Range(1.0/480, 1.0/50).Draw(rt, "period")
		changes := map[string]any{"limit.seconds": seconds, "pwm": map[string]any{"depth": depth, "frequency": 1 / period}}
		subject, err := sim.NewSubject(changes, nil, "")
		if err != nil {
			rt.Fatal(err)
		}
		truth, err := subject.Truth(map[string]any{"luminance": map[string]any{"window": window}})
		if err != nil {
			rt.Fatal(err)
		}
		r := newRig()
		if r.bench, err = bench.Open(t.Context(), bench.SimFile, subject.Openers(rapid.Uint64Range(1, 1000).Draw(rt, "seed"))); err != nil {
			rt.Fatal(err)
		}
		defer r.bench.Close()
		r.about = r.bench.Meters["meter"].About()
		err = r.play(t, fmt.Sprintf(`unit.set { ["Automatic brightness"] = "off", Brightness = "maximum" }
patches.show { grey = 1, window = %v }
record.value { name = "v", value = meter.measure() }`, window))
		if err != nil {
			rt.Fatal(err)
		}
		v := r.results.Values()[0]
		switch {
		// Warming up is within 1.2 %; of a slower limit what counts as stable may remain.
		case v.Value != nil && math.Abs(*v.Value/truth-1) > 0.012+settledWithin/100/settledOver*seconds:
			rt.Errorf("the window reads %v, and its light is %v", *v.Value, truth)
		case v.Value == nil && (seconds < 8 || window <= 10):
			rt.Errorf("a light that stands still is withheld: %s; steps %s", v.Why, asked(r))
		}
		if i := slices.IndexFunc(r.steps, func(s script.Ask) bool { return s.Name == "meter.settle" }); (i >= 0) != (window >= 10) && seconds < 1 {
			rt.Errorf("a window of %v %% is watched: %v", window, i >= 0)
		}
	})
}

// All readings of a measurement look at the same place, and those of the list say so.
func TestMeasureLooksAtOnePlace(t *testing.T) {
	r := newRig()
	r.about = bench.Identity{Simulated: true, Floor: 0.01}
	if err := r.play(t, `patches.show { grey = 1, window = 100 } meter.measure { at = { 0.25, 0.75 }, watch = true }`); err != nil {
		t.Fatal(err)
	}
	if len(r.requests) < 10 || len(r.rows) < 10 {
		t.Fatalf("%d requests and %d rows: the light was not watched", len(r.requests), len(r.rows))
	}
	for _, q := range r.requests {
		if q.At == nil || *q.At != [2]float64{0.25, 0.75} {
			t.Errorf("a request looks at %v", q.At)
		}
	}
	for _, row := range r.rows {
		if row.Rig["meter x"] != 0.25 || row.Rig["meter y"] != 0.75 {
			t.Errorf("a reading is said to be of %v", row.Rig)
		}
	}
}

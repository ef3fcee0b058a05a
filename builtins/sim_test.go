package builtins

import (
	"math"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/sim"
)

// onSim puts the simulated bench in place of the fakes.
func onSim(t testing.TB) *rig {
	t.Helper()
	params, err := sim.Load("default")
	if err != nil {
		t.Fatal(err)
	}
	r := newRig()
	r.bench, err = bench.Open(t.Context(), bench.SimFile, bench.Openers{"sim": sim.Opener(params, 1, 0)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.bench.Close() })
	r.about = r.bench.Meters["meter"].About()
	return r
}

// On a simulated bench a mean comes as near to what many readings say as it
// was asked to.
func TestReadOnSimulatedBench(t *testing.T) {
	r := onSim(t)
	err := r.play(t, `unit.set { ["Automatic brightness"] = "off", Brightness = "maximum" }
patches.show { grey = 1, window = 10 }
local settled = meter.settle { within = 0.1, over = 60 }
assert(settled.settled, settled.drift)
local few = meter.read { relative = 0.05 }
local many = meter.read { repeats = 400 }
record.value { name = "few", value = few }
record.value { name = "many", value = many }
record.value { name = "n", value = few.n }
assert(few.u_Y <= 0.0005 * few.Y, few.u_Y)
assert(few.x and few.u and not few.flags.below_floor)`)
	if err != nil {
		t.Fatal(err)
	}
	v := r.results.Values()
	if n := *v[2].Value; n < 5 || n > 50 {
		t.Errorf("%v readings", n)
	}
	u := math.Hypot(*v[0].U, *v[1].U)
	if d := math.Abs(*v[0].Value - *v[1].Value); d > 4*u+0.001**v[1].Value { // and what the panel still drifts
		t.Errorf("%v and %v differ by %v, their uncertainty is %v", *v[0].Value, *v[1].Value, d, u)
	}
}

// What a step costs besides the world: patches.show and meter.read on fakes.
func BenchmarkShowAndRead(b *testing.B) {
	r := newRig()
	b.ReportAllocs()
	for n := 0; n < b.N; n += 500 {
		r.steps, r.answers, r.hands, r.rows, r.requests, r.patches = nil, nil, nil, nil, nil, nil
		if err := r.play(b, `for i = 1, 500 do patches.show { grey = 0.5, window = 10 } meter.read { repeats = 3 } end`); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStatsMean1000(b *testing.B) {
	r := newRig()
	for n := 0; n < b.N; n += 100 {
		if err := r.play(b, `local t = {} for i = 1, 1000 do t[i] = i end for i = 1, 100 do stats.mean(t) end`); err != nil {
			b.Fatal(err)
		}
	}
}

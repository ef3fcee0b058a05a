package scripts_test

import (
	"context"
	"math"
	"testing"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/script"
	"candelua/engine/sim"
	"candelua/scripts"
)

// perform runs a shipped procedure in a simulated world, in memory.
func perform(t *testing.T, procedure string, world sim.Params, seed uint64, set ...string) *result.Results {
	t.Helper()
	p, err := engine.FindProcedure(procedure, scripts.Files)
	if err != nil {
		t.Fatal(err)
	}
	program, contract, err := engine.Prepare(context.Background(), p, builtins.Modules())
	if err != nil {
		t.Fatal(err)
	}
	params, err := contract.Values(set)
	if err != nil {
		t.Fatal(err)
	}
	open := func(ctx context.Context) (*bench.Bench, error) {
		return bench.Open(ctx, bench.SimFile, bench.Openers{"sim": sim.Opener(world, seed, 0)})
	}
	out := execute(t, program, params, seed, open)
	if out.Err != nil {
		t.Fatal(out.Err)
	}
	return out.Results
}

func execute(t *testing.T, program *script.Program, params script.Params, seed uint64, open func(context.Context) (*bench.Bench, error)) *engine.Outcome {
	t.Helper()
	b, err := open(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	head := engine.Head{Params: params, Seed: seed, Simulated: true, Devices: b.Devices()}
	b.Close()
	j, err := journal.Memory(head)
	if err != nil {
		t.Fatal(err)
	}
	out, err := (&engine.Job{Program: program, Head: head, Journal: j, Open: open}).Execute(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// value is a number that a run concluded.
func value(t *testing.T, r *result.Results, id string) float64 {
	t.Helper()
	v, ok := r.ValueByID(id)
	if !ok || v.Value == nil {
		t.Fatalf("there is no value %s", id)
	}
	return *v.Value
}

// worlds are displays of other peaks, exponents and limits, all warm.
func worlds() map[string]func(*sim.Params) {
	return map[string]func(*sim.Params){
		"as shipped":      func(*sim.Params) {},
		"dim and steep":   func(p *sim.Params) { p.Light.White, p.Light.HDRPeak, p.Tone.Exponent = 95, 120, 2.45 },
		"bright and flat": func(p *sim.Params) { p.Light.White, p.Light.HDRPeak, p.Tone.Exponent = 1600, 2400, 1.9 },
		"limits from 3 %": func(p *sim.Params) {
			p.Limit.Curve = [][2]float64{{0, 1}, {0.02, 1}, {0.1, 0.8}, {0.5, 0.35}, {1, 0.2}}
		},
		"limits in one step": func(p *sim.Params) { p.Limit.Curve = [][2]float64{{0, 1}, {0.24, 1}, {0.26, 0.7}, {1, 0.7}} },
		"sloping from 0": func(p *sim.Params) {
			p.Limit.Curve = [][2]float64{{0, 1}, {1, 0.4}}
			p.Light.HDRPeak = p.Light.White
			p.Tone.Exponent = 2.6
		},
		"no limit, 1.8":                    func(p *sim.Params) { p.Limit.Curve = nil; p.Tone.Exponent = 1.8 },
		"black of a panel lit from behind": func(p *sim.Params) { p.Light.Black, p.Tone.Exponent = 0.3, 2.35 },
	}
}

// Each shipped procedure recovers what the world is, in each of 100 seeds. The
// truth is the simulator's own, without noise and with the panel warm.
func TestProceduresRecoverTheTruth(t *testing.T) {
	for name, change := range worlds() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := sim.Default()
			change(&p)
			w, err := sim.New(p, 1, 0)
			if err != nil {
				t.Fatal(err)
			}
			peak, full := truths(t, w)
			var worst struct{ peak, full, gamma float64 }
			for seed := uint64(1); seed <= 100; seed++ {
				r := perform(t, "window-sweep", p, seed)
				worst.peak = math.Max(worst.peak, math.Abs(100*(value(t, r, "peak-luminance")/peak-1)))
				worst.full = math.Max(worst.full, math.Abs(100*(value(t, r, "full-screen-luminance")/full-1)))
				r = perform(t, "tone-response", p, seed)
				worst.gamma = math.Max(worst.gamma, math.Abs(value(t, r, "gamma")-p.Tone.Exponent))
			}
			t.Logf("worst of 100 seeds: peak %.3f %%, full screen %.3f %%, gamma %.4f", worst.peak, worst.full, worst.gamma)
			if worst.peak > 0.5 || worst.full > 0.5 || worst.gamma > 0.01 {
				t.Errorf("worst of 100 seeds: peak %.3f %%, want 0.5; full screen %.3f %%, want 0.5; gamma %.4f, want 0.01", worst.peak, worst.full, worst.gamma)
			}
		})
	}
}

// truths are the greatest luminance of the sweep's windows, and that of the
// full screen.
func truths(t *testing.T, w *sim.World) (peak, full float64) {
	t.Helper()
	on := []bench.Setting{{Name: "Adaptive brightness", Value: "off"}, {Name: "Brightness", Value: "maximum"}}
	for _, window := range []float64{1, 2, 4, 7, 10, 18, 30, 50, 70, 100} {
		y, err := w.TruthLuminance(bench.Patch{RGB: [3]float64{1, 1, 1}, Window: window, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}, on...)
		if err != nil {
			t.Fatal(err)
		}
		peak = math.Max(peak, y)
		full = y
	}
	return peak, full
}

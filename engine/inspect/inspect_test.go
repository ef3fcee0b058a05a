package inspect

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"candelua/engine/bench"
	"candelua/engine/sim"
)

func simulated(t *testing.T) *bench.Bench {
	t.Helper()
	b, err := bench.Open(t.Context(), bench.SimFile, bench.Openers{"sim": sim.Opener(sim.Default(), 1, 0)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

// TestDevices looks at the simulated bench with a patch of known luminance up.
func TestDevices(t *testing.T) {
	b := simulated(t)
	if _, err := b.Patches.Show(t.Context(), bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}); err != nil {
		t.Fatal(err)
	}
	if err := b.Clock.WaitUntil(t.Context(), time.Minute); err != nil {
		t.Fatal(err)
	}
	told := 0
	all, err := Devices(t.Context(), b, 10, func(string, int) { told++ })
	if err != nil || len(all) != 6 || told != 20 {
		t.Fatalf("%d devices, %d readings, %v", len(all), told, err)
	}
	by := map[string]Device{}
	for _, d := range all {
		by[d.Place] = d
	}
	r := by["meter"].Readings
	if r == nil || r.Count != 10 || r.Mean < 100 || !(r.Noise > 0) || r.Percent != 100*r.Noise/r.Mean || math.Abs(r.X-0.31) > 0.02 || !(r.Seconds > 0) {
		t.Errorf("the meter's readings are %+v", r)
	}
	if lux := by["rig"].Lux; lux == nil || by["rig"].Failed != nil {
		t.Errorf("the rig is %+v", by["rig"])
	}
	if can := strings.Join(by["rig"].Abilities, "; "); !strings.Contains(can, "sets lamps (front)") || !strings.Contains(can, "reads illuminance") {
		t.Errorf("the rig can %s", can)
	}
	if by["unit"].Readings != nil || by["operator"].Abilities == nil {
		t.Errorf("unit %+v, operator %+v", by["unit"], by["operator"])
	}
}

type brokenMeter struct {
	bench.Meter
	after int
}

func (m brokenMeter) Read(_ context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	for range m.after {
		if err := take(bench.Sample{Y: 100, Tries: 3}); err != nil {
			return err
		}
	}
	return errors.New("no cable")
}

// TestBroken: a meter that fails is said, with the readings that it gave.
func TestBroken(t *testing.T) {
	b := simulated(t)
	for _, after := range []int{0, 2} {
		b.Meters["meter"] = brokenMeter{b.Meters["meter"], after}
		all, err := Devices(t.Context(), b, 10, func(string, int) {})
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range all {
			if d.Place != "meter" {
				continue
			}
			if d.Failed == nil || d.Failed.Error() != "no cable" || (d.Readings != nil) != (after > 0) {
				t.Errorf("after %d readings: %+v, %v", after, d.Readings, d.Failed)
			}
			if r := d.Readings; r != nil && (r.Count != 2 || r.Again != 4) {
				t.Errorf("%+v", r)
			}
		}
	}
}

func TestLine(t *testing.T) {
	for _, c := range []struct {
		r    Readings
		want string
	}{
		{Readings{Mean: 201.4567, Noise: 0.0345, Percent: 0.01712, X: 0.3127, Y: 0.329, Seconds: 0.5}, "mean 201.457 cd/m2, noise of a single reading 0.035 cd/m2 (0.017 %), x 0.3127, y 0.3290, 0.5 s a reading"},
		{Readings{Mean: 0.0005, Noise: 0.0015, Percent: 300, Seconds: 12.3}, "mean 0.0005 cd/m2, noise of a single reading 0.0015 cd/m2 (300 %), 12 s a reading"},
		{Readings{Mean: 150, Seconds: 1}, "mean 150.000 cd/m2, noise of a single reading 0.000 cd/m2, 1 s a reading"},
	} {
		if got := c.r.Line(); got != c.want {
			t.Errorf("%+v is %q, want %q", c.r, got, c.want)
		}
	}
}

func TestMeets(t *testing.T) {
	b := simulated(t)
	met := Meets(b, []Wanted{{"a", bench.Needs{"meter": {}}}, {"b", bench.Needs{"rig": {Abilities: map[string]bench.Wish{"lamps": {Names: []string{"left"}}}}}}})
	if len(met) != 2 || len(met[0].Lacks) != 0 || len(met[1].Lacks) != 1 || !strings.Contains(met[1].Lacks[0], `the lamp "left"`) {
		t.Errorf("%+v", met)
	}
}

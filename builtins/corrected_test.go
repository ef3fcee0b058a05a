package builtins

import (
	"testing"

	"candelua/engine/bench"
)

// doubling is a correction whose effect is told at a glance.
func doubling() map[string]*bench.Correction {
	return map[string]*bench.Correction{"meter": {Name: "Crake 2, Dusk", Matrix: [3][3]float64{{2}, {0, 2}, {0, 0, 2}}}}
}

// Of a meter with a correction each single reading is corrected, whoever asks
// for it; the other meter's is not. Floor and saturation are what the meter
// says of its own reading.
func TestCorrectedReadings(t *testing.T) {
	r := newRig()
	r.corrections = doubling()
	r.about.Floor = 150
	r.light = func(float64) bench.Sample {
		return bench.Sample{X: 95, Y: 100, Z: 109, Colour: true, Spectrum: &bench.Spectrum{From: 380, Step: 5, Values: []float64{1}}}
	}
	r.prints(t, `local r = meter.read { repeats = 2, spectrum = true }
print(r.X, r.Y, r.Z, r.u_Y, r.flags.below_floor, r.spectrum.values[1], r.correction, meter.about().correction)
r = meter.named("reference").read()
print(r.X, r.Y, r.Z, r.correction, meter.named("reference").about().correction)
print(meter.settle { within = 1, over = 5, timeout = 60 }.Y)`,
		"190\t200\t218\t0\ttrue\t1\tCrake 2, Dusk\tCrake 2, Dusk\n95\t100\t109\tnil\tnil\n200")
	for i, row := range r.rows {
		want := "meter"
		if row.Correction == nil {
			want = "reference"
		}
		if row.Meter != want {
			t.Errorf("row %d of the %s has the correction %v", i+1, row.Meter, row.Correction)
		}
	}
	r.light = func(float64) bench.Sample {
		return bench.Sample{X: 95, Y: 100, Z: 109, Colour: true, Flags: []bench.Flag{bench.Saturated}}
	}
	r.prints(t, `local r = meter.read(); print(r.Y, r.flags.saturated, r.x)`, "200\ttrue\tnil")
}

// A stated repeatability is a share of the corrected luminance.
func TestCorrectedUncertainty(t *testing.T) {
	r := newRig()
	r.corrections = doubling()
	r.about.Accuracy = bench.Accuracy{Repeatability: 0.5}
	r.light = func(float64) bench.Sample { return bench.Sample{X: 95, Y: 100, Z: 109, Colour: true} }
	r.prints(t, "print(meter.read().u_Y)", "1")
}

// A luminance alone cannot be multiplied by a matrix. It is refused before it
// is kept, so that the reading can be taken again.
func TestCorrectedWantsColour(t *testing.T) {
	r := newRig()
	r.corrections = doubling()
	const want = `the meter returned a luminance only, and the correction "Crake 2, Dusk" needs X, Y and Z`
	r.fails(t, "meter.read()", want)
	r.fails(t, "meter.settle { within = 1, over = 5, timeout = 60 }", want)
	r.prints(t, `print(meter.named("reference").read().Y)`, "100")
	if len(r.rows) != 1 {
		t.Errorf("%d readings were listed", len(r.rows))
	}
}

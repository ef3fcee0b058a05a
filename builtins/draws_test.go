package builtins

import (
	"math"
	"slices"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/draw"
	"candelua/engine/script"
)

// TestSpectrumMoves: the spectra of a mean are multiplied by what its Y is, by scatter
// and scale; what was recorded stays, since all draws share it; where there is no light,
// nothing is multiplied.
func TestSpectrumMoves(t *testing.T) {
	by := draw.Drawn{Add: draw.XYZ{Y: 10}, Gain: 1.02}
	for _, tt := range []struct {
		name  string
		y, y2 float64
		want  []float64
	}{
		{"light", 30, 50, []float64{1.275, 2.55}}, // (40 + 10) · 1.02 / 40
		{"dark", 0, 0, []float64{1, 2}},
		{"less than dark", -2, 1, []float64{1, 2}},
		{"hardly light", math.SmallestNonzeroFloat64, 0, []float64{1, 2}},
	} {
		recorded := &bench.Spectrum{From: 400, Step: 10, Values: []float64{1, 2}}
		all := []sample{{Y: tt.y, Spectrum: recorded}, {Y: tt.y2}}
		move(all, by)
		if s := all[0].Spectrum; s.From != 400 || s.Step != 10 || !slices.Equal(s.Values, tt.want) {
			t.Errorf("%s: the spectrum is %+v, want %v", tt.name, *s, tt.want)
		}
		if !slices.Equal(recorded.Values, []float64{1, 2}) {
			t.Errorf("%s: the recorded spectrum is %v now", tt.name, recorded.Values)
		}
		if all[1].Spectrum != nil {
			t.Errorf("%s: a reading without a spectrum has one", tt.name)
		}
	}
}

// A meter that was calibrated anew shares no error with itself before; one that was not
// does, also where nobody states a calibration.
func TestCalibratedAnew(t *testing.T) {
	meter := func(certificate, date string) bench.Identity {
		return bench.Identity{Driver: "line", Name: "L1", Serial: "7", Accuracy: bench.Accuracy{Scale: 1, Certificate: certificate, Date: date}}
	}
	if one, again := calibrated(meter("A", "2026-01-01")), calibrated(meter("A", "2026-01-01")); one != again || calibrated(meter("", "")) != "line\x00L1\x007" {
		t.Error("the same calibration is taken for another")
	}
	all := map[string]bool{}
	for _, m := range []bench.Identity{meter("", ""), meter("A", ""), meter("A", "2026-01-01"), meter("A", "2026-06-01"), meter("B", "2026-01-01"), meter("", "2026-01-01")} {
		if all[calibrated(m)] {
			t.Errorf("%+v is taken for another calibration", m.Accuracy)
		}
		all[calibrated(m)] = true
	}
}

// Single readings are of one stimulus where patch, unit, rig and place are the same and no person was
// asked in between; then they say how the meter scatters (package draw).
func TestStimulus(t *testing.T) {
	for _, tt := range []struct {
		name, between string
		same          bool
	}{
		{"nothing", "", true},
		{"another patch and back", "patches.show { grey = 0.5 } meter.read() patches.show { grey = 1 }", true},
		{"a wait", "clock.wait(5)", true},
		{"another patch", "patches.show { grey = 0.5 }", false},
		{"another window", "patches.show { grey = 1, window = 50 }", false},
		{"a setting", "unit.set { brightness = 'minimum' }", false},
		{"a question", "operator.confirm 'Change the cable.'", false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, shared := newRig(), &script.Shared{}
			program, err := script.Compile("test.lua", []byte("return procedure { title = 't', purpose = 'p', "+allNeeds+" run = function()\npatches.show { grey = 1 } meter.read() "+
				tt.between+" meter.read() end }"), nil, Modules())
			if err != nil {
				t.Fatal(err)
			}
			host := r.host()
			host.Draws = &script.Draws{Number: script.Look, Shared: shared}
			rt, err := program.Start(t.Context(), host)
			if err != nil {
				t.Fatal(err)
			}
			defer rt.Close()
			if err := rt.Run(script.Params{}); err != nil {
				t.Fatal(err)
			}
			if n := script.SharedState[draw.Sheet](shared).NoScatter(); (n == 0) != tt.same { // nobody states how the meter scatters
				t.Errorf("%d readings have no scatter; they are of one stimulus: %t", n, tt.same)
			}
		})
	}
}

package scripts_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/colour"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/sim"
	"candelua/scripts"
)

// HDR colours that a display does not show as they are meant differ by what
// the light of the world truly differs.
func TestColoursOfHDRFindTheTruth(t *testing.T) {
	for _, name := range []string{"default", "fulmar-55"} {
		w := world(t, name, nil)
		out := shipped(t, "hdr-tracking", "onset=10", "window=2", "levels=50")(w, 1)
		quiet, err := sim.New(w, 1, 0)
		if err != nil {
			t.Fatal(err)
		}
		var truths []float64
		for _, l := range looks(out) {
			rgb := l.patch.RGB
			if rgb[0] == rgb[1] && rgb[1] == rgb[2] && math.Abs(rgb[0]-colour.EncodePQ(50)) > 1e-3 {
				continue // a grey of the series
			}
			var light [3]float64
			for i, v := range rgb {
				if v > 0 {
					light[i] = colour.DecodePQ(v)
				}
			}
			xyz, err := quiet.TruthXYZ(l.patch)
			if err != nil {
				t.Fatal(err)
			}
			truths = append(truths, colour.DeltaEITP(colour.BT2020.ToXYZ(light).ICtCp(), xyz.ICtCp()))
		}
		if len(truths) != 13 {
			t.Fatalf("%s: %d colours were shown, want 13", name, len(truths))
		}
		got, want := value(t, out.Results, "colour-average-itp"), mean(truths)
		t.Logf("%s: average %.3f, truth %.3f", name, got, want)
		if want < 2 || math.Abs(got-want) > 0.3 {
			t.Errorf("%s: the average is %.3f, want %.3f within 0.3 and above 2", name, got, want)
		}
	}
}

// A signal that a display follows to its end has no start of a roll-off.
func TestNoRollOff(t *testing.T) {
	r := shipped(t, "hdr-tracking", "levels=50")(world(t, "ideal", nil), 1).Results
	if v, ok := r.ValueByID("roll-off-start"); !ok || v.Value != nil || !strings.Contains(v.Why, "follows the signal to its end") {
		t.Errorf("the start of the roll-off is %+v, want none, and why", v)
	}
	if got := value(t, r, "tracking-worst"); math.Abs(got) > 1e-9 {
		t.Errorf("the worst deviation is %g %%, want none", got)
	}
}

// A black of nothing, read by a meter whose floor nobody states, gives no
// contrast, and says why.
func TestNoContrast(t *testing.T) {
	r := shipped(t, "contrast", "lux=100")(world(t, "ideal", nil), 1).Results
	for _, id := range []string{"black-luminance", "sequential-contrast", "ambient-contrast"} {
		if v, ok := r.ValueByID(id); !ok || v.Value != nil || !strings.Contains(v.Why, "floor is not stated") {
			t.Errorf("%s is %+v, want none, and why", id, v)
		}
	}
}

// Single readings do not tell their scatter in colour, so there is no bias.
func TestNoBiasWithoutScatter(t *testing.T) {
	p, err := engine.FindProcedure("chart", scripts.Files)
	if err != nil {
		t.Fatal(err)
	}
	p.Source = []byte(strings.Replace(string(p.Source), "relative = p.precision", "repeats = 1", 1))
	r := prepare(t, p, "colours=8")(sim.Default(), 1).Results
	if v, ok := r.ValueByID("bias-of-average"); !ok || v.Value != nil || !strings.Contains(v.Why, "how much they scatter") {
		t.Errorf("the bias is %+v, want none, and why", v)
	}
	value(t, r, "average-difference")
}

// colourless is a meter that reads luminance alone.
type colourless struct{ bench.Meter }

func (m colourless) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	return m.Meter.Read(ctx, q, func(s bench.Sample) error {
		s.X, s.Z, s.Colour = 0, 0, false
		return take(s)
	})
}

// A meter without colour gives what needs none, and says what is missing.
func TestMeterWithoutColour(t *testing.T) {
	for _, tt := range []struct{ procedure, none, some string }{
		{"gamut", "coverage-p3-uv", "white-luminance"},
		{"chart", "average-difference", ""},
		{"hdr-tracking", "colour-average-itp", "tracking-average"},
		{"contrast", "", "white-luminance"},
	} {
		p, err := engine.FindProcedure(tt.procedure, scripts.Files)
		if err != nil {
			t.Fatal(err)
		}
		program, contract, err := engine.Prepare(t.Context(), p, builtins.Modules())
		if err != nil {
			t.Fatal(err)
		}
		params, err := contract.Values(nil)
		if err != nil {
			t.Fatal(err)
		}
		out := execute(t, program, params, 1, func(ctx context.Context) (*bench.Bench, error) {
			b, err := bench.Open(ctx, bench.SimFile, bench.Openers{"sim": sim.Opener(sim.Default(), 1, 0)})
			if err == nil {
				b.Meters["meter"] = colourless{b.Meters["meter"]}
			}
			return b, err
		})
		if out.Err != nil {
			t.Errorf("%s: %v", tt.procedure, out.Err)
			continue
		}
		if v, ok := out.Results.ValueByID(tt.none); tt.none != "" && (!ok || v.Value != nil || v.Why == "") {
			t.Errorf("%s: %s is %+v, want none, and why", tt.procedure, tt.none, v)
		}
		if tt.some != "" {
			value(t, out.Results, tt.some)
		}
	}
}

package scripts_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/colour"
	"candelua/engine/bench"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/sim"
	"candelua/scripts"
)

// HDR colours that a display does not show as they are meant differ by what
// the light of the world truly differs.
func TestColoursOfHDRFindTheTruth(t *testing.T) {
	for _, name := range []string{"default", "fulmar-55"} {
		w := world(t, name, nil)
		out := shipped(t, "hdr-tracking", "delay=10", "window=2", "levels=50")(w, 1)
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
		got, want := value(t, out.Results, "average-colour-delta-e-itp"), mean(truths)
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
	if got := value(t, r, "maximum-tracking-error"); math.Abs(got) > 1e-9 {
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
	p, err := procedure.Find("chart", scripts.Files)
	if err != nil {
		t.Fatal(err)
	}
	p.Source = []byte(strings.Replace(string(p.Source), "meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, watch = watch }", "meter.read { repeats = 1 }", 1))
	r := prepare(t, p, "colours=8")(sim.Default(), 1).Results
	if v, ok := r.ValueByID("bias-of-average-delta-e2000"); !ok || v.Value != nil || !strings.Contains(v.Why, "how much they scatter") {
		t.Errorf("the bias is %+v, want none, and why", v)
	}
	value(t, r, "average-delta-e2000")
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
		{"chart", "average-delta-e2000", ""},
		{"hdr-tracking", "average-colour-delta-e-itp", "average-tracking-error"},
		{"contrast", "", "white-luminance"},
	} {
		p, err := procedure.Find(tt.procedure, scripts.Files)
		if err != nil {
			t.Fatal(err)
		}
		loaded, err := procedure.Load(t.Context(), p, builtins.Modules())
		if err != nil {
			t.Fatal(err)
		}
		program, contract := loaded.Program, loaded.Contract
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

// alike is a meter that reads the same of whatever is shown.
type alike struct {
	bench.Meter
	xyz colour.XYZ
}

func (m alike) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	return m.Meter.Read(ctx, q, func(s bench.Sample) error {
		s.X, s.Y, s.Z = m.xyz.X, m.xyz.Y, m.xyz.Z
		return take(s)
	})
}

// withMeter runs a shipped procedure on the default world, its meter replaced.
func withMeter(t *testing.T, name string, replace func(bench.Meter) bench.Meter, set ...string) *result.Results {
	t.Helper()
	p, err := procedure.Find(name, scripts.Files)
	if err != nil {
		t.Fatal(err)
	}
	loaded, err := procedure.Load(t.Context(), p, builtins.Modules())
	if err != nil {
		t.Fatal(err)
	}
	program, contract := loaded.Program, loaded.Contract
	params, err := contract.Values(set)
	if err != nil {
		t.Fatal(err)
	}
	out := execute(t, program, params, 1, func(ctx context.Context) (*bench.Bench, error) {
		b, err := bench.Open(ctx, bench.SimFile, bench.Openers{"sim": sim.Opener(sim.Default(), 1, 0)})
		if err == nil {
			b.Meters["meter"] = replace(b.Meters["meter"])
		}
		return b, err
	})
	if out.Err != nil {
		t.Fatalf("%s: %v", name, out.Err)
	}
	return out.Results
}

// However senseless what is read, each procedure ends, and what it cannot state
// is not evaluated and says why: primaries on one point, no light, light without
// a colour, no colours at all. All ids are there.
func TestSenselessReadings(t *testing.T) {
	d65 := colour.D65.XYZ(100)
	for _, tt := range []struct {
		procedure string
		xyz       *colour.XYZ // nil: a meter without colour
		none      []string
		why       string
	}{
		{"gamut", &d65, []string{"coverage-p3-uv", "coverage-bt709-xy"}, "span no triangle"},
		{"gamut", &colour.XYZ{}, []string{"coverage-p3-uv", "white-cct"}, "no light, and so has no colour"},
		{"gamut", &colour.XYZ{}, []string{"white-drift"}, "no light"},
		{"gamut", nil, []string{"coverage-p3-uv", "white-cct", "white-duv", "additivity", "additivity-delta-uv"}, "luminance only"},
		{"chart", &colour.XYZ{}, []string{"white-drift", "average-delta-e2000"}, "no light"},
		{"chart", &colour.XYZ{X: 100, Y: 100}, []string{"average-delta-e2000", "share-above-threshold"}, "without a colour"},
		{"chart", nil, []string{"average-delta-e2000", "median-delta-e2000", "95th-percentile-delta-e2000", "maximum-delta-e2000",
			"average-delta-e2000-of-greys", "bias-of-average-delta-e2000", "share-above-threshold"}, "luminance only"},
		{"hdr-tracking", &colour.XYZ{}, []string{"average-tracking-error", "average-colour-delta-e-itp"}, "read"},
	} {
		r := withMeter(t, tt.procedure, func(m bench.Meter) bench.Meter {
			if tt.xyz == nil {
				return colourless{m}
			}
			return alike{m, *tt.xyz}
		})
		for _, id := range tt.none {
			if v, ok := r.ValueByID(id); !ok || v.Value != nil || !strings.Contains(v.Why, tt.why) {
				t.Errorf("%s of %v: %s is %+v, want none, because of %q", tt.procedure, tt.xyz, id, v, tt.why)
			}
		}
	}
	for _, name := range []string{"gamut", "chart"} {
		r := withMeter(t, name, func(m bench.Meter) bench.Meter { return colourless{m} })
		value(t, r, "white-luminance")
		value(t, r, "white-drift")
	}
}

// A black under the floor bounds the contrast by the floor, and a limit gives no
// reason for being missing: it is not.
func TestContrastOfTheFloor(t *testing.T) {
	w := world(t, "default", nil)
	r := shipped(t, "contrast")(w, 1).Results
	v, ok := r.ValueByID("sequential-contrast")
	if !ok || v.Value == nil || v.Bound != "lower" || v.Why != "" {
		t.Fatalf("the contrast is %+v, want a lower limit without a reason", v)
	}
	if want := value(t, r, "white-luminance") / w.Meter.Floor; math.Abs(*v.Value/want-1) > 1e-12 {
		t.Errorf("the contrast is above %g, want %g, white over the floor", *v.Value, want)
	}
}

// On a display that is still warming, the drift is that of its last white
// against its first.
func TestDriftOfWhite(t *testing.T) {
	for _, name := range []string{"gamut", "chart"} {
		out := shipped(t, name, "longest_settling=0")(world(t, "default", map[string]any{"warmup.on_for": 0.0, "warmup.terms": []any{[]any{2000.0, 45.0}}, "warmup.full_drive": 0.0}), 1)
		var whites []float64
		for _, l := range looks(out) {
			if l.patch.RGB == [3]float64{1, 1, 1} {
				whites = append(whites, l.xyz.Y)
			}
		}
		want := 100 * (whites[len(whites)-1]/whites[0] - 1)
		if got := value(t, out.Results, "white-drift"); want > -0.2 || math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: the drift is %g %%, want %g %%, and below -0.2", name, got, want)
		}
	}
}

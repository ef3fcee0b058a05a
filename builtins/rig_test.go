package builtins

import (
	"context"
	"maps"
	"math"
	"slices"
	"testing"

	"candelua/engine/bench"
)

// fakeSurround is a rig that only sets lamps; ableSurround can do it all.
type fakeSurround struct {
	*rig
	levels *[]string
}

type ableSurround struct {
	fakeSurround
	reached float64
	place   [2]float64
	lux     float64
}

func (f fakeSurround) About() bench.Identity { return bench.Identity{Name: "rig"} }

func (f fakeSurround) Set(_ context.Context, lamp string, level float64) (bench.SetAnswer, error) {
	*f.levels = append(*f.levels, lamp)
	return bench.SetAnswer{}, f.failure()
}

func (f ableSurround) Turn(context.Context, string, float64) (float64, error) {
	return f.reached, f.failure()
}

func (f ableSurround) Place(context.Context, [2]float64) ([2]float64, error) {
	return f.place, f.failure()
}

func (f ableSurround) Lux(context.Context, string) (bench.Illuminance, error) {
	return bench.Illuminance{Lux: f.lux}, f.failure()
}

func newSurround(r *rig) fakeSurround {
	return fakeSurround{rig: r, levels: new([]string)}
}

func TestRig(t *testing.T) {
	r := newRig()
	r.about.Simulated = true
	f := ableSurround{fakeSurround: newSurround(r), reached: 29.5, place: [2]float64{0.24, 0.5}, lux: -0.2}
	r.bench.Rig = f
	r.prints(t, `
meter.read()
rig.set { lamp = "desk", level = 40 }
print(rig.turn { degrees = 30 }, rig.turn { axis = "vertical", degrees = -10 })
meter.read()
local p = rig.place { x = 0.25, y = 0.5 }
print(p.x, p.y, rig.lux {}, rig.lux { at = "sensor" }, rig.lux())
rig.set { lamp = "desk", level = 0 }
meter.read()
meter.read { at = { 0.1, 0.9 } }
meter.read()`, "29.5\t29.5\n0.24\t0.5\t-0.2\t-0.2\t-0.2")
	turned := map[string]float64{"lamp desk (%)": 40, "angle horizontal (degrees)": 29.5, "angle vertical (degrees)": 29.5}
	placed := maps.Clone(turned)
	placed["lamp desk (%)"], placed["meter x"], placed["meter y"] = 0, 0.24, 0.5
	aimed := maps.Clone(placed)
	aimed["meter x"], aimed["meter y"] = 0.1, 0.9
	for i, want := range []map[string]float64{nil, turned, placed, aimed, placed} {
		if got := r.rows[i].Rig; !maps.Equal(got, want) {
			t.Errorf("reading %d has the rig %v, want %v", i+1, got, want)
		}
	}
	want := []any{bench.LampRequest{Lamp: "desk", Level: 40}, bench.TurnRequest{Axis: bench.Horizontal, Degrees: 30}, bench.TurnRequest{Axis: bench.Vertical, Degrees: -10},
		bench.PlaceRequest{At: [2]float64{0.25, 0.5}}, bench.LuxRequest{At: bench.AtScreen}, bench.LuxRequest{At: bench.AtSensor}, bench.LuxRequest{At: bench.AtScreen},
		bench.LampRequest{Lamp: "desk", Level: 0}}
	if left := r.left["rig"]; !slices.Equal(left, want) {
		t.Errorf("the rig was asked for\n %+v, want\n %+v", left, want)
	}
	if slices.Contains(r.hands, true) {
		t.Errorf("given by hand: %v", r.hands)
	}
	if q := r.requests; q[2].At != nil || q[3].At == nil || *q[3].At != [2]float64{0.1, 0.9} {
		t.Errorf("readings are asked as %+v", q)
	}
}

func TestRigCannot(t *testing.T) {
	r := newRig()
	calls := map[string]string{
		`rig.set { lamp = "desk", level = 1 }`: "",
		"rig.turn { degrees = 1 }":             "the rig cannot turn the unit",
		"rig.place { x = 0, y = 0 }":           "the rig cannot move the meter",
		"rig.lux()":                            "the rig cannot read illuminance",
	}
	code := func(call string) string { return "local _, e = pcall(function() " + call + " end) print(e.code)" }
	for call := range calls {
		r.fails(t, call, "the bench has no rig")
		r.prints(t, code(call), "unsupported")
	}
	r.bench.Rig = newSurround(r)
	for call, want := range calls {
		if want != "" {
			r.fails(t, call, want)
			r.prints(t, code(call), "unsupported")
		}
	}
	f := ableSurround{fakeSurround: newSurround(r), reached: math.NaN(), place: [2]float64{0, math.Inf(1)}, lux: -1.5}
	r.bench.Rig = f
	for call, want := range map[string]string{
		"rig.turn { degrees = 1 }":   "the rig returned an angle of NaN; it must be a finite number of degrees",
		"rig.place { x = 0, y = 0 }": "the rig returned the place [0 +Inf]; it must be two finite numbers",
		"rig.lux()":                  "illuminance is -1.5 lx; it must be a finite number of -1 lx or more",
	} {
		r.fails(t, call, want)
	}
	for call := range calls { // a device's own error passes through, and nothing is noted
		r.fault = bench.Errorf(bench.CodeBadSetting, "", "no such thing")
		r.fails(t, call, "no such thing")
	}
	for call, want := range map[string]string{
		`rig.set { lamp = "desk", level = 101 }`:      "rig.set: level is 101; it must be 0 to 100 %",
		`rig.set { level = 1 }`:                       "rig.set: lamp is missing; it must be a text",
		`rig.set { lamp = "desk" }`:                   "rig.set: level is missing; it must be 0 to 100 %",
		`rig.turn { degrees = 91 }`:                   "rig.turn: degrees is 91; it must be -90 to 90 degrees",
		`rig.turn { degrees = 1, axis = "diagonal" }`: `rig.turn: axis is "diagonal"; it must be one of "horizontal", "vertical"`,
		`rig.place { x = 1.1, y = 0 }`:                "rig.place: x is 1.1; it must be 0 to 1",
		`rig.place { x = 1 }`:                         "rig.place: y is missing; it must be 0 to 1",
		`rig.lux { at = "window" }`:                   `rig.lux: at is "window"; it must be one of "screen", "sensor"`,
	} {
		r.fails(t, call, want)
	}
}

// The help of the rig names what rigs may have.
func TestRigHelp(t *testing.T) {
	const want = "Equipment around the unit: lamps, a turntable, a stage for the meter, a light sensor."
	if got := rigModule().Help; got != want {
		t.Errorf("help %q, want %q", got, want)
	}
}

package sim

import (
	"context"
	"errors"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"candelua/colour"
	"candelua/engine/bench"
)

// lamped is an ideal display in a room with a lamp.
func lamped(p *Params) {
	p.Room.Reflectance, p.Lamps = 6, []LampParams{{Name: "front", Lux: 1000, Sensor: 500, WarmBy: 10, WarmSecs: 100, DriftSecs: 100, SetSeconds: 2}}
}

// TestReflection: the room's light adds ρE/π to black and to white alike.
// Source: a Lambertian reflector of a reflectance, IDMS.
func TestReflection(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		lux := rapid.Float64Range(0, 20000).Draw(r, "lux")
		level := rapid.Float64Range(0, 1).Draw(r, "level")
		lit := quietWorld(t, "ideal", func(p *Params) { p.Room.Reflectance, p.Room.Stray = 6, lux })
		dark := quietWorld(t, "ideal", func(p *Params) { p.Room.Reflectance = 6 })
		a, b := luminance(t, lit, patch(level, 10), 0), luminance(t, dark, patch(level, 10), 0)
		want := colour.LambertianLuminance(lux, 0.06)
		if math.Abs(a-b-want) > 1e-9*(a+1) {
			r.Fatalf("in %v lux %v cd/m2 become %v, want %v more", lux, b, a, want)
		}
	})
}

// TestLamp: a lamp warms with its time constant and stays warm for a while
// when it is off.
func TestLamp(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) { lamped(p); p.Rig.LuxSeconds = 0 })
	r := device[rig](t, w, bench.KindRig)
	lux := func(at string) float64 {
		t.Helper()
		v, err := r.Lux(t.Context(), at)
		if err != nil {
			t.Fatal(err)
		}
		return v.Lux
	}
	lamp := func(level float64) {
		t.Helper()
		if _, err := r.Set(t.Context(), "front", level); err != nil {
			t.Fatal(err)
		}
	}
	near(t, "off", lux(bench.AtScreen), 0, 0, 0)
	lamp(50)
	if w.Now() != 2*time.Second {
		t.Errorf("setting took %v", w.Now())
	}
	near(t, "cold", lux(bench.AtScreen), 550, 1e-12, 0)
	wait(t, w, 100)
	near(t, "warming", lux(bench.AtScreen), 500*(1+0.1*math.Exp(-1)), 1e-9, 0)
	wait(t, w, 5000)
	near(t, "warm", lux(bench.AtScreen), 500, 1e-9, 0)
	near(t, "at the sensor", lux(bench.AtSensor), 250, 1e-9, 0)
	near(t, "reflected", read(t, w, 1)[0].Y, 0.06*500/math.Pi, 1e-9, 0)
	lamp(0)
	near(t, "off again", lux(bench.AtScreen), 0, 0, 0)
	wait(t, w, 98) // and two for setting it
	lamp(100)
	near(t, "not quite cold", lux(bench.AtScreen), 1000*(1+0.1*(1-math.Exp(-1))), 1e-9, 0)
	before := w.Now()
	lamp(100)
	if w.Now() != before {
		t.Error("setting nothing takes time")
	}
}

// TestTurn: off the axis the light dims and tints as stated at 60 degrees; both
// axes together make one angle.
func TestTurn(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.Angle = AngleParams{Dim: 20, Colour: [3]float64{-10, 0, 10}}
		p.Rig.TurnStep, p.Rig.TurnSeconds = 1, 0.1
	})
	show1(t, w, patch(1, 10))
	r := device[rig](t, w, bench.KindRig)
	began := w.Now()
	got, err := r.Turn(t.Context(), bench.Horizontal, 60.4)
	if err != nil || got != 60 || w.Now()-began != 6*time.Second {
		t.Errorf("turned to %v in %v, %v", got, w.Now()-began, err)
	}
	y := w.panel.luminance
	near(t, "at 60 degrees", read(t, w, 1)[0].Y, 100*(0.7*y[0]+0.8*y[1]+0.9*y[2]), 1e-9, 0)
	c, err := w.truthSeen(patch(1, 10), look{horizontal: 60})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "truth", c.Y, 100*(0.7*y[0]+0.8*y[1]+0.9*y[2]), 1e-9, 0)
	if _, err := r.Turn(t.Context(), bench.Horizontal, 45); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Turn(t.Context(), bench.Vertical, 45); err != nil { // cos² 45° = cos 60°
		t.Fatal(err)
	}
	near(t, "both axes", read(t, w, 1)[0].Y, 100*(0.7*y[0]+0.8*y[1]+0.9*y[2]), 1e-9, 0)
}

// TestEdges: towards the edges the light dims and gets bluer, in the middle not
// at all.
func TestEdges(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.Edge = EdgeParams{Dim: [2]float64{10, 4}, Colour: [3]float64{0, 0, 20}, Power: 2}
	})
	show1(t, w, patch(1, 100))
	blue := w.panel.luminance[2]
	for _, c := range []struct{ x, y, want float64 }{
		{0.5, 0.5, 100}, {1, 0.5, 90 * (1 + 0.2*blue)}, {0, 0.5, 90 * (1 + 0.2*blue)}, {0.5, 0, 96},
		{0.75, 0.5, 97.5 * (1 + 0.05*blue)}, {1, 1, 90 * 0.96 * (1 + 0.2*blue)},
	} {
		near(t, "edge", readAt(t, w, c.x, c.y).Y, c.want, 1e-9, 0)
		at := [2]float64{c.x, c.y}
		truth, err := w.truthSeen(patch(1, 100), look{at: &at})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "truth", truth.Y, c.want, 1e-9, 0)
	}
}

func TestRigErrors(t *testing.T) {
	w := world(t, "default", nil)
	r := device[rig](t, w, bench.KindRig)
	_, err := r.Set(t.Context(), "frnt", 50)
	wantError(t, err, bench.CodeBadSetting, `the rig has no lamp "frnt"; it has "front"`, `did you mean "front"?`)
	_, err = w.truthSeen(patch(1, 10), look{lamps: map[string]float64{"frnt": 1}})
	wantError(t, err, bench.CodeBadSetting, `the rig has no lamp "frnt"; it has "front"`, `did you mean "front"?`)
	_, err = device[rig](t, world(t, "ideal", nil), bench.KindRig).Set(t.Context(), "front", 1)
	wantError(t, err, bench.CodeBadSetting, `the rig has no lamp "front"; it has no lamps at all`, "")
	_, err = r.Set(t.Context(), "front", 101)
	wantError(t, err, bench.CodeBadSetting, `lamp "front": level is 101; it must be 0 to 100 %`, "")
	_, err = r.Lux(t.Context(), "door")
	wantError(t, err, bench.CodeUnsupported, `lux: at is "door"; it must be "screen" or "sensor"`, "")
	_, err = r.Turn(t.Context(), "round", 1)
	wantError(t, err, bench.CodeUnsupported, `turn: axis is "round"; it must be "horizontal" or "vertical"`, "")
	_, err = r.Turn(t.Context(), bench.Vertical, 90)
	wantError(t, err, bench.CodeBadSetting, "turn: angle is 90; it must be -89 to 89 degrees", "")
	_, err = r.Place(t.Context(), [2]float64{0.5, 1.5})
	wantError(t, err, bench.CodeBadSetting, "place: at has 1.5; it must be two numbers from 0 to 1", "")
	stop := errors.New("stop")
	ctx, cancel := context.WithCancelCause(t.Context())
	cancel(stop)
	_, errSet := r.Set(ctx, "front", 50)
	_, errLux := r.Lux(ctx, bench.AtScreen)
	_, errTurn := r.Turn(ctx, bench.Vertical, 10)
	_, errPlace := r.Place(ctx, [2]float64{0.5, 0.5})
	if errSet != stop || errLux != stop || errTurn != stop || errPlace != stop || w.Now() != 0 {
		t.Errorf("stopped: %v, %v, %v, %v at %v", errSet, errLux, errTurn, errPlace, w.Now())
	}
}

// TestLampDrift: a lamp drifts about its level with its stated deviation, and
// the drift is the seed's.
func TestLampDrift(t *testing.T) {
	var square float64
	const n = 400
	for seed := range uint64(n) {
		p := quietParams(t, "ideal")
		lamped(&p)
		p.Lamps[0].WarmBy, p.Lamps[0].Drift = 0, 2
		w, err := New(p, seed, 0)
		if err != nil {
			t.Fatal(err)
		}
		r := device[rig](t, w, bench.KindRig)
		if _, err := r.Set(t.Context(), "front", 100); err != nil {
			t.Fatal(err)
		}
		lux, err := r.Lux(t.Context(), bench.AtScreen)
		if err != nil {
			t.Fatal(err)
		}
		square += math.Pow(lux.Lux/1000-1, 2) / n
	}
	near(t, "deviation", math.Sqrt(square), 0.02, 0.12, 0)
}

package sim

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"candelua/engine/bench"
)

// everything is a world with every phenomenon on, and faults of every kind.
func everything(t testing.TB) *World {
	return world(t, "awkward", func(p *Params) {
		p.Primaries.WhiteShare, p.Primaries.WhiteBoost = 0.6, 0.3
		p.Primaries.Crosstalk = 4
		p.Warmup.OnFor = 100
		p.Mode = "Noon"
		p.Room.Stray = 20
		p.Faults = []FaultParams{
			{Kind: "timeout", AtReading: 4, Seconds: 7},
			{Kind: "bad_reading", AtReading: 6, Percent: 120},
			{Kind: "slip", AtReading: 9, Seconds: 500, Percent: 80},
			{Kind: "slip", AtPatch: 5, Seconds: 60, Percent: 90},
			{Kind: "banner", AtReading: 3, Seconds: 30, Grey: 0.8},
			{Kind: "sleep", AtSecond: 900},
			{Kind: "timeout", AtSecond: 1500, Seconds: 3},
		}
	})
}

// all devices of one world.
type whole struct {
	devices
	rig rig
}

func openWhole(t testing.TB, w *World) whole {
	return whole{openAll(t, w), device[rig](t, w, bench.KindRig)}
}

func drawPatch(r *rapid.T) bench.Patch {
	p := patch(rapid.Float64Range(0, 1).Draw(r, "level"), rapid.Float64Range(1, 100).Draw(r, "window"))
	p.At = [2]float64{rapid.Float64Range(0, 1).Draw(r, "x"), rapid.Float64Range(0, 1).Draw(r, "y")}
	if rapid.Bool().Draw(r, "hdr") {
		p.Signal = rapid.SampledFrom([]bench.Signal{bench.PQ, bench.HLG}).Draw(r, "signal")
	} else if rapid.Bool().Draw(r, "p3") {
		p.Space = bench.DisplayP3
	}
	kinds := []bench.PatternKind{bench.Window, bench.Window, bench.Checkerboard, bench.Ramp, bench.Steps, bench.Ladder}
	if p.Pattern.Kind = rapid.SampledFrom(kinds).Draw(r, "pattern"); p.Pattern.Kind != bench.Window {
		p.Pattern.Columns, p.Pattern.Rows, p.Pattern.Count = 3, 2, 5
	}
	return p
}

// drawRequest draws what a device can be asked for; a duration is a wait.
func drawRequest(r *rapid.T) any {
	switch rapid.IntRange(0, 10).Draw(r, "kind") {
	case 0:
		return drawPatch(r)
	case 1:
		return []bench.TimedPatch{{Patch: drawPatch(r), Hold: rapid.Float64Range(0, 200).Draw(r, "hold")}, {Patch: drawPatch(r), Hold: 1}}
	case 2:
		word := rapid.SampledFrom([]string{"on", "off"}).Draw(r, "word")
		return []bench.Setting{{Name: "Automatic brightness", Value: word}, {Name: "Brightness", Value: float64(rapid.IntRange(0, 100).Draw(r, "brightness"))}}
	case 3:
		return bench.ZeroRequest{}
	case 4:
		return bench.LampRequest{Lamp: rapid.SampledFrom([]string{"front", "side"}).Draw(r, "lamp"), Level: rapid.Float64Range(0, 100).Draw(r, "lamp level")}
	case 5:
		return bench.TurnRequest{Axis: bench.Horizontal, Degrees: rapid.Float64Range(-80, 80).Draw(r, "degrees")}
	case 6:
		return bench.PlaceRequest{At: [2]float64{rapid.Float64Range(0, 1).Draw(r, "place x"), 0.5}}
	case 7:
		return bench.LuxRequest{At: bench.AtScreen}
	case 8:
		return bench.PowerRequest{On: rapid.Bool().Draw(r, "power")}
	case 9:
		return seconds(rapid.Float64Range(0, 800).Draw(r, "wait"))
	}
	return bench.ReadRequest{Most: rapid.IntRange(1, 4).Draw(r, "readings"), After: rapid.Float64Range(0, 3).Draw(r, "after")}
}

// ask asks a device and answers what a run would keep, and what came of it.
func (d whole) ask(t testing.TB, request any) (k bench.Kept, answers []any) {
	t.Helper()
	ctx := context.Background()
	k.Request, k.Began = request, d.w.Now()
	var err error
	var answer any
	switch q := request.(type) {
	case bench.Patch:
		answer, err = d.patches.Show(ctx, q)
	case []bench.TimedPatch:
		answer, err = d.patches.Sequence(ctx, q)
	case []bench.Setting:
		_, err = d.unit.Set(ctx, q)
	case bench.PowerRequest:
		_, err = d.unit.Switch(ctx, q.On)
	case bench.ZeroRequest:
		err = d.meter.Zero(ctx)
	case bench.LampRequest:
		_, err = d.rig.Set(ctx, q.Lamp, q.Level)
	case bench.TurnRequest:
		answer, err = d.rig.Turn(ctx, q.Axis, q.Degrees)
	case bench.PlaceRequest:
		answer, err = d.rig.Place(ctx, q.At)
	case bench.LuxRequest:
		answer, err = d.rig.Lux(ctx, q.At)
	case time.Duration:
		err = d.w.WaitUntil(ctx, k.Began+q)
	case bench.ReadRequest:
		passTo(t, d.w, d.w.shown.Lit+seconds(q.After)) // the engine waits so
		err = d.meter.Read(ctx, q, func(s bench.Sample) error {
			k.Samples++
			answers = append(answers, s)
			return nil
		})
		if err != nil { // a timeout, which the script catches
			answer, err, k.Failed = err.Error(), nil, true
		}
	default:
		t.Fatalf("no device is asked for %T: add it to ask", request)
	}
	if err != nil {
		t.Fatal(err)
	}
	k.Ended = d.w.Now()
	return k, append(answers, answer, k.Ended)
}

// relive has the device that a kept step asked live through it again.
func (d whole) relive(t testing.TB, k bench.Kept) {
	t.Helper()
	var asked bench.Reliver
	switch k.Request.(type) {
	case time.Duration:
		return
	case bench.Patch, []bench.TimedPatch:
		asked = d.patches
	case []bench.Setting, bench.PowerRequest:
		asked = d.unit
	case bench.ReadRequest, bench.ZeroRequest:
		asked = d.meter
	default:
		asked = d.rig
	}
	if err := asked.Relive(k); err != nil {
		t.Fatal(err)
	}
}

// TestReliveEverything: with every phenomenon on and every fault, a world that
// relives the first steps and goes on answers bit for bit as the unbroken one.
func TestReliveEverything(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		requests := append(rapid.SliceOfN(rapid.Custom(drawRequest), 1, 15).Draw(r, "requests"), any(bench.ReadRequest{Most: 3}))
		cut := rapid.IntRange(0, len(requests)-1).Draw(r, "cut")
		live, resumed := openWhole(t, everything(t)), openWhole(t, everything(t))
		var want, got []any
		var kept time.Duration
		for i, q := range requests {
			k, answers := live.ask(t, q)
			if i >= cut {
				want = append(want, answers...)
				continue
			}
			resumed.relive(t, k)
			kept = k.Ended
		}
		passTo(t, resumed.w, kept)
		resumed.w.advance(kept)
		stands(t, resumed, requests[:cut])
		for _, q := range requests[cut:] {
			_, answers := resumed.ask(t, q)
			got = append(got, answers...)
		}
		if !reflect.DeepEqual(got, want) {
			r.Fatalf("resumed\n%v\nunbroken\n%v", got, want)
		}
	})
}

// stands wants all that the requests left to stand, unless the unit fell asleep.
func stands(t testing.TB, d whole, requests []any) {
	t.Helper()
	var left bench.State
	for _, q := range requests {
		left.Take(q)
	}
	for _, q := range left.Rig() {
		if !d.rig.Stands(q) {
			t.Fatalf("%+v does not stand", q)
		}
	}
	for _, q := range left.Settings() {
		if !d.unit.Stands(q) {
			t.Fatalf("%+v does not stand", q)
		}
	}
	if p, any := left.Patch(); any && !d.w.asleep && !d.patches.Stands(p) {
		t.Fatalf("%+v does not stand", p)
	}
}

// TestEverythingIsOn: each phenomenon changes the light in the world that has everything.
func TestEverythingIsOn(t *testing.T) {
	d := openWhole(t, everything(t))
	bright := patch(1, 100)
	bright.Signal = bench.PQ
	on := map[phenomenon]bool{}
	for _, q := range []any{
		bright, []bench.Setting{{Name: "Automatic brightness", Value: "off"}}, []bench.Setting{{Name: "Automatic brightness", Value: "on"}},
		400 * time.Second, patch(0.5, 10), 300 * time.Second,
	} {
		d.ask(t, q)
		for range 5 {
			now := d.w.Now()
			d.w.advance(now)
			for _, p := range d.w.phenomena {
				on[p] = on[p] || p.appendFactor(nil, now, 0, [2]float64{0.5, 0.5}).mean(0) != 1
			}
			d.ask(t, 100*time.Millisecond)
		}
	}
	for _, p := range d.w.phenomena {
		if !on[p] {
			t.Errorf("%T never changes the light: switch it on in everything, and show here what starts it", p)
		}
	}
}

// TestLimitsGiveLight: a parameter of a phenomenon at a limit that is allowed gives
// light that is a number.
func TestLimitsGiveLight(t *testing.T) {
	base := everything(t).params
	sections := reflect.TypeFor[Params]()
	for i := range sections.NumField() {
		if sections.Field(i).Type.Kind() != reflect.Struct {
			continue
		}
		for k, d := range fieldsOf(sections.Field(i).Type) {
			for _, limit := range slices.Concat(d.min, d.max) {
				p := base
				v := reflect.ValueOf(&p).Elem().Field(i).Field(k)
				if v.Kind() != reflect.Float64 {
					continue
				}
				v.SetFloat(limit)
				w, err := New(p, 1, 0)
				if err != nil { // it does not go together with the others
					continue
				}
				hasLight(t, w, fmt.Sprintf("%s.%s = %v", sections.Field(i).Tag.Get("toml"), d.name, limit))
			}
		}
	}
}

// hasLight wants the light to be a number, just after a change and later.
func hasLight(t *testing.T, w *World, where string) {
	t.Helper()
	for _, grey := range []float64{1, 0.5} {
		show1(t, w, patch(grey, 10))
		for _, wait := range []time.Duration{0, time.Second, time.Minute} {
			now := w.Now() + wait
			passTo(t, w, now)
			v := w.viewOf([2]float64{0.5, 0.5}, 0.2, 0, 0)
			for _, a := range w.light(now, 0, &v) {
				if math.IsNaN(a) || math.IsInf(a, 0) {
					t.Errorf("%s: the light is %v: give the parameter limits within which it is a number", where, a)
					return
				}
			}
		}
	}
}

// TestRigStands: lamps, angle and place that were changed since stand no more.
func TestRigStands(t *testing.T) {
	d := openWhole(t, world(t, "awkward", nil))
	requests := []any{
		bench.LampRequest{Lamp: "front", Level: 100}, bench.LampRequest{Lamp: "side", Level: 10},
		bench.TurnRequest{Axis: bench.Vertical, Degrees: 30}, bench.PlaceRequest{At: [2]float64{0.2, 0.3}},
		bench.LampRequest{Lamp: "front", Level: 40},
	}
	for _, q := range requests {
		at := d.w.Now()
		d.relive(t, bench.Kept{Request: q, Began: at, Ended: at + time.Minute})
	}
	stands(t, d, requests)
	for _, q := range []any{
		bench.LampRequest{Lamp: "front", Level: 0}, bench.TurnRequest{Axis: bench.Vertical}, bench.PlaceRequest{At: [2]float64{0.9, 0.9}},
	} {
		d.ask(t, q)
	}
	for _, q := range requests[2:] {
		if d.rig.Stands(q) {
			t.Errorf("%+v stands, and was changed", q)
		}
	}
	if !d.rig.Stands(requests[1]) || d.rig.Stands(bench.LampRequest{Lamp: "none"}) || d.rig.Stands(bench.TurnRequest{Axis: "depth"}) {
		t.Error("a lamp that nobody touched, or one that there is not, is told wrongly")
	}
}

// TestEverythingChopped: with every phenomenon on, it changes no bit how waits
// are divided.
func TestEverythingChopped(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		a, b := openWhole(t, everything(t)), openWhole(t, everything(t))
		for range rapid.IntRange(1, 6).Draw(r, "steps") {
			q := drawRequest(r)
			a.ask(t, q)
			b.ask(t, q)
			end := a.w.Now() + seconds(rapid.Float64Range(0, 900).Draw(r, "wait"))
			for range rapid.IntRange(0, 5).Draw(r, "pieces") {
				at := b.w.Now() + seconds(rapid.Float64Range(0, 1).Draw(r, "piece")*(end-b.w.Now()).Seconds())
				passTo(t, b.w, at)
				b.w.advance(at)
			}
			passTo(t, a.w, end)
			passTo(t, b.w, end)
			_, x := a.ask(t, bench.ReadRequest{Most: 1})
			_, y := b.ask(t, bench.ReadRequest{Most: 1})
			if !reflect.DeepEqual(x, y) {
				r.Fatalf("whole %v, chopped %v", x, y)
			}
		}
	})
}

// TestWarmupTruth: from the time that the truth states the drift stays within
// the limit, and before it does not.
func TestWarmupTruth(t *testing.T) {
	for _, name := range []string{"default", "dunlin-27", "fulmar-55"} {
		w := world(t, name, nil)
		p := patch(1, 10)
		const within, over = 0.3, 300
		at, err := w.truthWarmup(p, within, over)
		if err != nil || at < 60 {
			t.Fatalf("%s: %v s, %v", name, at, err)
		}
		cold, err := w.coldStart(p)
		if err != nil {
			t.Fatal(err)
		}
		if d := cold.drift(at+1, over); d > within {
			t.Errorf("%s: after %v s it drifts by %v %%", name, at+1, d)
		}
		if d := cold.drift(at-1, over); d <= within {
			t.Errorf("%s: after %v s it drifts by %v %% only", name, at-1, d)
		}
	}
	if at, err := world(t, "ideal", nil).truthWarmup(patch(1, 10), 0.1, 60); at != 0 || err != nil {
		t.Errorf("ideal: %v s, %v", at, err)
	}
	_, err := world(t, "ideal", nil).truthWarmup(patch(1, 10), 0.1, 0)
	wantError(t, err, "", "warm-up: over is 0; it must be more than 0 s", "")
}

// TestPeakTruth: the brightest window.
func TestPeakTruth(t *testing.T) {
	y, err := peakLuminance(world(t, "default", nil), truthWindows{Grey: 1, Windows: []float64{100, 10, 30}, Signal: "pq"})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "peak", y, 950, 1e-4, 0) // in whole pixels it is a little more than 10 %
}

package sim

import (
	"context"
	"reflect"
	"testing"
	"testing/synctest"
	"time"

	"pgregory.net/rapid"

	"candelua/engine/bench"
)

// procedure is a list of what to do on a world, for tests that do it twice.
type step struct {
	patch    *bench.Patch
	settings []bench.Setting
	readings int
	wait     time.Duration
}

func drawSteps(r *rapid.T, most int) []step {
	return rapid.SliceOfN(rapid.Custom(func(r *rapid.T) step {
		switch rapid.IntRange(0, 3).Draw(r, "kind") {
		case 0:
			p := patch(rapid.Float64Range(0, 1).Draw(r, "level"), rapid.Float64Range(1, 100).Draw(r, "window"))
			if rapid.Bool().Draw(r, "hdr") {
				p.Signal = bench.PQ
			}
			return step{patch: &p}
		case 1:
			return step{settings: []bench.Setting{
				{Name: "Automatic brightness", Value: rapid.SampledFrom([]string{"on", "off"}).Draw(r, "word")},
				{Name: "Brightness", Value: float64(rapid.IntRange(0, 100).Draw(r, "brightness"))},
			}}
		case 2:
			return step{readings: rapid.IntRange(1, 4).Draw(r, "readings")}
		}
		return step{wait: seconds(rapid.Float64Range(0, 2000).Draw(r, "wait"))}
	}), 1, most).Draw(r, "steps")
}

// devices are those of one world that steps use.
type devices struct {
	w       *World
	meter   *meter
	patches source
	unit    unit
}

func openAll(t testing.TB, w *World) devices {
	return devices{w, device[*meter](t, w, bench.KindMeter), device[source](t, w, bench.KindPatches), device[unit](t, w, bench.KindUnit)}
}

// do does a step. It answers what a run would keep of it, and what came of it.
func (d devices) do(t testing.TB, s step) (k bench.Kept, answers []any) {
	k.Began = d.w.Now()
	var err error
	switch {
	case s.patch != nil:
		k.Request = *s.patch
		var shown bench.Shown
		shown, err = d.patches.Show(t.Context(), *s.patch)
		answers = append(answers, shown)
	case s.settings != nil:
		k.Request = s.settings
		_, err = d.unit.Set(t.Context(), s.settings)
	case s.readings > 0:
		q := bench.ReadRequest{Most: s.readings, Spectrum: true}
		k.Request, k.Samples = q, s.readings
		err = d.meter.Read(t.Context(), q, func(s bench.Sample) error { answers = append(answers, s); return nil })
	default:
		err = d.w.WaitUntil(t.Context(), k.Began+s.wait)
	}
	if err != nil {
		t.Fatal(err)
	}
	k.Ended = d.w.Now()
	return k, append(answers, k.Ended)
}

// TestSameSeedSameWorld: the same seed gives the same answers bit for bit,
// another seed gives others.
func TestSameSeedSameWorld(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		seed := rapid.Uint64().Draw(r, "seed")
		steps := append(drawSteps(r, 8), step{readings: 1})
		run := func(seed uint64) (all []any) {
			w, err := New(Default(), seed, 0)
			if err != nil {
				r.Fatal(err)
			}
			d := openAll(t, w)
			for _, s := range steps {
				_, answers := d.do(t, s)
				all = append(all, answers...)
			}
			return all
		}
		first := run(seed)
		if !reflect.DeepEqual(first, run(seed)) {
			r.Fatal("the same seed gives another world")
		}
		if reflect.DeepEqual(first, run(seed+1)) {
			r.Fatal("another seed gives the same world")
		}
	})
}

// TestRelive: a world that relives the first steps of a run and goes on live
// answers bit for bit as the run did.
func TestRelive(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		steps := append(drawSteps(r, 12), step{readings: 2})
		cut := rapid.IntRange(0, len(steps)-1).Draw(r, "cut")
		toldToAll := rapid.Bool().Draw(r, "told to all")
		live, resumed := openAll(t, world(t, "default", nil)), openAll(t, world(t, "default", nil))
		var want, got []any
		var kept time.Duration
		for i, s := range steps {
			k, answers := live.do(t, s)
			if i >= cut {
				want = append(want, answers...)
				continue
			}
			reliveStep(t, resumed, k, toldToAll)
			kept = k.Ended
		}
		passTo(t, resumed.w, kept)
		for _, s := range steps[:cut] {
			if last := s.patch; last != nil && resumed.w.patch == *last && !resumed.patches.Stands(*last) {
				r.Fatalf("the patch %+v is on the screen, and does not stand", *last)
			}
		}
		for _, s := range steps[cut:] {
			_, answers := resumed.do(t, s)
			got = append(got, answers...)
		}
		if !reflect.DeepEqual(got, want) {
			r.Fatalf("resumed %v, unbroken %v", got, want)
		}
	})
}

// reliveStep has a kept step lived through by the device that it concerns. Where all
// are told, the others refuse it, and change nothing.
func reliveStep(t testing.TB, d devices, k bench.Kept, all bool) {
	t.Helper()
	if k.Request == nil { // a wait is no device's: the next step's time tells
		return
	}
	told := []bench.Device{d.meter, d.patches, d.unit}
	concerned := 2
	switch k.Request.(type) {
	case bench.Patch:
		concerned = 1
	case bench.ReadRequest:
		concerned = 0
	}
	for i, device := range told {
		if i != concerned && !all {
			continue
		}
		if err := device.(bench.Reliver).Relive(k); (err != nil) != (i != concerned) {
			t.Fatalf("%T, told of %T, answers %v", device, k.Request, err)
		}
	}
}

// TestStands: the world knows whether what was shown or set is so still.
func TestStands(t *testing.T) {
	d := openAll(t, world(t, "default", nil))
	kept, bright := patch(1, 10), bench.Setting{Name: "Brightness", Value: "maximum"}
	for _, k := range []bench.Kept{
		{Request: []bench.Setting{{Name: "Brightness", Value: 50.0}}, Began: 0, Ended: 2 * time.Second},
		{Request: []bench.Setting{bright}, Began: 2 * time.Second, Ended: 4 * time.Second},
		{Request: kept, Began: 5 * time.Second, Ended: 6 * time.Second},
	} {
		reliveStep(t, d, k, false)
	}
	if got := d.w.Now(); got != 6*time.Second {
		t.Errorf("lived through to %v, want 6s", got)
	}
	stand := func(want bool, requests ...any) {
		t.Helper()
		for _, q := range requests {
			var of bench.Verifier = d.patches
			switch q.(type) {
			case bench.Setting, bench.PowerRequest:
				of = d.unit
			}
			if of.Stands(q) != want {
				t.Errorf("%+v stands: %v, want %v", q, !want, want)
			}
		}
	}
	stand(true, kept, bright, bench.PowerRequest{On: true})
	stand(false, patch(0, 10), bench.Setting{Name: "Brightness", Value: 50.0}, bench.PowerRequest{},
		bench.Setting{Name: "Contrast", Value: 1.0}, bench.Setting{Name: "Brightness", Value: "sideways"})
	show1(t, d.w, patch(0, 100))
	set(t, d.w, bench.Setting{Name: "Brightness", Value: "minimum"})
	stand(false, kept, bright)
	show1(t, d.w, kept)
	d.w.Stand(d.w.Now() + time.Hour)
	stand(false, kept, bench.PowerRequest{On: true})
	stand(true, bench.PowerRequest{})
}

// TestReliveSafeEnd: the dark screen that a stopped run leaves is lived through.
func TestReliveSafeEnd(t *testing.T) {
	live, resumed := openAll(t, world(t, "default", nil)), openAll(t, world(t, "default", nil))
	white, black := patch(1, 10), patch(0, 100)
	k, _ := live.do(t, step{patch: &white})
	reliveStep(t, resumed, k, false)
	live.do(t, step{patch: &black})
	reliveStep(t, resumed, bench.Kept{Request: black, Began: k.Ended, Ended: k.Ended}, false)
	if live.w.Now() != resumed.w.Now() || !reflect.DeepEqual(live.w.frame, resumed.w.frame) {
		t.Errorf("stopped at %v, lived through to %v", live.w.Now(), resumed.w.Now())
	}
}

// TestReliveWithoutPace: a paced world relives at once, to the end of the last step.
func TestReliveWithoutPace(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w, err := New(Default(), 1, 1)
		if err != nil {
			t.Fatal(err)
		}
		d, start := openAll(t, w), time.Now()
		for i, request := range []any{
			[]bench.Setting{{Name: "Brightness", Value: 1.0}}, patch(1, 10), bench.ReadRequest{Most: 5},
		} {
			began := time.Duration(i) * time.Hour
			reliveStep(t, d, bench.Kept{Request: request, Began: began, Ended: began + time.Minute}, false)
			if got := w.Now(); got != began+time.Minute {
				t.Errorf("relived to %v, want %v", got, began+time.Minute)
			}
		}
		if took := time.Since(start); took != 0 {
			t.Errorf("reliving took %v", took)
		}
	})
}

// novel is a request that no simulated device knows, and novelRig one that only a rig
// of another kind takes.
type (
	novel    struct{}
	novelRig struct{}
)

// Puts implements [bench.RigRequest].
func (novelRig) Puts() string { return "novel" }

// Make implements [bench.RigRequest].
func (novelRig) Make(context.Context, bench.Rig) (a bench.SetAnswer, err error) { return a, nil }

func TestReliveErrors(t *testing.T) {
	d := openAll(t, world(t, "default", nil))
	passTo(t, d.w, time.Minute)
	for _, c := range []struct {
		kept bench.Kept
		want string
	}{
		{bench.Kept{Request: patch(1, 1), Began: time.Second},
			"relive: the kept step began at 1s; it must be 1m0s or later, the world's present time; relive steps in order, each with the exact time of its call"},
		{bench.Kept{Request: patch(1, 0), Began: time.Hour}, "relive: patch: window is 0 %; it must be more than 0 and at most 100 %"},
	} {
		wantError(t, d.patches.Relive(c.kept), "", c.want, "")
	}
	for want, device := range map[string]bench.Reliver{"meter": d.meter, "source of patches": d.patches, "unit": d.unit, "rig": rig{d.w}} {
		err := device.Relive(bench.Kept{Request: novel{}, Began: time.Hour, Ended: time.Hour})
		wantError(t, err, "", "relive: the simulated "+want+" does not know a sim.novel; this is a mistake in candelua: Relive in engine/sim lacks the request", "")
	}
	if d.unit.Stands(novel{}) || (rig{d.w}).Stands(novelRig{}) || d.patches.Stands(novel{}) {
		t.Error("a request that no device knows is told to stand")
	}
	err := d.unit.Relive(bench.Kept{Request: []bench.Setting{{Name: "Contrast", Value: 1.0}}, Began: 2 * time.Hour})
	wantError(t, err, bench.CodeBadSetting, `relive: the unit has no control "Contrast"; it has "Automatic brightness" or "Brightness"`, "")
}

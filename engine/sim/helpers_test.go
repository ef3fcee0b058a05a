package sim

import (
	"context"
	"math"
	"testing"
	"time"

	"candelua/engine/bench"
)

// world makes the world of a name, with meters that are not off, changed by edit, with
// seed 1.
func world(t testing.TB, name string, edit func(*Params)) *World {
	t.Helper()
	p, err := Load(name)
	if err != nil {
		t.Fatal(err)
	}
	p.ExactMeters()
	if edit != nil {
		edit(&p)
	}
	w, err := New(p, 1, 0)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// device opens a device of a world as its interface.
func device[D any](t testing.TB, w *World, k bench.Kind) D {
	t.Helper()
	d, err := w.driver().Open(context.Background(), k, bench.Section{Driver: "sim"})
	if err != nil {
		t.Fatal(err)
	}
	return d.(D)
}

// patch is a grey SDR window on black.
func patch(grey, window float64) bench.Patch {
	return bench.Patch{RGB: [3]float64{grey, grey, grey}, Window: window, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}
}

// show1 shows a patch.
func show1(t testing.TB, w *World, p bench.Patch) bench.Shown {
	t.Helper()
	s, err := device[bench.Patches](t, w, bench.KindPatches).Show(context.Background(), p)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// read takes n readings.
func read(t testing.TB, w *World, n int) (all []bench.Sample) {
	t.Helper()
	m := device[bench.Meter](t, w, bench.KindMeter)
	err := m.Read(context.Background(), bench.ReadRequest{Most: n}, func(s bench.Sample) error {
		all = append(all, s)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// luminance shows a patch, waits so long, and reads once.
func luminance(t testing.TB, w *World, p bench.Patch, wait time.Duration) float64 {
	t.Helper()
	show1(t, w, p)
	passTo(t, w, w.Now()+wait)
	return read(t, w, 1)[0].Y
}

func passTo(t testing.TB, w *World, at time.Duration) {
	t.Helper()
	if err := w.WaitUntil(context.Background(), at); err != nil {
		t.Fatal(err)
	}
}

func set(t testing.TB, w *World, s ...bench.Setting) {
	t.Helper()
	if _, err := device[bench.Unit](t, w, bench.KindUnit).Set(context.Background(), s); err != nil {
		t.Fatal(err)
	}
}

// near fails unless got is within rel·|want| + abs of want.
func near(t testing.TB, what string, got, want, rel, abs float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)+abs) {
		t.Errorf("%s is %.12g, want %.12g", what, got, want)
	}
}

// meanSD returns the mean and the standard deviation of the samples' luminance.
func meanSD(all []bench.Sample) (mean, sd float64) {
	for _, s := range all {
		mean += s.Y / float64(len(all))
	}
	for _, s := range all {
		sd += (s.Y - mean) * (s.Y - mean) / float64(len(all)-1)
	}
	return mean, math.Sqrt(sd)
}

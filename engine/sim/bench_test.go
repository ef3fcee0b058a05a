package sim

import (
	"context"
	"testing"

	"candelua/engine/bench"
)

// BenchmarkShowRead measures one patch shown and one reading of 1 s taken.
func BenchmarkShowRead(b *testing.B) {
	w, err := New(Default(), 1, 0)
	if err != nil {
		b.Fatal(err)
	}
	m, s := device[bench.Meter](b, w, bench.KindMeter), device[bench.Patches](b, w, bench.KindPatches)
	grey := [2]bench.Patch{patch(0.5, 10), patch(0.6, 10)}
	ctx := context.Background()
	take := func(bench.Sample) error { return nil }
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if _, err := s.Show(ctx, grey[i%2]); err != nil {
			b.Fatal(err)
		}
		if err := m.Read(ctx, bench.ReadRequest{Most: 1}, take); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkNew measures making a world.
func BenchmarkNew(b *testing.B) {
	p := Default()
	for b.Loop() {
		if _, err := New(p, 1, 0); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkTwoHours measures 4,000 readings over two simulated hours with every
// phenomenon on.
func BenchmarkTwoHours(b *testing.B) {
	for b.Loop() {
		w := everything(b)
		m := device[bench.Meter](b, w, bench.KindMeter)
		show1(b, w, patch(0.7, 10))
		for i := range 4000 {
			if i%200 == 0 {
				show1(b, w, patch(float64(i%7)/7, float64(10+i%50)))
			}
			_ = m.Read(context.Background(), bench.ReadRequest{Most: 1}, func(bench.Sample) error { return nil }) // timeouts are part of it
			passTo(b, w, w.Now()+seconds(1.3))
		}
		b.ReportMetric(w.Now().Hours(), "simulated-h")
	}
}

// BenchmarkShowReadOften measures 3,600 patches shown and read.
func BenchmarkShowReadOften(b *testing.B) {
	for b.Loop() {
		w := world(b, "default", nil)
		m := device[bench.Meter](b, w, bench.KindMeter)
		for i := range 3600 {
			show1(b, w, patch(float64(i%100)/100, 10))
			if err := m.Read(context.Background(), bench.ReadRequest{Most: 1}, func(bench.Sample) error { return nil }); err != nil {
				b.Fatal(err)
			}
		}
	}
}

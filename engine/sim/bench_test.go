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

package screen

import (
	"testing"
	"time"

	"candelua/engine/bench"
)

// BenchmarkShow is the engine's share of a patch: all between asking and lit but the page's painting and the settling.
func BenchmarkShow(b *testing.B) {
	s := quick(Options{})
	defer s.Close()
	s.settle, s.every = 0, time.Second
	serve(b, s)
	newFake(s.server.URL()).open(b)
	opened, err := (&driver{source: s, clock: bench.NewRealClock()}).Open(b.Context(), bench.KindPatches, bench.Section{})
	if err != nil {
		b.Fatal(err)
	}
	d := opened.(*device)
	p := bench.Patch{Window: 10, At: [2]float64{0.5, 0.5}, Signal: bench.SDR}
	for b.Loop() {
		b.StopTimer()
		time.Sleep(25 * time.Millisecond) // a page that sends more often is cut off
		b.StartTimer()
		p.RGB[0] = 1 - p.RGB[0]
		if _, err := d.Show(b.Context(), p); err != nil {
			b.Fatal(err)
		}
	}
}

package progress

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"candelua/engine/bench"
	"candelua/engine/play"
	"candelua/engine/script"
)

// Of any readings the means are those of the steps, in order, at most so many, and the last step is always among them.
func TestMeans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := New(Options{})
		f.Tell(began())
		steps := rapid.SampledFrom([]int{1, 5, mostMeans, mostMeans + 1, 3*mostMeans + 7}).Draw(t, "steps")
		of := map[int]Mean{}
		for n := 1; n <= steps; n++ {
			m := Mean{Step: n, Count: 1 + n%3, Seconds: float64(n)}
			for i := range m.Count {
				y := float64(n*n + i)
				m.Y += y / float64(m.Count)
				f.Tell(play.Read{ReadingRow: script.ReadingRow{Reading: n, Sample: i + 1, Meter: "meter", Y: y, Ended: float64(n)}})
			}
			of[n] = m
		}
		got := f.Readings()
		if len(got) > mostMeans || len(got) < min(steps, mostMeans/2) || got[len(got)-1].Step != steps {
			t.Fatalf("%d steps have %d means, up to step %d", steps, len(got), got[len(got)-1].Step)
		}
		last := 0
		for _, m := range got {
			want := of[m.Step]
			if m.Step <= last || m.Count != want.Count || m.Seconds != want.Seconds || math.Abs(m.Y-want.Y) > 1e-9*want.Y {
				t.Fatalf("step %d is %+v after step %d, want %+v", m.Step, m, last, want)
			}
			last = m.Step
		}
		f.Tell(began())
		if again := f.Readings(); len(again) != 0 {
			t.Fatalf("another execution begins with %d", len(again))
		}
	})
}

// Two meters that are read in one step are kept apart, and a mean says what was shown.
func TestMeansOfTwoMeters(t *testing.T) {
	f := New(Options{})
	f.Tell(began())
	for _, r := range []script.ReadingRow{{Reading: 1, Meter: "meter", Y: 4}, {Reading: 1, Meter: "reference", Y: 5}, {Reading: 1, Meter: "reference", Y: 7, Patch: &bench.Patch{}}} {
		r.Patch = &bench.Patch{Window: 100, Signal: bench.SDR}
		f.Tell(play.Read{ReadingRow: r})
	}
	got := f.Readings()
	if len(got) != 2 || got[0].Y != 4 || got[1].Y != 6 || got[1].Patch() != "black, full screen; SDR" || (&Mean{}).Patch() != "" {
		t.Errorf("the means are %+v", got)
	}
}

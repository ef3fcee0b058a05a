package sim

import (
	"testing"
	"time"

	"candelua/engine/bench"
)

func faulty(t testing.TB, faults ...FaultParams) *World {
	return quietWorld(t, "ideal", func(p *Params) { p.Faults = faults })
}

// TestTimeout: the third reading gets no answer, after so many seconds; the next
// one does.
func TestTimeout(t *testing.T) {
	w := faulty(t, FaultParams{Kind: "timeout", AtReading: 3, Seconds: 10})
	show1(t, w, patch(1, 10))
	m := device[bench.Meter](t, w, bench.KindMeter)
	n := 0
	began := w.Now()
	err := m.Read(t.Context(), bench.ReadRequest{Most: 5}, func(bench.Sample) error { n++; return nil })
	wantError(t, err, bench.CodeTimeout, "read: the Ideal did not answer within 10s", "check the meter and its cable, then read again")
	if n != 2 || w.Now()-began != 12*time.Second {
		t.Errorf("%d readings in %v", n, w.Now()-began)
	}
	near(t, "again", read(t, w, 1)[0].Y, 100, 1e-9, 0)
}

// TestSlip: from a time on the meter reads a share and a tint, until it sits
// well again. The reference does not slip.
func TestSlip(t *testing.T) {
	w := faulty(t, FaultParams{Kind: "slip", AtSecond: 10, Seconds: 20, Percent: 90, Colour: [3]float64{0, 0, 50}})
	show1(t, w, patch(1, 10))
	slipped := 90 * (1 + 0.5*w.panel.luminance[2])
	near(t, "before", yAt(t, w, 8), 100, 1e-9, 0)
	near(t, "slipped", yAt(t, w, 10), slipped, 1e-9, 0)
	near(t, "the reference", w.newMeter(bench.KindReference).single(bench.ReadRequest{}).Y, 100, 1e-9, 0)
	near(t, "slipped still", yAt(t, w, 29), slipped, 1e-9, 0)
	near(t, "put right", yAt(t, w, 31), 100, 1e-9, 0)
}

func TestBadReading(t *testing.T) {
	w := faulty(t, FaultParams{Kind: "bad_reading", AtReading: 2, Percent: 150})
	show1(t, w, patch(1, 10))
	for i, s := range read(t, w, 4) {
		want := 100.0
		if i == 1 {
			want = 150
		}
		near(t, "reading", s.Y, want, 1e-9, 0)
	}
}

// TestBanner: a message covers the screen for its time; a reading that it falls
// into is the mean.
func TestBanner(t *testing.T) {
	w := faulty(t, FaultParams{Kind: "banner", AtSecond: 10.5, Seconds: 5, Grey: 0})
	show1(t, w, patch(1, 10))
	near(t, "half covered", yAt(t, w, 10), 50, 1e-9, 0)
	near(t, "covered", yAt(t, w, 12), 0, 0, 1e-9)
	near(t, "half uncovered", yAt(t, w, 15), 50, 1e-9, 0)
	near(t, "after", yAt(t, w, 16), 100, 1e-9, 0)
}

// TestSleep: the screen goes dark, and the next patch, even the same, wakes it.
func TestSleep(t *testing.T) {
	w := faulty(t, FaultParams{Kind: "sleep", AtReading: 2})
	show1(t, w, patch(1, 10))
	all := read(t, w, 3)
	near(t, "awake", all[0].Y, 100, 1e-9, 0)
	near(t, "asleep", all[1].Y, 0, 0, 1e-9)
	near(t, "asleep still", all[2].Y, 0, 0, 1e-9)
	before := w.Now()
	if s := show1(t, w, patch(1, 10)); s.Lit < before {
		t.Errorf("the same patch was lit at %v, before %v", s.Lit, before)
	}
	near(t, "woken", read(t, w, 1)[0].Y, 100, 1e-9, 0)
}

// TestSequence: holds are exact, whatever the latency.
func TestSequence(t *testing.T) {
	w := world(t, "ideal", func(p *Params) { p.Source.Latency, p.Source.LatencyWithin = 0.4, 0.1 })
	s := device[bench.Sequencer](t, w, bench.KindPatches)
	list := []bench.TimedPatch{{Patch: patch(1, 10), Hold: 5}, {Patch: patch(0.5, 100), Hold: 2.5}, {Patch: patch(1, 10)}}
	shown, err := s.Sequence(t.Context(), list)
	if err != nil || len(shown) != 3 {
		t.Fatal(shown, err)
	}
	if shown[0].Lit != 400*time.Millisecond || shown[1].Lit-shown[0].Lit != 5*time.Second || shown[2].Lit-shown[1].Lit != 2500*time.Millisecond {
		t.Errorf("lit at %+v", shown)
	}
	if w.Now() < shown[2].Lit || w.patch != list[2].Patch || shown[1].Area != 100 {
		t.Errorf("ends at %v with %+v", w.Now(), w.patch)
	}
	for want, list := range map[string][]bench.TimedPatch{
		"sequence: there are no patches; give at least one":                                 nil,
		"sequence: patch 1: hold is -1; it must be 0 to 86400 s":                            {{Patch: patch(1, 10), Hold: -1}},
		"sequence: patch 2: patch: window is 0 %; it must be more than 0 and at most 100 %": {{Patch: patch(1, 10)}, {Patch: patch(1, 0)}},
	} {
		_, err := s.Sequence(t.Context(), list)
		wantError(t, err, "", want, "")
	}
}

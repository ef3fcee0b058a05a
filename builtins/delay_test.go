package builtins

import (
	"context"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
)

// processing is a display that shows what was painted after a time that the source does not know, and a meter that
// integrates over all of a reading. What is painted is a luminance.
type processing struct {
	*painter
	hidden  time.Duration
	changes []struct {
		at    time.Duration
		light float64
	}
	blind bool // the meter sees nothing of it
}

func (p *processing) Delayed() bool { return true }

func (p *processing) Show(ctx context.Context, patch bench.Patch) (bench.Shown, error) {
	s, err := p.painter.Show(ctx, patch)
	s.Painted, s.Path = true, bench.PathPage
	light := 200 * math.Pow(patch.RGB[0], 2.2)
	p.changes = append(p.changes, struct {
		at    time.Duration
		light float64
	}{p.now + p.hidden, light})
	return s, err
}

// mean is the mean light from one time to another, exactly.
func (p *processing) mean(from, to time.Duration) float64 {
	at := func(t time.Duration) float64 {
		light := 0.5 // the browser's own black
		for _, c := range p.changes {
			if c.at <= t {
				light = c.light
			}
		}
		return light
	}
	edges := []time.Duration{from}
	for _, c := range p.changes {
		if c.at > from && c.at < to {
			edges = append(edges, c.at)
		}
	}
	edges = append(edges, to)
	sum := 0.0
	for i := 1; i < len(edges); i++ {
		sum += at(edges[i-1]) * (edges[i] - edges[i-1]).Seconds()
	}
	if p.blind {
		return 7
	}
	return sum / (to - from).Seconds()
}

func behind(hidden, took time.Duration) (*rig, *processing) {
	r, p := onPainter()
	source := &processing{painter: p, hidden: hidden}
	r.took, r.bench.Patches = took, source
	r.light = func(now float64) bench.Sample {
		to := time.Duration(now * 1e9)
		return bench.Sample{Y: source.mean(to-took, to)}
	}
	return r, source
}

// A display that processes for 600 ms is read when its light is there: the meter finds the delay at the first patch, and each
// reading waits for it, also with after = 0. The time at which a patch was lit has the delay in it, to its uncertainty.
func TestHiddenDelay(t *testing.T) {
	for _, c := range []struct{ hidden, took time.Duration }{
		{600 * time.Millisecond, 50 * time.Millisecond}, {600 * time.Millisecond, 700 * time.Millisecond}, {0, 100 * time.Millisecond}, {1500 * time.Millisecond, 300 * time.Millisecond},
	} {
		r, source := behind(c.hidden, c.took)
		err := r.play(t, `
			local s = patches.show { grey = 1 }
			print(s.lit, s.lit_within)
			for i = 1, 5 do
				print(meter.read().Y)
				patches.show { grey = i % 2 } -- 1, 0, 1, 0, 1
			end`)
		if err != nil {
			t.Fatalf("%v: %v", c.hidden, err)
		}
		got := numbers(t, r.printed.String())
		lit, u := got[0], got[1]
		true6 := source.changes[5] // after the five greys that the delay was found by
		if off := lit - true6.at.Seconds(); math.Abs(off) > 2*u || u > c.took.Seconds()/2 {
			t.Errorf("hidden %v, reading %v: lit is off by %.3f s, with a standard uncertainty of %.3f s", c.hidden, c.took, off, u)
		}
		// A reading may begin within the uncertainty before the light is there; where the meter is quick, none does.
		for i, y := range got[2:] {
			want := []float64{200, 200, 0, 200, 0}[i]
			if math.Abs(y-want) > 200*2*u/c.took.Seconds()+1e-9 && c.took < time.Second/10 {
				t.Errorf("hidden %v, reading %v: reading %d is %v, want %v", c.hidden, c.took, i+1, y, want)
			}
			if c.hidden > 0 && math.Abs(y-(200-want)) < 20 {
				t.Errorf("hidden %v: reading %d is %v, that of the patch before", c.hidden, i+1, y)
			}
		}
		if len(source.changes) != 5+1+5 {
			t.Errorf("%d patches were shown; the delay is measured once", len(source.changes))
		}
		for i := 1; i < 5; i++ {
			if gap := source.changes[i].at - source.changes[i-1].at; gap < time.Second {
				t.Errorf("the greys change after %v; they must stand for a second or more", gap)
			}
		}
		if r.patches[5].RGB != [3]float64{1, 1, 1} || len(r.left["patches"]) != 6 {
			t.Errorf("after the greys the screen has %+v, and the engine is told of %d patches", r.patches[5], len(r.left["patches"]))
		}
	}
}

// The first of a sequence measures it too, and HDR has a delay of its own.
func TestDelayOfEachSignal(t *testing.T) {
	r, source := behind(400*time.Millisecond, 50*time.Millisecond)
	source.hdr = true
	if err := r.play(t, `patches.show { grey = 1, signal = "pq" } patches.black { signal = "pq" } patches.black() patches.black()`); err != nil {
		t.Fatal(err)
	}
	for i, measures := range []bool{true, false, true, false} {
		if strings.Contains(string(r.answers[i]), `"delay"`) != measures {
			t.Errorf("step %d keeps %.80s", i+1, r.answers[i])
		}
	}
	if p := r.patches[1]; p.Signal != bench.PQ || p.RGB[0] != delayBright {
		t.Errorf("the delay of pq is measured by %+v", p)
	}
}

// Settling does not begin before the light is there: a display that still shows the patch before is steady.
func TestSettleWaitsForLight(t *testing.T) {
	r, _ := behind(3*time.Second, 50*time.Millisecond)
	if err := r.play(t, "patches.show { grey = 1 } print(meter.settle({ over = 0.5, timeout = 60 }).Y)"); err != nil {
		t.Fatal(err)
	}
	if got := numbers(t, r.printed.String()); got[0] != 200 {
		t.Errorf("it settled at %v, want 200: that was the patch before", got[0])
	}
}

// From the journal alone the same follows: a replay has no instruments.
func TestDelayIsRepeated(t *testing.T) {
	const body = `local s = patches.show { grey = 1 } print(s.lit, s.lit_within) s = patches.show { grey = 0 } print(s.lit, s.lit_within)`
	r, _ := behind(600*time.Millisecond, 50*time.Millisecond)
	if err := r.play(t, body); err != nil {
		t.Fatal(err)
	}
	again := newRig()
	again.recorded = r.answers
	again.bench = nil
	if err := again.play(t, body); err != nil {
		t.Fatal(err)
	}
	if again.printed.String() != r.printed.String() {
		t.Errorf("a replay prints\n%s, the run\n%s", &again.printed, &r.printed)
	}
	var kept shownAnswer
	if err := json.Unmarshal(r.answers[0], &kept); err != nil || len(kept.Delay.Changes) != delayChanges {
		t.Fatalf("the journal holds %s", r.answers[0])
	}
	kept.Delay.Changes = kept.Delay.Changes[:1]
	raw, err := json.Marshal(kept)
	if err != nil {
		t.Fatal(err)
	}
	again = newRig()
	again.recorded, again.bench = []json.RawMessage{raw}, nil
	again.fails(t, body, "patches.show: the journal does not hold the readings from which the delay from painted to light was measured")
}

// A delay that the bench file states is taken, and nothing is measured. Where a person reads the meter, or there is none, some delay
// is assumed, and said.
func TestDelayStatedAndAssumed(t *testing.T) {
	r, source := behind(600*time.Millisecond, 50*time.Millisecond)
	r.patchesAbout.Delay = 0.6
	r.prints(t, "local s = patches.show { grey = 1 } print(s.lit, meter.read().Y)", "0.6\t200")
	if len(source.changes) != 1 || len(r.results.Notes()) != 0 {
		t.Errorf("%d patches were shown, and the notes are %v", len(source.changes), r.results.Notes())
	}
	for name, edit := range map[string]func(*rig){
		"by hand":  func(r *rig) { r.about.ByHand = true },
		"no meter": func(r *rig) { delete(r.bench.Meters, "meter") },
	} {
		r, source := behind(600*time.Millisecond, 50*time.Millisecond)
		edit(r)
		if err := r.play(t, "local s = patches.show { grey = 1 } print(s.lit, s.lit_within) patches.black()"); err != nil {
			t.Fatal(err)
		}
		// JCGM 100:2008, 4.3.7: anywhere from 0 to 0.5 s is 0.25 s with 0.5/√12 s; the source's own is 0.01 s.
		if got := numbers(t, r.printed.String()); got[0] != 0.25 || !near(got[1], math.Hypot(0.5/math.Sqrt(12), 0.01), 1e-9) {
			t.Errorf("%s: lit is %v", name, got)
		}
		if notes := r.results.Notes(); len(source.changes) != 2 || len(notes) != 1 || !strings.Contains(notes[0].Text, "State delay in the section [patches]") {
			t.Errorf("%s: %d patches were shown, and the notes are %v", name, len(source.changes), notes)
		}
	}
}

// A meter that sees no change finds no delay: the run pauses, and says what to look at.
func TestDelayUnseen(t *testing.T) {
	r, source := behind(600*time.Millisecond, 50*time.Millisecond)
	source.blind = true
	err := r.play(t, "patches.show { grey = 1 }")
	if fault.CodeOf(err) != bench.CodePaused || !strings.Contains(err.Error(), "the meter sees no change of light (7 cd/m², then 7 cd/m²)") || !strings.Contains(fault.HintOf(err), "put the meter on the screen") {
		t.Errorf("the error is %v, hint %q", err, fault.HintOf(err))
	}
}

package progress

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/script"
)

// at is a follower of a real run whose time of day a test sets.
func at(now *time.Time) *Follower {
	*now = time.Date(2026, 3, 1, 10, 0, 0, 0, time.UTC)
	return New(Options{Now: func() time.Time { return *now }})
}

func began() play.Began {
	return play.Began{Title: "Sweep", Head: history.Head{Procedure: "sweep", Unit: "Sandpiper 7", Mode: "Calm", Bench: "Tern Street",
		Devices: []bench.Named{{Name: "meter"}, {Name: "operator", Identity: bench.Identity{ByHand: true}}}}}
}

func step(n int, name, device string, now float64) play.Progress {
	return play.Progress{Step: n, Name: name, Device: device, Now: now, Show: func() string { return name + "{}" }}
}

// A run from its start to its end, as a person at the bench sees it.
func TestFollower(t *testing.T) {
	var now time.Time
	f := at(&now)
	if v := f.View(); v.Status != Starting || v.Step != 0 || v.Left != "" || v.About != 0 {
		t.Errorf("before the run: %+v", v)
	}
	f.Foreseen(&Course{Steps: []Step{{"patches.show", "patches", 1}, {"meter.read", "meter", 9}, {"operator.ask", "operator", 0}, {"clock.wait", "", 590}}})
	f.Opened("runs/sweep-1", "candelua resume runs/sweep-1")
	f.Tell(began())
	f.Tell(play.Part{Name: "bright", Begins: true, Step: 1})
	f.Tell(play.Part{Name: "first", Begins: true, Step: 1})
	f.Tell(step(1, "patches.show", "patches", 0))
	if v := f.View(); v.Left != "about 10 min" || v.About != 4 || v.Asks != 1 || v.Share != 0 || v.Part != "bright, first" || v.Doing != "patches.show{}" || v.Unit != "Sandpiper 7" {
		t.Errorf("at the first step: %+v", v)
	}
	f.Tell(play.Answered{Step: 1, Name: "patches.show", Now: 1})
	white := bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}
	f.Tell(play.Showing{Patch: &white})
	f.Tell(step(2, "meter.read", "meter", 1))
	now = now.Add(9 * time.Second)
	f.Tell(play.Answered{Step: 2, Name: "meter.read", Now: 10})
	f.Tell(play.Read{ReadingRow: script.ReadingRow{X: 95.047, Y: 100, Z: 108.883, Colour: true}})
	f.Tell(play.Part{Name: "first", Step: 3})
	v := f.View()
	// The chromaticity of D65 from its tristimulus values: CIE 15:2018, table 3, to four places.
	if v.Reading != "100 cd/m², x 0.3127, y 0.3290" || v.Shown.Words != "white 100 %, window 10 % of the screen, centred, on black; SDR" || v.Part != "bright" {
		t.Errorf("after the reading: %+v", v)
	}
	f.Tell(step(3, "operator.ask", "operator", 10))
	f.Asked("How warm is it?\nA number in °C:")
	now = now.Add(time.Hour)
	if v = f.View(); v.Left != "about 10 min" || v.Asks != 0 || v.Taken != 3600 || v.Question != "How warm is it?\n  | A number in °C:" {
		t.Errorf("while a person is waited for: %+v", v)
	}
	f.Asked("")
	f.Tell(play.Answered{Step: 3, Name: "operator.ask", Now: 3610})
	f.Tell(step(4, "clock.wait", "", 3610))
	now = now.Add(5 * time.Minute)
	if v = f.View(); v.Left != "about 5 min" || v.Share < 45 || v.Share > 55 || v.Question != "" {
		t.Errorf("in the wait: %+v", v)
	}
	now = now.Add(time.Hour) // which nobody expected
	if v = f.View(); v.Share != 99 || v.Left != "about 5 s" {
		t.Errorf("long after the wait should have ended: %+v", v)
	}
	f.Tell(play.Answered{Step: 4, Name: "clock.wait", Now: 7510})
	f.Tell(step(5, "meter.read", "meter", 7510))
	if v = f.View(); v.Share != 99 || v.Left != "longer than expected" || v.About != 5 {
		t.Errorf("beyond the course: %+v", v)
	}
	f.Tell(play.Ended{Status: journal.Done, Results: result.New()})
	f.Drawing(20, 200)
	if v = f.View(); v.Status != Computing || v.Made != 20 || v.Of != 200 || v.Share != 99 {
		t.Errorf("while uncertainties are computed: %+v", v)
	}
	f.Tell(play.Concluded{Results: result.New()})
	f.Over(nil)
	if v = f.View(); v.Status != Done || v.Share != 100 || v.Why != "" {
		t.Errorf("at the end: %+v", v)
	}
}

// How a run ends otherwise.
func TestFollowerEnds(t *testing.T) {
	for _, c := range []struct {
		end    play.Ended
		over   error
		status Status
		why    string
	}{
		{play.Ended{Status: journal.Paused, Err: fmt.Errorf("at step 3: %w", play.ErrInterrupted), Results: result.New()}, nil, Paused, "Somebody paused the run."},
		{play.Ended{Status: journal.Paused, Err: bench.Errorf("x", "plug it in", "the meter is gone"), Results: result.New()}, nil, Paused, "the meter is gone (plug it in)"},
		{play.Ended{Status: journal.Failed, Err: errors.New("a\x1b[2Jb"), Results: result.New()}, nil, Failed, "a\uFFFD[2Jb"},
		{play.Ended{Status: journal.Done, Results: result.New()}, errors.New("the disk is full"), Failed, "the disk is full"},
	} {
		var now time.Time
		f := at(&now)
		f.Foreseen(&Course{Steps: []Step{{Seconds: 1}, {Seconds: 1}, {Seconds: 1}, {Seconds: 1}}})
		f.Tell(began())
		f.Tell(step(3, "operator.ask", "operator", 0))
		share := f.View().Share
		if share != 50 {
			t.Errorf("at the third of four steps %d %% are done", share)
		}
		f.Asked("Is it?")
		c.end.Steps = 2
		f.Tell(c.end)
		f.Over(c.over)
		if v := f.View(); v.Status != c.status || v.Why != c.why || v.Question != "" || v.Step != 2 || v.Share == 100 || c.over == nil && v.Share != share {
			t.Errorf("%+v and %v give %+v", c.end, c.over, v)
		}
	}
	var now time.Time
	f := at(&now)
	f.Over(errors.New("there is no such port"))
	if v := f.View(); v.Status != Failed || v.Why != "there is no such port" {
		t.Errorf("a run that never began: %+v", v)
	}
	if _, err := f.Look(context.Background()); !errors.Is(err, ErrNoResults) {
		t.Errorf("its results: %v", err)
	}
}

// Texts of scripts, devices and people are one safe line each, and warnings are as many as a page can show.
func TestFollowerIsSafe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringN(1, 60, 200).Draw(t, "text") + rapid.SampledFrom([]string{"", "\x1b[2J", "\r\n", "\u202e", "\u2028"}).Draw(t, "end")
		f := New(Options{})
		b := began()
		b.Title, b.Head.Procedure, b.Head.Unit, b.Head.Mode, b.Head.Bench = text, text, text, text, text
		f.Opened(text, text)
		f.Tell(b)
		f.Tell(play.Part{Name: text, Begins: true, Step: 1})
		f.Tell(step(1, text, "meter", 0))
		for range 20 {
			f.Warned(text)
		}
		f.Asked(text)
		v := f.View()
		if len(v.Warnings) != mostWarnings || v.Warnings[0].Number != 20 || v.Warnings[mostWarnings-1].Number != 13 {
			t.Fatalf("warnings are %+v", v.Warnings)
		}
		for _, shown := range []string{v.Title, v.Procedure, v.Unit, v.Mode, v.Bench, v.Folder, v.Next, v.Part, v.Doing, v.Warnings[0].Text} {
			if shown != plain.Line(shown) {
				t.Fatalf("%q is shown", shown)
			}
		}
		for line := range strings.Lines(v.Question) {
			if line = strings.TrimSuffix(line, "\n"); line != plain.Line(line) {
				t.Fatalf("%q is shown of a question", line)
			}
		}
		f.Tell(play.Ended{Status: journal.Failed, Err: errors.New(text), Results: result.New()})
		if why := f.View().Why; why != plain.Line(why) {
			t.Fatalf("%q is shown of an end", why)
		}
	})
}

// A bench that is as fast as possible has a share and no time left; one that is paced has the real time.
func TestFollowerOfASimulatedBench(t *testing.T) {
	for speed, want := range map[float64]string{0: "", 1: "about 10 min", 10: "about 1 min", 600: "about 5 s"} {
		f := New(Options{Speed: speed})
		f.Foreseen(&Course{Steps: []Step{{"clock.wait", "", 600}}})
		b := began()
		b.Head.Simulated = true
		f.Tell(b)
		f.Tell(step(1, "clock.wait", "", 0))
		if v := f.View(); v.Left != want || v.About != 1 {
			t.Errorf("at %g: %q, %d steps; want %q", speed, v.Left, v.About, want)
		}
	}
}

func TestLeftText(t *testing.T) {
	for seconds, want := range map[float64]string{0: "about 5 s", 1: "about 5 s", 5.1: "about 10 s", 55: "about 55 s", 55.1: "about 1 min", 58: "about 1 min", 89: "about 1 min",
		91: "about 2 min", 3540: "about 59 min", 3600: "about 1 h", 4800: "about 1 h 20 min", 7140: "about 2 h", 35999: "about 10 h", 86400: "about 24 h"} {
		if got := leftText(seconds); got != want {
			t.Errorf("%g s are %q, want %q", seconds, got, want)
		}
	}
}

func TestReadingText(t *testing.T) {
	for want, row := range map[string]script.ReadingRow{
		"0.0012 cd/m²":                  {Y: 0.0012},
		"612.4 cd/m²":                   {Y: 612.4},
		"0 cd/m²":                       {Colour: true},
		"-0.001 cd/m²":                  {Y: -0.001, Colour: true},
		"100 cd/m², x 0.3333, y 0.3333": {X: 100, Y: 100, Z: 100, Colour: true},
	} {
		if got := readingText(&play.Read{ReadingRow: row}); got != want {
			t.Errorf("%+v is %q, want %q", row, got, want)
		}
	}
}

// BenchmarkFollower is what it costs a run to be followed, for each step with one reading, while nobody looks.
func BenchmarkFollower(b *testing.B) {
	f := New(Options{})
	f.Foreseen(&Course{Steps: make([]Step, 1000)})
	f.Tell(began())
	reading := play.Read{ReadingRow: script.ReadingRow{X: 95.047, Y: 100, Z: 108.883, Colour: true}}
	b.ReportAllocs()
	for n := 1; b.Loop(); n++ {
		f.Tell(step(n, "meter.read", "meter", float64(n)))
		reading.Reading = n
		f.Tell(reading)
		f.Tell(play.Answered{Step: n, Name: "meter.read", Now: float64(n)})
	}
}

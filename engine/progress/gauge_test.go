package progress

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// courses draws courses of any steps and parts, some of them by hand.
func courses(t *rapid.T) *Course {
	c := &Course{}
	for range rapid.IntRange(1, 60).Draw(t, "steps") {
		if rapid.IntRange(0, 4).Draw(t, "part") == 0 {
			c.Parts = append(c.Parts, Part{rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "name"), len(c.Steps)})
		}
		c.Steps = append(c.Steps, Step{Name: rapid.SampledFrom([]string{"wait", "read", "show"}).Draw(t, "step"),
			Device:  rapid.SampledFrom([]string{"meter", "patches", "operator"}).Draw(t, "device"),
			Seconds: rapid.Float64Range(0, 500).Draw(t, "seconds")})
	}
	return c
}

func byHand(device string) bool { return device == "operator" }

// goes has a gauge go through a course with each step so much longer, and looks before, within and after each.
func goes(g *Gauge, c *Course, later func(i int) float64, look func(i int, r Rest, known bool)) {
	now := 0.0
	g.Restart()
	parts := c.Parts
	for i, s := range c.Steps {
		for ; len(parts) > 0 && parts[0].From == i; parts = parts[1:] {
			g.Part(parts[0].Name, i+1)
		}
		g.Begin(i+1, now)
		takes := s.Seconds + later(i)
		for _, share := range []float64{0, 0.5, 1, 7} {
			r, known := g.Rest(share * takes)
			look(i, r, known)
		}
		now += takes
		g.End(s.Name, now, 0)
		r, known := g.Rest(0)
		look(i+1, r, known)
	}
}

// A run that goes as its course is told exactly what is left; the sum is that of the course.
func TestGaugeOfACourseThatHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := courses(t)
		g := &Gauge{Course: c, ByHand: byHand}
		goes(g, c, func(int) float64 { return 0 }, func(i int, r Rest, known bool) {
			if known != (i < len(c.Steps)) || r.Steps != len(c.Steps) {
				t.Fatalf("at %d of %d: known %v, %d steps", i, len(c.Steps), known, r.Steps)
			}
		})
		g.Restart()
		for i := range c.Steps {
			seconds, asks := 0.0, 0
			for j, s := range c.Steps[i:] {
				switch hand := byHand(s.Device); {
				case hand && j > 0:
					asks++
				case !hand:
					seconds += s.Seconds
				}
			}
			g.Begin(i+1, 0)
			if r, _ := g.Rest(0); math.Abs(r.Seconds-seconds) > 1e-9*(1+seconds) || r.Asks != asks {
				t.Fatalf("step %d: %v left, want %v s and %d", i+1, r, seconds, asks)
			}
		}
	})
}

// Whatever a run does, the share done never goes back and never is all, and no time left is negative.
func TestGaugeOfAnyRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, goesAs := courses(t), courses(t)
		g := &Gauge{Course: c, ByHand: byHand}
		last := 0
		goes(g, goesAs, func(int) float64 { return rapid.Float64Range(-100, 1000).Draw(t, "late") }, func(i int, r Rest, _ bool) {
			if r.Share < last || r.Share > 99 || r.Seconds < 0 || math.IsNaN(r.Seconds) || r.Asks < 0 || r.Steps < i {
				t.Fatalf("after %d %%: %+v before step %d", last, r, i+1)
			}
			last = r.Share
		})
	})
}

// What steps take longer is learnt: half of the way through, the estimate of a course whose readings all take the same time more is right.
func TestGaugeLearnsThePace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		more := rapid.Float64Range(0, 60).Draw(t, "more")
		c := &Course{}
		for range 40 {
			c.Steps = append(c.Steps, Step{"wait", "", 10}, Step{"read", "meter", 2})
		}
		g := &Gauge{Course: c}
		late := func(i int) float64 { return float64(i%2) * more }
		goes(g, c, late, func(i int, r Rest, _ bool) {
			if g.busy || i != 40 {
				return
			}
			if want := 20 * (12 + more); math.Abs(r.Seconds-want) > 1e-6 {
				t.Fatalf("%.1f s are left, want %.1f", r.Seconds, want)
			}
		})
	})
}

// One step that was very slow, and time for which a person was waited for, move nothing.
func TestGaugeForgives(t *testing.T) {
	c := &Course{Steps: make([]Step, 30)}
	for i := range c.Steps {
		c.Steps[i] = Step{"read", "meter", 2}
	}
	g := &Gauge{Course: c}
	goes(g, c, func(i int) float64 { return map[int]float64{9: 3600}[i] }, func(i int, r Rest, _ bool) {
		if want := float64(2 * (30 - i)); !g.busy && i > 9 && math.Abs(r.Seconds-want) > 1e-9 {
			t.Errorf("before step %d: %v s are left, want %v", i+1, r.Seconds, want)
		}
	})
	g = &Gauge{Course: c}
	g.Restart()
	for i := range 10 {
		g.Begin(i+1, float64(100*i))
		g.End("read", float64(100*i)+62, 60)
	}
	if r, _ := g.Rest(0); r.Seconds != 40 {
		t.Errorf("%v s are left where a person took long, want 40", r.Seconds)
	}
}

// A part that is found in the course puts the place right, where those before it took more steps or fewer.
func TestGaugeFindsParts(t *testing.T) {
	c := &Course{Steps: make([]Step, 20), Parts: []Part{{"sweep", 0}, {"sweep", 8}, {"dark", 15}}}
	for i := range c.Steps {
		c.Steps[i] = Step{Name: "read", Seconds: 1}
	}
	for _, x := range []struct {
		begun       []string
		left, steps int
		known       bool
	}{
		{[]string{"sweep"}, 20, 51, true},
		{[]string{"sweep", "sweep"}, 12, 43, true},
		{[]string{"sweep", "sweep", "dark"}, 5, 36, true},
		{[]string{"dark"}, 5, 36, true},
		{[]string{"dark", "dark"}, 5, 36, true}, // more often than the course has it
		{[]string{"other"}, 0, 32, false},       // beyond the course
	} {
		g := &Gauge{Course: c}
		g.Restart()
		for _, name := range x.begun {
			g.Part(name, 32)
		}
		g.Begin(32, 0)
		if r, known := g.Rest(0); r.Seconds != float64(x.left) || r.Steps != x.steps || known != x.known {
			t.Errorf("%v: %+v, %v; want %d s of %d steps, %v", x.begun, r, known, x.left, x.steps, x.known)
		}
	}
}

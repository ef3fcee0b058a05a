package progress

import "slices"

// handSeconds is what one answer of a person weighs in the share that is done; no time left has it (common practice, no source).
const handSeconds = 10

// Gauge holds a run against the course that it is expected to take. The zero Gauge knows no course.
type Gauge struct {
	Course *Course
	ByHand func(device string) bool // whether a person is asked in the place of a device; nil for no

	shift  int                  // place in the course less number of the step, which counts from 1
	step   int                  // the one that is being done, or was last
	busy   bool                 // it is being done
	began  float64              // when it began
	opened map[string]int       // how often a part of a name began
	late   map[string][]float64 // by how much the last steps of a name took longer
	least  map[string]float64   // what the shortest of them took
	shown  int                  // the share that was given last
}

// latest is how many steps of a name tell what others of it will take.
const latest = 25

// Restart begins another execution of the same run. What was learnt of how long steps take stays.
func (g *Gauge) Restart() {
	g.shift, g.step, g.busy, g.began, g.opened, g.shown = -1, 0, false, 0, map[string]int{}, 0
}

// Part says that a named part begins, before a step.
func (g *Gauge) Part(name string, step int) {
	n := g.opened[name]
	g.opened[name]++
	if g.Course == nil {
		return
	}
	for _, p := range g.Course.Parts {
		if p.Name != name {
			continue
		}
		if n == 0 {
			g.shift = p.From - step
			return
		}
		n--
	}
}

// Begin says that a step begins, at a script time.
func (g *Gauge) Begin(step int, now float64) { g.step, g.busy, g.began = step, true, now }

// End says that the step is answered, and for how many of its seconds a person was waited for.
func (g *Gauge) End(name string, now, waited float64) {
	g.busy = false
	i := g.place()
	if g.Course == nil || i < 0 || i >= len(g.Course.Steps) || g.Course.Steps[i].Name != name || g.hand(i) {
		return // it is not known what it should have taken
	}
	if g.late == nil {
		g.late, g.least = map[string][]float64{}, map[string]float64{}
	}
	took := max(0, now-g.began-waited)
	all := append(g.late[name], took-g.Course.Steps[i].Seconds)
	g.late[name] = all[max(0, len(all)-latest):]
	if least, known := g.least[name]; !known || took < least {
		g.least[name] = took
	}
}

// takes is how long a step is expected to take, where steps of its name are so much later than in the course. Where they are earlier, it is
// not taken to be shorter than the shortest of them was.
func (g *Gauge) takes(s Step, late float64) float64 {
	return max(s.Seconds+late, min(s.Seconds, g.least[s.Name]), 0)
}

// place is where in the course the step is that is being done, or was last.
func (g *Gauge) place() int { return g.step + g.shift }

func (g *Gauge) hand(i int) bool { return g.ByHand != nil && g.ByHand(g.Course.Steps[i].Device) }

// lateness is by how much steps of each name take longer than in the course.
func (g *Gauge) lateness() map[string]float64 {
	by := make(map[string]float64, len(g.late))
	for name, all := range g.late {
		sorted := append(slices.Clone(all), 0, 0)
		slices.Sort(sorted)
		by[name] = (sorted[(len(sorted)-1)/2] + sorted[len(sorted)/2]) / 2
	}
	return by
}

// Rest is what is still to come.
type Rest struct {
	Seconds float64 // script time, without the time for which a person is waited for
	Asks    int     // how often a person is about to be asked, after the question that may be open
	Steps   int     // in all, at least those that there were
	Share   int     // that is done, 0 to 99 %
}

// Rest says what is still to come after so many seconds of the step that is being done, of which a person was not waited for.
// It is false where that is not known: there is no course, or the run is beyond it.
func (g *Gauge) Rest(taken float64) (Rest, bool) {
	r := Rest{Steps: g.step, Share: g.shown}
	if g.Course == nil {
		return r, false
	}
	at, late := g.place(), g.lateness()
	if !g.busy {
		at++
	}
	r.Steps = max(g.step, g.step+len(g.Course.Steps)-1-g.place())
	var done, left float64
	for i, s := range g.Course.Steps {
		hand := g.hand(i)
		seconds := g.takes(s, late[s.Name])
		if hand {
			seconds = 0
		}
		weight := seconds
		if hand {
			weight = handSeconds
		}
		switch {
		case i < at:
			done += weight
		case i > at || !g.busy:
			left += weight
			r.Seconds += seconds
			if hand {
				r.Asks++
			}
		default: // being done
			part := min(seconds, max(0, taken))
			done += part
			left += weight - part
			r.Seconds += seconds - part
		}
	}
	if done+left > 0 {
		g.shown = max(g.shown, min(99, int(100*done/(done+left))))
	}
	r.Share = g.shown
	return r, at < len(g.Course.Steps)
}

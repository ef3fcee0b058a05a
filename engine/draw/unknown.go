package draw

import "slices"

// Unknown is something that a value may depend on, and of whose error nobody says anything.
// No draw moves it. So the script is executed a few times more, each time with all that is
// of this kind moved a little by itself (a probe): a value that moves depends on it.
type Unknown struct {
	Of  string // what it is, in words that follow "depends on": "what rig.lux read"
	Why string // why nothing is known, in words that follow "and": "the accuracy of the light meter is not stated"
	Do  string // what to do about it, in words; empty: nothing can be done
	// Resting says that it matters only to a value that no draw moves: such as the times at which
	// steps were answered, which are far better known than most of what is read then.
	Resting bool
	// Axis says that numbers of tables are no matter of it: they are the axis of what was read,
	// as times are.
	Axis bool
	// Most is how many probes are made of it; 0: all.
	Most int
}

// Probes is how many executions at most look for the values that depend on one [Unknown], and LeastProbes
// how many of them, the first, move it by a thousandth only.
const (
	Probes      = 5
	LeastProbes = 3
)

// Shake is by which share of itself a number is moved in a probe: a thousandth down, up, and
// either way; and either way by some percent and by some ten percent, for what a script
// makes steps of.
func (k Key) Shake(probe int) float64 {
	u := k.uniform(probe)
	share := [Probes]float64{-0.001, 0.001, 0.001, 0.03, 0.3}[probe%Probes] * (0.5 + u/2)
	if probe%Probes >= LeastProbes-1 && k.part(1).uniform(probe) < 0.5 {
		return -share
	}
	return share
}

// EnterUnknown notes that the script was given something of which nobody knows how well it
// is known. It must not be called after the first draw.
func (s *Sheet) EnterUnknown(u Unknown) {
	if !slices.Contains(s.unknowns, u) {
		s.unknowns = append(s.unknowns, u)
	}
}

// Unknowns are what was entered, and the meters of which nothing at all, or no scatter, is known, as they came.
func (s *Sheet) Unknowns() []Unknown {
	s.once.Do(s.finish)
	return s.unknowns
}

// Shakes says whether a probe of an unknown moves a reading.
func (s *Sheet) Shakes(u Unknown, step, single int) bool {
	s.once.Do(s.finish)
	i, ok := s.place[place{step, single}]
	return ok && slices.Contains(s.unknownsOf(i), u)
}

// unknownsOf are what is not known of a reading: anything, or how it scatters. Where nobody states more than the
// repeatability, and that is known, the uncertainty says so itself ([Sheet.Unstated]).
func (s *Sheet) unknownsOf(i int) []Unknown {
	e, r := &s.readings[i], &s.drawn[i]
	switch {
	case e.taken.Unstated && r.still():
		return []Unknown{ofMeter(e.meter)}
	case !e.taken.Exact && r.Typed == (Typed{}) && r.scatter.root == [3][3]float64{}:
		return []Unknown{ofScatter(e.meter)}
	}
	return nil
}

func ofMeter(meter string) Unknown {
	return Unknown{Of: "readings of the " + meter, Why: "neither its accuracy nor how its readings scatter is stated",
		Do: "state both in the bench file ([" + meter + ".accuracy], scale and repeatability in %)"}
}

// ofScatter is of readings that do not scatter as far as anybody knows. It matters to a value that all known
// errors leave as it is, such as a ratio.
func ofScatter(meter string) Unknown {
	return Unknown{Of: "readings of the " + meter, Why: "how they scatter is not known", Resting: true, Most: LeastProbes,
		Do: "read two or more times each, or state the repeatability in the bench file ([" + meter + ".accuracy], repeatability in %)"}
}

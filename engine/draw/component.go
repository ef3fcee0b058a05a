package draw

import "strings"

// Component is a cause of error that the draws tell apart.
type Component uint8

// The components. Each is keyed by what shares it, see [Key].
const (
	Scatter   Component = iota // of a reading's mean, its own
	Scale                      // of the meter, in all that it ever reads
	Chroma                     // what a correction leaves, within that correction
	DarkLevel                  // the meter's dark offset, within a sitting
	Drift                      // of the dark offset, within a sitting
	Digit                      // of a typed number, its own
	Gain                       // what a correction leaves of the luminance, within that correction
	components
)

var componentNames = [components]string{"scatter", "scale", "chromaticity", "dark level", "drift", "typed digit", "correction"}

func (c Component) String() string {
	if c >= components {
		return "unknown component"
	}
	return componentNames[c]
}

// Set is a set of components: those that are drawn, while the others stay at
// their estimate.
type Set uint8

// All is the set of all components, for the uncertainty itself.
const All Set = 1<<components - 1

// Of returns the set of the given components.
func Of(cs ...Component) (s Set) {
	for _, c := range cs {
		s |= 1 << c
	}
	return s
}

// Has says whether a component is in the set.
func (s Set) Has(c Component) bool { return s>>c&1 == 1 }

// Components lists what is in the set, in the order of the constants.
func (s Set) Components() (cs []Component) {
	for c := range components {
		if s.Has(c) {
			cs = append(cs, c)
		}
	}
	return cs
}

func (s Set) String() string {
	var names []string
	for _, c := range s.Components() {
		names = append(names, c.String())
	}
	return strings.Join(names, ", ")
}

package draw

// Component is a cause of error that the draws tell apart.
type Component uint8

// The components. Each is keyed by what shares it, see [Key].
const (
	Scatter   Component = iota // of a reading's mean, its own, and of a typed number's last digit
	Scale                      // of the meter, in all that it ever reads
	Chroma                     // what a correction leaves, within that correction
	DarkLevel                  // the meter's dark offset, within a sitting
	Drift                      // of the dark offset, within a sitting
	Gain                       // what a correction leaves of the luminance, within that correction
	components
)

var componentNames = [components]string{"scatter", "scale", "chromaticity", "dark level", "drift", "correction"}

func (c Component) String() string {
	if c >= components {
		return "unknown component"
	}
	return componentNames[c]
}

package draw

// Component is a cause of error that the draws tell apart.
type Component uint8

// The components. Each is keyed by what shares it, see [Key].
const (
	Scatter     Component = iota // of a reading's mean, with the resolution of typed numbers
	Scale                        // of the meter, in all its readings
	Chroma                       // residual error of a correction, in all readings with it
	DarkLevel                    // the meter's dark offset, until the dark level is measured again
	Drift                        // of the dark offset, likewise
	Zero                         // noise of the measurement of the dark offset, in all readings until the next
	Gain                         // residual luminance error of a correction, in all readings with it
	NumberScale                  // of a light meter, in all its readings
	NumberZero                   // of a light meter, in all its readings of a run
	Wavelength                   // of the scale of wavelengths, in all spectra of a meter
	Response                     // of the spectral response, likewise
	components
)

var componentNames = [components]string{"scatter", "scale", "chromaticity", "dark level", "drift", "zero", "correction",
	"scale of the light meter", "zero of the light meter", "wavelengths", "spectral response"}

func (c Component) String() string {
	if c >= components {
		return "unknown component"
	}
	return componentNames[c]
}

package sim

// SourceParams describes the source of patches.
type SourceParams struct {
	Latency       float64 `toml:"latency" unit:"s" min:"0.001" max:"60" help:"from the request to the change of light"`
	LatencyWithin float64 `toml:"latency_within" unit:"s" min:"0" max:"10" help:"standard deviation of the latency, cut off at three; stated with each patch"`
}

// MeterParams describes a meter.
type MeterParams struct {
	Name            string     `toml:"name" help:"the meter's name, as the bench shows it"`
	Serial          string     `toml:"serial" help:"the meter's serial number"`
	Kind            string     `toml:"kind" one_of:"spectral|filter" help:"what it is: one that reads spectra, or one with three filters"`
	FilterShift     [3]float64 `toml:"filter_shift" unit:"nm" min:"-20" max:"20" help:"by how much each filter of a filter meter lies too far to the red"`
	FilterLeak      [3]float64 `toml:"filter_leak" unit:"%" min:"0" max:"20" help:"share of each filter's response that is spread over all wavelengths"`
	Integration     float64    `toml:"integration" unit:"s" min:"0.001" max:"600" help:"integration time in bright light"`
	IntegrationDark float64    `toml:"integration_dark" unit:"s" min:"0.001" max:"600" help:"longest integration time, in the dark"`
	DarkBelow       float64    `toml:"dark_below" unit:"cd/m2" min:"0" max:"10000" help:"luminance under which the integration gets longer, in inverse proportion"`
	Overhead        float64    `toml:"overhead" unit:"s" min:"0" max:"60" help:"from the end of an integration until the meter can go on"`
	Repeatability   float64    `toml:"repeatability" unit:"%" min:"0" max:"20" help:"standard deviation of a reading's gain"`
	DarkNoise       float64    `toml:"dark_noise" unit:"cd/m2" min:"0" max:"10" help:"standard deviation of luminance in the dark, integrating for 1 s"`
	DarkDrift       float64    `toml:"dark_drift" unit:"cd/m2" min:"0" max:"10" help:"standard deviation of the slow drift of the dark level"`
	DarkSeconds     float64    `toml:"dark_seconds" unit:"s" min:"1" max:"100000" help:"period of that drift, about"`
	ZeroSeconds     float64    `toml:"zero_seconds" unit:"s" min:"0.1" max:"600" help:"how long the meter takes to take its dark level anew"`
	Scale           float64    `toml:"scale" unit:"%" min:"0" max:"20" help:"standard uncertainty of the meter's scale, from which its error is drawn; stated in its certificate"`
	XY              float64    `toml:"xy" min:"0" max:"0.05" help:"standard uncertainty of chromaticity x and y, likewise; one shift of all colours, which spectra do not show"`
	Dark            float64    `toml:"dark" unit:"cd/m2" min:"0" max:"10" help:"standard uncertainty of X, Y and Z by the dark level, likewise; drawn anew whenever the meter takes that"`
	ErrorsSeed      int        `toml:"errors_seed" min:"0" max:"1000000000" help:"what errors of scale and chromaticity are drawn from, by the meter's name and serial number; 0: the run's seed, another meter in each"`
	ShotNoise       float64    `toml:"shot_noise" unit:"%" min:"0" max:"20" help:"standard deviation of luminance by shot noise alone, equal-energy light of 100 cd/m2, integrating for 1 s"`
	Floor           float64    `toml:"floor" unit:"cd/m2" min:"0" max:"10" help:"readings below it are flagged below_floor"`
	Saturation      float64    `toml:"saturation" unit:"cd/m2" min:"1" max:"1000000" help:"luminance above which it reads no more, and flags saturated"`
	Field           float64    `toml:"field" unit:"%" min:"0" max:"100" help:"share of the screen's area that the meter sees, of the screen's shape; 0: a point"`
	SeesField       string     `toml:"sees_field" one_of:"no|yes" help:"whether it can tell that the window does not fill its field, and flags underfilled"`
	Shade           float64    `toml:"shade" unit:"%" min:"0" max:"100" help:"share of the room's light that the meter on its mount keeps from the unit's ambient sensor"`
}

// ControlParams describes one control of the unit: one that takes words, or
// one that takes a number from Min to Max.
type ControlParams struct {
	Name    string     `toml:"name" help:"as the unit's menu spells it"`
	Former  []string   `toml:"formerly" help:"names that the menu had for it before, which are still taken"`
	Values  []string   `toml:"values" help:"the words it takes; empty: a number from min to max, or minimum or maximum"`
	Min     float64    `toml:"min" min:"-1000000" max:"1000000" help:"lowest number"`
	Max     float64    `toml:"max" min:"-1000000" max:"1000000" help:"highest number"`
	Step    float64    `toml:"step" min:"0" max:"1000000" help:"numbers are rounded to whole steps from min; 0: not"`
	Unit    string     `toml:"unit" help:"the number's unit"`
	Start   string     `toml:"start" help:"where it stands at the start, on purpose perhaps not where it should"`
	Factors []float64  `toml:"factors" min:"0" max:"1" help:"factor on light: for each word, or at min and at max and linear between; empty: it changes nothing"`
	Gains   [3]float64 `toml:"gains" unit:"%" min:"-90" max:"100" help:"by how much a number's maximum changes the light of red, green and blue; in proportion from zero, both ways"`
	Reach   float64    `toml:"reach" unit:"share of the travel" min:"0" max:"1" help:"how far from min, or from zero for gains, a number still changes the light; 0: all the way"`
	Seconds float64    `toml:"seconds" unit:"s" min:"0" max:"600" help:"how long setting it takes"`
}

// ModeParams describes a mode of the unit: what it changes.
type ModeParams struct {
	Name      string     `toml:"name" help:"as the unit's menu spells it"`
	Tone      string     `toml:"tone" one_of:"as_stated|power|srgb|bt1886|table" help:"curve of an SDR signal"`
	Exponent  float64    `toml:"exponent" min:"0" max:"4" help:"of the curve, where it is a power; 0: as stated"`
	Luminance float64    `toml:"luminance" unit:"%" min:"0" max:"100" help:"share of the light that SDR white has; 0: all of it"`
	Gamut     string     `toml:"gamut" one_of:"native|bt709|p3|bt2020" help:"the primaries that signals mean; what the panel cannot show is cut off"`
	White     [2]float64 `toml:"white" unit:"x, y" min:"0,0" max:"0.7,0.8" help:"chromaticity of equal signals; zeros: the panel's"`
}

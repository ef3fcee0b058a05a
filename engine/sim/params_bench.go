package sim

// SourceParams describes the source of patches.
type SourceParams struct {
	Latency       float64 `toml:"latency" unit:"s" min:"0.001" max:"60" help:"time from the request to the change of the light"`
	LatencyWithin float64 `toml:"latency_within" unit:"s" min:"0" max:"10" help:"standard deviation of the latency; no latency is more than three standard deviations from the mean. The source states it with each patch"`
}

// MeterParams describes a meter.
type MeterParams struct {
	Name            string     `toml:"name" help:"the meter's name, as the bench shows it"`
	Serial          string     `toml:"serial" help:"the meter's serial number"`
	Kind            string     `toml:"kind" one_of:"spectral|filter" help:"kind of meter; spectral: a spectroradiometer; filter: a filter colorimeter"`
	FilterShift     [3]float64 `toml:"filter_shift" unit:"nm" min:"-20" max:"20" help:"shift of each filter of a filter colorimeter towards the red"`
	FilterLeak      [3]float64 `toml:"filter_leak" unit:"%" min:"0" max:"20" help:"share of each filter's response that is spread evenly over all wavelengths"`
	Integration     float64    `toml:"integration" unit:"s" min:"0.001" max:"600" help:"integration time in bright light"`
	IntegrationDark float64    `toml:"integration_dark" unit:"s" min:"0.001" max:"600" help:"longest integration time, in the dark"`
	DarkBelow       float64    `toml:"dark_below" unit:"cd/m2" min:"0" max:"10000" help:"luminance below which the integration time grows, in inverse proportion to luminance"`
	Overhead        float64    `toml:"overhead" unit:"s" min:"0" max:"60" help:"time from the end of an integration until the meter is ready again"`
	Repeatability   float64    `toml:"repeatability" unit:"%" min:"0" max:"20" help:"standard deviation of a reading's gain"`
	DarkNoise       float64    `toml:"dark_noise" unit:"cd/m2" min:"0" max:"10" help:"standard deviation of luminance in the dark, for an integration time of 1 s"`
	DarkDrift       float64    `toml:"dark_drift" unit:"cd/m2" min:"0" max:"10" help:"standard deviation of the slow drift of the dark level"`
	DarkSeconds     float64    `toml:"dark_seconds" unit:"s" min:"1" max:"100000" help:"approximate period of that drift"`
	ZeroSeconds     float64    `toml:"zero_seconds" unit:"s" min:"0.1" max:"600" help:"time that the meter needs to measure its dark level again"`
	Scale           float64    `toml:"scale" unit:"%" min:"0" max:"20" help:"standard uncertainty of the meter's scale, as in the meter's certificate; the true error of the scale is chosen at random with this standard deviation"`
	XY              float64    `toml:"xy" min:"0" max:"0.05" help:"standard uncertainty of chromaticity x and y, as for scale; the error shifts all colours alike, and spectra do not show it"`
	Dark            float64    `toml:"dark" unit:"cd/m2" min:"0" max:"10" help:"standard uncertainty of X, Y and Z from the dark level, as for scale; the error is chosen anew each time the meter measures its dark level"`
	Wavelength      float64    `toml:"wavelength" unit:"nm" min:"0" max:"5" help:"standard uncertainty of a spectroradiometer's scale of wavelengths, as for scale; the error shifts its spectra, and leaves X, Y and Z as they are"`
	Response        float64    `toml:"response" unit:"%" min:"0" max:"20" help:"standard uncertainty of a spectroradiometer's spectral response, as for scale; the error is smooth over the wavelengths. It changes the shape of its spectra, and leaves X, Y and Z as they are"`
	ErrorsSeed      int        `toml:"errors_seed" min:"0" max:"1000000000" help:"seed for the meter's errors of scale, chromaticity, wavelengths and response, used with its name and serial number; 0: use the run's seed, so each seed has another meter"`
	ShotNoise       float64    `toml:"shot_noise" unit:"%" min:"0" max:"20" help:"standard deviation of luminance from shot noise alone, for equal-energy light of 100 cd/m2 and an integration time of 1 s"`
	Floor           float64    `toml:"floor" unit:"cd/m2" min:"0" max:"10" help:"luminance below which the meter flags a reading as below_floor"`
	Saturation      float64    `toml:"saturation" unit:"cd/m2" min:"1" max:"1000000" help:"luminance above which the meter flags a reading as saturated and reads no higher"`
	Field           float64    `toml:"field" unit:"%" min:"0" max:"100" help:"measurement field: share of the screen's area that the meter sees, in the shape of the screen; 0: a point"`
	SeesField       string     `toml:"sees_field" one_of:"no|yes" help:"whether the meter notices a window that does not fill its field, and flags the reading as underfilled"`
	Shade           float64    `toml:"shade" unit:"%" min:"0" max:"100" help:"share of the room's light that the mounted meter blocks from the unit's ambient light sensor"`
}

// ControlParams describes one control of the unit: one that takes words, or
// one that takes a number from Min to Max.
type ControlParams struct {
	Name    string     `toml:"name" help:"name of the control, spelt as in the unit's menu"`
	Former  []string   `toml:"formerly" help:"earlier names of the control, which scripts may still use"`
	Role    string     `toml:"role" one_of:"|automatic brightness|brightness|picture mode|enhancements" help:"what the control is for, by which procedures ask for it; empty: nothing that has a role, unless its name is one"`
	Values  []string   `toml:"values" help:"words that the control can be set to; empty: it takes a number from min to max, or the words minimum and maximum"`
	Min     float64    `toml:"min" min:"-1000000" max:"1000000" help:"lowest number"`
	Max     float64    `toml:"max" min:"-1000000" max:"1000000" help:"highest number"`
	Step    float64    `toml:"step" min:"0" max:"1000000" help:"step size, counted from min; numbers are rounded to it; 0: no rounding"`
	Unit    string     `toml:"unit" help:"the number's unit"`
	Start   string     `toml:"start" help:"position when the run begins; it need not be the one that a procedure asks for"`
	Factors []float64  `toml:"factors" min:"0" max:"1" help:"factors on the light, one for each word, or two for min and max with a straight line between; empty: the control does not change the light"`
	Gains   [3]float64 `toml:"gains" unit:"%" min:"-90" max:"100" help:"change of red, green and blue at the control's maximum; at other numbers the change is in proportion: there is none at 0, and below 0 it has the opposite sign"`
	Reach   float64    `toml:"reach" unit:"share of the travel" min:"0" max:"1" help:"share of the travel in which the control acts; beyond it nothing changes. The travel begins at min, and for gains at 0; 0: the control acts over all of its travel"`
	Seconds float64    `toml:"seconds" unit:"s" min:"0" max:"600" help:"time that setting it takes"`
}

// ModeParams describes a mode of the unit: what it changes.
type ModeParams struct {
	Name      string     `toml:"name" help:"name of the mode, spelt as in the unit's menu"`
	Tone      string     `toml:"tone" one_of:"as_stated|power|srgb|bt1886|table" help:"tone curve of an SDR signal; as_stated: as stated under tone"`
	Exponent  float64    `toml:"exponent" min:"0" max:"4" help:"exponent of the curve if it is a power; 0: as stated under tone"`
	Luminance float64    `toml:"luminance" unit:"%" min:"0" max:"100" help:"luminance of SDR white in this mode, as a percentage of the key white in [light]; 0: the same as there"`
	Gamut     string     `toml:"gamut" one_of:"native|bt709|p3|bt2020" help:"primaries that the signals are shown with; colours that the panel cannot show are clipped"`
	White     [2]float64 `toml:"white" unit:"x, y" min:"0,0" max:"0.7,0.8" help:"chromaticity of white (equal signals); zeros: the white of the panel"`
}

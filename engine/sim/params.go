package sim

// Params is the whole truth of a simulated world. Each parameter is declared
// once, here: its name, unit, limits and one line of help. [Parse] checks
// against this declaration and [Print] prints it, so neither can drift.
//
// Tags: toml is the name in a world file; unit, min, max and help say what
// they say. Where a value is a list of rows, unit, min and max hold one entry
// a column, divided by commas. one_of lists the words that are allowed.
type Params struct {
	Format    int             `toml:"format" min:"1" max:"1" help:"version of this file's layout"`
	Name      string          `toml:"name" help:"the unit's name, as the bench shows it"`
	Serial    string          `toml:"serial" help:"the unit's serial number"`
	Screen    ScreenParams    `toml:"screen" help:"The screen."`
	Primaries PrimariesParams `toml:"primaries" help:"The three primaries: Gaussian spectra, mixed to the white."`
	Light     LightParams     `toml:"light" help:"How much light the panel gives."`
	Tone      ToneParams      `toml:"tone" help:"From signal to light."`
	Limit     LimitParams     `toml:"limit" help:"Power limiting: the more of the panel is driven, the less light."`
	Warmup    WarmupParams    `toml:"warmup" help:"Drift while the panel warms, undone while it cools."`
	Source    SourceParams    `toml:"source" help:"What feeds the unit its patches."`
	Meter     MeterParams     `toml:"meter" help:"The spectral meter."`
	Reference MeterParams     `toml:"reference" help:"A second meter of the same design, as a reference."`
	Controls  []ControlParams `toml:"controls" help:"The unit's controls, one table each, as they stand when the run begins."`
}

// ScreenParams describes the screen's pixels.
type ScreenParams struct {
	Width  int `toml:"width" unit:"px" min:"1" max:"16384" help:"pixels from left to right"`
	Height int `toml:"height" unit:"px" min:"1" max:"16384" help:"pixels from top to bottom"`
}

// PrimariesParams describes the primaries' spectra and the white they make.
type PrimariesParams struct {
	Red   [2]float64 `toml:"red" unit:"nm, nm" min:"380,5" max:"780,200" help:"centre and full width at half height"`
	Green [2]float64 `toml:"green" unit:"nm, nm" min:"380,5" max:"780,200" help:"centre and full width at half height"`
	Blue  [2]float64 `toml:"blue" unit:"nm, nm" min:"380,5" max:"780,200" help:"centre and full width at half height"`
	White [2]float64 `toml:"white" unit:"x, y" min:"0.05,0.05" max:"0.7,0.8" help:"chromaticity of equal signals, CIE 1931; [0.3127, 0.3290] is D65 as video defines it"`
}

// LightParams describes luminances of the panel, warm and not limited.
type LightParams struct {
	White   float64 `toml:"white" unit:"cd/m2" min:"1" max:"10000" help:"luminance of full SDR white, black level included"`
	Black   float64 `toml:"black" unit:"cd/m2" min:"0" max:"10" help:"luminance of black; adds to all that is shown"`
	HDRPeak float64 `toml:"hdr_peak" unit:"cd/m2" min:"1" max:"10000" help:"highest luminance of a PQ signal, black level included"`
}

// ToneParams describes how signals become light.
type ToneParams struct {
	Kind      string  `toml:"kind" one_of:"power,srgb,bt1886" help:"curve of an SDR signal"`
	Exponent  float64 `toml:"exponent" min:"1" max:"4" help:"of the curve, where kind is power"`
	Bits      int     `toml:"bits" min:"0" max:"16" help:"bits of a signal whose patch states none; 0: not quantised"`
	HDRBits   int     `toml:"hdr_bits" min:"0" max:"16" help:"the same for a PQ signal"`
	HDR       string  `toml:"hdr" one_of:"clip,roll_off" help:"what becomes of a PQ signal above hdr_peak"`
	HDRSource float64 `toml:"hdr_source" unit:"cd/m2" min:"1" max:"10000" help:"the luminance that a roll-off brings down to hdr_peak"`
}

// LimitParams describes power limiting.
type LimitParams struct {
	Curve   [][2]float64 `toml:"curve" unit:"share of full drive, factor on light" min:"0,0" max:"1,1" help:"linear between the points, level beyond; full drive is the whole screen at the greater of white and hdr_peak; empty: none"`
	Seconds float64      `toml:"seconds" unit:"s" min:"0" max:"3600" help:"time constant with which the factor is approached; 0: at once"`
}

// WarmupParams describes drift with temperature.
type WarmupParams struct {
	Terms     [][2]float64 `toml:"terms" unit:"s, %" min:"0.1,-50" max:"100000,50" help:"time constants, and by how much more light a cold panel gives than a warm one; at most four; empty: none"`
	Colour    [3]float64   `toml:"colour" unit:"%" min:"-20" max:"20" help:"by how much more light a cold panel's red, green and blue give besides; goes with the first term"`
	Idle      float64      `toml:"idle" min:"0" max:"1" help:"how warm a black screen keeps the panel; 0: cold, 1: warm"`
	FullDrive float64      `toml:"full_drive" unit:"share of full drive" min:"0" max:"1" help:"the drive from which on the panel gets fully warm"`
	OnFor     float64      `toml:"on_for" unit:"s" min:"0" max:"1000000" help:"how long the panel has shown a bright picture when the bench opens; 0: cold"`
}

// SourceParams describes the source of patches.
type SourceParams struct {
	Latency       float64 `toml:"latency" unit:"s" min:"0.001" max:"60" help:"from the request to the change of light"`
	LatencyWithin float64 `toml:"latency_within" unit:"s" min:"0" max:"10" help:"standard deviation of the latency, cut off at three; stated with each patch"`
}

// MeterParams describes the spectral meter.
type MeterParams struct {
	Name            string  `toml:"name" help:"the meter's name, as the bench shows it"`
	Serial          string  `toml:"serial" help:"the meter's serial number"`
	Integration     float64 `toml:"integration" unit:"s" min:"0.001" max:"600" help:"integration time in bright light"`
	IntegrationDark float64 `toml:"integration_dark" unit:"s" min:"0.001" max:"600" help:"longest integration time, in the dark"`
	DarkBelow       float64 `toml:"dark_below" unit:"cd/m2" min:"0" max:"10000" help:"luminance under which the integration gets longer, in inverse proportion"`
	Overhead        float64 `toml:"overhead" unit:"s" min:"0" max:"60" help:"from the end of an integration until the meter can go on"`
	Repeatability   float64 `toml:"repeatability" unit:"%" min:"0" max:"20" help:"standard deviation of a reading's gain"`
	DarkNoise       float64 `toml:"dark_noise" unit:"cd/m2" min:"0" max:"10" help:"standard deviation of luminance in the dark, integrating for 1 s"`
	ShotNoise       float64 `toml:"shot_noise" unit:"%" min:"0" max:"20" help:"standard deviation of luminance by shot noise alone, equal-energy light of 100 cd/m2, integrating for 1 s"`
	Floor           float64 `toml:"floor" unit:"cd/m2" min:"0" max:"10" help:"readings below it are flagged below_floor"`
}

// ControlParams describes one control of the unit: one that takes words, or
// one that takes a number from Min to Max.
type ControlParams struct {
	Name    string    `toml:"name" help:"as the unit's menu spells it"`
	Values  []string  `toml:"values" help:"the words it takes; empty: a number from min to max, or minimum or maximum"`
	Min     float64   `toml:"min" min:"-1000000" max:"1000000" help:"lowest number"`
	Max     float64   `toml:"max" min:"-1000000" max:"1000000" help:"highest number"`
	Step    float64   `toml:"step" min:"0" max:"1000000" help:"numbers are rounded to whole steps from min; 0: not"`
	Unit    string    `toml:"unit" help:"the number's unit"`
	Start   string    `toml:"start" help:"where it stands at the start, on purpose perhaps not where it should"`
	Factors []float64 `toml:"factors" min:"0" max:"1" help:"factor on light: for each word, or at min and at max and linear between; empty: it changes nothing"`
	Seconds float64   `toml:"seconds" unit:"s" min:"0" max:"600" help:"how long setting it takes"`
}

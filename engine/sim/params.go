package sim

// Params is the whole truth of a simulated world. Each parameter is declared
// once, here or in the other files of parameters: its name, unit, limits and one
// line of help. [Parse] checks against this declaration and [Print] prints it,
// so neither can drift.
//
// Tags: toml is the name in a world file; unit, min, max and help are the unit, the
// limits and the help. If a value is a list of rows, unit, min and max have one entry
// for each column, with commas between. one_of lists the words that are allowed, with
// bars between. Limits and words are written as for the arguments of builtins, and the
// limits themselves are allowed.
type Params struct {
	Format    int             `toml:"format" min:"1" max:"1" help:"version of this file's layout"`
	Name      string          `toml:"name" help:"the unit's name, as the bench shows it"`
	Serial    string          `toml:"serial" help:"the unit's serial number"`
	Mode      string          `toml:"mode" help:"name of the selected mode, as under modes; empty: no mode is selected, and everything is as this file states it"`
	Screen    ScreenParams    `toml:"screen" help:"The screen."`
	Primaries PrimariesParams `toml:"primaries" help:"The primaries: Gaussian spectra, mixed to the white."`
	Light     LightParams     `toml:"light" help:"How much light the panel gives."`
	Tone      ToneParams      `toml:"tone" help:"Tone curve: from signal to light."`
	Limit     LimitParams     `toml:"limit" help:"Power limiting: a picture that drives more of the panel gets less light."`
	Warmup    WarmupParams    `toml:"warmup" help:"Drift while the panel warms up; it goes back while the panel cools."`
	Retention RetentionParams `toml:"retention" help:"Image retention: what remains for a while of a picture that was shown long."`
	Static    StaticParams    `toml:"static" help:"Dimming of a picture that does not change."`
	Thermal   ThermalParams   `toml:"thermal" help:"Dimming of a panel that was driven hard for a long time."`
	PWM       PWMParams       `toml:"pwm" help:"Modulation of the light by PWM or refresh."`
	Angle     AngleParams     `toml:"angle" help:"How the light changes when the screen is seen from the side."`
	Edge      EdgeParams      `toml:"edge" help:"How the light changes towards the edges."`
	Source    SourceParams    `toml:"source" help:"The source that shows patches on the unit."`
	Adaptive  AdaptiveParams  `toml:"adaptive" help:"Automatic brightness: the luminance follows the light in the room."`
	Room      RoomParams      `toml:"room" help:"The room, and how much of its light the screen reflects."`
	Rig       RigParams       `toml:"rig" help:"The rig: it turns the unit, moves the meter and reads illuminance."`
	Meter     MeterParams     `toml:"meter" help:"The meter."`
	Reference MeterParams     `toml:"reference" help:"A second meter that serves as the reference."`
	Controls  []ControlParams `toml:"controls" help:"The unit's controls, one table each, with their positions when the run begins."`
	Lamps     []LampParams    `toml:"lamps" help:"The room's lamps, one table each. All are off when the run begins."`
	Modes     []ModeParams    `toml:"modes" help:"The unit's modes, one table each, with what each mode changes."`
	Faults    []FaultParams   `toml:"faults" help:"Faults that happen during a run, one table each."`
}

// ScreenParams describes the screen's pixels.
type ScreenParams struct {
	Width  int `toml:"width" unit:"px" min:"1" max:"16384" help:"pixels from left to right"`
	Height int `toml:"height" unit:"px" min:"1" max:"16384" help:"pixels from top to bottom"`
}

// PrimariesParams describes the primaries' spectra and the white they make.
type PrimariesParams struct {
	Red        [2]float64 `toml:"red" unit:"nm, nm" min:"380,5" max:"780,200" help:"centre and full width at half height"`
	Green      [2]float64 `toml:"green" unit:"nm, nm" min:"380,5" max:"780,200" help:"centre and full width at half height"`
	Blue       [2]float64 `toml:"blue" unit:"nm, nm" min:"380,5" max:"780,200" help:"centre and full width at half height"`
	White      [2]float64 `toml:"white" unit:"x, y" min:"0.05,0.05" max:"0.7,0.8" help:"chromaticity of white (equal signals), CIE 1931; D65 in video is [0.3127, 0.3290]"`
	WhiteShare float64    `toml:"white_share" min:"0" max:"1" help:"share of the neutral light that comes from a white subpixel; 0: the panel has no white subpixel"`
	WhiteBoost float64    `toml:"white_boost" min:"0" max:"3" help:"light that the white subpixel adds, as a share of the light that it replaces"`
	Crosstalk  float64    `toml:"crosstalk" unit:"%" min:"0" max:"50" help:"crosstalk: light that red, green or blue loses while both others are as bright; greys stay as bright as they are"`
}

// LightParams describes luminances of the panel, warm and not limited.
type LightParams struct {
	White   float64 `toml:"white" unit:"cd/m2" min:"1" max:"10000" help:"luminance of full SDR white, black level included"`
	Black   float64 `toml:"black" unit:"cd/m2" min:"0" max:"10" help:"luminance of black; it is added to everything that is shown"`
	HDRPeak float64 `toml:"hdr_peak" unit:"cd/m2" min:"1" max:"10000" help:"highest luminance of a PQ signal, black level included"`
}

// ToneParams describes how signals become light.
type ToneParams struct {
	Kind      string       `toml:"kind" one_of:"power|srgb|bt1886|table" help:"tone curve of an SDR signal"`
	Exponent  float64      `toml:"exponent" min:"1" max:"4" help:"exponent of the curve if kind is power"`
	Points    [][2]float64 `toml:"points" unit:"signal, share of light" min:"0,0" max:"1,1" help:"points of the curve if kind is table, from [0, 0] to [1, 1]; both columns rise"`
	Bits      int          `toml:"bits" min:"0" max:"16" help:"bits of an SDR signal if the patch states none; 0: the signal is not quantised"`
	Merged    [][2]int     `toml:"merged" unit:"first code, last code" min:"0,0" max:"255,255" help:"ranges of 8-bit codes of an SDR signal that look the same: all codes of a range give the light of its first code"`
	CutOff    float64      `toml:"cut_off" min:"0" max:"0.4" help:"SDR signals below this one are black; 0: no signal is cut off"`
	CutOffBy  string       `toml:"cut_off_by" one_of:"step|ramp" help:"how the light begins at cut_off; step: in full at once; ramp: gradually, in full at twice the signal"`
	HDRBits   int          `toml:"hdr_bits" min:"0" max:"16" help:"bits of a PQ signal if the patch states none; 0: the signal is not quantised"`
	HDR       string       `toml:"hdr" one_of:"clip|roll_off" help:"what the display does with a PQ signal above hdr_peak; clip: limits it to hdr_peak; roll_off: compresses the highlights"`
	HDRSource float64      `toml:"hdr_source" unit:"cd/m2" min:"1" max:"10000" help:"luminance of the signal that the roll-off shows at hdr_peak"`
	Metadata  string       `toml:"metadata" one_of:"ignore|follow" help:"whether the roll-off follows the HDR metadata of a patch"`
}

// LimitParams describes power limiting.
type LimitParams struct {
	Curve   [][2]float64 `toml:"curve" unit:"share of full drive, factor on light" min:"0,0" max:"1,1" help:"points of the curve, linear between them and constant beyond; full drive means the full screen at white or at hdr_peak, whichever is higher; empty: no limiting"`
	Seconds float64      `toml:"seconds" unit:"s" min:"0" max:"3600" help:"time constant of the limiting; 0: it acts at once"`
}

// WarmupParams describes drift with temperature.
type WarmupParams struct {
	Terms     [][2]float64 `toml:"terms" unit:"s, %" min:"0.1,-50" max:"100000,50" help:"up to four terms, each a time constant and the extra light of a cold panel over a warm one; empty: no drift"`
	Colour    [3]float64   `toml:"colour" unit:"%" min:"-20" max:"20" help:"additional change of red, green and blue in a cold panel; it decays with the first term"`
	Idle      float64      `toml:"idle" min:"0" max:"1" help:"how warm the panel stays while it shows black; 0: cold, 1: warm"`
	FullDrive float64      `toml:"full_drive" unit:"share of full drive" min:"0" max:"1" help:"lowest drive that warms the panel fully"`
	OnFor     float64      `toml:"on_for" unit:"s" min:"0" max:"1000000" help:"how long the panel has shown a bright picture before the run begins; 0: the panel is cold"`
}

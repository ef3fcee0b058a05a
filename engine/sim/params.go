package sim

// Params is the whole truth of a simulated world. Each parameter is declared
// once, here or in the other files of parameters: its name, unit, limits and one
// line of help. [Parse] checks against this declaration and [Print] prints it,
// so neither can drift.
//
// Tags: toml is the name in a world file; unit, min, max and help say what
// they say. Where a value is a list of rows, unit, min and max hold one entry
// a column, divided by commas. one_of lists the words that are allowed, divided by
// bars. Limits and words are written as those of a script's arguments are, and both
// limits are allowed values.
type Params struct {
	Format    int             `toml:"format" min:"1" max:"1" help:"version of this file's layout"`
	Name      string          `toml:"name" help:"the unit's name, as the bench shows it"`
	Serial    string          `toml:"serial" help:"the unit's serial number"`
	Mode      string          `toml:"mode" help:"the mode that the unit is in, one of modes; empty: as stated here"`
	Screen    ScreenParams    `toml:"screen" help:"The screen."`
	Primaries PrimariesParams `toml:"primaries" help:"The primaries: Gaussian spectra, mixed to the white."`
	Light     LightParams     `toml:"light" help:"How much light the panel gives."`
	Tone      ToneParams      `toml:"tone" help:"From signal to light."`
	Limit     LimitParams     `toml:"limit" help:"Power limiting: the more of the panel is driven, the less light."`
	Warmup    WarmupParams    `toml:"warmup" help:"Drift while the panel warms, undone while it cools."`
	Retention RetentionParams `toml:"retention" help:"What stays for a while of a picture that stood, place by place."`
	Static    StaticParams    `toml:"static" help:"Dimming of content that does not change."`
	Thermal   ThermalParams   `toml:"thermal" help:"Dimming of a panel that was driven hard for long."`
	PWM       PWMParams       `toml:"pwm" help:"Light that is switched, or refreshed, so many times a second."`
	Angle     AngleParams     `toml:"angle" help:"How the light changes off the axis."`
	Edge      EdgeParams      `toml:"edge" help:"How the light changes towards the edges."`
	Source    SourceParams    `toml:"source" help:"What feeds the unit its patches."`
	Adaptive  AdaptiveParams  `toml:"adaptive" help:"Brightness that follows the room."`
	Room      RoomParams      `toml:"room" help:"The room, and what the screen throws back of its light."`
	Rig       RigParams       `toml:"rig" help:"What turns the unit, moves the meter and reads illuminance."`
	Meter     MeterParams     `toml:"meter" help:"The meter."`
	Reference MeterParams     `toml:"reference" help:"A second meter, as a reference."`
	Controls  []ControlParams `toml:"controls" help:"The unit's controls, one table each, as they stand when the run begins."`
	Lamps     []LampParams    `toml:"lamps" help:"The room's lamps, one table each; all are off when the run begins."`
	Modes     []ModeParams    `toml:"modes" help:"The unit's modes, one table each: what they change."`
	Faults    []FaultParams   `toml:"faults" help:"What goes wrong, one table each."`
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
	White      [2]float64 `toml:"white" unit:"x, y" min:"0.05,0.05" max:"0.7,0.8" help:"chromaticity of equal signals, CIE 1931; [0.3127, 0.3290] is D65 as video defines it"`
	WhiteShare float64    `toml:"white_share" min:"0" max:"1" help:"share of neutral light that a white subpixel takes over; 0: the panel has none"`
	WhiteBoost float64    `toml:"white_boost" min:"0" max:"3" help:"by how much the white subpixel gives more light than it takes over, as a share"`
}

// LightParams describes luminances of the panel, warm and not limited.
type LightParams struct {
	White   float64 `toml:"white" unit:"cd/m2" min:"1" max:"10000" help:"luminance of full SDR white, black level included"`
	Black   float64 `toml:"black" unit:"cd/m2" min:"0" max:"10" help:"luminance of black; adds to all that is shown"`
	HDRPeak float64 `toml:"hdr_peak" unit:"cd/m2" min:"1" max:"10000" help:"highest luminance of a PQ signal, black level included"`
}

// ToneParams describes how signals become light.
type ToneParams struct {
	Kind      string       `toml:"kind" one_of:"power|srgb|bt1886|table" help:"curve of an SDR signal"`
	Exponent  float64      `toml:"exponent" min:"1" max:"4" help:"of the curve, where kind is power"`
	Points    [][2]float64 `toml:"points" unit:"signal, share of light" min:"0,0" max:"1,1" help:"the curve, where kind is table: from [0, 0] to [1, 1], both rising"`
	Bits      int          `toml:"bits" min:"0" max:"16" help:"bits of a signal whose patch states none; 0: not quantised"`
	Merged    [][2]int     `toml:"merged" unit:"first code, last code" min:"0,0" max:"255,255" help:"ranges of 8-bit codes of an SDR signal that all show as their first"`
	CutOff    float64      `toml:"cut_off" min:"0" max:"0.4" help:"an SDR signal below it is black; 0: none is cut off"`
	CutOffBy  string       `toml:"cut_off_by" one_of:"step|ramp" help:"how light begins there: at once, or full only at twice the signal"`
	HDRBits   int          `toml:"hdr_bits" min:"0" max:"16" help:"bits of a PQ signal whose patch states none; 0: not quantised"`
	HDR       string       `toml:"hdr" one_of:"clip|roll_off" help:"what becomes of a PQ signal above hdr_peak"`
	HDRSource float64      `toml:"hdr_source" unit:"cd/m2" min:"1" max:"10000" help:"the luminance that a roll-off brings down to hdr_peak"`
	Metadata  string       `toml:"metadata" one_of:"ignore|follow" help:"whether the roll-off starts from what a patch's metadata say"`
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

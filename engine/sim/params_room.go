package sim

// AngleParams describes the light off the axis.
type AngleParams struct {
	Dim    float64    `toml:"dim" unit:"%" min:"0" max:"90" help:"loss of luminance at 60 degrees"`
	Colour [3]float64 `toml:"colour" unit:"%" min:"-50" max:"50" help:"additional change of red, green and blue at 60 degrees"`
}

// EdgeParams describes the light towards the edges.
type EdgeParams struct {
	Dim    [2]float64 `toml:"dim" unit:"%" min:"0" max:"90" help:"loss of luminance at the left and right edges, then at the top and bottom edges"`
	Colour [3]float64 `toml:"colour" unit:"%" min:"-50" max:"50" help:"additional change of red, green and blue at the left and right edges"`
	Power  float64    `toml:"power" min:"1" max:"20" help:"steepness: the change grows with this power of the distance from the centre"`
}

// RoomParams describes the room.
type RoomParams struct {
	Stray       float64 `toml:"stray" unit:"lx" min:"0" max:"100000" help:"illuminance of the screen and of the unit's ambient light sensor while all lamps are off"`
	Reflectance float64 `toml:"reflectance" unit:"%" min:"0" max:"100" help:"share of the room's light that the screen reflects diffusely"`
	Kelvin      float64 `toml:"kelvin" unit:"K" min:"1500" max:"20000" help:"colour temperature of the room's light"`
}

// LampParams describes a lamp.
type LampParams struct {
	Name       string  `toml:"name" help:"name of the lamp, by which the rig sets it"`
	Lux        float64 `toml:"lux" unit:"lx" min:"0" max:"200000" help:"illuminance of the screen with the lamp warm and at full level"`
	Sensor     float64 `toml:"sensor" unit:"lx" min:"0" max:"200000" help:"illuminance of the unit's ambient light sensor, likewise, if nothing shades it"`
	WarmBy     float64 `toml:"warm_by" unit:"%" min:"-90" max:"90" help:"light of the cold lamp relative to the warm one: -8 means that the cold lamp gives 8 % less"`
	WarmSecs   float64 `toml:"warm_seconds" unit:"s" min:"0.1" max:"100000" help:"time constant of warming up, and of cooling when it is off"`
	Drift      float64 `toml:"drift" unit:"%" min:"0" max:"50" help:"standard deviation of the lamp's slow drift"`
	DriftSecs  float64 `toml:"drift_seconds" unit:"s" min:"1" max:"100000" help:"approximate period of that drift"`
	SetSeconds float64 `toml:"set_seconds" unit:"s" min:"0" max:"600" help:"time that setting it takes"`
}

// RigParams describes the rig.
type RigParams struct {
	TurnStep      float64 `toml:"turn_step" unit:"degrees" min:"0" max:"90" help:"step size of the turntable; 0: it takes any angle"`
	TurnSeconds   float64 `toml:"turn_seconds" unit:"s" min:"0" max:"10" help:"time that the turntable needs for one degree"`
	MoveSeconds   float64 `toml:"move_seconds" unit:"s" min:"0" max:"600" help:"time that moving the meter takes"`
	LuxNoise      float64 `toml:"lux_noise" unit:"%" min:"0" max:"50" help:"standard deviation of a reading of illuminance"`
	LuxScale      float64 `toml:"lux_scale" unit:"%" min:"0" max:"20" help:"standard uncertainty of the light meter's scale, as in its certificate; the true error of the scale is chosen at random with this standard deviation"`
	LuxZero       float64 `toml:"lux_zero" unit:"lx" min:"0" max:"0.2" help:"standard uncertainty of the light meter's zero, as for lux_scale; the error is chosen anew in each run"`
	LuxErrorsSeed int     `toml:"lux_errors_seed" min:"0" max:"1000000000" help:"seed for the error of the light meter's scale; 0: use the run's seed, so each seed has another light meter"`
	LuxSeconds    float64 `toml:"lux_seconds" unit:"s" min:"0" max:"60" help:"time that a reading of illuminance takes"`
}

// FaultParams describes something that goes wrong, once. It begins at the reading, the
// patch or the second that is stated. Steps that were set aside do not count, but what
// began in them does not begin again, unless it passes by itself ([World.Mend]).
type FaultParams struct {
	Kind      string     `toml:"kind" one_of:"timeout|bad_reading|slip|banner|sleep" help:"kind of fault; timeout: the meter does not answer; bad_reading: one reading is wrong; slip: the meter loses contact with the screen; banner: a message covers the screen; sleep: the screen goes dark until the next patch"`
	AtReading int        `toml:"at_reading" min:"0" max:"1000000" help:"number of the meter's reading with which the fault begins, counted from 1; 0: at_patch or at_second states when"`
	AtPatch   int        `toml:"at_patch" min:"0" max:"1000000" help:"number of the shown patch with which the fault begins, counted from 1; 0: at_reading or at_second states when"`
	AtSecond  float64    `toml:"at_second" unit:"s" min:"0" max:"1000000" help:"time at which the fault begins, counted from the opening of the bench"`
	Seconds   float64    `toml:"seconds" unit:"s" min:"0" max:"1000000" help:"duration of a slip or a banner, or time without an answer in a timeout; 0: a slip or a banner lasts to the end, a timeout takes no time"`
	Percent   float64    `toml:"percent" unit:"%" min:"-1000" max:"1000" help:"light that a slipped meter or the bad reading shows, in percent of the true light"`
	Colour    [3]float64 `toml:"colour" unit:"%" min:"-90" max:"200" help:"additional change of red, green and blue in a slipped meter"`
	Grey      float64    `toml:"grey" min:"0" max:"1" help:"grey of the banner, as a signal"`
}

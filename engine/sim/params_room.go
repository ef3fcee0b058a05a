package sim

// AngleParams describes the light off the axis.
type AngleParams struct {
	Dim    float64    `toml:"dim" unit:"%" min:"0" max:"90" help:"how much of the luminance is lost at 60 degrees"`
	Colour [3]float64 `toml:"colour" unit:"%" min:"-50" max:"50" help:"by how much more light red, green and blue give there besides"`
}

// EdgeParams describes the light towards the edges.
type EdgeParams struct {
	Dim    [2]float64 `toml:"dim" unit:"%" min:"0" max:"90" help:"how much of the luminance is lost at the left and right edges, and at top and bottom"`
	Colour [3]float64 `toml:"colour" unit:"%" min:"-50" max:"50" help:"by how much more light red, green and blue give at the left and right edges besides"`
	Power  float64    `toml:"power" min:"1" max:"20" help:"how steep: the change grows with this power of the distance from the middle"`
}

// RoomParams describes the room.
type RoomParams struct {
	Stray       float64 `toml:"stray" unit:"lux" min:"0" max:"100000" help:"illuminance of the screen, and of the unit's sensor, with all lamps off"`
	Reflectance float64 `toml:"reflectance" unit:"%" min:"0" max:"100" help:"share of the room's light that the screen throws back, diffusely"`
	Kelvin      float64 `toml:"kelvin" unit:"K" min:"1500" max:"20000" help:"colour temperature of that light"`
}

// LampParams describes a lamp.
type LampParams struct {
	Name       string  `toml:"name" help:"as the rig calls it"`
	Lux        float64 `toml:"lux" unit:"lux" min:"0" max:"200000" help:"illuminance of the screen at full level, the lamp warm"`
	Sensor     float64 `toml:"sensor" unit:"lux" min:"0" max:"200000" help:"the same where the unit's ambient sensor is, nothing shading it"`
	WarmBy     float64 `toml:"warm_by" unit:"%" min:"-90" max:"90" help:"by how much more light it gives cold than warm"`
	WarmSecs   float64 `toml:"warm_seconds" unit:"s" min:"0.1" max:"100000" help:"time constant of warming, and of cooling once off"`
	Drift      float64 `toml:"drift" unit:"%" min:"0" max:"50" help:"standard deviation of its slow drift"`
	DriftSecs  float64 `toml:"drift_seconds" unit:"s" min:"1" max:"100000" help:"period of that drift, about"`
	SetSeconds float64 `toml:"set_seconds" unit:"s" min:"0" max:"600" help:"how long setting it takes"`
}

// RigParams describes the rig.
type RigParams struct {
	TurnStep    float64 `toml:"turn_step" unit:"degrees" min:"0" max:"90" help:"the turntable's steps; 0: any angle"`
	TurnSeconds float64 `toml:"turn_seconds" unit:"s" min:"0" max:"10" help:"how long a degree takes"`
	MoveSeconds float64 `toml:"move_seconds" unit:"s" min:"0" max:"600" help:"how long moving the meter takes"`
	LuxNoise    float64 `toml:"lux_noise" unit:"%" min:"0" max:"50" help:"standard deviation of a reading of illuminance"`
	LuxSeconds  float64 `toml:"lux_seconds" unit:"s" min:"0" max:"60" help:"how long such a reading takes"`
}

// FaultParams describes something that goes wrong. It begins at the reading or
// at the second that is stated.
type FaultParams struct {
	Kind      string     `toml:"kind" one_of:"timeout|bad_reading|slip|banner|sleep" help:"timeout: the meter does not answer; bad_reading: one reading is off; slip: the meter loses contact; banner: a message covers the screen; sleep: the screen goes dark until the next patch"`
	AtReading int        `toml:"at_reading" min:"0" max:"1000000" help:"the meter's reading at whose beginning it begins, from 1; 0: at_second says when"`
	AtSecond  float64    `toml:"at_second" unit:"s" min:"0" max:"1000000" help:"when it begins, since the bench opened"`
	Seconds   float64    `toml:"seconds" unit:"s" min:"0" max:"1000000" help:"for how long a slip or a banner lasts, or the meter keeps silent; 0: for good, and no time for a timeout"`
	Percent   float64    `toml:"percent" unit:"%" min:"-1000" max:"1000" help:"what a slipped meter, or the bad reading, reads of the light"`
	Colour    [3]float64 `toml:"colour" unit:"%" min:"-90" max:"200" help:"by how much more of red, green and blue a slipped meter reads besides"`
	Grey      float64    `toml:"grey" min:"0" max:"1" help:"signal of the banner"`
}

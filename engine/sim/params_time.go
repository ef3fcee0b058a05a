package sim

// RetentionParams describes what stays of a picture that stood.
type RetentionParams struct {
	Terms  [][4]float64 `toml:"terms" unit:"s, s, %, cd/m2" min:"0.1,0.1,-20,0" max:"1000000,1000000,20,1" help:"up to three terms, each with four numbers: time constant of charging, time constant of decay, extra light in percent of the light of a dark grey, extra light in cd/m2. Both extra lights are those after long full drive at the same place; empty: no retention"`
	Colour [3]float64   `toml:"colour" min:"-3,-3,-3" max:"3,3,3" help:"factors on the percentage for red, green and blue; three ones make a residual without a tint"`
}

// StaticParams describes the dimming of content that does not change.
type StaticParams struct {
	After float64 `toml:"after" unit:"s" min:"0" max:"100000" help:"time for which the picture must not change before the dimming begins; black does not count"`
	By    float64 `toml:"by" unit:"%" min:"0" max:"95" help:"loss of light by the dimming; 0: no dimming"`
	Ramp  float64 `toml:"ramp" unit:"s" min:"0.01" max:"1000" help:"time constant of the dimming"`
	Back  float64 `toml:"back" unit:"s" min:"0.01" max:"1000" help:"time constant of the recovery after the picture has changed"`
}

// ThermalParams describes dimming by heat.
type ThermalParams struct {
	Seconds float64 `toml:"seconds" unit:"s" min:"1" max:"100000" help:"time constant of heating and cooling"`
	From    float64 `toml:"from" unit:"share of the heat of full drive" min:"0.01" max:"0.99" help:"heat above which the panel dims"`
	By      float64 `toml:"by" unit:"%" min:"0" max:"95" help:"loss of light at the heat of full drive; 0: no dimming"`
}

// PWMParams describes light that is switched.
type PWMParams struct {
	Frequency float64 `toml:"frequency" unit:"Hz" min:"1" max:"100000" help:"frequency of the modulation"`
	Duty      float64 `toml:"duty" min:"0.01" max:"1" help:"duty cycle: share of the period in which the light is brighter"`
	Depth     float64 `toml:"depth" min:"0" max:"1" help:"modulation depth: share of the light that is switched; 0: the light is steady"`
}

// AdaptiveParams describes brightness that follows the room.
type AdaptiveParams struct {
	Control    string       `toml:"control" help:"name of the control that turns it on with the word on; empty, or no such control: the unit has no automatic brightness"`
	Curve      [][2]float64 `toml:"curve" unit:"lx, factor on light" min:"0,0" max:"200000,5" help:"points of illuminance at the unit's ambient light sensor and factor on the light, linear between them and constant beyond; an HDR picture is never made brighter"`
	Hysteresis float64      `toml:"hysteresis" unit:"%" min:"0" max:"1000" help:"change of illuminance, from the last one that was followed, that starts an adjustment"`
	Delay      float64      `toml:"delay" unit:"s" min:"0" max:"600" help:"time for which that change must last"`
	Seconds    float64      `toml:"seconds" unit:"s" min:"0.01" max:"600" help:"time constant of the adjustment"`
}

package sim

// RetentionParams describes what stays of a picture that stood.
type RetentionParams struct {
	Terms  [][4]float64 `toml:"terms" unit:"s, s, %, cd/m2" min:"0.1,0.1,-20,0" max:"1000000,1000000,20,1" help:"time constants of charging and of decay, and what a place that was at full drive for long gives more: of the light of a dark grey there, and on top of it; at most three; empty: none"`
	Colour [3]float64   `toml:"colour" min:"-3,-3,-3" max:"3,3,3" help:"factors on the share of the light for red, green and blue; ones make a residual without a colour of its own"`
}

// StaticParams describes the dimming of content that does not change.
type StaticParams struct {
	After float64 `toml:"after" unit:"s" min:"0" max:"100000" help:"for how long content must stand; black does not count"`
	By    float64 `toml:"by" unit:"%" min:"0" max:"95" help:"how much of the light is then taken away; 0: none"`
	Ramp  float64 `toml:"ramp" unit:"s" min:"0.01" max:"1000" help:"time constant of dimming"`
	Back  float64 `toml:"back" unit:"s" min:"0.01" max:"1000" help:"time constant of coming back once the content has changed"`
}

// ThermalParams describes dimming by heat.
type ThermalParams struct {
	Seconds float64 `toml:"seconds" unit:"s" min:"1" max:"100000" help:"time constant of heating and cooling"`
	From    float64 `toml:"from" unit:"share of the heat of full drive" min:"0.01" max:"0.99" help:"the heat from which on the panel dims"`
	By      float64 `toml:"by" unit:"%" min:"0" max:"95" help:"how much of the light the heat of full drive takes away; 0: none"`
}

// PWMParams describes light that is switched.
type PWMParams struct {
	Frequency float64 `toml:"frequency" unit:"Hz" min:"1" max:"100000" help:"how often a second"`
	Duty      float64 `toml:"duty" min:"0.01" max:"1" help:"share of the period in which the light is brighter"`
	Depth     float64 `toml:"depth" min:"0" max:"1" help:"share of the light that is switched; 0: the light is steady"`
}

// AdaptiveParams describes brightness that follows the room.
type AdaptiveParams struct {
	Control    string       `toml:"control" help:"the control that switches it by the word on; empty, or without such a control: there is none"`
	Curve      [][2]float64 `toml:"curve" unit:"lux, factor on light" min:"0,0" max:"200000,5" help:"the factor at which illuminance of the unit's sensor; linear between points, level beyond; an HDR picture is never made brighter"`
	Hysteresis float64      `toml:"hysteresis" unit:"%" min:"0" max:"1000" help:"by how much the illuminance must differ from the one last followed"`
	Delay      float64      `toml:"delay" unit:"s" min:"0" max:"600" help:"for how long it must differ"`
	Seconds    float64      `toml:"seconds" unit:"s" min:"0.01" max:"600" help:"time constant of the change"`
}

package driver

import (
	"reflect"
	"slices"

	"candelua/engine/bench"
)

// Verb is one thing that an instrument can be asked for.
type Verb string

// The verbs.
const (
	Read  Verb = "read"  // a single reading
	Dark  Verb = "dark"  // measure the dark level, with the light shut out
	Show  Verb = "show"  // a patch
	Set   Verb = "set"   // a control of the unit
	Power Verb = "power" // switch the unit off or on
	Lamp  Verb = "lamp"  // a lamp's level
	Turn  Verb = "turn"  // the unit before the meter
	Place Verb = "place" // where on the screen the meter looks
	Lux   Verb = "lux"   // a reading of illuminance
)

// ReadOne asks a meter for one single reading.
type ReadOne struct {
	Spectrum bool    `lua:"spectrum" json:"spectrum" default:"false" help:"true: the spectral radiance is wanted too"`
	Sync     bool    `lua:"sync" json:"sync" default:"false" help:"true: fit the integration to whole refresh periods"`
	Expect   float64 `lua:"expect" json:"expect" default:"0" unit:"cd/m2" help:"luminance to expect; 0: not known"`
}

// One is a single reading as an instrument gives it: Y alone; Y with x and y, or with u' and v'; or X, Y and Z.
type One struct {
	Y        *float64  `lua:"Y" json:"Y" unit:"cd/m2" help:"luminance"`
	X        *float64  `lua:"X" json:"X,omitempty" unit:"cd/m2" help:"CIE 1931 tristimulus value, with Z"`
	Z        *float64  `lua:"Z" json:"Z,omitempty" unit:"cd/m2" help:"CIE 1931 tristimulus value, with X"`
	Cx       *float64  `lua:"x" json:"x,omitempty" help:"CIE 1931 chromaticity, with y"`
	Cy       *float64  `lua:"y" json:"y,omitempty" help:"CIE 1931 chromaticity, with x"`
	U        *float64  `lua:"u" json:"u,omitempty" help:"CIE 1976 chromaticity u', with v, in place of x and y"`
	V        *float64  `lua:"v" json:"v,omitempty" help:"CIE 1976 chromaticity v', with u"`
	Spectrum *Spectral `lua:"spectrum" json:"spectrum,omitempty" help:"spectral radiance, if it was asked for"`
	Seconds  *float64  `lua:"seconds" json:"seconds,omitempty" unit:"s" help:"for how long the light was integrated, up to the answer"`
	Count    *float64  `lua:"count" json:"count,omitempty" help:"the instrument's own number of this reading; the same number twice is an old reading, which is tried again"`
	Flags    []string  `lua:"flags" json:"flags,omitempty" one_of:"below_floor|saturated|underfilled|unsynchronised" optional:"true" help:"what the instrument says against its reading: a list of such words; one that is not in the list is not the case"`
}

// Spectral is spectral radiance, regularly sampled.
type Spectral struct {
	From   float64   `lua:"from" json:"from" unit:"nm" help:"first wavelength"`
	Step   float64   `lua:"step" json:"step" unit:"nm" help:"interval between wavelengths"`
	Values []float64 `lua:"values" json:"values" unit:"W/(sr m2 nm)" help:"one for each wavelength"`
}

// ShowPatch asks a source for a patch: a window on a background.
type ShowPatch struct {
	Red    float64 `lua:"red" json:"red" help:"signal of the window, 0 to 1"`
	Green  float64 `lua:"green" json:"green" help:"signal of the window, 0 to 1"`
	Blue   float64 `lua:"blue" json:"blue" help:"signal of the window, 0 to 1"`
	Window float64 `lua:"window" json:"window" unit:"%" help:"share of the screen's area; 100: the full screen"`
	// Codes are what the signals are in the chain that the bench file states.
	Codes      []int   `lua:"codes" json:"codes" help:"the three code values of the window in the chain that the bench file states: red, green, blue or Y', Cb, Cr"`
	BackCodes  []int   `lua:"back_codes" json:"back_codes" help:"the three code values of the background"`
	BackRed    float64 `lua:"back_red" json:"back_red" help:"signal of the background, 0 to 1"`
	BackGreen  float64 `lua:"back_green" json:"back_green" help:"signal of the background, 0 to 1"`
	BackBlue   float64 `lua:"back_blue" json:"back_blue" help:"signal of the background, 0 to 1"`
	AtX        float64 `lua:"at_x" json:"at_x" help:"centre of the window, 0 to 1 from the left"`
	AtY        float64 `lua:"at_y" json:"at_y" help:"centre of the window, 0 to 1 from the top"`
	Signal     string  `lua:"signal" json:"signal" one_of:"sdr|pq|hlg" help:"how light is coded; hlg only of a source that says that it shows it"`
	Bits       int     `lua:"bits" json:"bits" help:"bit depth of the codes"`
	Mastering  float64 `lua:"mastering_peak" json:"mastering_peak" unit:"cd/m2" help:"metadata: peak of the mastering display; 0: not stated"`
	MaxContent float64 `lua:"max_cll" json:"max_cll" unit:"cd/m2" help:"metadata: maximum content light level; 0: not stated"`
	MaxAverage float64 `lua:"max_fall" json:"max_fall" unit:"cd/m2" help:"metadata: maximum frame-average light level; 0: not stated"`
	// The rest is asked only of a source that says that it shows it ([Card.Shows]).
	Space     string  `lua:"space" json:"space,omitempty" one_of:"|display-p3" help:"display-p3: a picture with this profile; empty: plain codes"`
	Pattern   string  `lua:"pattern" json:"pattern,omitempty" one_of:"|checkerboard|ramp|steps|ladder" help:"a pattern over the full screen in place of the window; empty: a window"`
	Columns   int     `lua:"columns" json:"columns,omitempty" help:"fields of a checkerboard from left to right; the one at at_x, at_y has red, green, blue"`
	Rows      int     `lua:"rows" json:"rows,omitempty" help:"fields of a checkerboard from top to bottom"`
	Count     int     `lua:"count" json:"count,omitempty" help:"bars of steps, or fields of a ladder"`
	FromRed   float64 `lua:"from_red" json:"from_red,omitempty" help:"signal with which a ramp, steps or a ladder begin, 0 to 1; they end with red, green, blue"`
	FromGreen float64 `lua:"from_green" json:"from_green,omitempty" help:"the same"`
	FromBlue  float64 `lua:"from_blue" json:"from_blue,omitempty" help:"the same"`
	Vertical  bool    `lua:"vertical" json:"vertical,omitempty" help:"true: a ramp or steps begin at the top, not at the left"`
}

// Showed is what a source answers of a patch. A source need say nothing.
type Showed struct {
	Area  *float64 `lua:"area" json:"area,omitempty" unit:"%" help:"share of the screen that the window truly has, if it is not the one that was asked for"`
	Delay *float64 `lua:"delay" json:"delay,omitempty" unit:"s" help:"how long after the answer the light changes; without it, at once"`
	HDR   bool     `lua:"hdr" json:"hdr,omitempty" default:"false" help:"true: the source knows that the unit shows HDR now"`
}

// SetControl asks a unit to set one of its controls.
type SetControl struct {
	Name  string `lua:"name" json:"name" help:"name of the control"`
	Value any    `lua:"value" json:"value" help:"a word, a number, true or false"`
}

// SetPower asks a unit to switch itself off or on.
type SetPower struct {
	On bool `lua:"on" json:"on" help:"true: on"`
}

// SetLamp asks a rig to set a lamp.
type SetLamp struct {
	Lamp  string  `lua:"lamp" json:"lamp" help:"name of the lamp"`
	Level float64 `lua:"level" json:"level" unit:"%" help:"level, 0 to 100"`
}

// TurnTo asks a rig to turn the unit.
type TurnTo struct {
	Axis    string  `lua:"axis" json:"axis" one_of:"horizontal|vertical" help:"about which the unit is turned"`
	Degrees float64 `lua:"degrees" json:"degrees" unit:"°" help:"angle from straight on"`
}

// Turned is the angle that was reached.
type Turned struct {
	Degrees *float64 `lua:"degrees" json:"degrees,omitempty" unit:"°" help:"angle that was reached, if it is not the one that was asked for"`
}

// PlaceAt asks a rig to move the meter, or is the place that it reached.
type PlaceAt struct {
	X float64 `lua:"x" json:"x" help:"0 to 1 from the left"`
	Y float64 `lua:"y" json:"y" help:"0 to 1 from the top"`
}

// Placed is the place that was reached.
type Placed struct {
	X *float64 `lua:"x" json:"x,omitempty" help:"place that was reached, if it is not the one that was asked for"`
	Y *float64 `lua:"y" json:"y,omitempty" help:"place that was reached, if it is not the one that was asked for"`
}

// LuxAt asks a rig for a reading of illuminance.
type LuxAt struct {
	At string `lua:"at" json:"at" one_of:"screen|sensor" help:"where: in the plane of the screen, or at the unit's own light sensor"`
}

// Illuminance is a reading of it.
type Illuminance struct {
	Lux *float64 `lua:"lux" json:"lux" unit:"lx" help:"illuminance"`
}

// Nothing is the request or the answer that says nothing more.
type Nothing struct{}

// Message is a verb with what is asked and answered, for the reference and for those who
// encode it.
type Message struct {
	Verb   Verb
	Kinds  []bench.Kind // which devices can be asked
	Help   string
	Ask    reflect.Type
	Answer reflect.Type
}

// Messages are all verbs, in the order of the reference.
var Messages = []Message{
	message[ReadOne, One](Read, "takes one single reading, now", bench.KindMeter, bench.KindReference),
	message[Nothing, Nothing](Dark, "measures the dark level, with the light shut out, and subtracts it from then on", bench.KindMeter, bench.KindReference),
	message[ShowPatch, Showed](Show, "shows a patch, and answers once it is shown", bench.KindPatches),
	message[SetControl, Nothing](Set, "sets a control of the unit", bench.KindUnit),
	message[SetPower, Nothing](Power, "switches the unit off or on", bench.KindUnit),
	message[SetLamp, Nothing](Lamp, "sets a lamp, and answers once its light is steady", bench.KindRig),
	message[TurnTo, Turned](Turn, "turns the unit before the meter, and answers once it stands still", bench.KindRig),
	message[PlaceAt, Placed](Place, "moves the meter over the screen", bench.KindRig),
	message[LuxAt, Illuminance](Lux, "reads the illuminance", bench.KindRig),
}

func message[Q, A any](v Verb, help string, kinds ...bench.Kind) Message {
	return Message{v, kinds, help, reflect.TypeFor[Q](), reflect.TypeFor[A]()}
}

// MessageOf is what is said with a verb; false where there is no such verb.
func MessageOf(v Verb) (Message, bool) {
	i := slices.IndexFunc(Messages, func(m Message) bool { return m.Verb == v })
	if i < 0 {
		return Message{}, false
	}
	return Messages[i], true
}

// VerbsOf are what a kind of device can be asked for. The first of them is the one that such a
// device must be able to do, except for a rig, which must be able to do one of them.
func VerbsOf(k bench.Kind) (verbs []Verb) {
	for _, m := range Messages {
		if slices.Contains(m.Kinds, k) {
			verbs = append(verbs, m.Verb)
		}
	}
	return verbs
}

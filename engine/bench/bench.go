package bench

import (
	"context"
	"strings"
	"time"
)

// Kind is a place on the bench that a device can fill.
type Kind string

// The kinds of device. A bench has one of each at most, but for meters, which
// are named: "meter" and, optionally, "reference".
const (
	KindMeter     Kind = "meter"
	KindReference Kind = "reference"
	KindPatches   Kind = "patches"
	KindUnit      Kind = "unit"
	KindRig       Kind = "rig"
	KindOperator  Kind = "operator"
)

// Identity is what a device says of itself. It is kept in the head of a run's
// journal, so that a resumed run can tell whether the same device is there.
type Identity struct {
	Name      string `json:"name"`
	Driver    string `json:"driver"`
	Serial    string `json:"serial,omitempty"`
	Firmware  string `json:"firmware,omitempty"`
	Simulated bool   `json:"simulated,omitempty"`
	// ByHand says that a person is the device: reads and types, sets, plays.
	ByHand bool `json:"by_hand,omitempty"`
	// Floor is the lowest luminance that a meter tells from darkness, in
	// cd/m²; 0 where nothing is stated.
	Floor float64 `json:"floor,omitempty"`
	// Accuracy is what is known of a meter, from its certificate or its maker.
	Accuracy Accuracy `json:"accuracy,omitzero"`
	// Lux is what is known of a rig's light meter, likewise.
	Lux LuxAccuracy `json:"lux,omitzero"`
	// Delay is the time from painted to light of a source of patches, in s, as the bench file states it; 0 where
	// it does not.
	Delay float64 `json:"delay,omitempty"`
	// Screen is what the unit's own browser says of its screen, where that is the source of patches; nil elsewhere.
	Screen *ScreenFacts `json:"screen,omitempty"`
}

// ScreenFacts are what a browser says of the screen that it is on, as a run begins.
type ScreenFacts struct {
	Width      int     `json:"width"`           // pixels
	Height     int     `json:"height"`          // pixels
	Ratio      float64 `json:"ratio"`           // pixels in one of the browser's own units
	Gamut      string  `json:"gamut,omitempty"` // the widest that it states: srgb, p3 or rec2020
	HighRange  bool    `json:"high_range,omitempty"`
	Bits       int     `json:"bits,omitempty"` // of a colour
	Browser    string  `json:"browser,omitempty"`
	FullScreen bool    `json:"full_screen"`
	Secure     bool    `json:"secure"`            // a secure context
	Awake      string  `json:"awake,omitempty"`   // what keeps the screen on: wake lock, video, or told (the person was)
	Painted    string  `json:"painted,omitempty"` // how it is known that a picture is painted: timing or frames
}

// Called is the name by which a person knows the device: its name and serial number.
func (id Identity) Called() string {
	if id.Serial == "" {
		return id.Name
	}
	return id.Name + " " + id.Serial
}

// Accuracy is what is known of a meter: standard uncertainties. Zero means
// that nothing is stated.
type Accuracy struct {
	Scale         float64 `toml:"scale" json:"scale,omitempty"`                 // % of Y
	XY            float64 `toml:"xy" json:"xy,omitempty"`                       // chromaticity x, y
	Dark          float64 `toml:"dark" json:"dark,omitempty"`                   // cd/m², when the dark level was taken
	Drift         float64 `toml:"drift" json:"drift,omitempty"`                 // cd/m² an hour, of the dark level since then
	Repeatability float64 `toml:"repeatability" json:"repeatability,omitempty"` // % of Y, a single reading
	// Noise says how single readings scatter, by rising level: rows of a luminance, the standard
	// deviation of Y there, both in cd/m², and the share of its variance that X, Y and Z
	// have in common, [CommonNoise] where it is left out. It stands before Repeatability, which is of
	// about 100 cd/m².
	Noise [][]float64 `toml:"noise" json:"noise,omitempty"`
	// Zero is by how much one measurement of the dark level differs from the next, cd/m².
	Zero float64 `toml:"zero" json:"zero,omitempty"`
	// Of spectra: of the scale of wavelengths and of the response, smooth over the wavelengths, both alike in
	// all spectra; and of each sample of a single spectrum by itself, as a share and also in the dark.
	Wavelength float64 `toml:"wavelength" json:"wavelength,omitempty"`   // nm
	Response   float64 `toml:"response" json:"response,omitempty"`       // %
	Sample     float64 `toml:"sample" json:"sample,omitempty"`           // % of the sample
	SampleDark float64 `toml:"sample_dark" json:"sample_dark,omitempty"` // W/(sr m² nm)
	// Certificate and Date say which calibration states this. A meter that was calibrated
	// anew shares no error with itself before.
	Certificate string `toml:"certificate" json:"certificate,omitempty"`
	Date        string `toml:"date" json:"date,omitempty"` // year-month-day
}

// LuxAccuracy is what is known of a light meter: standard uncertainties. Zero means that nothing is
// stated.
type LuxAccuracy struct {
	Scale         float64 `json:"scale,omitempty"`         // % of the illuminance
	Zero          float64 `json:"zero,omitempty"`          // lx
	Repeatability float64 `json:"repeatability,omitempty"` // % of the illuminance, a single reading
	Certificate   string  `json:"certificate,omitempty"`
	Date          string  `json:"date,omitempty"` // year-month-day
}

// Illuminance is what a light meter read, in lx.
type Illuminance struct {
	Lux   float64
	Typed string // the number as a person typed it
}

// Device is any instrument on the bench.
type Device interface {
	About() Identity
}

// ReadRequest asks a meter for readings.
type ReadRequest struct {
	Most     int     // how many single readings at the most; at least 1
	After    float64 // delay before reading, in s after the patch is lit; the engine waits for it, a person is told
	Spectrum bool    // also the spectral radiance
	Sync     bool    // fit the integration to whole refresh periods
	Expect   float64 // the luminance to expect in cd/m², 0 where unknown
	// Number says which reading of a part of the run this is, from 1, and Of how many the part has; 0 where the script does not say. A person is told.
	Number, Of int
	OrFewer    bool // there may be fewer than Of
	// Steady is true where a person is to read once the light no longer changes; a meter is watched instead.
	Steady bool
	// Agree is above 0 where a person reads again until two readings in a row agree within so many percent, because the light may still change.
	Agree float64
	// At is where on the screen the meter looks for this request, 0 to 1 from the
	// left and the top; nil is where a [Placer] put it, else the middle of the window.
	At *[2]float64
}

// Sample is one single reading, raw, as the meter gave it.
type Sample struct {
	// X, Y, Z are absolute tristimulus values in cd/m². A meter that measures
	// luminance only sets Y alone and leaves Colour false.
	X, Y, Z  float64
	Colour   bool
	Began    time.Duration // when the integration began, bench time
	Ended    time.Duration // and ended
	Flags    []Flag
	Spectrum *Spectrum
	Typed    string // the line as a person typed it
	Tries    int    // how often the reading was tried until it could be taken; 0 is once
}

// Spectrum is spectral radiance, regularly sampled, in W/(sr m² nm).
type Spectrum struct {
	From   float64   `json:"from"` // nm
	Step   float64   `json:"step"` // nm
	Values []float64 `json:"values"`
}

// Flag is a warning about a reading.
type Flag string

// The flags of a reading.
const (
	BelowFloor     Flag = "below_floor"
	Saturated      Flag = "saturated"
	Underfilled    Flag = "underfilled"
	Unsynchronised Flag = "unsynchronised"
	Drifting       Flag = "drifting"
	// Unvarying is the same number in each digit several times in a row: a meter with a coarse
	// display, or one that repeats an old reading.
	Unvarying Flag = "unvarying"
)

// Enough is what the function that takes samples returns to end a read early.
// A meter's Read then returns nil.
var Enough error = enough{}

type enough struct{}

func (enough) Error() string { return "enough readings" }

// Meter reads light.
type Meter interface {
	Device
	// Read takes up to q.Most single readings and hands each over as it
	// comes. It stops early, without an error, when take returns [Enough],
	// and ends with take's error otherwise. When ctx is done it finishes the
	// current single reading, hands it over and returns ctx's cause. A meter
	// whose readings a person types returns one sample in each call.
	Read(ctx context.Context, q ReadRequest, take func(Sample) error) error
}

// Signal is how a patch is coded.
type Signal string

// The signals of a patch.
const (
	SDR Signal = "sdr" // gamma-coded, relative to the unit's white
	PQ  Signal = "pq"  // SMPTE ST 2084, absolute
	HLG Signal = "hlg" // Rec. ITU-R BT.2100, relative to the unit's peak
)

// Patch is what the unit is asked to show: a coloured window on a background, or a [Pattern].
type Patch struct {
	RGB        [3]float64 `json:"rgb"`        // signal, 0 to 1
	Window     float64    `json:"window"`     // % of the screen's area; 100 is the full screen
	Background [3]float64 `json:"background"` // signal, 0 to 1
	Signal     Signal     `json:"signal"`
	Bits       int        `json:"bits,omitempty"` // 0: the source decides
	At         [2]float64 `json:"at"`             // centre of the window, 0 to 1 from the left and the top
	Metadata   Metadata   `json:"metadata,omitzero"`
	Pattern    Pattern    `json:"pattern,omitzero"` // zero: the window
	Space      Space      `json:"space,omitempty"`  // of RGB, Background and From
}

// Shown is the answer of a source that showed a patch.
type Shown struct {
	Lit       time.Duration // when the light changed, bench time
	LitWithin time.Duration // its standard uncertainty
	Area      float64       // the share of the screen truly covered, %
	// Codes are the code values of the window as they were sent in the bench file's chain:
	// red, green and blue, or Y', Cb and Cr; nil where the source does not say.
	Codes []int
	// Path is how the patch reached the panel; empty where the source does not say.
	Path Path
	// RGB is the signal of the patch's own colour as it was truly shown; nil where it is the one that was asked for.
	RGB *[3]float64
	// At is the true middle of the window; nil where it is the one that was asked for, to a pixel.
	At *[2]float64
	// Painted says that Lit is when the picture was painted: the display's own delay comes on top. A [Delayed] source says so.
	Painted bool
	// HDR says that the source knows that the unit shows HDR. Where it does not, somebody looks.
	HDR bool
	// Pending says that a person was asked to show the patch and has not yet
	// confirmed it; a typed reading, or [Acknowledger], confirms it.
	Pending bool
}

// Patches shows patches.
type Patches interface {
	Device
	Show(context.Context, Patch) (Shown, error)
}

// Setting is one control of the unit and the value to set it to: a word
// ("off", "maximum") or a number in the control's unit.
type Setting struct {
	Name  string `json:"name"`
	Value any    `json:"value"` // string, float64 or bool
}

// SetAnswer says how a setting was made.
type SetAnswer struct {
	ByHand  bool `json:"by_hand,omitempty"`
	Assumed bool `json:"assumed,omitempty"` // nobody confirmed it
	// Made are the settings that were made otherwise than they were asked for; nil for none.
	Made []Made `json:"made,omitempty"`
}

// Made is a setting as it was made, such as a number that the control rounded.
type Made struct {
	Asked string `json:"asked"` // the name by which it was asked for
	Setting
}

// Unit is the display under test, as far as it can be controlled.
type Unit interface {
	Device
	Set(context.Context, []Setting) (SetAnswer, error)
}

// Rig is what surrounds the unit: lamps, turntable, ambient sensor.
type Rig interface {
	Device
	// Set sets a lamp to a level in percent.
	Set(ctx context.Context, lamp string, level float64) (SetAnswer, error)
}

// QuestionKind says what answer a question takes.
type QuestionKind string

// The kinds of question.
const (
	Confirm QuestionKind = "confirm" // an acknowledgement
	Number  QuestionKind = "number"
	Choice  QuestionKind = "choice"
	Text    QuestionKind = "text"
)

// Question is put to the operator.
type Question struct {
	Kind    QuestionKind `json:"kind"`
	Text    string       `json:"text"`
	Unit    string       `json:"unit,omitempty"`
	Min     *float64     `json:"min,omitempty"`
	Max     *float64     `json:"max,omitempty"`
	Choices []string     `json:"choices,omitempty"`
	Example string       `json:"example,omitempty"` // what a rehearsal answers
}

// Reply is the operator's answer, as text; a number is already checked.
type Reply struct {
	Text    string  `json:"text"`
	Number  float64 `json:"number,omitempty"`
	Assumed bool    `json:"assumed,omitempty"` // a confirmation that --yes gave
	// Uncertainty is the standard uncertainty that the person typed behind the number, in the question's unit;
	// nil for none.
	Uncertainty *float64 `json:"uncertainty,omitempty"`
}

// SplitTyped divides a typed number from the uncertainty that stands behind it, as in "12.5 ± 0.2", with +- and
// +/- for those whose keyboard has no ±. stated is false where there is none.
func SplitTyped(line string) (number, uncertainty string, stated bool) {
	for _, sign := range []string{"±", "+/-", "+-"} {
		if number, uncertainty, stated = strings.Cut(line, sign); stated {
			return strings.TrimSpace(number), strings.TrimSpace(uncertainty), true
		}
	}
	return line, "", false
}

// Operator is the person at the bench.
type Operator interface {
	Device
	Ask(context.Context, Question) (Reply, error)
}

// Add notes a rig's request that was made again.
func (r *Restored) Add(request RigRequest) {
	switch q := request.(type) {
	case LampRequest:
		r.Lamps = append(r.Lamps, q)
	case TurnRequest:
		r.Turns = append(r.Turns, q)
	case PlaceRequest:
		r.Place = &q
	}
}

// Requests are what was made again.
func (r *Restored) Requests() []any {
	var all []any
	if r.Patch != nil {
		all = append(all, *r.Patch)
	}
	for _, s := range r.Settings { // one by one, as they were put back
		all = append(all, []Setting{s})
	}
	if r.Off || r.On {
		all = append(all, PowerRequest{On: r.On})
	}
	for _, q := range r.Lamps {
		all = append(all, q)
	}
	for _, q := range r.Turns {
		all = append(all, q)
	}
	if r.Place != nil {
		all = append(all, *r.Place)
	}
	if r.Safe {
		all = append(all, SafeRequest{})
	}
	return all
}

// Clock is bench time, which also runs while a run is paused.
type Clock interface {
	Now() time.Duration
	Wall() time.Time
	WaitUntil(context.Context, time.Duration) error
}

// Sleeper is a clock that knows for how long the machine slept, by the system's own count.
type Sleeper interface {
	// Asleep is for how long it has slept in all, from some moment on; false where the system does not say.
	Asleep() (time.Duration, bool)
}

// Skipper is a simulated clock, whose time can pass at once.
type Skipper interface {
	// Skip passes time until t, whatever the clock's pace; it never goes back.
	Skip(t time.Duration)
	// Stand passes time until t as a bench stands that nobody works at: the
	// unit sleeps until a patch is shown again.
	Stand(t time.Duration)
}

// Mishaps is a simulated clock in whose world things go wrong as somebody stated. They are numbered.
type Mishaps interface {
	// Struck are those that have begun so far.
	Struck() []int
	// Mend takes in that these have begun in steps that were set aside since: whoever goes on has put
	// them right, so they do not begin again. One that has begun by now goes on, and so does one that
	// passes by itself.
	Mend(struck []int)
}

// Kept is a step whose answer is already in the journal.
type Kept struct {
	Request any           // what was asked: [Patch], [ReadRequest], [Setting] …
	Samples int           // single readings taken
	Failed  bool          // after them there was no answer; devices are told so of a [ReadRequest] alone
	Began   time.Duration // bench time
	Ended   time.Duration // bench time
}

// Reliver is a device of a simulated world, which lives through the kept steps
// of a run that goes on: heat and what a picture leaves behind follow from all
// that was shown. Kept steps are never sent to real devices; what these left is
// put back by ordinary requests, see [State].
type Reliver interface {
	// Relive does a kept request again, at its time, and throws the answer away. It
	// fails for a request that it does not know.
	Relive(Kept) error
}

// Verifier is a device that knows by itself whether all is still as a request
// left it. Of other devices the engine goes by what it asked for itself.
type Verifier interface {
	// Stands is false for a request that it does not know, which is then made again.
	Stands(request any) bool
}

// Restored is what was put back when a run went on. It is kept in the journal,
// outside the steps.
type Restored struct {
	Patch    *Patch        `json:"patch,omitempty"`    // shown again
	Settings []Setting     `json:"settings,omitempty"` // set again
	Lamps    []LampRequest `json:"lamps,omitempty"`
	Turns    []TurnRequest `json:"turns,omitempty"`
	Place    *PlaceRequest `json:"place,omitempty"`
	Off      bool          `json:"off,omitempty"`     // the unit switched off again
	On       bool          `json:"on,omitempty"`      // the unit switched on again
	Safe     bool          `json:"safe,omitempty"`    // of a safe end: lamps down
	Assumed  bool          `json:"assumed,omitempty"` // nobody confirmed it
}

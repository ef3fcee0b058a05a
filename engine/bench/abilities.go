package bench

import (
	"context"
	"slices"
	"time"
)

// Abilities that only some devices have. Each is an interface of its own. Its request
// type is what a [State] keeps and what a [Reliver] is given again.

// Ability is one of them, as people read of it.
type Ability struct {
	Interface string // its name in this file
	Kind      Kind   // the device that may have it; empty: any
	Equipment string // what a rig has then, in words; empty: no equipment of its own

	// Need is the word by which a procedure needs it, as in rig = { place = true };
	// empty: no step asks for it by itself.
	Need  string
	Does  string // what a device with it does, in words
	asked func(request any) bool
	has   func(Device) bool
	// name is what a request wants by its name, such as a lamp; nil: nothing has names.
	name func(request any) string
	// names are the names that a device knows; false where it knows none.
	names func(Device) ([]string, bool)
}

// Abilities lists all interfaces of this file that a device may have. The help of the
// rig is made of it, and a test holds the package's comment against it.
var Abilities = []Ability{
	{Interface: "Zeroer", Kind: KindMeter, Need: "dark", Does: "measures its dark level on request", asked: is[ZeroRequest], has: can[Zeroer]},
	{Interface: "Spectrometer", Kind: KindMeter, Need: "spectrum", Does: "reads spectra",
		asked: func(q any) bool { r, ok := q.(ReadRequest); return ok && r.Spectrum },
		has:   func(d Device) bool { m, ok := As[Spectrometer](d); return ok && m.ReadsSpectra() }},
	{Interface: "Switcher", Kind: KindUnit, Need: "power", Does: "can be switched off and on", asked: is[PowerRequest], has: can[Switcher]},
	{Interface: "Menu", Kind: KindUnit},
	{Interface: "Modal", Kind: KindUnit},
	{Interface: "Sequencer", Kind: KindPatches, Need: "sequence", Does: "keeps exact times", asked: is[[]TimedPatch], has: can[Sequencer]},
	{Interface: "Acknowledger", Kind: KindPatches},
	{Interface: "Cued", Kind: KindPatches},
	{Interface: "Delayed", Kind: KindPatches},
	{Interface: "Painter", Kind: KindPatches, Need: "pattern", Does: "shows patterns",
		asked: func(q any) bool { p, ok := q.(Patch); return ok && p.Pattern.Kind != Window },
		has:   func(d Device) bool { return CanShow(d, anyPattern) == nil }},
	{Interface: "Lit", Kind: KindRig, Equipment: "lamps", Need: "lamps", Does: "sets lamps", asked: is[LampRequest], has: can[Rig],
		name: func(q any) string { return q.(LampRequest).Lamp }, names: lampsOf},
	{Interface: "Turner", Kind: KindRig, Equipment: "a turntable", Need: "turn", Does: "turns the unit", asked: is[TurnRequest], has: can[Turner]},
	{Interface: "Placer", Kind: KindRig, Equipment: "a stage for the meter", Need: "place", Does: "moves the meter", asked: is[PlaceRequest], has: can[Placer]},
	{Interface: "LightSensor", Kind: KindRig, Equipment: "a light sensor", Need: "lux", Does: "reads illuminance", asked: is[LuxRequest], has: can[LightSensor]},
	{Interface: "Safe", Kind: KindRig},
	{Interface: "Watched"},
	{Interface: "Returning", Kind: KindPatches},
}

func is[Q any](request any) bool { _, ok := request.(Q); return ok }

func can[D any](d Device) bool { _, ok := As[D](d); return ok }

// Lit is a [Rig] that knows its lamps by name. Each rig sets lamps; one that does not
// know their names takes any.
type Lit interface {
	Lamps() []string
}

func lampsOf(d Device) ([]string, bool) {
	if l, knows := As[Lit](d); knows {
		return l.Lamps(), true
	}
	return nil, false
}

// Menu is a [Unit] that knows its own controls, as a unit file states them.
type Menu interface {
	Controls() []Control
}

// Modal is a [Unit] that knows its modes and which of them it is in. A step does not change it: the run begins in it.
type Modal interface {
	Picture() Picture
}

// Spectrometer is a meter that may read the spectral radiance.
type Spectrometer interface {
	ReadsSpectra() bool
}

// Zeroer is a meter that can measure its dark level: it reads with the light shut
// out, and subtracts this reading from all later ones.
type Zeroer interface {
	Zero(context.Context) error
}

// ZeroRequest asks a [Zeroer] for its dark level.
type ZeroRequest struct{}

// Switcher is a [Unit] that can be switched off and on, or put to sleep and
// woken. Its patches come back when it is on again.
type Switcher interface {
	Switch(ctx context.Context, on bool) (SetAnswer, error)
}

// PowerRequest asks a [Switcher].
type PowerRequest struct{ On bool }

// Watched is a device that notices when its connection is lost, for example when the page
// on the unit's screen is closed or a cable is unplugged.
type Watched interface {
	// Gone sends the reason, at most once, as long as the device is open.
	Gone() <-chan error
}

// Returning is a source of patches that may lose for a while what it shows, and notices: a page on the unit's own
// screen that a person hides. What was being done then has no answer; the run waits, and goes on when it is back.
type Returning interface {
	// Lapse is closed as soon as what was shown does not stand any more, and stays closed until Return.
	Lapse() <-chan struct{}
	// Stood asks the device whether what was shown stood until now. The error says what happened to it.
	Stood(context.Context) error
	// Return waits until the device can show patches again, as at the start. Nothing is shown then.
	Return(context.Context) error
}

// TimedPatch is a patch and for how long it is shown.
type TimedPatch struct {
	Patch Patch   `json:"patch"`
	Hold  float64 `json:"hold"` // s, from its light to the next one's
}

// Sequencer is a source of patches that times them itself, to the frame. Separate calls
// to show and wait cannot do so, because of latency.
type Sequencer interface {
	// Sequence shows the patches one after the other, each for its hold, and
	// answers when each was lit. It returns at the end of the last hold; the
	// last patch stays on the screen, as after Show.
	Sequence(context.Context, []TimedPatch) ([]Shown, error)
}

// Delayed is a source of patches that knows when it painted a patch and not when the display showed it: a display may process
// its picture for half a second. The delay is measured, unless the bench file states it.
type Delayed interface {
	// Delayed is false where this source knows more than its type does.
	Delayed() bool
}

// IsDelayed says so of a source.
func IsDelayed(source Device) bool {
	d, ok := As[Delayed](source)
	return ok && d.Delayed()
}

// Painter is a source of patches that says what it can show before it is asked for it. One that is no Painter shows
// plain windows, in SDR and PQ.
type Painter interface {
	// Paints fails with an [Error] of code "unsupported" for a patch that the source cannot
	// show. It touches nothing.
	Paints(Patch) error
}

// anyPattern is what a source that shows patterns can show at the least.
var anyPattern = Patch{RGB: [3]float64{1, 1, 1}, Window: 100, Signal: SDR, At: [2]float64{0.5, 0.5}, Pattern: Pattern{Kind: Checkerboard, Columns: 4, Rows: 4}}

// CanShow says why a source cannot show a patch, before anything is asked of it; nil where it can.
func CanShow(source Device, p Patch) error {
	if err := p.Pattern.Check(); err != nil {
		return err
	}
	if p.Space != Plain && p.Signal != SDR {
		return Errorf(CodeUnsupported, "leave space out, or use signal = \"sdr\"", "a patch in the space %q is of signal %q; it must be an SDR picture", p.Space, p.Signal)
	}
	if painter, ok := As[Painter](source); ok {
		return painter.Paints(p)
	}
	return Shows(nil).Paints(p)
}

// Shows are the words for what a source shows besides plain windows in SDR and PQ: kinds of pattern, [HLG] and [DisplayP3]. They are what
// drivers of instruments say of them.
type Shows []string

// ShowWords are all of them.
var ShowWords = []string{string(Checkerboard), string(Ramp), string(Steps), string(Ladder), string(HLG), string(DisplayP3)}

// Paints fails for a patch that needs a word which is not among them.
func (s Shows) Paints(p Patch) error {
	for _, need := range []struct{ word, what string }{
		{string(p.Pattern.Kind), "patterns of the kind " + string(p.Pattern.Kind)},
		{hlgWord(p.Signal), "HLG signals"},
		{string(p.Space), "pictures in the space " + string(p.Space)},
	} {
		if need.word != "" && !slices.Contains(s, need.word) {
			return Errorf(CodeUnsupported, "use a source that can, such as driver = \"operator\", or another patch", "the source of patches does not show %s", need.what)
		}
	}
	return nil
}

func hlgWord(s Signal) string {
	if s == HLG {
		return string(HLG)
	}
	return ""
}

// Acknowledger is a source of patches that waits for a person's confirmation.
type Acknowledger interface {
	// Acknowledge returns when the last patch is lit, and since when.
	Acknowledge(context.Context) (lit time.Duration, err error)
}

// Cued is a source whose patches come and go by a schedule of their own, such as a video that plays. It tells by the light
// where the schedule is.
type Cued interface {
	// Follow returns once a patch is on the screen, before Show asks for it; nil is the patch that Show was asked for last and
	// left pending. read takes one reading of the light. sure says that the light showed where the schedule is. The error is an
	// [ErrSlipped] where the patch is over already, or the light is not that of the schedule: what was read since Follow was sure
	// cannot be trusted.
	Follow(ctx context.Context, p *Patch, read func(context.Context) (Sample, error)) (sure bool, err error)
}

// RigRequest is a request of a [Rig] that leaves something as it was put.
type RigRequest interface {
	// Puts tells what is put: a later request that puts the same takes its place.
	Puts() string
	// Make makes the request. A rig that lacks the ability leaves all as it is.
	Make(context.Context, Rig) (SetAnswer, error)
}

// LampRequest sets a lamp of a [Rig] to a level in percent.
type LampRequest struct {
	Lamp  string  `json:"lamp"`
	Level float64 `json:"level"`
}

// Puts implements [RigRequest].
func (q LampRequest) Puts() string { return "lamp " + q.Lamp }

// Make implements [RigRequest].
func (q LampRequest) Make(ctx context.Context, r Rig) (SetAnswer, error) {
	return r.Set(ctx, q.Lamp, q.Level)
}

// Safe is a device that can be put into a safe state: a rig turns its lamps off. It is told
// which lamps a script had turned on.
type Safe interface {
	MakeSafe(ctx context.Context, lit []LampRequest) error
}

// SafeRequest asks a [Safe] device.
type SafeRequest struct{}

// The places at which a [LightSensor] reads.
const (
	AtScreen = "screen" // in the plane of the screen
	AtSensor = "sensor" // where the unit's own ambient sensor sits
)

// LightSensor is a rig that reads illuminance.
type LightSensor interface {
	// Lux returns the illuminance at a place.
	Lux(ctx context.Context, at string) (Illuminance, error)
}

// LuxRequest asks a [LightSensor] for a reading.
type LuxRequest struct {
	At string `json:"at"`
}

// The axes of a [Turner].
const (
	Horizontal = "horizontal" // the meter looks from the right or, negative, from the left
	Vertical   = "vertical"   // from above or, negative, from below
)

// Turner is a rig that turns the unit before the meter.
type Turner interface {
	// Turn turns to an angle in degrees from straight on, and answers the one
	// that was reached.
	Turn(ctx context.Context, axis string, degrees float64) (reached float64, err error)
}

// TurnRequest asks a [Turner] to turn.
type TurnRequest struct {
	Axis    string  `json:"axis"`
	Degrees float64 `json:"degrees"`
}

// Puts implements [RigRequest].
func (q TurnRequest) Puts() string { return "turn " + q.Axis }

// Make implements [RigRequest].
func (q TurnRequest) Make(ctx context.Context, r Rig) (a SetAnswer, err error) {
	if t, ok := As[Turner](r); ok {
		_, err = t.Turn(ctx, q.Axis, q.Degrees)
	}
	return a, err
}

// Placer is a rig that moves the meter over the screen. From then on it looks
// there, whatever window is shown. A [ReadRequest.At] goes before it, for that
// request only.
type Placer interface {
	// Place goes to a place, 0 to 1 from the left and the top, and answers the
	// one that was reached.
	Place(ctx context.Context, at [2]float64) (reached [2]float64, err error)
}

// PlaceRequest asks a [Placer] to move.
type PlaceRequest struct {
	At [2]float64 `json:"at"`
}

// Puts implements [RigRequest].
func (PlaceRequest) Puts() string { return "place" }

// Make implements [RigRequest].
func (q PlaceRequest) Make(ctx context.Context, r Rig) (a SetAnswer, err error) {
	if p, ok := As[Placer](r); ok {
		_, err = p.Place(ctx, q.At)
	}
	return a, err
}

// Metadata is what an HDR signal says of its content; 0 is not stated.
//
// Source: SMPTE ST 2086 and CTA-861.3 name the quantities (from memory).
type Metadata struct {
	MasteringPeak float64 `json:"mastering_peak,omitempty"` // cd/m², of the mastering display
	MaxCLL        float64 `json:"max_ll,omitempty"`         // cd/m², maximum content light level: the brightest pixel; the key is that of recorded runs
	MaxFALL       float64 `json:"max_fall,omitempty"`       // cd/m², maximum frame-average light level
}

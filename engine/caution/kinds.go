package caution

import (
	"slices"

	"candelua/engine/bench"
)

// Kind is a hazard. The words are in run.json and in the journal, and stay as they are.
type Kind string

// The hazards.
const (
	Flashing  Kind = "flashing"
	Own       Kind = "own" // what the procedure itself warns of
	Bright    Kind = "bright"
	Lamps     Kind = "lamps"
	Turntable Kind = "turntable"
	Stage     Kind = "stage"
	Standing  Kind = "still"
	Pressure  Kind = "pressure"
	Long      Kind = "long"     // so long that nobody may be near
	Exposure  Kind = "exposure" // what the unit has shown in its runs
)

// Caution is what a person is told.
type Caution struct {
	Kind Kind   `json:"kind"`
	Text string `json:"text"`
	// Accepted says that somebody must accept it on a bench that is real: it is about people. The others are told.
	Accepted bool `json:"accepted,omitempty"`
}

// hazard is what is known of a kind whose words are always the same.
type hazard struct {
	kind     Kind
	text     string
	accepted bool
	prompt   string   // in the prompt of a person who is to cause it; empty: none
	calls    []string // the builtins that can cause it
	hdr      bool     // only by an HDR signal
}

// Seizures is told of every procedure that flashes.
const seizures = "This procedure makes the screen or a lamp flash more than three times in a second. Flashing light can cause a seizure " +
	"in people with photosensitive epilepsy. Nobody who may be affected may see it. If you are not sure, ask a doctor first."

var patchCalls = []string{"patches.show", "patches.pattern", "patches.sequence"}

// hazards in the order in which they are told.
var hazards = []hazard{
	{Bright, "HDR windows can be very bright. Do not look into them from near by, and look away if they are unpleasant. If your eyes are " +
		"sensitive, ask a doctor first. Follow the unit's instructions.", true, "It can be very bright: do not look into it from near by.", patchCalls, true},
	{Lamps, "Lamps are on mains voltage and get hot. Some give UV, and all can dazzle. Follow the instructions of each lamp and the local " +
		"electrical codes. Leave wiring to a qualified electrician. Let a lamp cool down before you touch it.", true,
		"Mains voltage, heat, UV, glare: follow the lamp's instructions.", []string{"rig.set"}, false},
	{Turntable, "A turntable can pull at cables and trap fingers. Leave the cables slack enough for the whole turn, and keep your hands away " +
		"while it moves. Follow its instructions.", true, "Mind cables and fingers.", []string{"rig.turn"}, false},
	{Stage, "A stage that moves the meter can pull at its cable, scratch the screen and trap fingers. Leave the cable slack, and keep your " +
		"hands away while it moves. Follow its instructions.", true, "Mind the screen, the cable and your fingers.", []string{"rig.place"}, false},
	{Standing, "A bright picture that stands still for long can mark a panel for good, and full white heats it. Follow the unit's instructions on " +
		"still pictures, keep its vents free, and stop if it gets hotter than they allow.", false, "", patchCalls, false},
	{Pressure, "A meter that touches the screen presses on the panel. Press no harder than the instructions of the meter and of the unit allow.",
		false, "If the meter touches the screen, let it press no harder than the instructions of meter and unit allow.",
		[]string{"meter.measure", "meter.read", "meter.settle"}, false},
}

// Asks is what a procedure can ask.
type Asks struct {
	Calls    []string // builtins that its files name
	HDR      bool     // it can ask for an HDR signal
	Own      string   // the caution of its contract
	Flashing string   // what its contract says of flashes; empty: it flashes at most three times in a second
}

// Of gives the cautions of a procedure, what is about people first.
func Of(a Asks) []Caution {
	var all []Caution
	if a.Flashing != "" {
		all = append(all, Caution{Flashing, a.Flashing + " " + seizures, true})
	}
	if a.Own != "" {
		all = append(all, Caution{Own, a.Own, true})
	}
	for _, h := range hazards {
		called := slices.ContainsFunc(h.calls, func(name string) bool { return slices.Contains(a.Calls, name) })
		if called && (a.HDR || !h.hdr) {
			all = append(all, h.caution())
		}
	}
	return all
}

func (h *hazard) caution() Caution { return Caution{h.kind, h.text, h.accepted} }

// OfCall gives the cautions of a builtin, as its reference page shows them.
func OfCall(name string) []Caution {
	var all []Caution
	for _, h := range hazards {
		if slices.Contains(h.calls, name) {
			all = append(all, h.caution())
		}
	}
	return all
}

// ByRequest gives the cautions of what a device is asked.
func ByRequest(request any) []Caution {
	var all []Caution
	for _, h := range hazards {
		if slices.Contains(kindsOf(request), h.kind) {
			all = append(all, h.caution())
		}
	}
	return all
}

// Prompt is what a person is told who is asked to do this; empty where it is no hazard.
func Prompt(request any) string {
	for _, h := range hazards {
		if h.prompt != "" && slices.Contains(kindsOf(request), h.kind) {
			return h.prompt
		}
	}
	return ""
}

func kindsOf(request any) []Kind {
	switch q := request.(type) {
	case bench.Patch:
		return kindsOfPatch(q)
	case []bench.TimedPatch:
		var all []Kind
		for _, t := range q {
			all = append(all, kindsOfPatch(t.Patch)...)
		}
		return all
	case bench.LampRequest:
		if q.Level > 0 {
			return []Kind{Lamps}
		}
	case bench.TurnRequest:
		return []Kind{Turntable}
	case bench.PlaceRequest:
		return []Kind{Stage}
	case bench.ReadRequest:
		return []Kind{Pressure}
	}
	return nil
}

func kindsOfPatch(p bench.Patch) []Kind {
	var all []Kind
	bright := Brightness(p)
	if isHDR(p.Signal) && bright > 1 {
		all = append(all, Bright)
	}
	if bright >= stillLight {
		all = append(all, Standing)
	}
	return all
}

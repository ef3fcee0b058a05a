package builtins

import (
	"context"
	"errors"
	"fmt"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/script"
)

type sequenceArgs struct {
	Patches []timedArgs `lua:"patches" pos:"1" help:"the patches, as for patches.show, each with hold, as in { { grey = 1, window = 10, hold = 5 }, { grey = 0, hold = 10 } }"`
}

// timedArgs are the arguments of patches.show and a time. A test holds the two
// declarations together.
type timedArgs struct {
	Grey       *float64    `lua:"grey" min:"0" max:"1" help:"signal of a grey window, from 0 to 1"`
	RGB        *[3]float64 `lua:"rgb" min:"0" max:"1" help:"signals of red, green and blue"`
	Code       any         `lua:"code" optional:"true" want:"a whole number, or a list of three, from 0 to 2^bits - 1" help:"code value, one for all three colours or one for each; give bits too"`
	Nits       *float64    `lua:"nits" min:"0" max:"10000" unit:"cd/m2" help:"luminance of a grey window; only with signal = \"pq\""`
	Window     float64     `lua:"window" default:"100" min:"0.01" max:"100" unit:"%" help:"share of the screen's area that the window covers"`
	At         [2]float64  `lua:"at" default:"0.5,0.5" min:"0" max:"1" help:"centre of the window, from the left and from the top"`
	Background any         `lua:"background" optional:"true" want:"a number, or a list of three, from 0 to 1" help:"signal around the window; when left out, black"`
	Signal     string      `lua:"signal" default:"sdr" one_of:"sdr|pq|hlg" help:"signal format: sdr is relative to the unit's white, pq is absolute (SMPTE ST 2084), hlg is relative to the unit's peak (ITU-R BT.2100)"`
	Bits       int         `lua:"bits" default:"0" min:"0" max:"16" help:"bit depth of the signal; 0: the source chooses"`
	Metadata   *metadata   `lua:"metadata" help:"HDR metadata of the signal, each value in cd/m2, such as MaxCLL; only with signal = \"pq\""`
	Space      string      `lua:"space" default:"plain" one_of:"plain|display-p3" help:"colour space that the signals are meant in: plain is that of the unit, as for any picture; display-p3 is a picture that is tagged as Display P3; only with signal = \"sdr\""`
	Hold       float64     `lua:"hold" above:"0" max:"86400" unit:"s" help:"time from when the patch is lit until the next one is"`
}

func (a timedArgs) show() showArgs {
	return showArgs{Grey: a.Grey, RGB: a.RGB, Code: a.Code, Nits: a.Nits, Window: a.Window, At: a.At,
		Background: a.Background, Signal: a.Signal, Bits: a.Bits, Metadata: a.Metadata, Space: a.Space}
}

// list is what a device is asked for.
func (a sequenceArgs) list() ([]bench.TimedPatch, error) {
	if len(a.Patches) == 0 {
		return nil, &fault.ArgError{Arg: "patches", Got: "empty", Want: "one patch or more", Tip: "as in patches.sequence { { grey = 1, window = 10, hold = 5 } }"}
	}
	out := make([]bench.TimedPatch, len(a.Patches))
	for i, t := range a.Patches {
		p, err := t.show().patch()
		var wrong *fault.ArgError
		if errors.As(err, &wrong) {
			inside := *wrong
			inside.Arg = fmt.Sprintf("patches[%d]: %s", i+1, wrong.Arg)
			return nil, &inside
		}
		if err != nil {
			return nil, err
		}
		out[i] = bench.TimedPatch{Patch: p, Hold: t.Hold}
	}
	return out, nil
}

// sequenceAnswer is what the world answered, in script time.
type sequenceAnswer struct {
	Shown []shownAnswer  `json:"shown"`
	Delay *delayMeasured `json:"delay,omitempty"` // where this step was the first to need it
}

func sequenceLive(ctx context.Context, c *script.Call, a sequenceArgs) (w sequenceAnswer, err error) {
	list, err := a.list()
	if err != nil {
		return w, err
	}
	if c.Bench().Patches == nil {
		return w, missing("patches")
	}
	source, ok := bench.As[bench.Sequencer](c.Bench().Patches)
	if !ok {
		return w, bench.Errorf(bench.CodeUnsupported, "use a source that keeps exact times, or use patches.show and clock.wait if a second does not matter",
			"the source of patches cannot keep exact times; if the patches were shown one by one, its varying latency would be added to every hold")
	}
	for i, t := range list {
		if err := bench.CanShow(c.Bench().Patches, t.Patch); err != nil {
			return w, bench.Errorf(bench.CodeUnsupported, fault.HintOf(err), "patches[%d]: %w", i+1, err)
		}
	}
	if w.Delay, err = delayOf(ctx, c, list[0].Patch); err != nil {
		return w, err
	}
	shown, err := source.Sequence(ctx, list)
	if err != nil {
		return w, err
	}
	if len(shown) != len(list) {
		return w, fmt.Errorf("the source of patches returned %d patches; it must return %d", len(shown), len(list))
	}
	for _, s := range shown {
		w.Shown = append(w.Shown, answerOf(c, s))
	}
	return w, nil
}

// errNoShown is a journal whose answer has lost patches.
var errNoShown = errors.New("the journal does not hold every patch of the sequence")

func sequenceDerive(c *script.Call, a sequenceArgs, w sequenceAnswer) ([]Shown, error) {
	list, err := a.list()
	if err != nil {
		return nil, err
	}
	if len(w.Shown) != len(list) {
		return nil, errNoShown
	}
	if err := sceneOf(c).learn(c, list[0].Patch, w.Delay); err != nil {
		return nil, err
	}
	out := make([]Shown, len(list))
	for i, t := range list {
		var err error
		if out[i], err = showed(c, t.Patch, w.Shown[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func sequenceRequest(a sequenceArgs) (any, error) {
	list, err := a.list()
	if err != nil {
		return nil, err
	}
	return list, nil
}

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
	Patches []timedArgs `lua:"patches" pos:"1" help:"as for patches.show, each with its hold, as in { { grey = 1, window = 10, hold = 5 }, { grey = 0, hold = 10 } }"`
}

// timedArgs are the arguments of patches.show and a time. A test holds the two
// declarations together.
type timedArgs struct {
	Grey       *float64    `lua:"grey" min:"0" max:"1" help:"signal of a grey window, 0 to 1"`
	RGB        *[3]float64 `lua:"rgb" min:"0" max:"1" help:"signals of red, green and blue, 0 to 1"`
	Code       any         `lua:"code" optional:"true" want:"a whole number, or a list of three, from 0 to 2^bits - 1" help:"code value, for all three colours or each; say bits too"`
	Nits       *float64    `lua:"nits" min:"0" max:"10000" unit:"cd/m2" help:"luminance of a grey window; signal \"pq\" only"`
	Window     float64     `lua:"window" default:"100" min:"0.01" max:"100" unit:"%" help:"a window is a share of the screen's area in percent"`
	At         [2]float64  `lua:"at" default:"0.5,0.5" min:"0" max:"1" help:"centre of the window, from the left and from the top, 0 to 1"`
	Background any         `lua:"background" optional:"true" want:"a number, or a list of three, from 0 to 1" help:"signal around the window; black when left out"`
	Signal     string      `lua:"signal" default:"sdr" one_of:"sdr|pq" help:"how the patch is coded: sdr is relative to the unit's white, pq absolute (SMPTE ST 2084)"`
	Bits       int         `lua:"bits" default:"0" min:"0" max:"16" help:"bits of the signal; 0: as the source likes"`
	Metadata   *metadata   `lua:"metadata" help:"what the HDR signal says of its content; signal \"pq\" only"`
	Hold       float64     `lua:"hold" above:"0" max:"86400" unit:"s" help:"from its light to the next one's"`
}

func (a timedArgs) show() showArgs {
	return showArgs{Grey: a.Grey, RGB: a.RGB, Code: a.Code, Nits: a.Nits, Window: a.Window, At: a.At,
		Background: a.Background, Signal: a.Signal, Bits: a.Bits, Metadata: a.Metadata}
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
	Shown []shownAnswer `json:"shown"`
}

func sequenceLive(ctx context.Context, c *script.Call, a sequenceArgs) (w sequenceAnswer, err error) {
	list, err := a.list()
	if err != nil {
		return w, err
	}
	if c.Bench().Patches == nil {
		return w, missing("patches")
	}
	source, ok := c.Bench().Patches.(bench.Sequencer)
	if !ok {
		return w, bench.Errorf(bench.CodeUnsupported, "put a source on the bench that keeps times by itself, or use patches.show and clock.wait where a second does not matter",
			"the source of patches cannot keep times by itself; to show, wait and show again adds its latency, which varies, to every hold")
	}
	shown, err := source.Sequence(ctx, list)
	if err != nil {
		return w, err
	}
	if len(shown) != len(list) {
		return w, fmt.Errorf("the source of patches answered for %d patches, want %d", len(shown), len(list))
	}
	for _, s := range shown {
		w.Shown = append(w.Shown, answerOf(c, s))
	}
	return w, nil
}

// errNoShown is a journal whose answer has lost patches.
var errNoShown = errors.New("not every patch of the sequence was kept")

func sequenceDerive(c *script.Call, a sequenceArgs, w sequenceAnswer) ([]Shown, error) {
	list, err := a.list()
	if err != nil {
		return nil, err
	}
	if len(w.Shown) != len(list) {
		return nil, errNoShown
	}
	out := make([]Shown, len(list))
	for i, t := range list {
		out[i] = shownOf(t.Patch, w.Shown[i])
	}
	last := len(list) - 1
	lit(c, list[last].Patch, w.Shown[last])
	return out, nil
}

func sequenceRequest(a sequenceArgs) (any, error) {
	list, err := a.list()
	if err != nil {
		return nil, err
	}
	return list, nil
}

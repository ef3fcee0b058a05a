package builtins

import (
	"context"
	"fmt"
	"math"

	"candelua/colour"
	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

func patchesModule() *script.Module {
	return &script.Module{Name: "patches", Help: "Patches that the unit shows.", Funcs: []*script.Func{
		showStep,
		patternStep,
		script.Step("patches.sequence", "shows patches one after the other with exact times, and returns the time at which each was lit; the last one stays",
			sequenceLive, sequenceDerive, script.Requesting(sequenceRequest), script.Checking(func(a sequenceArgs) error {
				_, err := a.list()
				return err
			})),
		script.Step("patches.black", "shows a black screen", blackLive, blackDerive, script.Requesting(blackRequest)),
	}}
}

var showStep = script.Step("patches.show", "shows a coloured window on a background, and returns the time at which it was lit",
	showLive, showDerive, script.Requesting(showRequest), script.Checking(func(a showArgs) error {
		_, err := a.patch()
		return err
	}))

type showArgs struct {
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
}

// metadata is what an HDR signal says of its content.
type metadata struct {
	MasteringPeak float64 `lua:"mastering_peak" default:"0" min:"0" max:"10000" unit:"cd/m2" help:"peak luminance of the mastering display; 0: not stated"`
	MaxCLL        float64 `lua:"max_cll" default:"0" min:"0" max:"10000" unit:"cd/m2" help:"luminance of the brightest pixel of the content (MaxCLL); 0: not stated"`
	MaxFALL       float64 `lua:"max_fall" default:"0" min:"0" max:"10000" unit:"cd/m2" help:"highest mean luminance of a frame (MaxFALL); 0: not stated"`
}

// shownAnswer is what the world answered, in script time.
type shownAnswer struct {
	Lit     float64 `json:"lit"`
	Within  float64 `json:"lit_within,omitempty"`
	Area    float64 `json:"area"`
	Pending bool    `json:"pending,omitempty"`
	Codes   []int   `json:"codes,omitempty"` // as sent, for whoever reads the journal
	// What the source says of how it showed the patch; left out where it says nothing.
	Path bench.Path  `json:"path,omitempty"`
	RGB  *[3]float64 `json:"rgb,omitempty"` // the signal that was truly shown
	At   *[2]float64 `json:"at,omitempty"`  // the true middle of the window
	HDR  string      `json:"hdr,omitempty"` // who says that the unit shows HDR, see hdr.go
	// Painted says that Lit is when the patch was painted. Delay is what was seen of the display's own delay, where
	// this step was the first to need it.
	Painted bool           `json:"painted,omitempty"`
	Delay   *delayMeasured `json:"delay,omitempty"`
}

// Shown is what scripts are given.
type Shown struct {
	Lit        float64 `lua:"lit" unit:"s" help:"when the light changed, as time of clock.now"`
	LitWithin  float64 `lua:"lit_within" unit:"s" help:"standard uncertainty of lit"`
	Area       float64 `lua:"area" unit:"%" help:"share of the screen that the window really covers"`
	Red        float64 `lua:"red" help:"signal of the window as it was truly shown, which differs from the one asked for where the source has no such code"`
	Green      float64 `lua:"green" help:"signal of green, likewise"`
	Blue       float64 `lua:"blue" help:"signal of blue, likewise"`
	Path       string  `lua:"path" help:"how the patch reached the panel, in words; empty if the source does not say"`
	MeanSignal float64 `lua:"mean_signal" help:"mean of the signal over the screen and the three colours, 0 to 1"`
	MeanLight  float64 `lua:"mean_light" help:"mean of the light over the screen: for pq in cd/m2, for sdr a share of white, computed with a gamma of 2.2, for hlg a share of the peak, computed for a peak of 1000 cd/m2"`
}

// LuaName is what scripts call it.
func (Shown) LuaName() string { return "shown patch" }

// taggedAs is the space of a patch by its word in scripts.
func taggedAs(word string) bench.Space {
	if word == string(bench.DisplayP3) {
		return bench.DisplayP3
	}
	return bench.Plain
}

// patch is what a device is asked for.
func (a showArgs) patch() (bench.Patch, error) {
	p := bench.Patch{Window: a.Window, At: a.At, Signal: bench.Signal(a.Signal), Bits: a.Bits, Space: taggedAs(a.Space)}
	if p.Space != bench.Plain && p.Signal != bench.SDR {
		return p, &fault.ArgError{Arg: "space", Got: "is " + declare.Show(a.Space) + " with signal = " + declare.Show(a.Signal) + `; it is allowed only with signal = "sdr"`, Tip: "remove space"}
	}
	given := 0
	var err error
	if a.Grey != nil {
		given++
		p.RGB = [3]float64{*a.Grey, *a.Grey, *a.Grey}
	}
	if a.RGB != nil {
		given++
		p.RGB = *a.RGB
	}
	if a.Nits != nil {
		given++
		if p.Signal != bench.PQ {
			return p, &fault.ArgError{Arg: "nits", Got: "is given with signal = " + declare.Show(a.Signal) + `; it is allowed only with signal = "pq"`, Tip: "an sdr signal is relative to the unit's white; give grey, from 0 to 1"}
		}
		s := colour.EncodePQ(*a.Nits)
		if *a.Nits == 0 {
			s = 0
		}
		p.RGB = [3]float64{s, s, s}
	}
	if a.Code != nil {
		given++
		if p.RGB, err = a.codes(); err != nil {
			return p, err
		}
	}
	if given != 1 {
		return p, &fault.ArgError{Arg: "the patch", Got: "has " + howMany(given, "colours") + "; it must have exactly one of grey, rgb, code, nits"}
	}
	if a.Background != nil {
		if p.Background, err = triple("background", a.Background, 1); err != nil {
			return p, err
		}
	}
	p.Metadata, err = a.metadata()
	return p, err
}

// metadata refuses what no signal can say: metadata of sdr, or a frame that is
// brighter than its brightest pixel.
func (a showArgs) metadata() (bench.Metadata, error) {
	m := a.Metadata
	switch {
	case m == nil:
		return bench.Metadata{}, nil
	case a.Signal != string(bench.PQ):
		return bench.Metadata{}, &fault.ArgError{Arg: "metadata", Got: "is given with signal = " + declare.Show(a.Signal) + `; it is allowed only with signal = "pq"`, Tip: "an sdr signal carries no metadata; remove it"}
	case m.MaxCLL > 0 && m.MaxFALL > m.MaxCLL:
		return bench.Metadata{}, &fault.ArgError{Arg: "metadata.max_fall", Got: formatNumber(m.MaxFALL), Want: formatNumber(m.MaxCLL) + " cd/m2 or less, because max_cll is " + formatNumber(m.MaxCLL), Tip: "no frame is brighter than its brightest pixel"}
	}
	return bench.Metadata{MasteringPeak: m.MasteringPeak, MaxCLL: m.MaxCLL, MaxFALL: m.MaxFALL}, nil
}

func (a showArgs) codes() ([3]float64, error) {
	if a.Bits == 0 {
		return [3]float64{}, &fault.ArgError{Arg: "code", Got: "is given without bits", Tip: "give bits too, as in code = 235, bits = 8"}
	}
	top := math.Exp2(float64(a.Bits)) - 1
	codes, err := triple("code", a.Code, top)
	for i := range codes {
		if codes[i] != math.Trunc(codes[i]) {
			return codes, &fault.ArgError{Arg: "code", Got: declare.Show(a.Code), Want: "whole numbers"}
		}
		codes[i] /= top
	}
	return codes, err
}

// triple takes a number for all three colours, or one for each.
func triple(name string, x any, top float64) (out [3]float64, err error) {
	right := true
	switch x := x.(type) {
	case float64:
		out = [3]float64{x, x, x}
	case []any:
		right = len(x) == 3
		for i := 0; right && i < 3; i++ {
			out[i], right = x[i].(float64)
		}
	default:
		right = false
	}
	for _, n := range out {
		right = right && n >= 0 && n <= top
	}
	if !right {
		return [3]float64{}, &fault.ArgError{Arg: name, Got: declare.Show(x), Want: fmt.Sprintf("a number, or a list of three, from 0 to %g", top)}
	}
	return out, nil
}

func showLive(ctx context.Context, c *script.Call, a showArgs) (shownAnswer, error) {
	p, err := a.patch()
	if err != nil {
		return shownAnswer{}, err
	}
	return show(ctx, c, p)
}

func show(ctx context.Context, c *script.Call, p bench.Patch) (shownAnswer, error) {
	source := c.Bench().Patches
	if source == nil {
		return shownAnswer{}, missing("patches")
	}
	if err := bench.CanShow(source, p); err != nil {
		return shownAnswer{}, err
	}
	late, err := delayOf(ctx, c, p)
	if err != nil {
		return shownAnswer{}, err
	}
	if err := follow(ctx, c, &p); err != nil {
		return shownAnswer{}, err
	}
	s, err := source.Show(ctx, p)
	if err != nil {
		return shownAnswer{}, err
	}
	w := answerOf(c, s)
	w.Delay = late
	w.HDR, err = hdrOf(ctx, c, p, s)
	return w, err
}

func answerOf(c *script.Call, s bench.Shown) shownAnswer {
	return shownAnswer{Lit: c.Door().Time(s.Lit), Within: s.LitWithin.Seconds(), Area: s.Area, Pending: s.Pending, Codes: s.Codes,
		Path: s.Path, RGB: s.RGB, At: s.At, Painted: s.Painted}
}

func missing(device string) error {
	return bench.Errorf(bench.CodeUnsupported, "add it to the procedure's needs and to the bench file", "the bench has no %s", device)
}

func showDerive(c *script.Call, a showArgs, w shownAnswer) (Shown, error) {
	p, err := a.patch()
	if err != nil {
		return Shown{}, err
	}
	return showed(c, p, w)
}

// asShown is the patch as it truly was shown, where the source said so.
func asShown(p bench.Patch, w shownAnswer) bench.Patch {
	if w.RGB != nil {
		p.RGB = *w.RGB
	}
	if w.At != nil {
		p.At = *w.At
	}
	return p
}

// shownOf adds to what the world answered what follows from the patch.
func shownOf(p bench.Patch, w shownAnswer) Shown {
	p = asShown(p, w)
	decode := func(v float64) float64 { return math.Pow(v, 2.2) }
	switch p.Signal {
	case bench.PQ:
		decode = colour.DecodePQ
	case bench.HLG:
		decode = func(v float64) float64 { return math.Pow(colour.HLGDecodeScene(v), colour.HLGGamma(nominalHLG)) }
	}
	return Shown{Lit: w.Lit, LitWithin: w.Within, Area: w.Area, Red: p.RGB[0], Green: p.RGB[1], Blue: p.RGB[2], Path: string(w.Path),
		MeanSignal: meanOver(p, w.Area/100, func(v float64) float64 { return v }), MeanLight: meanOver(p, w.Area/100, decode)}
}

// nominalHLG is the peak, in cd/m², for which the light of an HLG signal is stated where the unit's is not known.
//
// Source: Rec. ITU-R BT.2100-2, table 5 (system gamma of 1.2), from memory.
const nominalHLG = 1000

// showed takes in that a patch is on the screen now, and gives what the script gets of it.
func showed(c *script.Call, p bench.Patch, w shownAnswer) (Shown, error) {
	s := sceneOf(c)
	if err := s.learn(c, p, w.Delay); err != nil {
		return Shown{}, err
	}
	w, s.late = s.lateBy(c, p, w)
	shown := asShown(p, w)
	s.patch, s.lit, s.pending, s.off, s.path, s.hdr = &shown, w.Lit, w.Pending, false, w.Path, w.HDR // a patch wakes the unit
	s.confirm(w)
	return shownOf(p, w), s.tellHDR(c, p, w)
}

func showRequest(a showArgs) (any, error) {
	p, err := a.patch()
	if err != nil {
		return nil, err
	}
	return p, nil
}

type blackArgs struct {
	Signal string `lua:"signal" default:"sdr" one_of:"sdr|pq|hlg" help:"signal format: sdr, pq or hlg"`
}

func (a blackArgs) patch() bench.Patch {
	return bench.Patch{Window: 100, At: [2]float64{0.5, 0.5}, Signal: bench.Signal(a.Signal)}
}

func blackLive(ctx context.Context, c *script.Call, a blackArgs) (shownAnswer, error) {
	return show(ctx, c, a.patch())
}

func blackDerive(c *script.Call, a blackArgs, w shownAnswer) (Shown, error) {
	shown, err := showed(c, a.patch(), w)
	return Shown{Lit: shown.Lit, LitWithin: shown.LitWithin, Area: shown.Area, Path: shown.Path}, err
}

func blackRequest(a blackArgs) (any, error) {
	return a.patch(), nil
}

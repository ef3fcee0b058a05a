package operator

import (
	"context"
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/plain"
)

// handWithin is the standard uncertainty of a moment that a person reports by
// pressing Enter (common practice, no source).
const handWithin = 500 * time.Millisecond

// patches is a person who plays patches.
type patches struct {
	desk *desk
	id   bench.Identity
}

var (
	_ bench.Patches      = (*patches)(nil)
	_ bench.Acknowledger = (*patches)(nil)
	_ bench.Painter      = (*patches)(nil)
)

func (p *patches) About() bench.Identity { return p.id }

// Paints implements [bench.Painter]: a person is told in words what to show, whatever it is.
func (p *patches) Paints(bench.Patch) error { return nil }

// Show says what to show and returns at once, pending. The area is what was
// asked for: a person does not measure it.
func (p *patches) Show(ctx context.Context, patch bench.Patch) (bench.Shown, error) {
	if ctx.Err() != nil {
		return bench.Shown{}, context.Cause(ctx)
	}
	p.desk.caution(ctx, patch)
	p.desk.console.Say("Please show " + describe(patch) + ".")
	p.desk.lit = p.desk.clock.Now()
	return bench.Shown{Lit: p.desk.lit, LitWithin: handWithin, Area: patch.Area(), Path: bench.PathByHand, Pending: true}, nil
}

// Acknowledge returns when the person says that the patch is lit, and that
// moment. A reading that is kept already says so.
func (p *patches) Acknowledge(ctx context.Context) (time.Duration, error) {
	if len(p.desk.kept) == 0 {
		if err := p.desk.done(ctx, "Press Enter when the patch is lit.", "the patch is lit"); err != nil {
			return 0, err
		}
	}
	if ctx.Err() != nil {
		return 0, context.Cause(ctx)
	}
	p.desk.lit = p.desk.clock.Now()
	return p.desk.lit, nil
}

// unit is a person who sets the unit.
type unit struct {
	desk *desk
	id   bench.Identity
}

var _ bench.Unit = (*unit)(nil)

func (u *unit) About() bench.Identity { return u.id }

// Set asks for all settings at once.
func (u *unit) Set(ctx context.Context, settings []bench.Setting) (bench.SetAnswer, error) {
	if len(settings) == 0 {
		return bench.SetAnswer{ByHand: true}, context.Cause(ctx)
	}
	wanted := make([]string, len(settings))
	for i, s := range settings {
		wanted[i] = plain.Line(s.Name + " to " + settingValue(s.Value))
	}
	return u.desk.set(ctx, strings.Join(wanted, ", "))
}

// Switch asks to switch the unit off or on.
func (u *unit) Switch(ctx context.Context, on bool) (bench.SetAnswer, error) {
	word := map[bool]string{true: "on", false: "off"}[on]
	assumed, err := u.desk.do(ctx, "switch the unit "+word, "it is "+word)
	return bench.SetAnswer{ByHand: err == nil, Assumed: assumed}, err
}

// settingValue writes the value of a setting as a unit's menu does.
func settingValue(v any) string {
	switch v := v.(type) {
	case bool:
		if v {
			return "on"
		}
		return "off"
	case float64:
		return decimals(v, 6)
	}
	return fmt.Sprint(v)
}

// caution says what can happen by what the person is asked to do next. How to rest a meter on a screen is said once.
func (d *desk) caution(ctx context.Context, request any) {
	words := caution.Prompt(request)
	if ctx.Err() != nil {
		return
	}
	if _, reading := request.(bench.ReadRequest); reading {
		if d.rested {
			return
		}
		d.rested = true
	}
	if words != "" {
		d.console.Say("Careful: " + lowered(words))
	}
}

// lowered begins a sentence with a small letter, for after a colon.
func lowered(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToLower(first)) + s[size:]
}

// set says what to set, and asks whether it is done unless that is assumed.
func (d *desk) set(ctx context.Context, what string) (bench.SetAnswer, error) {
	assumed, err := d.do(ctx, "set "+what, "it is set")
	if err != nil {
		return bench.SetAnswer{}, err
	}
	return bench.SetAnswer{ByHand: true, Assumed: assumed}, nil
}

// do says what to do, and asks whether it is done unless that is assumed.
func (d *desk) do(ctx context.Context, what, enter string) (assumed bool, err error) {
	if d.opt.AssumeYes {
		if ctx.Err() != nil {
			return false, context.Cause(ctx)
		}
		d.console.Say("Please " + what + " (taken as done).")
		return true, nil
	}
	return false, d.done(ctx, "Please "+what+"; press Enter when done.", enter)
}

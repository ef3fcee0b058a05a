package sim

import (
	"context"
	"strconv"

	"candelua/engine/bench"
)

// unit sets the display's controls.
type unit struct{ w *World }

var (
	_ bench.Unit     = unit{}
	_ bench.Reliver  = unit{}
	_ bench.Verifier = unit{}
	_ bench.Switcher = unit{}
	_ bench.Menu     = unit{}
	_ bench.Modal    = unit{}
)

// About implements [bench.Device].
func (u unit) About() bench.Identity {
	p := u.w.params
	return bench.Identity{Name: p.Name, Serial: p.Serial, Driver: driverName, Simulated: true}
}

// Controls implements [bench.Menu]. A number need not be on a step: it is rounded.
func (u unit) Controls() []bench.Control {
	all := make([]bench.Control, len(u.w.controls))
	for i := range u.w.controls {
		p := &u.w.controls[i].p
		all[i] = bench.Control{Name: p.Name, Former: p.Former, Values: p.Values, Min: p.Min, Max: p.Max, Unit: p.Unit, Role: p.Role}
	}
	return all
}

// Picture implements [bench.Modal].
func (u unit) Picture() bench.Picture {
	p := bench.Picture{Is: u.w.params.Mode}
	for i := range u.w.params.Modes {
		p.All = append(p.All, u.w.params.Modes[i].Name)
	}
	return p
}

// Set implements [bench.Unit]. It checks all settings before it sets the first.
// Each takes the seconds of its control, and has its effect at their end; a control
// that is already in its position takes no time. A number that a control rounds to
// its steps is answered as it was set. It fails with a [bench.Error]
// of code "bad-setting", or with ctx's cause if ctx has ended before.
func (u unit) Set(ctx context.Context, settings []bench.Setting) (bench.SetAnswer, error) {
	if ctx.Err() != nil {
		return bench.SetAnswer{}, context.Cause(ctx)
	}
	w := u.w
	w.mu.Lock()
	defer w.mu.Unlock()
	type move struct {
		c  *control
		to float64
	}
	var answer bench.SetAnswer
	var moves []move
	by := map[*control]string{}
	for _, s := range settings {
		c, err := find(w.controls, s.Name)
		if err != nil && s.Name == bench.PictureMode && s.Value == w.params.Mode && w.params.Mode != "" {
			continue // it is in this mode
		}
		if err != nil {
			return bench.SetAnswer{}, err
		}
		if was, twice := by[c]; twice && was != s.Name {
			return bench.SetAnswer{}, bench.Errorf(bench.CodeBadSetting, "set it once, as "+strconv.Quote(c.p.Name),
				"%s is set twice, as %q and as %q", c.p.Name, was, s.Name)
		}
		by[c] = s.Name
		to, err := c.position(s.Value)
		if err != nil {
			return bench.SetAnswer{}, err
		}
		moves = append(moves, move{c, to})
		if asked, isNumber := s.Value.(float64); isNumber && asked != to {
			answer.Made = append(answer.Made, bench.Made{Asked: s.Name, Setting: bench.Setting{Name: s.Name, Value: to}})
		}
	}
	for _, m := range moves {
		if m.c.at == m.to {
			continue
		}
		done := w.Now() + seconds(m.c.p.Seconds)
		w.advance(done)
		m.c.at = m.to
		w.turn(done)
		w.pass(done)
	}
	return answer, nil
}

// Switch implements [bench.Switcher]: a unit that is off shows nothing and cools
// down. It fails with ctx's cause if ctx has ended before.
func (u unit) Switch(ctx context.Context, on bool) (bench.SetAnswer, error) {
	if ctx.Err() != nil {
		return bench.SetAnswer{}, context.Cause(ctx)
	}
	w := u.w
	w.mu.Lock()
	defer w.mu.Unlock()
	now := w.Now()
	w.advance(now)
	w.asleep = !on
	w.turn(now)
	return bench.SetAnswer{}, nil
}

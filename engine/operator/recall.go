package operator

import (
	"context"
	"slices"
	"strings"

	"candelua/engine/bench"
)

// memory is what the person was told in this process. It outlives a bench that
// is opened anew because an answer was struck: what is set already is not
// asked for twice.
type memory struct {
	settings map[string]any
	rig      map[string]any // requests, by what they put
}

var (
	_ bench.Recaller = (*patches)(nil)
	_ bench.Recaller = (*unit)(nil)
	_ bench.Recaller = (*rig)(nil)

	_ bench.Forgetter = (*patches)(nil)
	_ bench.Forgetter = (*unit)(nil)
	_ bench.Forgetter = (*rig)(nil)
)

// Recall keeps the patch that a kept step left, also where a source with a
// driver showed it before.
func (p *patches) Recall(k bench.Kept) error {
	switch q := k.Request.(type) {
	case bench.Patch:
		if !k.Aside {
			p.recalled = &q
		}
	case []bench.TimedPatch:
		if n := len(q); n > 0 && !k.Aside {
			p.recalled = &q[n-1].Patch
		}
	}
	return nil
}

// Restore has the last patch shown again: whoever paused has looked at
// something else meanwhile.
func (p *patches) Restore(ctx context.Context) (*bench.Restored, error) {
	if p.recalled == nil {
		return nil, nil
	}
	shown, err := p.Show(ctx, *p.recalled)
	if err != nil {
		return nil, err
	}
	return &bench.Restored{Patch: p.recalled, Shown: shown}, nil
}

// Recall keeps the settings that a kept step set, the last of each name.
func (u *unit) Recall(k bench.Kept) error {
	settings, _ := k.Request.([]bench.Setting)
	if k.Aside {
		settings = nil
	}
	for _, s := range settings {
		u.recalled = slices.DeleteFunc(u.recalled, func(o bench.Setting) bool { return o.Name == s.Name })
		u.recalled = append(u.recalled, s)
	}
	return nil
}

// Restore has those settings set again that this person has not been told of.
func (u *unit) Restore(ctx context.Context) (*bench.Restored, error) {
	open := slices.DeleteFunc(slices.Clone(u.recalled), func(s bench.Setting) bool {
		told, ok := u.desk.told.settings[s.Name]
		return ok && told == s.Value
	})
	slices.SortFunc(open, func(a, b bench.Setting) int { return strings.Compare(a.Name, b.Name) })
	if len(open) == 0 {
		return nil, nil
	}
	answer, err := u.Set(ctx, open)
	if err != nil {
		return nil, err
	}
	return &bench.Restored{Settings: open, Assumed: answer.Assumed}, nil
}

// Recall keeps what a kept step put, the last of each lamp, axis and the place.
func (r *rig) Recall(k bench.Kept) error {
	what := puts(k.Request)
	if what == "" || k.Aside {
		return nil
	}
	r.recalled = slices.DeleteFunc(r.recalled, func(o any) bool { return puts(o) == what })
	r.recalled = append(r.recalled, k.Request)
	return nil
}

// Restore has put again what this person has not been told of.
func (r *rig) Restore(ctx context.Context) (*bench.Restored, error) {
	open := slices.DeleteFunc(slices.Clone(r.recalled), func(q any) bool { return r.desk.told.rig[puts(q)] == q })
	slices.SortFunc(open, func(a, b any) int { return strings.Compare(puts(a), puts(b)) })
	if len(open) == 0 {
		return nil, nil
	}
	var back bench.Restored
	for _, q := range open {
		var err error
		var answer bench.SetAnswer
		switch q := q.(type) {
		case bench.LampRequest:
			answer, err = r.Set(ctx, q.Lamp, q.Level)
		case bench.TurnRequest:
			_, err = r.Turn(ctx, q.Axis, q.Degrees)
		case bench.PlaceRequest:
			_, err = r.Place(ctx, q.At)
		}
		if err != nil {
			return nil, err
		}
		back.Add(q)
		back.Assumed = back.Assumed || answer.Assumed
	}
	return &back, nil
}

// MakeSafe tells the person to turn off the lamps that they were told to turn
// up; it waits for no answer.
func (r *rig) MakeSafe(context.Context) error {
	lit := false
	for what, request := range r.desk.told.rig {
		if q, ok := request.(bench.LampRequest); ok && q.Level > 0 {
			lit = true
			delete(r.desk.told.rig, what)
		}
	}
	if lit {
		r.desk.console.Say("Please turn the lamps off.")
	}
	return nil
}

// puts names what a request of the rig puts, so that a later one of the same
// name takes its place; empty where it leaves nothing, as a reading of light.
func puts(request any) string {
	switch q := request.(type) {
	case bench.LampRequest:
		return "lamp " + q.Lamp
	case bench.TurnRequest:
		return "turn " + q.Axis
	case bench.PlaceRequest:
		return "place"
	}
	return ""
}

// tell keeps what the person has set.
func (m *memory) tell(settings []bench.Setting) {
	for _, s := range settings {
		m.settings[s.Name] = s.Value
	}
}

// Forget implements [bench.Forgetter]: the readings that were typed ahead go
// with the steps that they were typed for.
func (p *patches) Forget() { p.recalled, p.desk.kept = nil, nil }

// Forget implements [bench.Forgetter].
func (u *unit) Forget() { u.recalled = nil }

// Forget implements [bench.Forgetter].
func (r *rig) Forget() { r.recalled = nil }

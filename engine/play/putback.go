package play

import (
	"context"
	"slices"

	"candelua/engine/bench"
)

// standing says whether all is still as a request left it: a simulated world
// knows, and of what else was asked for in this process it is taken for granted.
func (w *world) standing(kind bench.Kind, request any) bool {
	if v, ok := w.bench.Device(string(kind)).(bench.Verifier); ok {
		return v.Stands(request)
	}
	return w.stands.Has(request)
}

// putUnit sets again what does not stand as it was set, and switches the unit as
// it was.
func (w *world) putUnit(ctx context.Context) (*bench.Restored, error) {
	var back bench.Restored
	if err := w.putSettings(ctx, &back); err != nil {
		return nil, err
	}
	power := bench.PowerRequest{On: !w.left.Off()}
	if s, ok := bench.As[bench.Switcher](w.bench.Unit); ok && w.left.Off() != w.stands.Off() && !w.standing(bench.KindUnit, power) {
		answer, err := s.Switch(ctx, power.On)
		if err = w.asked(power, err); err != nil {
			return nil, err
		}
		back.Off, back.On, back.Assumed = !power.On, power.On, back.Assumed || answer.Assumed
	}
	if len(back.Settings) == 0 && !back.Off && !back.On {
		return nil, nil
	}
	return &back, nil
}

// putSettings sets again what does not stand: all at once or, where the unit knows
// by itself, one by one, since two names may be of one control.
func (w *world) putSettings(ctx context.Context, back *bench.Restored) error {
	groups := [][]bench.Setting{w.left.Settings()}
	if _, knows := w.bench.Unit.(bench.Verifier); knows {
		groups = nil
		for _, s := range w.left.Settings() {
			groups = append(groups, []bench.Setting{s})
		}
	}
	for _, group := range groups {
		open := slices.DeleteFunc(slices.Clone(group), func(s bench.Setting) bool { return w.standing(bench.KindUnit, s) })
		if len(open) == 0 {
			continue
		}
		answer, err := w.bench.Unit.Set(ctx, open)
		if err = w.asked(open, err); err != nil {
			return err
		}
		back.Settings = append(back.Settings, open...)
		back.Assumed = back.Assumed || answer.Assumed
	}
	return nil
}

// putRig puts lamps, angles and the meter's place as they were, in the order in
// which a simulated world lives through it again.
func (w *world) putRig(ctx context.Context) (*bench.Restored, error) {
	var back bench.Restored
	for _, q := range w.openRig() {
		back.Add(q)
	}
	requests := back.Requests()
	for _, request := range requests {
		q := request.(bench.RigRequest)
		answer, err := q.Make(ctx, w.bench.Rig)
		if err = w.asked(q, err); err != nil {
			return nil, err
		}
		back.Assumed = back.Assumed || answer.Assumed
	}
	if len(requests) == 0 {
		return nil, nil
	}
	return &back, nil
}

// openRig is what the rig must be asked for: what the kept steps left and does not
// stand and, of lamps that no kept step left up, that they are down.
func (w *world) openRig() []bench.RigRequest {
	open := slices.DeleteFunc(slices.Clone(w.left.Rig()), func(q bench.RigRequest) bool { return w.standing(bench.KindRig, q) })
	for _, lit := range w.stands.Lit() {
		down := bench.LampRequest{Lamp: lit.Lamp}
		if !slices.ContainsFunc(w.left.Rig(), func(q bench.RigRequest) bool { return q.Puts() == lit.Puts() }) && !w.standing(bench.KindRig, down) {
			open = append(open, down)
		}
	}
	return open
}

// strangers names what was put in this process by a step that does not count, and
// by no kept step: how it stood before is not known, so it cannot be put back.
func (w *world) strangers() []string {
	var all []string
	known := map[string]bool{}
	for _, s := range w.left.Settings() {
		known[s.Name] = true
	}
	for _, s := range w.stands.Settings() {
		if !known[s.Name] {
			all = append(all, s.Name)
		}
	}
	for _, q := range w.left.Rig() {
		known[q.Puts()] = true
	}
	for _, q := range w.stands.Rig() {
		if _, isLamp := q.(bench.LampRequest); !isLamp && !known[q.Puts()] {
			all = append(all, q.Puts())
		}
	}
	return all
}

// putPatch shows the last patch again. Whoever paused has looked at something
// else meanwhile: of a source that does not know what is on the screen, nothing
// is taken for granted.
func (w *world) putPatch(ctx context.Context) (*bench.Restored, error) {
	patch, any := w.left.Patch()
	if !any {
		return nil, nil
	}
	if v, ok := w.bench.Patches.(bench.Verifier); ok && v.Stands(patch) {
		return nil, nil
	}
	return w.showAgain(ctx, patch)
}

// owedPatch shows the last patch to a unit that was switched on again and shows
// another one: it was dark, or on_resume at work, while the unit was off.
func (w *world) owedPatch(ctx context.Context) (*bench.Restored, error) {
	patch, any := w.left.Patch()
	if !any || w.standing(bench.KindPatches, patch) {
		return nil, nil
	}
	return w.showAgain(ctx, patch)
}

func (w *world) showAgain(ctx context.Context, patch bench.Patch) (*bench.Restored, error) {
	shown, err := w.bench.Patches.Show(ctx, patch)
	if err = w.asked(patch, err); err != nil {
		return nil, err
	}
	w.relit = &shown
	return &bench.Restored{Patch: &patch}, nil
}

package play

import (
	"context"

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

// putUnit sets again what does not stand as it was set.
func (w *world) putUnit(ctx context.Context) (*bench.Restored, error) {
	var back bench.Restored
	for _, s := range w.left.Settings() {
		if !w.standing(bench.KindUnit, s) {
			back.Settings = append(back.Settings, s)
		}
	}
	if len(back.Settings) > 0 {
		answer, err := w.bench.Unit.Set(ctx, back.Settings)
		if err = w.asked(back.Settings, err); err != nil {
			return nil, err
		}
		back.Assumed = answer.Assumed
	}
	if off := (bench.PowerRequest{On: false}); w.left.Off() && !w.standing(bench.KindUnit, off) {
		if s, ok := w.bench.Unit.(bench.Switcher); ok {
			answer, err := s.Switch(ctx, false)
			if err = w.asked(off, err); err != nil {
				return nil, err
			}
			back.Off, back.Assumed = true, back.Assumed || answer.Assumed
		}
	}
	if len(back.Settings) == 0 && !back.Off {
		return nil, nil
	}
	return &back, nil
}

// putRig puts lamps, angles and the meter's place as they were.
func (w *world) putRig(ctx context.Context) (*bench.Restored, error) {
	var back bench.Restored
	any := false
	for _, q := range w.left.Rig() {
		if w.standing(bench.KindRig, q) {
			continue
		}
		answer, err := q.Make(ctx, w.bench.Rig)
		if err = w.asked(q, err); err != nil {
			return nil, err
		}
		back.Add(q)
		back.Assumed = back.Assumed || answer.Assumed
		any = true
	}
	if !any {
		return nil, nil
	}
	return &back, nil
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
	shown, err := w.bench.Patches.Show(ctx, patch)
	if err = w.asked(patch, err); err != nil {
		return nil, err
	}
	w.relit = &shown
	return &bench.Restored{Patch: &patch}, nil
}

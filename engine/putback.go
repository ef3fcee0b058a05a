package engine

import (
	"context"

	"candelua/engine/bench"
)

// restore asks for all again that the kept steps left and that may not stand any
// more: what surrounds the patch comes before the patch.
func (d *door) restore(ctx context.Context, kinds []bench.Kind) error {
	put := map[bench.Kind]func(context.Context) (*bench.Restored, error){
		bench.KindUnit: d.putUnit, bench.KindRig: d.putRig, bench.KindPatches: d.putPatch}
	for _, kind := range kinds {
		back, err := put[kind](ctx)
		if err != nil {
			return err
		}
		if back == nil {
			continue
		}
		d.use(string(kind))
		if err := d.aside(asideRestore, kind, *back, nil); err != nil {
			return err
		}
	}
	return nil
}

// standing says whether all is still as a request left it: a simulated world
// knows, and of what else was asked for in this process it is taken for granted.
func (d *door) standing(kind bench.Kind, request any) bool {
	if v, ok := d.bench.Device(string(kind)).(bench.Verifier); ok {
		return v.Stands(request)
	}
	return d.stands.Has(request)
}

// putUnit sets again what does not stand as it was set.
func (d *door) putUnit(ctx context.Context) (*bench.Restored, error) {
	var back bench.Restored
	for _, s := range d.left.Settings() {
		if !d.standing(bench.KindUnit, s) {
			back.Settings = append(back.Settings, s)
		}
	}
	if len(back.Settings) > 0 {
		answer, err := d.bench.Unit.Set(ctx, back.Settings)
		if err = d.asked(back.Settings, err); err != nil {
			return nil, err
		}
		back.Assumed = answer.Assumed
	}
	if off := (bench.PowerRequest{On: false}); d.left.Off() && !d.standing(bench.KindUnit, off) {
		if s, ok := d.bench.Unit.(bench.Switcher); ok {
			answer, err := s.Switch(ctx, false)
			if err = d.asked(off, err); err != nil {
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
func (d *door) putRig(ctx context.Context) (*bench.Restored, error) {
	var back bench.Restored
	any := false
	for _, q := range d.left.Rig() {
		if d.standing(bench.KindRig, q) {
			continue
		}
		assumed, err := d.putAgain(ctx, q)
		if err = d.asked(q, err); err != nil {
			return nil, err
		}
		back.Add(q)
		back.Assumed = back.Assumed || assumed
		any = true
	}
	if !any {
		return nil, nil
	}
	return &back, nil
}

// putAgain makes one request of the rig.
func (d *door) putAgain(ctx context.Context, request any) (assumed bool, err error) {
	switch q := request.(type) {
	case bench.LampRequest:
		answer, err := d.bench.Rig.Set(ctx, q.Lamp, q.Level)
		return answer.Assumed, err
	case bench.TurnRequest:
		if rig, ok := d.bench.Rig.(bench.Turner); ok {
			_, err = rig.Turn(ctx, q.Axis, q.Degrees)
		}
	case bench.PlaceRequest:
		if rig, ok := d.bench.Rig.(bench.Placer); ok {
			_, err = rig.Place(ctx, q.At)
		}
	}
	return false, err
}

// putPatch shows the last patch again. Whoever paused has looked at something
// else meanwhile: of a source that does not know what is on the screen, nothing
// is taken for granted.
func (d *door) putPatch(ctx context.Context) (*bench.Restored, error) {
	patch, any := d.left.Patch()
	if !any {
		return nil, nil
	}
	if v, ok := d.bench.Patches.(bench.Verifier); ok && v.Stands(patch) {
		return nil, nil
	}
	shown, err := d.bench.Patches.Show(ctx, patch)
	if err = d.asked(patch, err); err != nil {
		return nil, err
	}
	d.relit = &shown
	return &bench.Restored{Patch: &patch}, nil
}

// asked takes in that a request was granted, or that it failed.
func (d *door) asked(request any, err error) error {
	if err != nil {
		d.stands.Drop(request)
		return err
	}
	d.stands.Take(request)
	return nil
}

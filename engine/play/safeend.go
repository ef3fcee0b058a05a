package play

import (
	"context"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
)

// Dark is what a run leaves on the unit.
var Dark = bench.Patch{Window: 100, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}

// safeEnd leaves unit and rig safe, however the run ended.
func (d *door) safeEnd(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
	defer cancel()
	if rig, ok := bench.As[bench.Safe](d.world.bench.Rig); ok && d.touched(bench.KindRig) {
		lit := d.world.lamps()
		failed := fault.Guard("rig", func() error { return d.world.asked(bench.SafeRequest{}, rig.MakeSafe(ctx, lit)) })
		if err := d.aside(history.SafeEnd, bench.KindRig, bench.Restored{Safe: true}, failed); err != nil {
			return err
		}
	}
	if d.world.bench.Patches == nil || !d.touched(bench.KindPatches) || d.world.stands.Off() {
		return nil // a unit that is off shows nothing, and a patch would wake it
	}
	failed := fault.Guard("patches", func() error {
		_, err := d.world.bench.Patches.Show(ctx, Dark)
		return d.world.asked(Dark, err)
	})
	return d.aside(history.SafeEnd, bench.KindPatches, bench.Restored{Patch: &Dark}, failed)
}

// touched says whether a device may stand as the run put it.
func (d *door) touched(kind bench.Kind) bool {
	if d.world.used[string(kind)] {
		return true
	}
	if d.state != live && d.history.MadeSafe(kind) {
		return false // and nothing was asked since
	}
	return d.history.Asked(kind)
}

package sim

import (
	"context"

	"candelua/engine/bench"
)

// driverName is how a bench file names this driver.
const driverName = "sim"

// Driver opens the devices of one world. They share this world, and the driver has its clock.
type Driver struct{ world *World }

var (
	_ bench.Driver  = (*Driver)(nil)
	_ bench.Clocked = (*Driver)(nil)
	_ bench.Clock   = (*World)(nil)
	_ bench.Skipper = (*World)(nil)
)

// Opener returns a function that makes a driver with a new world of its own, from
// these parameters, with this seed and speed. It fails as [New] does.
func Opener(p Params, seed uint64, speed float64) func() (bench.Driver, error) {
	return func() (bench.Driver, error) {
		w, err := New(p, seed, speed)
		if err != nil {
			return nil, err
		}
		return w.driver(), nil
	}
}

// driver returns the driver that opens this world's devices.
func (w *World) driver() *Driver { return &Driver{w} }

// Open implements [bench.Driver] for every kind.
// It fails with a [bench.Error] of code "wrong-device" for a kind that it does
// not know, and of code "bad-file" if the section has options: the parameters of
// a world are in its own file.
func (d *Driver) Open(_ context.Context, kind bench.Kind, s bench.Section) (bench.Device, error) {
	if len(s.Options) > 0 {
		return nil, bench.Errorf(bench.CodeBadFile, "state them in a world file; `candelua world` prints one with all parameters",
			"the simulated bench takes no options in a bench file")
	}
	w := d.world
	switch kind {
	case bench.KindMeter, bench.KindReference:
		return w.newMeter(kind), nil
	case bench.KindPatches:
		return source{w}, nil
	case bench.KindUnit:
		return unit{w}, nil
	case bench.KindRig:
		return rig{w}, nil
	case bench.KindOperator:
		return operator{}, nil
	}
	return nil, bench.Errorf(bench.CodeWrongDevice, "", "the simulated bench has no device of kind %q", kind)
}

// Close implements [bench.Driver]; there is nothing to close.
func (d *Driver) Close() error { return nil }

// Clock implements [bench.Clocked].
func (d *Driver) Clock() bench.Clock { return d.world }

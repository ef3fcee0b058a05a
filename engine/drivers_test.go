package engine_test

import (
	"context"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/sim"
)

// faults are what goes wrong on a bench that is the simulated one otherwise.
type faults struct {
	read  func(n int) error       // before the nth read, from 1
	light func(*bench.Sample)     // changes a single reading
	both  bool                    // the reference meter is faulty, too
	show  func(bench.Patch) error // before a patch is shown
	after func()                  // after a patch was shown
	shown []bench.Patch           // what was shown
	id    func(*bench.Identity)   // changes what the meter says of itself
	close func() error            // before the driver is closed
	open  func(n int) error       // before the nth opening of the driver
	reads int
	opens int
	world func(*sim.Params) // changes the simulated world
}

// openers open the simulated bench with faults. The real clock is used where
// simulated is false.
func (f *faults) openers() bench.Openers {
	return bench.Openers{"sim": func() (bench.Driver, error) {
		f.opens++
		if f.open != nil {
			if err := f.open(f.opens); err != nil {
				return nil, err
			}
		}
		w := sim.Default()
		if f.world != nil {
			f.world(&w)
		}
		d, err := sim.Opener(w, 1, 0)()
		if err != nil {
			return nil, err
		}
		return &faultyDriver{d.(*sim.Driver), f}, nil
	}}
}

func (f *faults) reopen(history.Head) (*bench.File, bench.Openers, error) {
	return bench.SimFile, f.openers(), nil
}

func (f *faults) spec(t testing.TB, body string) engine.Spec {
	s := simSpec(t, procedureOf(body))
	s.Openers = f.openers()
	return s
}

func (f *faults) last() bench.Patch { return f.shown[len(f.shown)-1] }

type faultyDriver struct {
	*sim.Driver
	f *faults
}

func (d *faultyDriver) Open(ctx context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	device, err := d.Driver.Open(ctx, k, s)
	switch {
	case err != nil:
	case k == bench.KindMeter, k == bench.KindReference && d.f.both:
		return &faultyMeter{device.(bench.Meter), d.f}, nil
	case k == bench.KindPatches:
		return &faultyPatches{device.(bench.Patches), d.f}, nil
	}
	return device, err
}

func (d *faultyDriver) Close() error {
	if d.f.close != nil {
		return d.f.close()
	}
	return nil
}

type faultyMeter struct {
	bench.Meter
	f *faults
}

func (m *faultyMeter) About() bench.Identity {
	id := m.Meter.About()
	if m.f.id != nil {
		m.f.id(&id)
	}
	return id
}

func (m *faultyMeter) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	m.f.reads++
	if m.f.read != nil {
		if err := m.f.read(m.f.reads); err != nil {
			return err
		}
	}
	return m.Meter.Read(ctx, q, func(s bench.Sample) error {
		if m.f.light != nil {
			m.f.light(&s)
		}
		return take(s)
	})
}

func (m *faultyMeter) Zero(ctx context.Context) error { return m.Meter.(bench.Zeroer).Zero(ctx) }

func (m *faultyMeter) Relive(k bench.Kept) error { return m.Meter.(bench.Reliver).Relive(k) }

type faultyPatches struct {
	bench.Patches
	f *faults
}

func (p *faultyPatches) Show(ctx context.Context, patch bench.Patch) (bench.Shown, error) {
	if p.f.show != nil {
		if err := p.f.show(patch); err != nil {
			return bench.Shown{}, err
		}
	}
	p.f.shown = append(p.f.shown, patch)
	shown, err := p.Patches.Show(ctx, patch)
	if p.f.after != nil {
		p.f.after()
	}
	return shown, err
}

func (p *faultyPatches) Relive(k bench.Kept) error { return p.Patches.(bench.Reliver).Relive(k) }
func (p *faultyPatches) Stands(request any) bool   { return p.Patches.(bench.Verifier).Stands(request) }

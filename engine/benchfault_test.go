package engine_test

import (
	"context"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/sim"
)

// brokenOnce is the simulated bench with a meter that fails one reading in a way that a
// person can mend.
type brokenOnce struct {
	*sim.Driver
	code  string
	fails *bool
}

func (d brokenOnce) Open(ctx context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	device, err := d.Driver.Open(ctx, k, s)
	if k != bench.KindMeter || err != nil {
		return device, err
	}
	return brokenMeter{device.(bench.Meter), d}, nil
}

type brokenMeter struct {
	bench.Meter
	of brokenOnce
}

func (m brokenMeter) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	if q.Most == 2 && *m.of.fails {
		return bench.Errorf(m.of.code, "", "it is broken")
	}
	return m.Meter.Read(ctx, q, take)
}

// Relive passes the kept readings on to the world.
func (m brokenMeter) Relive(k bench.Kept) error { return m.Meter.(bench.Reliver).Relive(k) }

// TestAMendedBenchGoesOn: whatever the code by which a device fails, the run pauses there,
// and resuming it alone leads to its end once the bench is mended.
func TestAMendedBenchGoesOn(t *testing.T) {
	for _, code := range []string{bench.CodeTimeout, bench.CodeUnsupported, bench.CodeBadReading, bench.CodeBadSetting, "anything", ""} {
		t.Run(code, func(t *testing.T) {
			broken := true
			openers := bench.Openers{"sim": func() (bench.Driver, error) {
				d, err := sim.Opener(sim.Default(), 1, 0)()
				if err != nil {
					return nil, err
				}
				return brokenOnce{d.(*sim.Driver), code, &broken}, nil
			}}
			s := simSpec(t, procedureOf("patches.show { grey = 1 } meter.read() meter.read { repeats = 2 } meter.read()"))
			s.Openers = openers
			rep := ran(t, s, journal.Paused)
			if rep.Fault != code {
				t.Errorf("the fault is %q", rep.Fault)
			}
			broken = false
			wants(t, journal.Done)(engine.Resume(t.Context(), rep.Path, engine.Resumption{Setup: plain(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
				return bench.SimFile, openers, nil
			}}))
			replayed(t, rep.Path, journal.Done)
		})
	}
}

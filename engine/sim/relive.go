package sim

import (
	"context"
	"fmt"
	"time"

	"candelua/engine/bench"
)

// relive does a kept step again at its time, unpaced, its answer thrown away.
// Since chance depends on simulated time alone, the world is then as it was.
// It fails where the step began before the world's present: then the steps are
// out of order, or of another world.
func (w *World) relive(k bench.Kept, do func(context.Context) error) error {
	if now := w.Now(); k.Began < now {
		return fmt.Errorf("relive: the kept step began at %v; it must be %v or later, the world's present time; relive steps in order, each with the exact time of its call",
			k.Began, now)
	}
	w.Skip(k.Began)
	w.unpaced = true
	defer func() { w.unpaced = false }()
	if err := do(context.Background()); err != nil {
		return fmt.Errorf("relive: %w", err)
	}
	w.Skip(k.Ended)
	return nil
}

// unheard is the error for a kept request that a device cannot live through again:
// to pass over it would leave another world than the one that the step left.
func unheard(device string, k bench.Kept) error {
	return fmt.Errorf("relive: the simulated %s does not know a %T; this is a mistake in candelua: Relive in engine/sim lacks the request", device, k.Request)
}

// Relive implements [bench.Reliver].
func (s source) Relive(k bench.Kept) error {
	switch r := k.Request.(type) {
	case bench.Patch:
		return s.w.relive(k, func(ctx context.Context) error { _, err := s.Show(ctx, r); return err })
	case []bench.TimedPatch:
		return s.w.relive(k, func(ctx context.Context) error { _, err := s.Sequence(ctx, r); return err })
	}
	return unheard("source of patches", k)
}

// Stands implements [bench.Verifier].
func (s source) Stands(request any) bool { return request == s.w.patch && !s.w.asleep }

// Relive implements [bench.Reliver].
func (u unit) Relive(k bench.Kept) error {
	switch r := k.Request.(type) {
	case bench.PowerRequest:
		return u.w.relive(k, func(ctx context.Context) error { _, err := u.Switch(ctx, r.On); return err })
	case []bench.Setting:
		return u.w.relive(k, func(ctx context.Context) error { _, err := u.Set(ctx, r); return err })
	}
	return unheard("unit", k)
}

// Stands implements [bench.Verifier]. What it does not know is asked for again.
func (u unit) Stands(request any) bool {
	switch r := request.(type) {
	case bench.PowerRequest:
		return u.w.asleep == !r.On
	case bench.Setting:
		c, err := find(u.w.controls, r.Name)
		if err != nil {
			return false
		}
		to, err := c.position(r.Value)
		return err == nil && to == c.at
	}
	return false
}

// Relive takes the readings again, unpaced, where a fault may wait for one of
// them, else passes the time that they took: they left no other trace. A dark
// level is taken again.
//
// The reading that made a step fail was not kept, but it was taken, and a fault may have
// waited for it; so it is taken again, too.
func (m *meter) Relive(k bench.Kept) error {
	switch q := k.Request.(type) {
	case bench.ZeroRequest:
		return m.w.relive(k, m.Zero)
	case bench.ReadRequest:
		if m.kind == noiseMeter && len(m.w.faults) > 0 {
			return m.w.relive(k, func(context.Context) error { m.reliveReadings(q, k); return nil })
		}
		m.w.Skip(k.Ended)
		return nil
	}
	return unheard("meter", k)
}

func (m *meter) reliveReadings(q bench.ReadRequest, k bench.Kept) {
	m.w.Skip(min(m.w.shown.Lit+seconds(q.After), k.Ended))
	for range k.Samples {
		_, _ = m.one(q) // its answer is in the journal
	}
	if k.Failed && m.struckNext(k.Ended) {
		_, _ = m.one(q)
	}
}

// struckNext says whether the next reading, up to some time, is one that a fault makes useless. One without
// an answer may take no time.
func (m *meter) struckNext(until time.Duration) bool {
	now := m.w.Now()
	for i := range m.w.faults {
		f := &m.w.faults[i]
		useless := f.p.Kind == "timeout" || f.p.Kind == "bad_reading" && now < until
		if useless && !f.spent && (f.began <= now || f.p.AtReading == m.w.readings+1) {
			return true
		}
	}
	return false
}

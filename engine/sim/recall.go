package sim

import (
	"context"
	"fmt"
	"slices"

	"candelua/engine/bench"
)

// kept is what the recalled steps left on screen and in the menu.
type kept struct {
	patch    *bench.Patch
	settings []bench.Setting // the last of each name
	off      bool            // the unit was switched off
	rig      memory
}

// memory keeps the last request of each subject, in the order of asking.
type memory struct{ requests []remembered }

type remembered struct {
	subject string
	request any
}

func (m *memory) remember(subject string, request any) {
	m.requests = append(slices.DeleteFunc(m.requests, func(r remembered) bool { return r.subject == subject }),
		remembered{subject, request})
}

// recall does a kept step again at its time, unpaced, its answer thrown away.
// Since chance depends on simulated time alone, the world is then as it was.
// It fails where the step began before the world's present: then the steps are
// out of order, or of another world.
func (w *World) recall(k bench.Kept, do func(context.Context) error) error {
	if now := w.Now(); k.Began < now {
		return fmt.Errorf("recall: kept step began at %v, want %v or later, which is how far the world is; recall steps in order, each with the exact time of its call",
			k.Began, now)
	}
	w.Skip(k.Began)
	w.unpaced = true
	defer func() { w.unpaced = false }()
	if err := do(context.Background()); err != nil {
		return fmt.Errorf("recall: %w", err)
	}
	w.Skip(k.Ended)
	return nil
}

// Recall implements [bench.Recaller]. Of kept steps that are not its own it
// takes no notice.
//
// A patch that came between the steps, as the dark screen does that a stopped
// run leaves, the world lives through; but it is not what the steps left.
func (s source) Recall(k bench.Kept) error {
	var last bench.Patch
	var do func(context.Context) error
	switch r := k.Request.(type) {
	case bench.Patch:
		last = r
		do = func(ctx context.Context) error { _, err := s.Show(ctx, r); return err }
	case []bench.TimedPatch:
		if len(r) > 0 {
			last = r[len(r)-1].Patch
		}
		do = func(ctx context.Context) error { _, err := s.Sequence(ctx, r); return err }
	default:
		return nil
	}
	if !k.Aside {
		s.w.kept.patch = &last
	}
	return s.w.recall(k, do)
}

// Restore shows the last recalled patch again if something else is on screen.
func (s source) Restore(ctx context.Context) (*bench.Restored, error) {
	p := s.w.kept.patch
	if p == nil || s.w.kept.off || *p == s.w.patch && !s.w.asleep {
		return nil, nil
	}
	shown, err := s.Show(ctx, *p)
	if err != nil {
		return nil, err
	}
	return &bench.Restored{Patch: p, Shown: shown}, nil
}

// Recall implements [bench.Recaller] for one setting or a list of them.
func (u unit) Recall(k bench.Kept) error {
	var settings []bench.Setting
	switch r := k.Request.(type) {
	case bench.PowerRequest:
		if !k.Aside {
			u.w.kept.off = !r.On
		}
		return u.w.recall(k, func(ctx context.Context) error { _, err := u.Switch(ctx, r.On); return err })
	case bench.Setting:
		settings = []bench.Setting{r}
	case []bench.Setting:
		settings = r
	default:
		return nil
	}
	all := &u.w.kept.settings
	if k.Aside {
		all = new([]bench.Setting) // lived through, and not what the steps left
	}
	for _, s := range settings {
		*all = append(slices.DeleteFunc(*all, func(o bench.Setting) bool { return u.sameControl(o.Name, s.Name) }), s)
	}
	return u.w.recall(k, func(ctx context.Context) error {
		_, err := u.Set(ctx, settings)
		return err
	})
}

// sameControl says whether two names are of one control, which may have a former name.
func (u unit) sameControl(a, b string) bool {
	c, err := find(u.w.controls, a)
	return a == b || err == nil && c.p.is(b)
}

// Restore sets again what recalled settings no longer stand as they were, and
// answers those.
func (u unit) Restore(ctx context.Context) (*bench.Restored, error) {
	var moved []bench.Setting
	for _, s := range u.w.kept.settings {
		c, err := find(u.w.controls, s.Name)
		if err != nil {
			return nil, err
		}
		if to, err := c.position(s.Value); err != nil || to != c.at {
			moved = append(moved, s)
		}
	}
	if len(moved) == 0 {
		return nil, nil
	}
	if _, err := u.Set(ctx, moved); err != nil {
		return nil, err
	}
	return &bench.Restored{Settings: moved}, nil
}

// Recall takes the readings again, unpaced, where a fault may wait for one of
// them, else passes the time that they took: they left no other trace. A dark
// level is taken again.
//
// A reading that a fault left without an answer was not kept, but it took time;
// so where time is left after the kept ones, it is taken again, too.
func (m *meter) Recall(k bench.Kept) error {
	switch q := k.Request.(type) {
	case bench.ZeroRequest:
		return m.w.recall(k, m.Zero)
	case bench.ReadRequest:
		if m.kind == noiseMeter && len(m.w.faults) > 0 {
			return m.w.recall(k, func(context.Context) error { m.recallReadings(q, k); return nil })
		}
		m.w.Skip(k.Ended)
	}
	return nil
}

func (m *meter) recallReadings(q bench.ReadRequest, k bench.Kept) {
	m.w.Skip(min(m.w.shown.Lit+seconds(q.After), k.Ended))
	for range k.Samples {
		_, _ = m.one(q) // its answer is in the journal
	}
	if m.w.Now() < k.Ended && m.silentNext() {
		_, _ = m.one(q)
	}
}

// silentNext says whether the next reading gets no answer.
func (m *meter) silentNext() bool {
	for i := range m.w.faults {
		f := &m.w.faults[i]
		if f.p.Kind == "timeout" && !f.spent && (f.began <= m.w.Now() || f.p.AtReading == m.w.readings+1) {
			return true
		}
	}
	return false
}

// Restore has nothing to do: what a meter keeps, its dark level, is recalled.
func (*meter) Restore(context.Context) (*bench.Restored, error) { return nil, nil }

// Recall passes the time that a question took: none, unless a person was there.
func (operator) Recall(bench.Kept) error { return nil }

// Restore has nothing to do.
func (operator) Restore(context.Context) (*bench.Restored, error) { return nil, nil }

package result

import (
	"maps"
	"slices"
)

// Snapshot returns a copy for those who only read, while recording goes on in r: another goroutine may read the copy. It costs
// what the numbers of values, tables and drawings cost, and not their rows: a row that is recorded is never changed.
func (r *Results) Snapshot() *Results {
	s := New()
	s.notes = slices.Clone(r.notes)
	s.standing = maps.Clone(r.standing)
	s.room = r.room
	s.values = make([]*Value, len(r.values))
	for i, v := range r.values {
		kept := v.clone()
		s.values[i], s.ids[kept.ID] = kept, kept
		for _, id := range kept.Formerly {
			s.former[id] = kept
		}
	}
	s.tables = clones(r.tables, func(t *Table) {
		t.columns, t.rows, t.unknown = slices.Clip(t.columns), slices.Clip(t.rows), slices.Clone(t.unknown)
		t.spreads, t.doubts, t.room = cloneSpreads(t.spreads), maps.Clone(t.doubts), &s.room
	})
	s.plots = clones(r.plots, func(p *Plot) { p.Y = slices.Clip(p.Y) })
	s.diagrams = clones(r.diagrams, func(*Diagram) {})
	s.corrections = clones(r.corrections, func(*Correction) {})
	if r.draws != nil {
		draws := *r.draws
		s.draws = &draws
	}
	return s
}

// clones copies what pointers point to, and has each copy made independent.
func clones[T any](all []*T, part func(*T)) []*T {
	copies := make([]*T, len(all))
	for i, one := range all {
		c := *one
		part(&c)
		copies[i] = &c
	}
	return copies
}

func cloneSpreads(all [][]*Spread) [][]*Spread {
	copies := slices.Clone(all)
	for i := range copies {
		copies[i] = slices.Clone(copies[i])
	}
	return copies
}

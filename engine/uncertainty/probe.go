package uncertainty

import (
	"context"
	"math"
	"slices"

	"candelua/engine/result"
)

// Probing executes the script of a run on readings of which some are moved by shares, by the numbers of
// their steps. Nil results are those of a script that then asks for other steps, or ends in an error.
type Probing interface {
	Probe(ctx context.Context, moves map[int]float64) (*result.Results, error)
}

// Hanging is what changes when the numbers of some steps are moved: what is computed from them.
type Hanging struct {
	values, diagrams map[string]bool // by id
	cells            map[cell]bool
	probes           int // that gave results
}

// Known says whether any probe gave results. If none did, what hangs on the steps is not known.
func (h *Hanging) Known() bool { return h.probes > 0 }

// Value says whether a value hangs on the steps.
func (h *Hanging) Value(id string) bool { return h.values[id] }

// The shares by which numbers are moved: by a little, which keeps a script from choosing otherwise, and by
// more to both sides, which gets through a number that was rounded, as for a text.
var probeShares = []float64{1e-6, 0.02, -0.02}

// Hang executes a script with the numbers of some steps moved, and tells which of its results are other ones
// then. Nothing is drawn. Each step is moved by a share of its own, so that no ratio of two of them stays. A result
// that does not change does not hang on the steps, but for two cases: it was rounded to less than 2 %, or it
// goes through a choice that run.decide keeps.
func Hang(ctx context.Context, of Probing, base *result.Results, steps []int) (*Hanging, error) {
	h := &Hanging{values: map[string]bool{}, diagrams: map[string]bool{}, cells: map[cell]bool{}}
	for _, share := range probeShares {
		moves := map[int]float64{}
		for i, step := range steps {
			_, own := math.Modf(float64(i+1) * math.Phi)
			moves[step] = share * (0.5 + own)
		}
		moved, err := of.Probe(ctx, moves)
		if err != nil {
			return nil, err
		}
		if moved != nil {
			h.probes++
			h.take(base, moved)
		}
	}
	return h, nil
}

// take takes in what is another in moved results.
func (h *Hanging) take(base, moved *result.Results) {
	for _, v := range base.Values() {
		now, ok := moved.ValueByID(v.ID)
		if !ok || now.Text != v.Text || !sameNumber(v.Value, now.Value) {
			h.values[v.ID] = true
		}
	}
	for _, t := range base.Tables() {
		now := tableByID(moved, t.ID)
		for row := range t.Len() {
			for column := range t.Width() {
				if now == nil || now.Cell(row, column) != t.Cell(row, column) {
					h.cells[cell{t.ID, row, column}] = true
				}
			}
		}
	}
	for _, d := range base.Diagrams() {
		i := slices.IndexFunc(moved.Diagrams(), func(m *result.Diagram) bool { return m.ID == d.ID })
		if i < 0 || !sameDrawing(d, moved.Diagrams()[i]) {
			h.diagrams[d.ID] = true
		}
	}
}

func sameNumber(a, b *float64) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}

// sameDrawing compares what is drawn, number by number.
func sameDrawing(a, b *result.Diagram) bool {
	return slices.Equal(numbersOf(a), numbersOf(b))
}

// numbersOf are the numbers that a diagram draws.
func numbersOf(d *result.Diagram) (all []float64) {
	for _, p := range d.Points {
		all = append(all, p.Measured[:]...)
		if p.Target != nil {
			all = append(all, p.Target[:]...)
		}
	}
	all = append(all, d.Values...)
	for _, m := range d.Marks {
		all = append(all, m.Value)
	}
	return all
}

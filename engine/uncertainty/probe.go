package uncertainty

import (
	"context"
	"math"
	"slices"

	"candelua/engine/draw"
	"candelua/engine/result"
)

// Probing executes the script of a run on readings of which some are moved, by the numbers of their
// steps. Nil results are those of a script that then asks for other steps, or ends in an error.
type Probing interface {
	Probe(ctx context.Context, moves map[int]draw.Move) (*result.Results, error)
}

// Asking also probes with the numbers that the script would keep now by run.decide, in place of those that the run
// kept, so that what goes through such a number is found. Nil results say nothing.
type Asking interface {
	ProbeAsked(ctx context.Context, moves map[int]draw.Move) (*result.Results, error)
}

// Hanging is what changes when the numbers of some steps are moved: what is computed from them.
type Hanging struct {
	values, diagrams map[string]bool // by id
	corrections      map[string]bool
	cells            map[cell]bool
	probes, lost     int // that gave results, and that gave none
}

func newHanging() *Hanging {
	return &Hanging{values: map[string]bool{}, diagrams: map[string]bool{}, corrections: map[string]bool{}, cells: map[cell]bool{}}
}

// Known says whether any probe gave results. If none did, what hangs on the steps is not known.
func (h *Hanging) Known() bool { return h.probes > 0 }

// Complete says whether all probes gave results. If not, what hangs on the steps only through a number that was rounded
// may be missing.
func (h *Hanging) Complete() bool { return h.lost == 0 }

// Value says whether a value hangs on the steps.
func (h *Hanging) Value(id string) bool { return h.values[id] }

// The shares by which numbers are moved: by a little, which keeps a script from choosing otherwise, and by
// more to both sides, which gets through a number that was rounded, as for a text.
var probeShares = []float64{1e-6, 0.02, -0.02}

// wideShares are for numbers that were rounded to a digit or two. Where a script chooses otherwise then, nothing is lost by it.
var wideShares = []float64{0.15, -0.15}

// Hang executes a script with the numbers of some steps moved, and tells which of its results are other ones
// then. Nothing is drawn. Each step is moved by a share of its own, so that no ratio of two of them stays. A result
// that does not change does not hang on the steps, but for two cases: it was rounded to less than some 10 %, or it
// goes through a choice of words, or of true and false, that run.decide keeps.
func Hang(ctx context.Context, of Probing, base *result.Results, steps []int) (*Hanging, error) {
	h, err := hang(ctx, of, base, movesBy(probeShares, steps), 0)
	if err != nil {
		return nil, err
	}
	return h, h.ask(ctx, of, base, movesBy(wideShares, steps), 0)
}

// movesBy moves steps by each of some shares.
func movesBy(shares []float64, steps []int) (all []map[int]draw.Move) {
	for _, share := range shares {
		moves := map[int]draw.Move{}
		for i, step := range steps {
			_, own := math.Modf(float64(i+1) * math.Phi)
			moves[step] = draw.Move{Share: share * (0.5 + own)}
		}
		all = append(all, moves)
	}
	return all
}

// A result hangs on dark readings if it changes by more than this share of itself between hardly any light, which is
// that share of the limits, and the limits. None at all would be a division by zero in many a script.
const (
	muchOf    = 0.5
	hardlyAny = 0.001
)

// HangBelow is Hang for readings of darkness, which are only known to be at most so much, in cd/m2 by the number of
// the step. A result that changes by less than half when they all read hardly any light, and when they are all at their
// limits, does not hang on them: what is taken off a bright reading does not matter.
func HangBelow(ctx context.Context, of Probing, base *result.Results, limits map[int]float64) (*Hanging, error) {
	none, most := map[int]draw.Move{}, map[int]draw.Move{}
	for step, limit := range limits {
		none[step], most[step] = draw.Move{To: new(hardlyAny * limit)}, draw.Move{To: &limit}
	}
	return hang(ctx, of, base, []map[int]draw.Move{none, most}, muchOf)
}

// hang probes, and takes for hanging what changes by more than a share of itself.
func hang(ctx context.Context, of Probing, base *result.Results, probes []map[int]draw.Move, share float64) (*Hanging, error) {
	h := newHanging()
	same := within(share)
	for _, moves := range probes {
		moved, err := of.Probe(ctx, moves)
		if err != nil {
			return nil, err
		}
		if moved == nil {
			h.lost++
			continue
		}
		h.probes++
		h.take(base, moved, same)
	}
	return h, h.ask(ctx, of, base, probes, share)
}

// within says whether two numbers differ by no more than a share of the first.
func within(share float64) func(a, b float64) bool {
	return func(a, b float64) bool { return math.Abs(a-b) <= share*math.Abs(a) }
}

// ask also probes with the numbers that run.decide is asked to keep.
func (h *Hanging) ask(ctx context.Context, of Probing, base *result.Results, probes []map[int]draw.Move, share float64) error {
	asking, ok := of.(Asking)
	if !ok || h.probes == 0 {
		return nil
	}
	for _, moves := range probes {
		asked, err := asking.ProbeAsked(ctx, moves)
		if err != nil {
			return err
		}
		if asked != nil {
			h.take(base, asked, within(share))
		}
	}
	return nil
}

// take takes in what is another in moved results.
func (h *Hanging) take(base, moved *result.Results, same func(a, b float64) bool) {
	for _, v := range base.Values() {
		now, ok := moved.ValueByID(v.ID)
		if !ok || now.Text != v.Text || (v.Value == nil) != (now.Value == nil) || v.Value != nil && !same(*v.Value, *now.Value) {
			h.values[v.ID] = true
		}
	}
	for _, t := range base.Tables() {
		now := tableByID(moved, t.ID)
		for row := range t.Len() {
			for column := range t.Width() {
				if now == nil || !sameCell(t.Cell(row, column), now.Cell(row, column), same) {
					h.cells[cell{t.ID, row, column}] = true
				}
			}
		}
	}
	for _, d := range base.Diagrams() {
		i := slices.IndexFunc(moved.Diagrams(), func(m *result.Diagram) bool { return m.ID == d.ID })
		if i < 0 || !slices.EqualFunc(numbersOf(d), numbersOf(moved.Diagrams()[i]), same) {
			h.diagrams[d.ID] = true
		}
	}
	h.takeCorrections(base, moved, same)
}

// Alike says whether two executions came to the same values, tables, drawings and corrections. Notes do not count.
func Alike(a, b *result.Results) bool {
	h := newHanging()
	h.take(a, b, func(x, y float64) bool { return x == y })
	for _, v := range a.Values() {
		if now, ok := b.ValueByID(v.ID); !ok || now.Bound != v.Bound {
			return false
		}
	}
	return len(a.Values()) == len(b.Values()) && len(a.Tables()) == len(b.Tables()) &&
		len(h.values)+len(h.cells)+len(h.diagrams)+len(h.corrections) == 0
}

// takeCorrections takes in which corrections are others.
func (h *Hanging) takeCorrections(base, moved *result.Results, same func(a, b float64) bool) {
	for _, c := range base.Corrections() {
		now := slices.IndexFunc(moved.Corrections(), func(m *result.Correction) bool { return m.ID == c.ID })
		for i, row := range c.Matrix {
			for k, x := range row {
				if now < 0 || !same(x, moved.Corrections()[now].Matrix[i][k]) {
					h.corrections[c.ID] = true
				}
			}
		}
	}
}

func sameCell(a, b result.Cell, same func(a, b float64) bool) bool {
	x, isNumber := a.Float()
	y, isToo := b.Float()
	if isNumber && isToo {
		return same(x, y)
	}
	return a == b
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

package uncertainty

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strings"

	"candelua/engine/draw"
	"candelua/engine/result"
)

// depends says which numbers of the results depend on something whose error nobody states, or
// that no draw moves.
type depends struct {
	values map[string][]draw.Unknown // by the value's id
	cells  map[cell][]draw.Unknown
}

// shake executes the script with each unknown moved a little, and notes which numbers are other ones
// then. Where the script ends otherwise as soon as an unknown is a thousandth different, all numbers
// depend on that. It looks at those unknowns that rest, or at the others.
func (d *Drawn) shake(ctx context.Context, of Executions, unknowns []draw.Unknown, resting bool) error {
	for _, u := range unknowns {
		if u.Resting != resting {
			continue
		}
		h, failed := newHanging(), 0
		for number := range cmp.Or(u.Most, draw.Probes) {
			once, err := of.Shake(ctx, u, number)
			if err != nil {
				return err
			}
			if once.Results != nil {
				h.take(d.base, once.Results, func(was, is float64) bool { return !differs(was, is) })
			} else if !resting && number < draw.LeastProbes {
				failed++
			}
		}
		d.note(u, h, failed == draw.LeastProbes)
	}
	return nil
}

// note keeps which numbers depend on an unknown; all says that every one does.
func (d *Drawn) note(u draw.Unknown, h *Hanging, all bool) {
	eachNumber(d.base, func(v *result.Value) {
		if all || h.values[v.ID] {
			d.depends.values[v.ID] = append(d.depends.values[v.ID], u)
		}
	}, func(at cell) {
		if !u.Axis && (all || h.cells[at]) {
			d.depends.cells[at] = append(d.depends.cells[at], u)
		}
	})
}

// rests says whether there is a number that no draw moved.
func (d *Drawn) rests() bool {
	for id, all := range d.values {
		if v, _ := d.base.ValueByID(id); unmoved(*v.Value, all) {
			return true
		}
	}
	for at, all := range d.cells {
		if x, _ := tableByID(d.base, at.table).Cell(at.row, at.column).Float(); unmoved(x, all) {
			return true
		}
	}
	return false
}

func differs(was, is float64) bool { return math.Abs(is-was) > rounding*math.Abs(was) }

// unmoved says whether all draws gave what the run gave.
func unmoved(x float64, all []float64) bool {
	return !slices.ContainsFunc(all, func(y float64) bool { return math.IsNaN(y) || differs(x, y) })
}

// notKnown says in words why the uncertainty of a number is not known, "" where nothing
// speaks against it. still says that no draw moves the number.
func notKnown(of []draw.Unknown, still bool) string {
	var parts []string
	for _, u := range of {
		if still || !u.Resting {
			part := u.Of + ", and " + u.Why
			if u.Do != "" {
				part += "; " + u.Do
			}
			parts = append(parts, part)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "its uncertainty is not known: it depends on " + strings.Join(parts, ". It also depends on ")
}

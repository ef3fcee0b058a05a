package uncertainty

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"candelua/engine/draw"
	"candelua/engine/result"
)

// Conclude gives the results their uncertainties.
func (d *Drawn) Conclude() error {
	if d.Count == 0 {
		d.undrawn()
		return nil
	}
	by := draw.NewExplainer(d.causes)
	if d.sheet != nil {
		d.moves = d.sheet.Moves(d.Count)
	}
	for _, v := range d.base.Values() {
		if all, ok := d.values[v.ID]; ok {
			d.conclude(v, all, by)
		}
	}
	draws := d.Draws
	d.base.SetDraws(&draws)
	for _, at := range slices.SortedFunc(maps.Keys(d.cells), compareCells) {
		t := tableByID(d.base, at.table)
		x, _ := t.Cell(at.row, at.column).Float()
		if why := notKnown(d.depends.cells[at], unmoved(x, d.cells[at])); why != "" {
			t.SetNotKnown(at.column, why)
			continue
		}
		u, _, err := d.evaluate(t.Columns()[at.column].Unit, x, d.cells[at])
		if err != nil || u.Method == draw.Constant || u.U <= rounding*math.Abs(x) {
			continue
		}
		if err := t.SetSpread(at.row, at.column, result.Spread{U: u.U, Low: u.Low, High: u.High}); err != nil {
			return err
		}
	}
	return nil
}

// undrawn concludes from no draw: where none could change anything, the values are constant, but for
// those that depend on what nobody knows.
func (d *Drawn) undrawn() {
	draws := d.Draws
	d.base.SetDraws(&draws)
	if d.Ended != result.NothingDrawn {
		return
	}
	for _, v := range d.base.Values() {
		if _, ok := d.values[v.ID]; !ok {
			continue
		}
		v.U, v.Interval, v.Method, v.Rounded, v.Bias, v.Budget = new(float64), &[2]float64{*v.Value, *v.Value}, string(draw.Constant), "", nil, nil
		d.unknown(v, true)
	}
	for _, at := range slices.SortedFunc(maps.Keys(d.depends.cells), compareCells) {
		tableByID(d.base, at.table).SetNotKnown(at.column, notKnown(d.depends.cells[at], true))
	}
}

// unknown says of a value that its uncertainty is not known, if it is not; still says that no
// draw moves it.
func (d *Drawn) unknown(v *result.Value, still bool) bool {
	why := notKnown(d.depends.values[v.ID], still)
	if why == "" {
		return false
	}
	v.U, v.UAtLeast, v.Interval, v.Method, v.Rounded, v.Bias, v.Budget = nil, nil, nil, result.NotKnown, "", nil, nil
	if v.Why == "" {
		v.Why = why
	}
	if all := d.values[v.ID]; !still && len(all) > 0 {
		if u, _, err := d.evaluate(v.Unit, *v.Value, all); err == nil && u.U > rounding*math.Abs(*v.Value) {
			v.UAtLeast = &u.U
		}
	}
	return true
}

func compareCells(a, b cell) int {
	return cmp.Or(cmp.Compare(a.table, b.table), cmp.Compare(a.row, b.row), cmp.Compare(a.column, b.column))
}

// conclude gives a value its uncertainty, or says why it has none.
func (d *Drawn) conclude(v *result.Value, all []float64, by *draw.Explainer) {
	v.U, v.UAtLeast, v.Interval, v.Method, v.Rounded, v.Bias, v.Budget = nil, nil, nil, "", "", nil, nil
	if d.unknown(v, unmoved(*v.Value, all)) {
		return
	}
	u, all, err := d.evaluate(v.Unit, *v.Value, all)
	if err != nil {
		if v.Why == "" {
			v.Why = d.why(err, all)
		}
		return
	}
	if u.U <= rounding*math.Abs(*v.Value) { // of the arithmetic, not of the readings
		u.U, u.Low, u.High, u.Bias, u.Method = 0, *v.Value, *v.Value, 0, draw.Constant
	}
	v.U, v.Interval, v.Method = &u.U, &[2]float64{u.Low, u.High}, string(u.Method)
	if u.U > 0 && !v.Counted() {
		v.Rounded = result.Round(*v.Value, u.U).String()
	}
	if u.Bias != 0 {
		v.Bias = &u.Bias
	}
	if u.U > 0 {
		d.explain(v, all, by)
	}
}

// explain gives a value its budget. If that is not possible, it states the reason once for all values.
func (d *Drawn) explain(v *result.Value, all []float64, by *draw.Explainer) {
	budget, err := by.Explain(*v.Value, all, draw.Scatter)
	if err != nil {
		d.BudgetWhy = err.Error()
		if !errors.Is(err, draw.ErrManySets) {
			d.BudgetWhy += "; use more draws"
		}
		return
	}
	v.Budget = partsOf(budget, *v.U, d.rest)
}

// leastShare is the share of the squares below which a cause is left out of a budget: a
// cause that contributes nothing may have as much by chance.
const leastShare = 0.01

// partsOf returns the parts of an uncertainty u. The budget's parts add up in squares to the
// standard deviation of the draws. If these have heavy tails, as those of means of two or
// three readings do, u is not that standard deviation; so the parts are scaled to u. rest is
// the name of the part that follows from no cause.
func partsOf(budget draw.Budget, u float64, rest string) (parts []result.Part) {
	for i, p := range budget.Parts {
		if p.U > 0 && (i == 0 || p.Share >= leastShare) {
			of := p.Component.String()
			if p.Component == draw.Scatter {
				of = rest
			}
			parts = append(parts, result.Part{Of: of, U: p.U * (u / budget.Together), Share: p.Share})
		}
	}
	return parts
}

// why says why a value has no uncertainty, with the share of the draws that gave no value
// for each reason.
func (d *Drawn) why(err error, all []float64) string {
	text := "its uncertainty is not evaluated: " + err.Error()
	if !errors.Is(err, draw.ErrDivergent) {
		return text
	}
	withheld := -d.Divergent - d.Failed
	for _, x := range all {
		if math.IsNaN(x) {
			withheld++
		}
	}
	for _, cause := range []struct {
		draws int
		is    string
	}{
		{d.Divergent, "of the draws the script took other steps, as it does where a choice by readings is not made with run.decide"},
		{d.Failed, "of the draws the script ended in an error"},
		{withheld, "of the draws the script recorded no value, or a limit"},
	} {
		if cause.draws > 0 {
			text += "; in " + percentOf(cause.draws, d.Count) + " " + cause.is
		}
	}
	return text
}

// percentOf writes a share with two digits, and a share above 0 never as 0 %.
func percentOf(n, of int) string {
	share := 100 * float64(n) / float64(of)
	if share >= 10 {
		return fmt.Sprintf("%.0f %%", share)
	}
	return fmt.Sprintf("%.2g %%", share)
}

// rounding is the share of a number below which its spread comes from floating-point
// rounding: about 1e-16 for a ratio, 8e-13 for the exponent of an iterative fit.
const rounding = 5e-12

// mostTurned is the widest interval of an angle that says anything, in degrees: with more than half a
// turn, all directions are much the same.
const mostTurned = 180

// errTurned is for an angle of which the readings say nothing.
var errTurned = errors.New("the angle cannot be told: with the errors of the readings it may point anywhere, as a hue does near grey")

// evaluate returns the uncertainty of a number with this unit, and its draws as they count.
// Draws of an angle are turned by whole turns, to where they are next to the value: a hue
// of 359 degrees and one of 1 differ by 2. Its interval may reach below 0 or beyond 360.
func (d *Drawn) evaluate(unit string, estimate float64, all []float64) (draw.Uncertainty, []float64, error) {
	v := draw.Value{Estimate: estimate, Draws: all, Percent: unit == "%"}
	if d.straight || !slices.Contains([]string{"°", "degrees", "degree", "deg"}, unit) {
		v.Linear = d.moves.Linear(all)
		u, err := v.Evaluate()
		return u, all, err
	}
	v.Draws = make([]float64, len(all))
	for i, x := range all {
		v.Draws[i] = x + 360*math.Round((estimate-x)/360)
	}
	v.Limits, v.Linear = &draw.Unlimited, d.moves.Linear(v.Draws)
	u, err := v.Evaluate()
	if err == nil && u.High-u.Low > mostTurned {
		err = errTurned
	}
	return u, v.Draws, err
}

package uncertainty

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"

	"candelua/engine/result"
)

// mostReasons is how many reasons are told apart; readings of further ones are taken together.
const mostReasons = 8

// Doubt tells of results that are computed from readings against which something stands
// ([result.Results.Standing]). A value with a bound, or without a number, is left as it is: its script has allowed for
// them. Where the probes give nothing, or of is nil, what hangs on such readings is not known. Then each number of
// which the script does not say where it is from is left open.
func Doubt(ctx context.Context, of Probing, base *result.Results) error {
	var open, rounded []result.Standing
	for _, some := range byReason(base.Standing()) {
		hanging := &Hanging{}
		if of != nil {
			var err error
			if hanging, err = hangOn(ctx, of, base, some); err != nil {
				return err
			}
		}
		if !hanging.Known() {
			open = append(open, some...)
			continue
		}
		hanging.doubt(base, why(some))
		if !hanging.Complete() {
			rounded = append(rounded, some...)
		}
	}
	leaveOpen(base, rounded, mayBeRounded)
	leaveOpen(base, open, func(*result.Value) bool { return true })
	return nil
}

// mayBeRounded says whether a value is a text, or a number of few digits.
func mayBeRounded(v *result.Value) bool {
	const fewDigits = 9
	return v.Value == nil || len(strconv.FormatFloat(math.Abs(*v.Value), 'e', -1, 64)) <= fewDigits+len(".e+00")
}

// hangOn finds what hangs on readings against which the same stands.
func hangOn(ctx context.Context, of Probing, base *result.Results, some []result.Standing) (*Hanging, error) {
	var steps []int
	limits := map[int]float64{}
	for _, s := range some {
		steps = append(steps, s.Step)
		if s.Limit != nil {
			limits[s.Step] = *s.Limit
		}
	}
	if len(limits) == len(steps) {
		return HangBelow(ctx, of, base, limits)
	}
	return Hang(ctx, of, base, steps)
}

// byReason puts readings of the same reason together, in the order of their steps.
func byReason(all []result.Standing) (groups [][]result.Standing) {
	for _, s := range all {
		i := slices.IndexFunc(groups, func(g []result.Standing) bool { return g[0].Why == s.Why })
		switch {
		case i >= 0:
		case len(groups) < mostReasons:
			groups = append(groups, nil)
			i = len(groups) - 1
		default:
			i = mostReasons - 1
		}
		groups[i] = append(groups[i], s)
	}
	return groups
}

// why is the reason of readings that are taken together.
func why(some []result.Standing) string {
	if slices.ContainsFunc(some, func(s result.Standing) bool { return s.Why != some[0].Why }) {
		return some[0].Why + ", or another reason that a reading's doubt states"
	}
	return some[0].Why
}

// allowsFor says whether the script has allowed for what stands against readings.
func allowsFor(v *result.Value) bool {
	return v.Bound != "" || v.Value == nil && v.Text == ""
}

func (h *Hanging) doubt(base *result.Results, why string) {
	for _, v := range base.Values() {
		if h.values[v.ID] && !allowsFor(v) {
			v.AddDoubt(why)
		}
	}
	for _, t := range base.Tables() {
		for row := range t.Len() {
			for column := range t.Width() {
				if h.cells[cell{t.ID, row, column}] {
					t.AddDoubt(row, column, why)
				}
			}
		}
	}
	for _, d := range base.Diagrams() {
		if h.diagrams[d.ID] {
			d.AddDoubt(why)
		}
	}
	for _, c := range base.Corrections() {
		if h.corrections[c.ID] {
			// Results that are full of notes have no room for another.
			_ = base.Note(result.Note{Level: result.Doubt, Where: c.Where,
				Text: fmt.Sprintf("The correction %s is computed from readings that do not show what the patch gives: %s. Do not use it.", c.Name, why)})
		}
	}
}

// leaveOpen says of numbers without a stated origin that something stands against readings that they may be from.
func leaveOpen(base *result.Results, against []result.Standing, which func(*result.Value) bool) {
	if len(against) == 0 {
		return
	}
	for _, v := range base.Values() {
		if v.Unsaid && !allowsFor(v) && which(v) {
			v.LeaveOpen(against)
		}
	}
	for _, t := range base.Tables() {
		if t.Unsaid {
			t.LeaveOpen(against)
		}
	}
	for _, d := range base.Diagrams() {
		d.LeaveOpen(against)
	}
}

package result

import (
	"fmt"
	"slices"
	"strings"
)

// A number may be outside of its own interval: where errors of the readings push it one way, as they
// push a mean of distances, the interval is that of the truth, which is on the other side; and where a
// script computes otherwise when readings are other ones. Whoever shows such a number says so.

// Outside says whether a value is outside of its own interval.
func (v *Value) Outside() bool {
	return v.Value != nil && v.Interval != nil && outside(*v.Value, v.Interval[0], v.Interval[1])
}

func outside(x, low, high float64) bool { return x < low || x > high }

// Remark says in words that the value is outside of its own interval, and what to think of
// that; "" where it is not.
func (v *Value) Remark() string {
	if !v.Outside() {
		return ""
	}
	where, other := "above", "higher"
	if *v.Value < v.Interval[0] {
		where, other = "below", "lower"
	}
	text := "the value is " + where + " its own 95 % interval: with random errors added to the readings, the script mostly gives "
	if v.Bias == nil {
		return text + "other numbers than this one; check how the script computes it before you use it"
	}
	return text + fmt.Sprintf("%s numbers than this one, so errors of the readings may have made the value itself %s; check how the script computes it before you use it", other, other)
}

// Outside says whether a cell is outside of its own interval.
func (t *Table) Outside(row, column int) bool {
	s := t.Spread(row, column)
	if s == nil {
		return false
	}
	x, isNumber := t.Cell(row, column).Float()
	return isNumber && outside(x, s.Low, s.High)
}

// mostNamed is how many cells a remark names.
const mostNamed = 6

// Remark says in words which cells of some columns are outside of their own intervals; "" where none
// is. Without columns it looks at all.
func (t *Table) Remark(columns ...string) string {
	var cells []string
	n := 0
	for i := range t.rows {
		for k, c := range t.columns {
			if len(columns) > 0 && !slices.Contains(columns, c.Name) || !t.Outside(i, k) {
				continue
			}
			if n++; n <= mostNamed {
				cells = append(cells, fmt.Sprintf("row %d, %s", i+1, c.Name))
			}
		}
	}
	if n == 0 {
		return ""
	}
	if n > mostNamed {
		cells = append(cells, fmt.Sprintf("and %d more", n-mostNamed))
	}
	return "outside of their own 95 % intervals: " + strings.Join(cells, "; ") + ". With random errors added to the readings, the script mostly gives other numbers than these"
}

// remarked says whether any number is outside of its own interval.
func (r *Results) remarked() bool {
	return slices.ContainsFunc(r.values, (*Value).Outside) || slices.ContainsFunc(r.tables, func(t *Table) bool { return t.Remark() != "" })
}

// plainValue is a value without methods, for JSON.
type plainValue Value

// remarkedValue is a value as JSON has it.
type remarkedValue struct {
	*plainValue
	Basis string `json:"u_is,omitempty"`
	Note  string `json:"remark,omitempty"`
}

// Repeatability is what an uncertainty is that leaves out how far off the meter may be.
const Repeatability = "repeatability only; the meter's accuracy is not stated"

// based gives each value with an uncertainty the words for what that is, where it is less
// than the whole.
func based(values []*Value, d *Draws) []*Value {
	for _, v := range values {
		if v.basis = ""; d.RepeatabilityOnly() && v.U != nil && *v.U > 0 {
			v.basis = Repeatability
		}
	}
	return values
}

// MarshalJSON writes the value, with its [Value.Remark] where there is one.
func (v *Value) MarshalJSON() ([]byte, error) {
	return encode(remarkedValue{(*plainValue)(v), v.basis, v.Remark()})
}

// UnmarshalJSON reads what MarshalJSON writes. The remark, and what the uncertainty is,
// are found anew.
func (v *Value) UnmarshalJSON(data []byte) error {
	return strict(data, &remarkedValue{plainValue: (*plainValue)(v)})
}

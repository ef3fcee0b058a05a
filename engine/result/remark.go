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

// Remark says in words what else must be known of the value, and what to think of that: that it is computed
// from readings against which something stands, or may be, and that it is outside of its own interval; "" where
// there is nothing to say.
func (v *Value) Remark() string {
	return sentences(v.doubtRemark(), v.outsideRemark())
}

// fromUnsound begins what is said of a number that is computed from readings against which something stands.
const fromUnsound = "computed from readings that do not show what the patch gives"

// unsaid is what is said where it is not known which readings a number is from.
const unsaid = "it is not said which readings this value is from, and %s; state the readings with from = ..."

func (v *Value) doubtRemark() string {
	switch {
	case v.Doubt != "":
		return "it is " + fromUnsound + ": " + v.Doubt + "; leave these readings out, or record the value as a limit (bound)"
	case v.Open != "":
		return fmt.Sprintf(unsaid, v.Open)
	}
	return ""
}

// sentences joins what is not empty.
func sentences(all ...string) string {
	return strings.Join(slices.DeleteFunc(all, func(s string) bool { return s == "" }), ". ")
}

func (v *Value) outsideRemark() string {
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

// Remark says in words which cells of some columns are computed from readings against which something stands,
// or may be, which are outside of their own intervals, and in which of the columns are numbers whose uncertainty is not
// known; "" where there is nothing to say. Without columns it looks at all.
func (t *Table) Remark(columns ...string) string {
	return sentences(t.doubtRemark(columns), t.outsideRemark(columns), t.notKnownWords(columns))
}

// CellRemark says of one cell, in short, what [Table.Remark] says; "" where there is nothing to say.
func (t *Table) CellRemark(row, column int) string {
	outside, doubt := "", t.Doubt(row, column)
	if t.Outside(row, column) {
		outside = "outside of its own 95 % interval"
	}
	if _, isNumber := t.Cell(row, column).Float(); doubt == "" && t.open != "" && isNumber {
		doubt = "may be from these: " + t.open
	}
	return sentences(doubt, outside, t.cellNotKnown(row, column))
}

func (t *Table) doubtRemark(columns []string) string {
	cells, whys := t.named(columns, func(row, column int) string { return t.Doubt(row, column) })
	switch {
	case cells != "":
		return fromUnsound + " (" + reasons(whys) + "): " + cells
	case t.open != "":
		return t.open + "; it is not known which numbers of this table are computed from them"
	}
	return ""
}

func (t *Table) outsideRemark(columns []string) string {
	cells, _ := t.named(columns, func(row, column int) string {
		if t.Outside(row, column) {
			return "outside"
		}
		return ""
	})
	if cells == "" {
		return ""
	}
	return "outside of their own 95 % intervals: " + cells + ". With random errors added to the readings, the script mostly gives other numbers than these"
}

// named names the cells of some columns of which something is said, a few of many, and gives all that is said.
func (t *Table) named(columns []string, of func(row, column int) string) (named string, said []string) {
	var cells []string
	n := 0
	for i := range t.rows {
		for k, c := range t.columns {
			if len(columns) > 0 && !slices.Contains(columns, c.Name) {
				continue
			}
			what := of(i, k)
			if what == "" {
				continue
			}
			said = append(said, strings.Split(what, "; ")...)
			if n++; n <= mostNamed {
				cells = append(cells, fmt.Sprintf("row %d, %s", i+1, c.Name))
			}
		}
	}
	if n > mostNamed {
		cells = append(cells, fmt.Sprintf("and %d more", n-mostNamed))
	}
	return strings.Join(cells, "; "), said
}

// Remark says in words that numbers of the drawing are computed from readings against which something stands; ""
// where none is.
func (d *Diagram) Remark() string {
	switch {
	case d.Doubt != "":
		return "some of what is drawn is " + fromUnsound + ": " + d.Doubt
	case d.Open != "":
		return "it is not known from which readings this is drawn, and " + d.Open
	}
	return ""
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

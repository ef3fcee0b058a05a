package report

import (
	"fmt"
	"io"
	"strings"

	"candelua/engine/plain"
	"candelua/engine/result"
)

// Changes writes one line for each value with what it was before and is after,
// in the order of after; values that only before has come last. Uncertainties are
// shown if there are any, and the difference if both are numbers. A missing number
// is a dash. It fails only if w fails.
func Changes(w io.Writer, before, after *result.Results, o Options) error {
	if o.Width == 0 {
		o.Width = 80
	}
	o.Width = max(o.Width, 40)
	p := &printer{out: plain.On(w).Page(), Options: o}
	changes := pairs(before, after)
	if len(changes) == 0 {
		return plain.On(w).Paste(p.out)
	}
	p.started = true
	for i, l := range lines(p.fit(changeColumns(changes))) {
		p.line(l)
		if i == 0 {
			continue
		}
		c := changes[i-1]
		if c.was != nil && c.was.Doubt != "" {
			p.below("before, it was computed from readings that do not show what the patch gives: " + c.was.Doubt)
		}
		if c.was != nil && c.was.Outside() {
			p.below("before, it was outside of its own 95 % interval")
		}
		if c.is != nil {
			p.below(c.is.Remark())
		}
		if p.Budget && c.is != nil {
			p.below(budgetText(changes[i-1].is, after.Draws()))
		}
	}
	p.draws(after.Draws())
	return plain.On(w).Paste(p.out)
}

// change is a value before and after; nil if there is none.
type change struct{ was, is *result.Value }

// pairs pairs values by their ids, and by former ones of those after.
func pairs(before, after *result.Results) (all []change) {
	stays := map[*result.Value]bool{}
	for _, v := range after.Values() {
		was, _ := before.Before(v)
		stays[was] = true
		all = append(all, change{was, v})
	}
	for _, v := range before.Values() {
		if !stays[v] {
			all = append(all, change{v, nil})
		}
	}
	return all
}

// changeColumns leaves out those of uncertainties that would be empty.
func changeColumns(changes []change) (columns []column) {
	heads := []string{"value", "before", headU, "after", headU, "change", "unit"}
	cells := make([][]string, len(heads))
	for _, c := range changes {
		v := c.is
		if v == nil {
			v = c.was
		}
		was, wasU := brief(c.was)
		is, isU := brief(c.is)
		for i, cell := range []string{plain.Line(v.Name), was, wasU, is, isU, difference(c.was, c.is), plain.Line(v.Unit)} {
			cells[i] = append(cells[i], cell)
		}
	}
	for i, head := range heads {
		if head != headU || strings.Join(cells[i], "") != "" {
			columns = append(columns, newColumn(head, cells[i]))
		}
	}
	return columns
}

// brief writes a value and its uncertainty, and a long text cut.
func brief(v *result.Value) (number, u string) {
	if v == nil {
		return "-", ""
	}
	if text, long := textOf(v); long {
		return widths.Truncate(text, 16, "…"), ""
	}
	return quantity(v)
}

// difference is what was added to a number, empty where it stayed the same or
// one of the two is none.
func difference(was, is *result.Value) string {
	if was == nil || is == nil || was.Value == nil || is.Value == nil || was.Unit != is.Unit || result.Same(*was.Value, *is.Value) {
		return ""
	}
	return fmt.Sprintf("%+.3g", *is.Value-*was.Value)
}

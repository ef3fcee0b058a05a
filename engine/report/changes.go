package report

import (
	"bufio"
	"fmt"
	"io"

	"candelua/engine/result"
)

// Changes writes one line for each value with what it was before and is after,
// in the order of after; those that are gone come last. Where both are numbers,
// the difference stands beside them. A number that is not there is a dash. It
// fails only where w does.
func Changes(w io.Writer, before, after *result.Results, o Options) error {
	if o.Width == 0 {
		o.Width = 80
	}
	o.Width = max(o.Width, 40)
	p := &printer{out: bufio.NewWriter(w), Options: o}
	var cells [5][]string
	add := func(was, is *result.Value) {
		v := is
		if v == nil {
			v = was
		}
		row := [5]string{clean(v.Name), brief(was), brief(is), difference(was, is), clean(v.Unit)}
		for i, cell := range row {
			cells[i] = append(cells[i], cell)
		}
	}
	for _, v := range after.Values() {
		was, _ := before.ValueByID(v.ID)
		add(was, v)
	}
	for _, v := range before.Values() {
		if _, stays := after.ValueByID(v.ID); !stays {
			add(v, nil)
		}
	}
	if len(cells[0]) > 0 {
		var columns []column
		for i, head := range []string{"value", "before", "after", "change", "unit"} {
			columns = append(columns, newColumn(head, cells[i]))
		}
		for _, l := range lines(p.fit(columns)) {
			p.line(l)
		}
	}
	return p.out.Flush()
}

// brief writes a value without its uncertainty, and a long text cut.
func brief(v *result.Value) string {
	if v == nil {
		return "-"
	}
	if text, long := textOf(v); long {
		return widths.Truncate(text, 16, "…")
	}
	number, _ := quantity(v)
	return number
}

// difference is what was added to a number, empty where it stayed the same or
// one of the two is none.
func difference(was, is *result.Value) string {
	if was == nil || is == nil || was.Value == nil || is.Value == nil || was.Unit != is.Unit || result.Same(*was.Value, *is.Value) {
		return ""
	}
	return fmt.Sprintf("%+.3g", *is.Value-*was.Value)
}

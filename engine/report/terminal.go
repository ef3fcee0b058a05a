package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"candelua/engine/result"
)

// Options say how results are shown.
type Options struct {
	Width  int  // columns of the terminal; 0 for 80, at least 40
	Colour bool // ANSI colours for findings and cautions
	Plots  bool // draw the plots with characters
	Budget bool // show what the uncertainties are made of
	// Drawings is the folder that holds the drawings as files, which are then
	// named in a line; empty where there are none.
	Drawings string
}

// Terminal writes results as text: cautions, values, tables with their plots,
// and notes. A part that is empty is left out. It fails only where w does.
func Terminal(w io.Writer, r *result.Results, o Options) error {
	if o.Width == 0 {
		o.Width = 80
	}
	o.Width = max(o.Width, 40)
	p := &printer{out: bufio.NewWriter(w), Options: o}
	p.notes(r, result.Caution)
	p.values(r.Values(), r.Draws())
	for _, t := range r.Tables() {
		p.table(t)
		p.plots(r, t)
	}
	p.draws(r.Draws())
	p.notes(r, "")
	p.drawings(r)
	return p.out.Flush()
}

// printer writes parts with an empty line between them.
type printer struct {
	Options
	out     *bufio.Writer
	started bool
}

func (p *printer) part() {
	if p.started {
		fmt.Fprintln(p.out)
	}
	p.started = true
}

func (p *printer) line(s string) { fmt.Fprintln(p.out, s) }

// The ANSI colours.
const (
	red    = "31"
	green  = "32"
	yellow = "33"
)

func (p *printer) coloured(s, colour string) string {
	if !p.Colour || s == "" {
		return s
	}
	return "\x1b[" + colour + "m" + s + "\x1b[0m"
}

// notes writes the notes of a level, each wrapped.
func (p *printer) notes(r *result.Results, level result.Level) {
	label, colour := "note: ", ""
	if level == result.Caution {
		label, colour = "caution: ", yellow
	}
	first := true
	for _, n := range r.Notes() {
		if n.Level != level {
			continue
		}
		if first {
			p.part()
			first = false
		}
		for i, l := range wrap(clean(n.Text), p.Width-len(label)) {
			lead := strings.Repeat(" ", len(label))
			if i == 0 {
				lead = label
			}
			if colour != "" {
				lead = p.coloured(lead, colour)
			}
			p.line(lead + l)
		}
	}
}

// values writes one line a value, and below it a text that is too long for
// the line, and why something in it was not evaluated.
func (p *printer) values(values []*result.Value, draws *result.Draws) {
	if len(values) == 0 {
		return
	}
	p.part()
	columns := p.fit(valueColumns(values))
	for i, l := range lines(columns) {
		if i == 0 {
			p.line(l)
			continue
		}
		v := values[i-1]
		p.line(p.colourFinding(l, v.Finding))
		if _, long := textOf(v); long {
			p.below(v.Text)
		}
		p.below(v.Why)
		if p.Budget {
			p.below(budgetText(v, draws))
		}
	}
}

// below writes a text that belongs to the line before it.
func (p *printer) below(s string) {
	if s == "" {
		return
	}
	for _, l := range wrap(clean(s), p.Width-4) {
		p.line("    " + l)
	}
}

// textOf returns the text of a value, and whether that is too long to stand
// among the numbers.
func textOf(v *result.Value) (text string, long bool) {
	text = clean(v.Text)
	return text, widths.StringWidth(text) > 16
}

// colourFinding colours the finding, which ends the line.
func (p *printer) colourFinding(line string, f result.Finding) string {
	colour := map[result.Finding]string{result.Pass: green, result.Fail: red, result.NotEvaluated: yellow}[f]
	if colour == "" {
		return line
	}
	words := findingWords(f)
	return strings.TrimSuffix(line, words) + p.coloured(words, colour)
}

// The heads of the values' columns.
const (
	headInterval  = "95 %"
	headTolerance = "tolerance"
)

// valueColumns makes the columns of the values; those that would be empty are
// left out.
func valueColumns(values []*result.Value) []column {
	heads := []string{"value", "", "± u", "unit", headInterval, headTolerance, "finding"}
	cells := make([][]string, len(heads))
	for _, v := range values {
		number, u := quantity(v)
		row := []string{clean(v.Name), number, u, clean(v.Unit), interval(v), tolerance(v.Tolerance), findingWords(v.Finding)}
		for i, cell := range row {
			cells[i] = append(cells[i], cell)
		}
	}
	var columns []column
	for i, head := range heads {
		if i < 2 || slices.ContainsFunc(cells[i], func(s string) bool { return s != "" }) {
			columns = append(columns, newColumn(head, cells[i]))
		}
	}
	return columns
}

// quantity writes a value, and its uncertainty after "± ".
func quantity(v *result.Value) (number, u string) {
	text, long := textOf(v)
	switch {
	case long:
		return "", ""
	case text != "":
		return text, ""
	case v.Value == nil:
		return "-", ""
	case v.U != nil && *v.U > 0:
		number, u = withUncertainty(*v.Value, *v.U)
		u = "± " + u
	default:
		number = Display(*v.Value)
	}
	switch v.Bound {
	case result.Upper:
		number = "< " + number
	case result.Lower:
		number = "> " + number
	}
	return number, u
}

// interval writes the ends to the uncertainty's decimals where there is one.
func interval(v *result.Value) string {
	if v.Interval == nil || v.U != nil && *v.U == 0 {
		return ""
	}
	low, high := Display(v.Interval[0]), Display(v.Interval[1])
	if v.U != nil && *v.U > 0 {
		low, _ = withUncertainty(v.Interval[0], *v.U)
		high, _ = withUncertainty(v.Interval[1], *v.U)
	}
	return low + " to " + high
}

func tolerance(t *result.Tolerance) string {
	switch {
	case t == nil:
		return ""
	case t.Min == nil:
		return "at most " + Display(*t.Max)
	case t.Max == nil:
		return "at least " + Display(*t.Min)
	}
	return Display(*t.Min) + " to " + Display(*t.Max)
}

func findingWords(f result.Finding) string { return strings.ReplaceAll(string(f), "_", " ") }

// fit makes the values fit the width: it leaves out the interval, then the
// tolerance, then shortens the names. What is still too wide stays so.
func (p *printer) fit(columns []column) []column {
	for _, head := range []string{headInterval, headTolerance} {
		if total(columns) > p.Width {
			columns = slices.DeleteFunc(columns, func(c column) bool { return strings.TrimSpace(c.head) == head })
		}
	}
	over := total(columns) - p.Width
	if over <= 0 {
		return columns
	}
	name := &columns[0]
	width := max(name.width-over, min(name.width, 16))
	for i, cell := range name.cells {
		name.cells[i] = fill(widths.Truncate(strings.TrimRight(cell, " "), width, "…"), width)
	}
	name.head, name.width = fill(strings.TrimRight(name.head, " "), width), width
	return columns
}

// table writes a table; one that is too wide comes in blocks of columns. A
// block after the first holds the rows only that have something in it, and says
// so where some have not.
func (p *printer) table(t *result.Table) {
	p.part()
	p.line(clean(t.Name))
	var columns []column
	for i, c := range t.Columns() {
		columns = append(columns, newColumn(clean(c.Head()), displayColumn(t, i)))
	}
	for i, block := range blocks(columns, p.Width-len(gap)) {
		if i > 0 {
			p.line("")
			block = p.filledRows(block, t.Len())
		}
		for _, l := range lines(block) {
			p.line(strings.TrimRight(gap+l, " "))
		}
	}
	if t.Len() == 0 {
		p.line(gap + "(no rows)")
	}
}

// filledRows keeps those rows of a block that have something beside the first
// column, which the block has in common with all others.
func (p *printer) filledRows(block []column, rows int) []column {
	filled := make([]bool, rows)
	n := 0
	for i := range filled {
		filled[i] = slices.ContainsFunc(block[1:], func(c column) bool { return strings.TrimSpace(c.cells[i]) != "" })
		if filled[i] {
			n++
		}
	}
	if n == rows {
		return block
	}
	kept := make([]column, len(block))
	for j, c := range block {
		kept[j] = column{head: c.head, width: c.width}
		for i, cell := range c.cells {
			if filled[i] {
				kept[j].cells = append(kept[j].cells, cell)
			}
		}
	}
	p.line(gap + fmt.Sprintf("(the rows that have something in these columns: %d of %d)", n, rows))
	return kept
}

// drawings names the files of the drawings.
func (p *printer) drawings(r *result.Results) {
	var files []string
	for _, plot := range r.Plots() {
		files = append(files, DrawingFile(plot.ID))
	}
	for _, d := range r.Diagrams() {
		files = append(files, DrawingFile(d.ID))
	}
	if p.Drawings == "" || len(files) == 0 {
		return
	}
	p.part()
	more := ""
	if n := len(files) - mostFiles; n > 0 {
		files, more = files[:mostFiles], fmt.Sprintf(" and %d more", n)
	}
	p.line("drawings in " + clean(p.Drawings) + ": " + strings.Join(files, ", ") + more)
}

// mostFiles is how many drawings the line names.
const mostFiles = 6

// plots draws the plots of a table.
func (p *printer) plots(r *result.Results, t *result.Table) {
	if !p.Plots {
		return
	}
	for _, plot := range r.Plots() {
		if plot.Table != t.ID {
			continue
		}
		p.part()
		for _, l := range drawPlot(t, plot, p.Width) {
			p.line(l)
		}
	}
}

package report

import (
	"fmt"
	"slices"
	"strings"

	"candelua/engine/plain"
	"candelua/engine/result"
)

// table writes a table; one that is too wide comes in blocks of columns, each of
// which begins with the columns that tell the rows apart. A block after the first
// holds only the rows that have an entry in it, and says so if it leaves rows out.
func (p *printer) table(t *result.Table) {
	p.part()
	p.line(plain.Line(t.Name))
	var columns []column
	rows := p.rows(t)
	for i, c := range t.Columns() {
		columns = append(columns, newColumn(plain.Line(c.Head()), displayColumn(t, i)[:rows]))
	}
	width := p.Width - len(gap)
	keys := keyColumns(columns, width)
	for i, block := range blocks(columns, keys, width) {
		if i > 0 {
			p.line("")
			block = p.filledRows(block, keys, rows)
		}
		for _, l := range lines(block) {
			p.line(strings.TrimRight(gap+l, " "))
		}
	}
	if remark := t.Remark(); remark != "" {
		for _, l := range wrap(plain.Line(remark), p.Width-len(gap)) {
			p.line(gap + l)
		}
	}
	if t.Len() == 0 {
		p.line(gap + "(no rows)")
	}
	if rows < t.Len() {
		p.line(gap + fmt.Sprintf("(the first %d of %d rows; results.json has them all)", rows, t.Len()))
	}
}

// What is shown of tables: a person reads no more, and a terminal of bytes has an end.
const (
	mostRows  = 1000    // of one table
	mostCells = 100_000 // of all tables
)

// rows is how many rows of a table are shown.
func (p *printer) rows(t *result.Table) int {
	columns := len(t.Columns())
	rows := min(t.Len(), mostRows, max(mostCells-p.cells, 0)/columns)
	p.cells += rows * columns
	return rows
}

// filledRows keeps those rows of a block that have something beside the key
// columns, which the block has in common with all others.
func (p *printer) filledRows(block []column, keys, rows int) []column {
	filled := make([]bool, rows)
	n := 0
	for i := range filled {
		filled[i] = slices.ContainsFunc(block[keys:], func(c column) bool { return strings.TrimSpace(c.cells[i]) != "" })
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
	if n == 0 {
		p.line(gap + fmt.Sprintf("(none of the %d rows has an entry in these columns)", rows))
	} else {
		p.line(gap + fmt.Sprintf("(%d of %d rows; the others have no entry in these columns)", n, rows))
	}
	return kept
}

// plots renders the plots of a table.
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

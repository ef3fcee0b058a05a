package report

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// widths measures text the same way in every locale.
var widths = &runewidth.Condition{}

// gap stands between columns.
const gap = "  "

// column is one column of a grid, all its cells one width.
type column struct {
	head  string
	width int
	cells []string
}

// mostCell is how wide a cell is shown: all cells of a column are filled up to its width.
const mostCell = 200

// newColumn lines cells up: on the decimal point where all that is not empty
// is a number, else on the left. A number may have "< " or "> " before it.
func newColumn(head string, cells []string) column {
	for i, cell := range cells {
		if len(cell) > mostCell {
			cells[i] = widths.Truncate(cell, mostCell, "…")
		}
	}
	c := column{head: head, width: widths.StringWidth(head), cells: aligned(cells)}
	for _, cell := range c.cells {
		c.width = max(c.width, widths.StringWidth(cell))
	}
	for i, cell := range c.cells {
		c.cells[i] = fill(cell, c.width)
	}
	c.head = fill(head, c.width)
	return c
}

// aligned pads numbers so that their decimal points stand in one place.
func aligned(cells []string) []string {
	whole := make([]string, len(cells))
	widest := 0
	for i, cell := range cells {
		if !numeric(cell) {
			continue
		}
		whole[i] = cell
		if at := strings.IndexAny(cell, ".e"); at >= 0 {
			whole[i] = cell[:at]
		}
		widest = max(widest, len(whole[i]))
	}
	out := make([]string, len(cells))
	for i, cell := range cells {
		out[i] = cell
		if numeric(cell) {
			out[i] = strings.Repeat(" ", widest-len(whole[i])) + cell
		}
	}
	return out
}

// numeric says whether a cell, which this package wrote, is a number.
func numeric(cell string) bool {
	s := strings.TrimLeft(cell, "<>± -")
	return s != "" && s[0] >= '0' && s[0] <= '9' && strings.Trim(s, "0123456789.e-") == ""
}

func fill(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-widths.StringWidth(s)))
}

// lines joins columns to lines, the heads first, without spaces at the end.
func lines(columns []column) []string {
	if len(columns) == 0 {
		return nil
	}
	all := make([]string, 1+len(columns[0].cells))
	for i := range all {
		parts := make([]string, len(columns))
		for j, c := range columns {
			if i == 0 {
				parts[j] = c.head
			} else {
				parts[j] = c.cells[i-1]
			}
		}
		all[i] = strings.TrimRight(strings.Join(parts, gap), " ")
	}
	return all
}

// total returns how wide a line of columns is.
func total(columns []column) int {
	w := 0
	for i, c := range columns {
		if i > 0 {
			w += len(gap)
		}
		w += c.width
	}
	return w
}

// keyColumns is how many of the first columns tell all rows apart; 1 if none do, or
// if they would leave less than half of the width to the others.
func keyColumns(columns []column, width int) int {
	for n := 1; n < len(columns) && total(columns[:n]) <= width/2; n++ {
		if distinct(columns[:n]) {
			return n
		}
	}
	return 1
}

// distinct says whether no two rows are alike in all these columns.
func distinct(columns []column) bool {
	seen := map[string]bool{}
	for _, l := range lines(columns)[1:] {
		if seen[l] {
			return false
		}
		seen[l] = true
	}
	return true
}

// blocks parts columns into blocks that fit a width. Each begins with the key
// columns and holds one further column at least.
func blocks(columns []column, keys, width int) [][]column {
	var all [][]column
	current := columns[:keys:keys]
	for _, c := range columns[keys:] {
		if total(append(current[:len(current):len(current)], c)) > width && len(current) > keys {
			all = append(all, current)
			current = columns[:keys:keys]
		}
		current = append(current, c)
	}
	return append(all, current)
}

// wrap breaks a text at its spaces into lines of at most width; a longer word
// has a line of its own. A percent sign stays with its number.
func wrap(s string, width int) []string {
	var all []string
	line := ""
	for _, word := range words(s) {
		if line != "" && widths.StringWidth(line)+1+widths.StringWidth(word) > width {
			all = append(all, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(all, line)
}

func words(s string) []string {
	var all []string
	for _, word := range strings.Fields(s) {
		if n := len(all); n > 0 && strings.HasPrefix(word, "%") && len(all[n-1]) < mostCell {
			all[n-1] += " " + word
			continue
		}
		all = append(all, word)
	}
	return all
}

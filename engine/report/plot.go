package report

import (
	"fmt"
	"math"
	"strings"

	"candelua/engine/plain"
	"candelua/engine/result"
)

// The size of a plot in characters, without its labels.
const (
	plotHeight = 13
	plotWidth  = 64 // at most
)

// marks tell the series of a plot apart.
const marks = "*o+x#%"

// point is one point of a series, which the mark names.
type point struct {
	x, y float64
	mark byte
	gap  bool // a row between this point and the one before cannot be drawn
}

// drawPlot renders a plot as lines of plain characters. Points without a number,
// and on a logarithmic axis those at 0 and below, are left out; it says how
// many of these there are.
func drawPlot(t *result.Table, p *result.Plot, width int) []string {
	drawn := plotPoints(t, p, everyRow(t, p, mostPlotted))
	points := drawn.points
	out := []string{plain.Line(p.Title)}
	if len(points) == 0 {
		out = append(out, "  (not drawn: no row has a number for both axes)")
		for _, words := range drawn.remarks() {
			out = append(out, "  ("+words+")")
		}
		return out
	}
	xs, ys := make([]float64, len(points)), make([]float64, len(points))
	for i, pt := range points {
		xs[i], ys[i] = pt.x, pt.y
	}
	x, y := newAxis(xs, p.LogX, 7), newAxis(ys, p.LogY, 7)
	labels := map[int]string{}
	margin := 0
	for _, tick := range y.ticks {
		labels[row(y, tick)] = tickLabel(tick)
		margin = max(margin, len(tickLabel(tick)))
	}
	field := canvas(points, x, y, min(plotWidth, width-margin-6))
	out = append(out, "  "+legend(t, p))
	for i, l := range field {
		edge := "|"
		if labels[i] != "" {
			edge = "+"
		}
		out = append(out, strings.TrimRight(fmt.Sprintf("  %*s %s%s", margin, labels[i], edge, l), " "))
	}
	out = append(out, bottom(x, len(field[0]), margin+3)...)
	out = append(out, centred(headOf(t, p.X)+logWords(p.LogX), len(field[0]), margin+4))
	if remark := t.Remark(append([]string{p.X}, p.Y...)...); remark != "" {
		for _, l := range wrap(plain.Line(remark), width-2) {
			out = append(out, "  "+l)
		}
	}
	for _, words := range drawn.remarks() {
		out = append(out, "  ("+words+")")
	}
	return out
}

// mostPlotted is how many points a plot of characters is made of.
const mostPlotted = 10_000

// drawn is what is drawn of a table, and what is not.
type drawn struct {
	points []point
	blank  int // rows without a number
	lost   int // points that a logarithmic axis cannot show
	far    int // points that no axis can show
	every  int // which rows are drawn: each, or each second one
}

// everyRow says which rows are drawn, so that they make at most so many points.
func everyRow(t *result.Table, p *result.Plot, most int) int {
	return max(1, (t.Len()*len(p.Y)+most-1)/most)
}

// remarks say what is not drawn.
func (d *drawn) remarks() (all []string) {
	if d.blank > 0 {
		verb := "rows lack"
		if d.blank == 1 {
			verb = "row lacks"
		}
		all = append(all, fmt.Sprintf("%d %s a number, which is not drawn", d.blank, verb))
	}
	if d.lost > 0 {
		all = append(all, fmt.Sprintf("%d not drawn: a logarithmic axis cannot show 0 or less", d.lost))
	}
	if d.far > 0 {
		all = append(all, fmt.Sprintf("%d not drawn: an axis cannot show numbers above 1e300, nor a logarithmic one below 1e-300", d.far))
	}
	if d.every > 1 {
		all = append(all, fmt.Sprintf("1 row in %d is drawn; the table has them all", d.every))
	}
	return all
}

// plotPoints collects the points of each so manieth row. Rows that cannot be drawn are looked for in all: a line that went
// on across them would show what was never measured.
func plotPoints(t *result.Table, p *result.Plot, every int) drawn {
	d := drawn{every: every}
	at := columnsOf(t)
	blank := map[int]bool{}
	for i, name := range p.Y { // the plot's columns were checked when it was recorded
		gap := true
		for n := range t.Len() {
			x, okX := t.Cell(n, at[p.X]).Float()
			y, okY := t.Cell(n, at[name]).Float()
			switch {
			case !okX || !okY:
				blank[n], gap = true, true
			case p.LogX && x <= 0 || p.LogY && y <= 0:
				d.lost, gap = d.lost+1, true
			case !onAxis(x, p.LogX) || !onAxis(y, p.LogY):
				d.far, gap = d.far+1, true
			case n%every == 0:
				d.points = append(d.points, point{x, y, marks[i%len(marks)], gap})
				gap = false
			}
		}
	}
	d.blank = len(blank)
	return d
}

// columnsOf are the places of a table's columns, by their names.
func columnsOf(t *result.Table) map[string]int {
	at := map[string]int{}
	for i, c := range t.Columns() {
		at[c.Name] = i
	}
	return at
}

// canvas marks the points in a field of characters, the top row first. Where
// points of two series fall together, the last one shows.
func canvas(points []point, x, y axis, width int) []string {
	cells := make([][]byte, plotHeight)
	for i := range cells {
		cells[i] = []byte(strings.Repeat(" ", width))
	}
	for _, pt := range points {
		cells[row(y, pt.y)][place(x, pt.x, width)] = pt.mark
	}
	all := make([]string, plotHeight)
	for i, c := range cells {
		all[i] = string(c)
	}
	return all
}

func place(x axis, v float64, width int) int {
	return min(width-1, max(0, int(math.Round(x.at(v)*float64(width-1)))))
}

func row(y axis, v float64) int { return plotHeight - 1 - place(y, v, plotHeight) }

// bottom renders the x axis with its ticks, and their labels below as far as
// they do not run into each other.
func bottom(x axis, width, indent int) []string {
	line := []byte(strings.Repeat("-", width))
	labels := []byte(strings.Repeat(" ", indent+width+12))
	free := 0
	for _, tick := range x.ticks {
		at := place(x, tick, width)
		line[at] = '+'
		label := tickLabel(tick)
		from := indent + 1 + at - len(label)/2
		if from < free {
			continue
		}
		copy(labels[from:], label)
		free = from + len(label) + 1
	}
	return []string{
		strings.Repeat(" ", indent) + "+" + string(line),
		strings.TrimRight(string(labels), " "),
	}
}

// tickLabel rounds away what adding steps left over.
func tickLabel(v float64) string {
	if math.Abs(v) < 1e-12 {
		return "0"
	}
	s := Display(v)
	if mantissa, tail, ok := strings.Cut(s, "e"); ok {
		return trimZeros(mantissa) + "e" + tail
	}
	return trimZeros(s)
}

func trimZeros(s string) string {
	if !strings.Contains(s, ".") {
		return s
	}
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// legend names what is shown upwards, each series with its mark.
func legend(t *result.Table, p *result.Plot) string {
	parts := make([]string, len(p.Y))
	for i, name := range p.Y {
		parts[i] = fmt.Sprintf("%c %s", marks[i%len(marks)], headOf(t, name))
	}
	return strings.Join(parts, "   ") + logWords(p.LogY)
}

func logWords(log bool) string {
	if log {
		return ", log"
	}
	return ""
}

func headOf(t *result.Table, name string) string {
	for _, c := range t.Columns() {
		if c.Name == name {
			return plain.Line(c.Head())
		}
	}
	return plain.Line(name)
}

func centred(s string, width, indent int) string {
	return strings.Repeat(" ", indent+max(0, (width-widths.StringWidth(s))/2)) + s
}

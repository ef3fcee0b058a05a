package watch

import (
	"bytes"
	"fmt"
	"hash/fnv"
	"io"
	"slices"

	"candelua/engine/plain"
	"candelua/engine/progress"
	"candelua/engine/report"
	"candelua/engine/result"
)

// What a sheet has at most: a person at a bench looks at what came last.
const (
	mostValues   = 30
	mostTables   = 4
	mostRows     = 12
	mostColumns  = 12
	mostPictures = 6
	mostText     = 120 // characters of a cell or a name
)

// sheet is what a page shows of the results. Texts are one safe line each.
type sheet struct {
	Values   []value   `json:"values"`
	Earlier  int       `json:"earlier"` // values that are not shown
	Tables   []table   `json:"tables"`
	Pictures []picture `json:"pictures"`
}

type value struct {
	Name string `json:"name"`
	Text string `json:"text"`
	Bad  bool   `json:"bad"` // it is not within its tolerance, or could not be compared with it
}

type table struct {
	Name    string     `json:"name"`
	Head    []string   `json:"head"`
	Rows    [][]string `json:"rows"`    // the last ones
	Earlier int        `json:"earlier"` // rows before these
	Columns int        `json:"columns"` // that are not shown
}

type picture struct {
	ID      string `json:"id"`
	Title   string `json:"title"`
	Version string `json:"version"` // another one where it looks otherwise
}

// sheetOf makes a sheet of results, and its drawings by look and id. Planned are plots that the run is expected to record. A
// script may record all at its end: until it has recorded a table or a drawing, its readings are shown as one.
func sheetOf(r *result.Results, planned []*result.Plot, readings []progress.Mean, simulated bool) (*sheet, map[string][]byte) {
	s := &sheet{Values: []value{}, Tables: []table{}, Pictures: []picture{}}
	values := lastOf(r.Values(), mostValues)
	s.Earlier = len(r.Values()) - len(values)
	for _, v := range values {
		s.Values = append(s.Values, value{cut(v.Name), cut(report.ValueText(v)), v.Finding == result.Fail || v.Finding == result.NotEvaluated})
	}
	for _, t := range lastOf(r.Tables(), mostTables) {
		s.Tables = append(s.Tables, tableOf(t))
	}
	drawings := map[string][]byte{}
	all := drawingsOf(r, planned)
	if len(all) == 0 && len(r.Tables()) == 0 && len(readings) > 0 {
		read, d := readingsOf(readings)
		s.Tables = append(s.Tables, tableOf(read))
		all = append(all, d)
	}
	for _, d := range lastOf(all, mostPictures) {
		if simulated {
			d.write = report.Simulated(d.write)
		}
		light, dark := drawn(d.write), drawn(report.Dark(d.write))
		if light == nil || dark == nil {
			continue
		}
		drawings["light/"+d.id], drawings["dark/"+d.id] = light, dark
		sum := fnv.New64a()
		_, _ = sum.Write(light) // never fails
		s.Pictures = append(s.Pictures, picture{d.id, cut(d.title), fmt.Sprintf("%x", sum.Sum64())})
	}
	return s, drawings
}

func lastOf[T any](all []T, most int) []T { return all[max(0, len(all)-most):] }

// cut makes a short line of a text.
func cut(text string) string {
	line := []rune(plain.Line(text))
	if len(line) > mostText {
		return string(line[:mostText]) + "…"
	}
	return string(line)
}

func tableOf(t *result.Table) table {
	head := t.Columns()
	shown := head[:min(len(head), mostColumns)]
	out := table{Name: cut(t.Name), Rows: [][]string{}, Earlier: max(0, t.Len()-mostRows), Columns: len(head) - len(shown)}
	for _, c := range shown {
		out.Head = append(out.Head, cut(c.Head()))
	}
	for row := out.Earlier; row < t.Len(); row++ {
		cells := make([]string, len(shown))
		for i := range shown {
			cells[i] = cellText(t.Cell(row, i))
		}
		out.Rows = append(out.Rows, cells)
	}
	return out
}

func cellText(c result.Cell) string {
	if f, ok := c.Float(); ok {
		return report.Display(f)
	}
	return cut(c.String())
}

type drawing struct {
	id, title string
	write     func(io.Writer) error
}

// drawingsOf are the plots and then the diagrams, as in the run's folder. A table that has no plot yet is plotted as the run is
// expected to do it later or, where that is not known, in a simple way.
func drawingsOf(r *result.Results, planned []*result.Plot) (all []drawing) {
	plots := r.Plots()
	for _, t := range r.Tables() {
		of := func(p *result.Plot) bool { return p.Table == t.ID }
		if t.Len() == 0 || slices.ContainsFunc(plots, of) {
			continue
		}
		later := slices.DeleteFunc(slices.Clone(planned), func(p *result.Plot) bool { return !of(p) || !canPlot(t, p) })
		if len(later) == 0 {
			later = simple(t)
		}
		plots = append(plots, later...)
	}
	most := report.PointsOf(len(plots))
	for _, p := range plots {
		if t, ok := r.TableByID(p.Table); ok {
			all = append(all, drawing{p.ID, p.Title, func(w io.Writer) error { return report.PlotSVG(w, t, p, most) }})
		}
	}
	for _, d := range r.Diagrams() {
		all = append(all, drawing{d.ID, d.Title, func(w io.Writer) error { return report.DiagramSVG(w, d) }})
	}
	return all
}

// canPlot says whether a table has the columns of a plot.
func canPlot(t *result.Table, p *result.Plot) bool {
	return !slices.ContainsFunc(append([]string{p.X}, p.Y...), func(name string) bool {
		return !slices.ContainsFunc(t.Columns(), func(c result.Column) bool { return c.Name == name })
	})
}

// simple plots the second column with numbers against the first, and beside it those that have its unit; nothing where
// there are no two.
func simple(t *result.Table) []*result.Plot {
	p := &result.Plot{ID: t.ID + "-so-far", Title: t.Name, Table: t.ID}
	unit := ""
	for i, c := range t.Columns() {
		switch _, number := t.Cell(t.Len()-1, i).Float(); {
		case !number:
		case p.X == "":
			p.X = c.Name
		case len(p.Y) == 0:
			p.Y, unit = []string{c.Name}, c.Unit
		case c.Unit == unit && len(p.Y) < mostSeries:
			p.Y = append(p.Y, c.Name)
		}
	}
	if len(p.Y) == 0 {
		return nil
	}
	return []*result.Plot{p}
}

// mostSeries is how many series a simple plot has at most.
const mostSeries = 3

// drawn is a drawing's text; nil where it cannot be drawn yet.
func drawn(write func(io.Writer) error) []byte {
	var b bytes.Buffer
	if write(&b) != nil {
		return nil
	}
	return b.Bytes()
}

package result

import (
	"fmt"
	"slices"
	"strings"
)

// Difference is one thing in which two results differ.
type Difference struct {
	kind string // "value", "table", "plot", "diagram", "note" or "correction"
	id   string // its id; a note's number from 1
	text string // in words, without kind and id
	of   Facet
}

// Facet says which side of results differs, for those that know which of them
// follow from rules that have changed since.
type Facet string

// The facets. What a script computes from its readings has none.
const (
	OfUncertainty Facet = "uncertainty" // how well numbers are known, and what that is made of
	OfWords       Facet = "words"       // notes, which may hold sentences of candelua's own
)

// Of is the side of the results that differs, "" for what the script computes.
func (d Difference) Of() Facet { return d.of }

// String returns the difference for people: "value peak-luminance: value is
// recorded as 612.4 and is 613 now".
func (d Difference) String() string { return d.kind + " " + d.id + ": " + d.text }

// Compare lists what differs between recorded results and those that a replay
// gave: value by value, plot by plot and diagram by diagram (in any order), table by table and
// cell by cell, note by note. Numbers agree as [Same] says. Script lines
// (Where) are not compared, for an edit moves them; uncertainties and
// intervals only where both have them, for a replay need not draw. A recorded value
// whose id is a former one of a value now is compared with that, but for the names.
func Compare(recorded, now *Results) []Difference {
	var all differences
	all.kind, all.id = "draws", "all"
	all.drawn = recorded.draws != nil && now.draws != nil && recorded.draws.Count == now.draws.Count
	all.of(OfUncertainty, func() { compareDraws(&all, recorded.draws, now.draws) })
	renamed := asRenamed(recorded, now)
	pair(&all, "value", renamed, now.values, func(v *Value) string { return v.ID }, compareValues)
	pair(&all, "table", recorded.tables, now.tables, func(t *Table) string { return t.ID }, compareTables)
	pair(&all, "plot", recorded.plots, now.plots, func(p *Plot) string { return p.ID }, comparePlots)
	pair(&all, "diagram", recorded.diagrams, now.diagrams, func(d *Diagram) string { return d.ID }, compareDiagrams)
	compareNotes(&all, recorded.notes, now.notes)
	pair(&all, "correction", recorded.corrections, now.corrections, func(c *Correction) string { return c.ID }, compareCorrections)
	return all.list
}

// compareDraws compares how uncertainties were found where both were drawn.
func compareDraws(d *differences, a, b *Draws) {
	if a == nil || b == nil {
		return
	}
	if a.Count != b.Count || a.Divergent != b.Divergent || a.Failed != b.Failed {
		d.add("%d divergent and %d failed of %d draws are recorded, and %d and %d of %d draws now", a.Divergent, a.Failed, a.Count, b.Divergent, b.Failed, b.Count)
	}
	if a.NoScatter != b.NoScatter {
		d.add("%d readings of unknown scatter are recorded, and %d are now", a.NoScatter, b.NoScatter)
	}
	if a.FarScatter != b.FarScatter {
		d.add("%d readings whose scatter is concluded from other luminances are recorded, and %d are now", a.FarScatter, b.FarScatter)
	}
	if a.Unstated != b.Unstated {
		d.add("the meters whose accuracy is not stated are recorded as %q, and are %q now", a.Unstated, b.Unstated)
	}
	d.of(OfWords, func() { d.text("the reason why budgets are missing", a.BudgetWhy, b.BudgetWhy) })
}

// differences collects what differs in the thing at hand.
type differences struct {
	kind, id string
	facet    Facet
	drawn    bool // both have uncertainties from as many draws
	list     []Difference
}

func (d *differences) add(format string, args ...any) {
	d.list = append(d.list, Difference{d.kind, d.id, fmt.Sprintf(format, args...), d.facet})
}

// of compares what is of one facet.
func (d *differences) of(f Facet, compare func()) {
	before := d.facet
	d.facet = f
	compare()
	d.facet = before
}

// text compares two texts under a label.
func (d *differences) text(label, recorded, now string) {
	if recorded != now {
		d.add("%s is recorded as %q and is %q now", label, recorded, now)
	}
}

// cell compares two cells under a label.
func (d *differences) cell(label string, recorded, now Cell) {
	if !recorded.same(now) {
		d.add("%s is recorded as %s and is %s now", label, recorded.words(), now.words())
	}
}

// pair goes through two lists by id, and says what is in one of them only.
func pair[T any](d *differences, kind string, recorded, now []*T, id func(*T) string, compare func(d *differences, a, b *T)) {
	left := map[string]*T{}
	for _, b := range now {
		left[id(b)] = b
	}
	for _, a := range recorded {
		d.kind, d.id = kind, id(a)
		b, both := left[d.id]
		if !both {
			d.add("is recorded and is missing now")
			continue
		}
		compare(d, a, b)
		delete(left, d.id)
	}
	for _, b := range now {
		d.kind, d.id = kind, id(b)
		if left[d.id] != nil {
			d.add("is not recorded and is there now")
		}
	}
}

// asRenamed gives the recorded values, those with the id and name of now of which now
// says that they had another formerly.
func asRenamed(recorded, now *Results) []*Value {
	out := slices.Clone(recorded.values)
	for _, v := range now.values {
		was, there := recorded.Before(v)
		if !there || was.ID == v.ID {
			continue
		}
		renamed := *was
		renamed.ID, renamed.Name, renamed.Formerly = v.ID, v.Name, v.Formerly
		out[slices.Index(out, was)] = &renamed
	}
	return out
}

func compareValues(d *differences, a, b *Value) {
	d.text("name", a.Name, b.Name)
	d.text("list of former ids", strings.Join(a.Formerly, ", "), strings.Join(b.Formerly, ", "))
	d.cell("value", cellOr(a.Value), cellOr(b.Value))
	d.text("text", a.Text, b.Text)
	d.text("unit", a.Unit, b.Unit)
	d.text("bound", string(a.Bound), string(b.Bound))
	d.of(OfUncertainty, func() { compareUncertainties(d, a, b) })
	at, bt := toleranceOr(a.Tolerance), toleranceOr(b.Tolerance)
	d.cell("tolerance min", cellOr(at.Min), cellOr(bt.Min))
	d.cell("tolerance max", cellOr(at.Max), cellOr(bt.Max))
	d.text("finding", string(a.Finding), string(b.Finding))
	d.text("doubt", a.Doubt, b.Doubt)
	d.text("open doubt", a.Open, b.Open)
}

// compareUncertainties compares how well a value is known.
func compareUncertainties(d *differences, a, b *Value) {
	if drawn := a.Method != ""; drawn != (b.Method != "") {
		if d.drawn {
			d.text("method of the uncertainty", a.Method, b.Method)
		}
		// Else found in different ways, or not at all in one of them.
	} else if a.U != nil && b.U != nil {
		d.cell("u", Num(*a.U), Num(*b.U))
	}
	if a.Interval != nil && b.Interval != nil {
		d.cell("interval's lower end", Num(a.Interval[0]), Num(b.Interval[0]))
		d.cell("interval's upper end", Num(a.Interval[1]), Num(b.Interval[1]))
	}
	compareBudgets(d, a, b)
}

// compareBudgets compares what uncertainties are made of where both were drawn.
func compareBudgets(d *differences, a, b *Value) {
	if a.Method == "" || b.Method == "" {
		return
	}
	d.text("method", a.Method, b.Method)
	d.cell("least u", cellOr(a.UAtLeast), cellOr(b.UAtLeast))
	d.text("rounded value", a.Rounded, b.Rounded)
	d.cell("bias", cellOr(a.Bias), cellOr(b.Bias))
	for i := range max(len(a.Budget), len(b.Budget)) {
		var p, q Part
		if i < len(a.Budget) {
			p = a.Budget[i]
		}
		if i < len(b.Budget) {
			q = b.Budget[i]
		}
		d.text("budget", partNow(p.Of), q.Of)
		d.cell("budget, "+p.Of, Num(p.U), Num(q.U))
	}
}

// formerParts are names that parts of a budget had in results of before, and what they
// are called now.
var formerParts = map[string]string{
	"last digit":             "resolution",
	"scatter and last digit": "scatter and resolution",
}

// partNow returns what a recorded part of a budget is called now, so that a replay of an
// older run does not differ by a name.
func partNow(of string) string {
	if now, renamed := formerParts[of]; renamed {
		return now
	}
	return of
}

func cellOr(f *float64) Cell {
	if f == nil {
		return Cell{}
	}
	return Num(*f)
}

func toleranceOr(t *Tolerance) Tolerance {
	if t == nil {
		return Tolerance{}
	}
	return *t
}

func compareTables(d *differences, a, b *Table) {
	d.text("name", a.Name, b.Name)
	if !slices.Equal(a.columns, b.columns) {
		d.add("columns are recorded as %s and are %s now", heads(a.columns), heads(b.columns))
		return
	}
	if d.drawn {
		d.of(OfUncertainty, func() {
			d.text("list of columns whose uncertainty is not known", strings.Join(a.notKnownNames(), ", "), strings.Join(b.notKnownNames(), ", "))
		})
	}
	if len(a.rows) != len(b.rows) {
		d.add("has %d rows recorded and %d now", len(a.rows), len(b.rows))
	}
	d.text("open doubt", a.open, b.open)
	for i := range min(len(a.rows), len(b.rows)) {
		for j, c := range a.columns {
			d.cell(fmt.Sprintf("row %d, %s", i+1, c.Name), a.rows[i][j], b.rows[i][j])
			d.text(fmt.Sprintf("row %d, doubt of %s", i+1, c.Name), a.Doubt(i, j), b.Doubt(i, j))
			if s, t := a.Spread(i, j), b.Spread(i, j); s != nil && t != nil {
				d.of(OfUncertainty, func() {
					d.cell(fmt.Sprintf("row %d, u of %s", i+1, c.Name), Num(s.U), Num(t.U))
					d.cell(fmt.Sprintf("row %d, lower end of %s", i+1, c.Name), Num(s.Low), Num(t.Low))
					d.cell(fmt.Sprintf("row %d, upper end of %s", i+1, c.Name), Num(s.High), Num(t.High))
				})
			}
		}
	}
}

func heads(columns []Column) string {
	all := make([]string, len(columns))
	for i, c := range columns {
		all[i] = c.Head()
	}
	return strings.Join(all, ", ")
}

func comparePlots(d *differences, a, b *Plot) {
	d.text("title", a.Title, b.Title)
	d.text("table", a.Table, b.Table)
	d.text("x", a.X, b.X)
	d.text("y", strings.Join(a.Y, ", "), strings.Join(b.Y, ", "))
	d.cell("log_x", truth(a.LogX), truth(b.LogX))
	d.cell("log_y", truth(a.LogY), truth(b.LogY))
}

func compareNotes(d *differences, a, b []Note) {
	for i := range max(len(a), len(b)) {
		d.kind, d.id = "note", fmt.Sprint(i+1)
		switch {
		case i >= len(b):
			d.add("is recorded and is missing now")
		case i >= len(a):
			d.add("is not recorded and is there now")
		default:
			d.of(OfWords, func() { d.text("text", a[i].Text, b[i].Text) })
			d.text("level", string(a[i].Level), string(b[i].Level))
		}
	}
}

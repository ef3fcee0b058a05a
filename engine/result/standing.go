package result

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Standing is a reading of the run against which something stands.
type Standing struct {
	Step int
	Why  string // in words, as in "the meter was saturated"
	// Limit is what the luminance is at most, in cd/m2, of a reading of darkness of which no more is known; nil of others.
	Limit *float64
}

// Stand keeps what stands against the reading of a step, in place of what stood before; "" is nothing.
func (r *Results) Stand(step int, why string, limit *float64) {
	if why == "" {
		delete(r.standing, step)
		return
	}
	if r.standing == nil {
		r.standing = map[int]Standing{}
	}
	r.standing[step] = Standing{Step: step, Why: why, Limit: copied(limit)}
}

// Standing lists the readings against which something stands, by their steps. They are known while the results
// are made, and are in no file.
func (r *Results) Standing() []Standing {
	return slices.SortedFunc(maps.Values(r.standing), func(a, b Standing) int { return a.Step - b.Step })
}

// reasons writes each reason once.
func reasons(all []string) string {
	slices.Sort(all)
	return strings.Join(slices.Compact(all), "; ")
}

// both joins reasons to others, and writes each once.
func both(was, why string) string {
	if was == "" || strings.Contains(was, why) {
		return cmp.Or(was, why)
	}
	return reasons(append(strings.Split(was, "; "), why))
}

// AddDoubt says what stands against readings that the value is computed from. Its tolerance then decides nothing.
func (v *Value) AddDoubt(why string) {
	v.Doubt = both(v.Doubt, why)
	v.undecided("it is computed from readings that do not show what the patch gives")
}

// LeaveOpen says that it is not known whether the value is computed from readings against which something stands.
func (v *Value) LeaveOpen(against []Standing) {
	if v.Open = openWords(against); v.Open != "" {
		v.undecided("it is not said which readings it is from")
	}
}

func (v *Value) undecided(why string) {
	if v.Tolerance == nil {
		return
	}
	v.Finding = NotEvaluated
	if v.Why == "" {
		v.Why = why
	}
}

// openWords says which readings a number may be from; "" where something stands against none.
func openWords(against []Standing) string {
	if len(against) == 0 {
		return ""
	}
	all := make([]string, len(against))
	for i, s := range against {
		all[i] = s.Why
	}
	readings, do := "readings", "do"
	if len(against) == 1 {
		readings, do = "reading", "does"
	}
	return fmt.Sprintf("%d %s of this run %s not show what the patch gives: %s", len(against), readings, do, reasons(all))
}

// AddDoubt says what stands against readings that a cell is computed from.
func (t *Table) AddDoubt(row, column int, why string) {
	if row < 0 || row >= len(t.rows) || column < 0 || column >= len(t.columns) {
		return
	}
	at := [2]int{row, column}
	if t.doubts == nil {
		t.doubts = map[[2]int]string{}
	}
	t.doubts[at] = both(t.doubts[at], why)
}

// Doubt is what stands against readings that a cell is computed from, "" where nothing is known to.
func (t *Table) Doubt(row, column int) string { return t.doubts[[2]int{row, column}] }

// LeaveOpen says that it is not known whether numbers of the table are computed from readings against which
// something stands.
func (t *Table) LeaveOpen(against []Standing) { t.open = openWords(against) }

// AddDoubt says what stands against readings that numbers of the drawing are computed from.
func (d *Diagram) AddDoubt(why string) { d.Doubt = both(d.Doubt, why) }

// LeaveOpen says that it is not known whether numbers of the drawing are computed from readings against which
// something stands.
func (d *Diagram) LeaveOpen(against []Standing) { d.Open = openWords(against) }

// doubtJSON is a cell's doubt in a file.
type doubtJSON struct {
	Row    int    `json:"row"` // from 1
	Column string `json:"column"`
	Doubt  string `json:"doubt"`
}

func (t *Table) doubtsJSON() (all []doubtJSON) {
	for row := range t.rows {
		for i, c := range t.columns {
			if why := t.Doubt(row, i); why != "" {
				all = append(all, doubtJSON{row + 1, c.Name, why})
			}
		}
	}
	return all
}

// takeDoubts reads them back.
func (t *Table) takeDoubts(in tableJSON) error {
	for _, d := range in.Doubts {
		column, err := t.index(d.Column)
		if err != nil {
			return err
		}
		if d.Row < 1 || d.Row > len(t.rows) || d.Doubt == "" {
			return fmt.Errorf("table %q: a doubt is of row %d; it must be a text of a row from 1 to %d", t.Name, d.Row, len(t.rows))
		}
		if err := checkTexts(d.Doubt); err != nil {
			return fmt.Errorf("table %q: a doubt %w", t.Name, err)
		}
		t.AddDoubt(d.Row-1, column, tidy(d.Doubt))
	}
	t.open = tidy(in.Open)
	return checkTexts(t.open)
}

// doubted says whether any result is computed from readings against which something stands, or may be.
func (r *Results) doubted() bool {
	return slices.ContainsFunc(r.values, func(v *Value) bool { return v.Doubt != "" || v.Open != "" }) ||
		slices.ContainsFunc(r.tables, func(t *Table) bool { return len(t.doubts) > 0 || t.open != "" }) ||
		slices.ContainsFunc(r.diagrams, func(d *Diagram) bool { return d.Doubt != "" || d.Open != "" })
}

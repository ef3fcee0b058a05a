package result

import (
	"fmt"
	"slices"
	"strings"
)

// NotKnown is the method of a value whose uncertainty nobody can know: it depends on something of
// which nobody states how well it is known. The value's Why says on what, and what to do.
const NotKnown = "not known"

// NotKnownColumn is a column of a table with numbers whose uncertainty nobody can know.
type NotKnownColumn struct {
	Column string `json:"column"`
	Why    string `json:"why"`
}

// SetNotKnown keeps why the uncertainty of numbers in a column, counted from 0, is not known. What a
// column has already stays; a column that the table has not is ignored.
func (t *Table) SetNotKnown(column int, why string) {
	if column < 0 || column >= len(t.columns) || why == "" || t.NotKnown(t.columns[column].Name) != "" {
		return
	}
	t.unknown = append(t.unknown, NotKnownColumn{t.columns[column].Name, tidy(why)})
}

// NotKnown says why the uncertainty of numbers in a column is not known, "" where nothing says so.
func (t *Table) NotKnown(column string) string {
	for _, c := range t.unknown {
		if c.Column == column {
			return c.Why
		}
	}
	return ""
}

// cellNotKnown says in short of a number without an uncertainty, in a column with such, that it is not known.
func (t *Table) cellNotKnown(row, column int) string {
	if _, isNumber := t.Cell(row, column).Float(); !isNumber || t.Spread(row, column) != nil || t.NotKnown(t.columns[column].Name) == "" {
		return ""
	}
	return "uncertainty not known"
}

// notKnownWords says in words which of some columns have numbers whose uncertainty is not known, those
// with one reason together; all columns where none is named.
func (t *Table) notKnownWords(columns []string) string {
	var whys []string
	named := map[string][]string{}
	for _, c := range t.unknown {
		if len(columns) > 0 && !slices.Contains(columns, c.Column) {
			continue
		}
		if !slices.Contains(whys, c.Why) {
			whys = append(whys, c.Why)
		}
		named[c.Why] = append(named[c.Why], c.Column)
	}
	for i, why := range whys {
		whys[i] = strings.Join(named[why], ", ") + ": " + why
	}
	return strings.Join(whys, ". ")
}

func (t *Table) notKnownNames() (names []string) {
	for _, c := range t.columns {
		if t.NotKnown(c.Name) != "" {
			names = append(names, c.Name)
		}
	}
	return names
}

// takeNotKnown reads back what a table's JSON says.
func (t *Table) takeNotKnown(all []NotKnownColumn) error {
	for _, c := range all {
		i, err := t.index(c.Column)
		if err != nil {
			return err
		}
		if c.Why == "" || t.NotKnown(c.Column) != "" {
			return fmt.Errorf("table %q: not_known of column %q is empty or given twice", t.Name, cut(c.Column))
		}
		if err := checkTexts(c.Why); err != nil {
			return err
		}
		t.SetNotKnown(i, c.Why)
	}
	return nil
}

// notKnown says whether the uncertainty of any number is not known.
func (r *Results) notKnown() bool {
	return slices.ContainsFunc(r.values, func(v *Value) bool { return v.Method == NotKnown }) ||
		slices.ContainsFunc(r.tables, func(t *Table) bool { return len(t.unknown) > 0 })
}

package result

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"candelua/engine/spell"
)

// errNoColumn is the cause of an error that names a column which the table
// does not have.
var errNoColumn = errors.New("has no column")

// errMatch is the cause of an error of [Table.At] where not exactly one row
// matches.
var errMatch = errors.New("exactly one row must match")

// Column is the head of a table's column. A quantity without a unit leaves
// Unit empty.
type Column struct {
	Name string `json:"name"`
	Unit string `json:"unit,omitempty"`
}

// Head returns the column's head for people: "luminance (cd/m2)".
func (c Column) Head() string {
	if c.Unit == "" {
		return c.Name
	}
	return c.Name + " (" + c.Unit + ")"
}

// Table is a table that a script records, row by row. Make one with
// [Results.Table].
type Table struct {
	ID    string
	Name  string
	Where string // the script line that made it, file:line
	// Unsaid says that the script does not say of all rows which readings they are from.
	Unsaid bool

	columns []Column
	rows    [][]Cell
	spreads [][]*Spread       // of the cells; nil where nobody drew
	doubts  map[[2]int]string // of the cells, by row and column: what stands against readings that they are from
	open    string            // see [Table.LeaveOpen]
	unknown []NotKnownColumn
	room    *int // cells that the results may still take
	places  map[string]int
}

// Columns returns a copy of the heads.
func (t *Table) Columns() []Column { return slices.Clone(t.columns) }

// Width returns the number of columns.
func (t *Table) Width() int { return len(t.columns) }

// Len returns the number of rows.
func (t *Table) Len() int { return len(t.rows) }

// Rows returns a copy of the rows, each as long as there are columns.
func (t *Table) Rows() [][]Cell {
	rows := make([][]Cell, len(t.rows))
	for i, row := range t.rows {
		rows[i] = slices.Clone(row)
	}
	return rows
}

// Cell is the cell of a row and a column, counted from 0; empty outside of the
// table.
func (t *Table) Cell(row, column int) Cell {
	if row < 0 || row >= len(t.rows) || column < 0 || column >= len(t.rows[row]) {
		return Cell{}
	}
	return t.rows[row][column]
}

// Add appends a row given by column name; columns left out are empty. It
// fails on an unknown column (errNoColumn), on a cell that is no finite
// number, text or truth, and when the results are full.
func (t *Table) Add(row map[string]any) error {
	cells := make([]Cell, len(t.columns))
	names := make([]string, 0, len(row))
	for name := range row {
		names = append(names, name)
	}
	slices.Sort(names) // so that the first of several errors is the same each time
	for _, name := range names {
		i, err := t.index(name)
		if err != nil {
			return err
		}
		if cells[i], err = cellOf(row[name]); err != nil {
			return fmt.Errorf("table %q: column %q %w", t.Name, name, err)
		}
	}
	return t.append(cells)
}

// cellText is the length of text, in bytes, that takes the room of one more cell.
const cellText = 16

// append takes a whole row, already checked cell by cell.
func (t *Table) append(cells []Cell) error {
	if len(cells) != len(t.columns) {
		return fmt.Errorf("table %q: row %d has %d cells; it must have %d", t.Name, len(t.rows)+1, len(cells), len(t.columns))
	}
	size := len(cells)
	for _, c := range cells {
		size += len(c.text) / cellText // a long text takes the room of several
	}
	if *t.room < size {
		return fmt.Errorf("table %q: results hold at most %d cells in all, or fewer if texts are long; record fewer rows", t.Name, maxCells)
	}
	*t.room -= size
	t.rows = append(t.rows, cells)
	return nil
}

// At returns the cell of a column in the one row that matches: each key of
// where is a column, and the row's cell must be the same (numbers as [Same]
// says). It fails where not exactly one row matches (errMatch), and on an
// unknown column (errNoColumn).
func (t *Table) At(column string, where map[string]any) (Cell, error) {
	want, err := t.index(column)
	if err != nil {
		return Cell{}, err
	}
	found, matched := Cell{}, 0
	conditions, err := t.conditions(where)
	if err != nil {
		return Cell{}, err
	}
	for _, row := range t.rows {
		if conditions.match(row) {
			found, matched = row[want], matched+1
		}
	}
	if matched != 1 {
		advice := "give values that a row has"
		if matched > 1 {
			advice = "name another column too, to tell them apart"
		}
		return Cell{}, fmt.Errorf("table %q: %d of %d rows have %s; %w; %s", t.Name, matched, len(t.rows), conditions.words(t.columns), errMatch, advice)
	}
	return found, nil
}

// condition is what one cell of a row must be.
type condition struct {
	column int
	cell   Cell
}

type conditions []condition

func (t *Table) conditions(where map[string]any) (conditions, error) {
	var all conditions
	for _, name := range slices.Sorted(maps.Keys(where)) {
		i, err := t.index(name)
		if err != nil {
			return nil, err
		}
		cell, err := cellOf(where[name])
		if err != nil {
			return nil, fmt.Errorf("table %q: column %q %w", t.Name, name, err)
		}
		all = append(all, condition{i, cell})
	}
	return all, nil
}

func (all conditions) match(row []Cell) bool {
	for _, c := range all {
		if !row[c.column].same(c.cell) {
			return false
		}
	}
	return true
}

func (all conditions) words(columns []Column) string {
	if len(all) == 0 {
		return "no condition"
	}
	parts := make([]string, len(all))
	for i, c := range all {
		parts[i] = columns[c.column].Name + " = " + c.cell.words()
	}
	return strings.Join(parts, " and ")
}

// Column returns a column's numbers, row by row. It fails on an unknown
// column (errNoColumn) and where a cell is no number; [Table.Cells] takes
// those too.
func (t *Table) Column(name string) ([]float64, error) {
	cells, err := t.Cells(name)
	if err != nil {
		return nil, err
	}
	numbers := make([]float64, len(cells))
	for i, c := range cells {
		f, ok := c.Float()
		if !ok {
			return nil, fmt.Errorf("table %q: row %d of column %q is %s; it must be a number", t.Name, i+1, name, c.words())
		}
		numbers[i] = f
	}
	return numbers, nil
}

// Cells returns a column's cells, row by row. It fails on an unknown column
// (errNoColumn).
func (t *Table) Cells(name string) ([]Cell, error) {
	i, err := t.index(name)
	if err != nil {
		return nil, err
	}
	cells := make([]Cell, len(t.rows))
	for n, row := range t.rows {
		cells[n] = row[i]
	}
	return cells, nil
}

// index finds a column by its name, and offers the nearest where there is
// none.
func (t *Table) index(name string) (int, error) {
	if i, ok := t.places[name]; ok {
		return i, nil
	}
	names := make([]string, len(t.columns))
	for i, c := range t.columns {
		names[i] = c.Name
	}
	hint := "; its columns are " + strings.Join(names, ", ")
	if near := spell.Nearest(name, names); near != "" {
		hint = fmt.Sprintf("; did you mean %q?", near)
	}
	return 0, fmt.Errorf("table %q %w %q%s", t.Name, errNoColumn, cut(name), hint)
}

// checkColumns refuses heads that a row could not be addressed by.
func checkColumns(columns []Column) error {
	if len(columns) == 0 || len(columns) > maxColumns {
		return fmt.Errorf("has %d columns; it must have 1 to %d", len(columns), maxColumns)
	}
	seen := map[string]bool{}
	for i, c := range columns {
		if strings.TrimSpace(c.Name) == "" || len(c.Name) > maxName || len(c.Unit) > maxName {
			return fmt.Errorf("column %d is named %q; it must be a name of 1 to %d bytes, and a unit that is no longer", i+1, c.Name, maxName)
		}
		if seen[c.Name] {
			return fmt.Errorf("column %q is given twice; each name must be there once", c.Name)
		}
		seen[c.Name] = true
	}
	return nil
}

package report

import (
	"fmt"
	"io"

	"candelua/engine/result"
)

// TableColumn is a column of a table's CSV: one of the script's or, after
// those, one with the uncertainty of one.
type TableColumn struct {
	result.Column
	Of string `json:"of,omitempty"` // the script's column whose uncertainty this is
	Is string `json:"is,omitempty"` // "u", "low" or "high": standard uncertainty, ends of the 95 % interval; "remark"; "simulated"

	index int
	pick  func(*result.Spread) float64
}

// TableColumns returns the columns of a table's CSV. The script's columns come first.
// Then, for each whose cells have uncertainties, come u and both ends of the 95 %
// interval, in the unit of that column. All heads differ. An empty cell in these
// means that the number does not depend on the readings, that too many draws had
// no number, or that the uncertainty is not known. A column with remarks follows where a number is outside of
// its own interval, or where its uncertainty is not known.
// The last column, of a simulated run only, is true in every row. of is what kind of run
// the table is from.
func TableColumns(t *result.Table, of Kind) []TableColumn {
	var all, spreads []TableColumn
	heads := map[string]bool{}
	for i, c := range t.Columns() {
		all = append(all, TableColumn{Column: c, index: i})
		heads[c.Head()] = true
	}
	for i, c := range t.Columns() {
		for _, k := range []struct {
			head, is string
			pick     func(*result.Spread) float64
		}{
			{of.u(), "u", func(s *result.Spread) float64 { return s.U }},
			{"lower end of ", "low", func(s *result.Spread) float64 { return s.Low }},
			{"upper end of ", "high", func(s *result.Spread) float64 { return s.High }},
		} {
			if !hasSpread(t, i) {
				break
			}
			spreads = append(spreads, TableColumn{unlike(heads, result.Column{Name: k.head + c.Name, Unit: c.Unit}), c.Name, k.is, i, k.pick})
		}
		if t.Remark(c.Name) != "" {
			spreads = append(spreads, TableColumn{Column: unlike(heads, result.Column{Name: "remark on " + c.Name}), Of: c.Name, Is: isRemark, index: i})
		}
	}
	all = append(all, spreads...)
	if of.Simulated {
		all = append(all, TableColumn{Column: unlike(heads, result.Column{Name: SimulatedHead}), Is: isSimulated})
	}
	return all
}

// Kind is what a table's numbers are to those who read its file.
type Kind struct {
	Simulated         bool
	RepeatabilityOnly bool // the uncertainties leave out how far off the meter may be
}

// u begins the head of a column of uncertainties.
func (k Kind) u() string {
	if k.RepeatabilityOnly {
		return "repeatability of "
	}
	return "u of "
}

// What a column is that has no numbers.
const (
	isRemark    = "remark"
	isSimulated = "simulated" // it says that the run was simulated
)

// unlike changes a column's name until its head is not among heads, and adds it.
func unlike(heads map[string]bool, c result.Column) result.Column {
	name := c.Name
	for i := 2; heads[c.Head()]; i++ {
		c.Name = fmt.Sprintf("%s, %d", name, i)
	}
	heads[c.Head()] = true
	return c
}

func hasSpread(t *result.Table, column int) bool {
	for row := range t.Len() {
		if t.Spread(row, column) != nil {
			return true
		}
	}
	return false
}

// cell returns the cell of a row; it is empty if the number has no uncertainty.
func (c TableColumn) cell(t *result.Table, row int) result.Cell {
	switch {
	case c.Is == isSimulated:
		return SimulatedCell()
	case c.Is == isRemark:
		if remark := t.CellRemark(row, c.index); remark != "" {
			return result.Text(remark)
		}
		return result.Cell{}
	case c.pick == nil:
		return t.Cell(row, c.index)
	}
	if s := t.Spread(row, c.index); s != nil {
		return result.Num(c.pick(s))
	}
	return result.Cell{}
}

// TableCSV writes a table's [TableColumns] as [CSV] does, with heads such as
// "luminance (cd/m2)".
func TableCSV(w io.Writer, t *result.Table, of Kind) error {
	columns := TableColumns(t, of)
	var head []string
	for _, c := range columns {
		head = append(head, c.Head())
	}
	return CSV(w, head, func(yield func([]result.Cell) bool) {
		for i := range t.Len() {
			row := make([]result.Cell, len(columns))
			for k, c := range columns {
				row[k] = c.cell(t, i)
			}
			if !yield(row) {
				return
			}
		}
	})
}

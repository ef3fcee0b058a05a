package result

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// The most that results hold, so that an untrusted script cannot fill the
// memory through them.
const (
	maxValues  = 10_000
	maxTables  = 1_000
	maxPlots   = 1_000
	maxNotes   = 10_000
	maxCells   = 1 << 20 // in all tables and diagrams together
	maxColumns = 200     // in one table
	maxName    = 200     // bytes in a name, a head or a unit
	maxText    = 1 << 14 // bytes in a note or in a cell's text
)

// ErrTaken is the cause of an error where an id is recorded a second time.
var ErrTaken = errors.New("already recorded")

// Plot says how a table is plotted: columns Y against the column X.
type Plot struct {
	ID    string   `json:"id"`
	Title string   `json:"title"`
	Table string   `json:"table"` // the table's id
	X     string   `json:"x"`
	Y     []string `json:"y"`
	LogX  bool     `json:"log_x,omitempty"`
	LogY  bool     `json:"log_y,omitempty"`
	Where string   `json:"where,omitempty"`
}

// Level says how much a note matters.
type Level string

// Doubt is the level of a note that bears on how far the results hold. FormerDoubt is the word for it of rules before 4; a caution
// is about people and equipment, and no result.
const (
	Doubt       Level = "doubt"
	FormerDoubt Level = "caution"
)

// Note is a remark for whoever reads the results.
type Note struct {
	Text  string `json:"text"`
	Level Level  `json:"level,omitempty"` // "", [Doubt] or [FormerDoubt]
	Where string `json:"where,omitempty"`
}

// Doubts says whether the note bears on how far the results hold.
func (n *Note) Doubts() bool { return n.Level == Doubt || n.Level == FormerDoubt }

// Results is what a run concluded, in the order in which it was recorded.
// Make one with [New]. It is not for use by several goroutines at once.
type Results struct {
	values      []*Value
	tables      []*Table
	plots       []*Plot
	diagrams    []*Diagram
	notes       []Note
	corrections []*Correction
	draws       *Draws           // nil where nobody drew
	standing    map[int]Standing // by step
	room        int              // cells that the tables and diagrams may still take

	ids, former map[string]*Value // which values took an id, and a former one: there may be thousands
}

// New returns empty results.
func New() *Results {
	return &Results{room: maxCells, ids: map[string]*Value{}, former: map[string]*Value{}}
}

// Value records a value: it fills in the id (where there is none) and the
// finding, and returns the copy that is kept, to which uncertainties may be
// added later. A missing value that has a tolerance is [NotEvaluated]. It
// fails where the id or a former one is taken ([ErrTaken], naming the line that took
// it) and on anything that is not finite or not allowed.
func (r *Results) Value(v Value) (*Value, error) {
	kept := v.clone()
	kept.complete()
	if err := r.keepValue(kept); err != nil {
		return nil, err
	}
	return kept, nil
}

// keepValue checks a complete value and keeps it.
func (r *Results) keepValue(v *Value) error {
	if err := checkName(v.ID, v.Name); err != nil {
		return fmt.Errorf("value: %w", err)
	}
	if err := v.check(); err != nil {
		return fmt.Errorf("value %q %w", v.Name, err)
	}
	if len(r.values) >= maxValues {
		return fmt.Errorf("value %q: results hold at most %d values; record a table", v.Name, maxValues)
	}
	if first, ok := r.ids[v.ID]; ok {
		return taken("value", v.ID, v.Name, first.Where)
	}
	if err := r.checkFormerly(v); err != nil {
		return fmt.Errorf("value %q %w", v.Name, err)
	}
	r.values = append(r.values, v)
	r.ids[v.ID] = v
	for _, id := range v.Formerly {
		r.former[id] = v
	}
	return nil
}

// Table starts a table. An empty id is made from the name. It fails where
// the id is taken ([ErrTaken]), and on heads that are empty or repeated. The
// caller may set the Where of the table that it gets.
func (r *Results) Table(name, id string, columns []Column) (*Table, error) {
	return r.table(Table{ID: id, Name: name, columns: columns})
}

func (r *Results) table(t Table) (*Table, error) {
	t.Name, t.Where, t.room = tidy(t.Name), tidy(t.Where), &r.room
	t.ID = idOr(t.ID, t.Name)
	if len(t.columns) <= maxColumns { // more are refused below
		t.columns = slices.Clone(t.columns)
		for i, c := range t.columns {
			t.columns[i] = Column{Name: tidy(c.Name), Unit: tidy(c.Unit)}
		}
	}
	if err := checkName(t.ID, t.Name); err != nil {
		return nil, fmt.Errorf("table: %w", err)
	}
	if err := checkColumns(t.columns); err != nil {
		return nil, fmt.Errorf("table %q %w", t.Name, err)
	}
	if len(r.tables) >= maxTables {
		return nil, fmt.Errorf("table %q: results hold at most %d tables; add rows to one of them", t.Name, maxTables)
	}
	if first, ok := r.TableByID(t.ID); ok {
		return nil, taken("table", t.ID, t.Name, first.Where)
	}
	t.places = make(map[string]int, len(t.columns))
	for i, c := range t.columns {
		t.places[c.Name] = i
	}
	r.tables = append(r.tables, &t)
	return &t, nil
}

// Plot records a plot of a table that is already there. An empty title is the
// table's name; an empty id is made from the table's id and the columns. It
// fails on an unknown table or column, and where the id is taken ([ErrTaken]).
func (r *Results) Plot(p Plot) (*Plot, error) {
	p.Y = slices.Clone(p.Y)
	t, ok := r.TableByID(p.Table)
	if !ok {
		return nil, fmt.Errorf("plot %q: table %q is not recorded; record the table first", p.Title, cut(p.Table))
	}
	if len(p.Y) == 0 {
		return nil, fmt.Errorf("plot of table %q has no column for y; it must have one or more", t.Name)
	}
	for _, name := range append([]string{p.X}, p.Y...) {
		if _, err := t.index(name); err != nil {
			return nil, err
		}
	}
	if p.Title = tidy(p.Title); p.Title == "" {
		p.Title = t.Name
	}
	p.ID = idOr(p.ID, p.Table+" "+strings.Join(p.Y, " ")+" "+p.X)
	if err := checkName(p.ID, p.Title); err != nil {
		return nil, fmt.Errorf("plot: %w", err)
	}
	if len(r.plots) >= maxPlots {
		return nil, fmt.Errorf("plot %q: results hold at most %d plots", p.Title, maxPlots)
	}
	if where, is := r.drawn(p.ID); is {
		return nil, taken("plot", p.ID, p.Title, where)
	}
	r.plots = append(r.plots, &p)
	return &p, nil
}

// Note records a note. It fails on an empty text and on an unknown level.
func (r *Results) Note(n Note) error {
	n.Text, n.Where = tidy(n.Text), tidy(n.Where)
	if strings.TrimSpace(n.Text) == "" {
		return fmt.Errorf("note is empty; it must be a text")
	}
	if err := checkTexts(n.Text, n.Where); err != nil {
		return fmt.Errorf("note %w", err)
	}
	if n.Level != "" && !n.Doubts() {
		return fmt.Errorf("note has the level %q; it must be %q or none", n.Level, Doubt)
	}
	if len(r.notes) >= maxNotes {
		return fmt.Errorf("note %q: results hold at most %d notes", cut(n.Text), maxNotes)
	}
	r.notes = append(r.notes, n)
	return nil
}

// taken says that an id is recorded already, and where.
func taken(kind, id, name, first string) error {
	if first != "" {
		first = " at " + first
	}
	return fmt.Errorf("%s %q: id %q is %w%s; give another name, or an id of its own", kind, name, id, ErrTaken, first)
}

// Values returns the values, in order. They are the kept ones, not copies.
func (r *Results) Values() []*Value { return slices.Clone(r.values) }

// Tables returns the tables, in order. They are the kept ones, not copies.
func (r *Results) Tables() []*Table { return slices.Clone(r.tables) }

// Plots returns the plots, in order. They are the kept ones, not copies.
func (r *Results) Plots() []*Plot { return slices.Clone(r.plots) }

// Notes returns a copy of the notes, in order.
func (r *Results) Notes() []Note { return slices.Clone(r.notes) }

// ValueByID returns the value with an id, and whether there is one.
func (r *Results) ValueByID(id string) (*Value, bool) {
	v, ok := r.ids[id]
	return v, ok
}

// TableByID returns the table with an id, and whether there is one.
func (r *Results) TableByID(id string) (*Table, bool) {
	return byID(r.tables, id, func(t *Table) string { return t.ID })
}

func byID[T any](list []*T, want string, id func(*T) string) (*T, bool) {
	for _, item := range list {
		if id(item) == want {
			return item, true
		}
	}
	return nil, false
}

// Finding returns the worst finding of all values: [Fail], else
// [NotEvaluated], else [Pass], else "" where no tolerance was stated. The
// first two set the exit status 4.
func (r *Results) Finding() Finding {
	var worst Finding
	for _, v := range r.values {
		worst = worse(worst, v.Finding)
	}
	return worst
}

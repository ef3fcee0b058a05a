package builtins

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/result"
	"candelua/engine/script"
)

func recordModule() *script.Module {
	return &script.Module{Name: "record", Help: "Results of the run: values, tables, drawings and notes.", Funcs: []*script.Func{
		script.Output("record.value", "records a value; if it could not be evaluated, leave value out and say in why what the reason is", recordValue),
		script.Output("record.table", "starts a table and returns it", recordTable),
		script.Output("record.plot", "draws columns of a table; its rows are joined in their order, so that what goes up and down again shows as such: for rows that were measured in another order, add them sorted", recordPlot),
		script.Output("record.chromaticity", "draws measured colours against their targets in CIE 1976 u', v'", recordChromaticity),
		script.Output("record.distribution", "draws numbers as a cumulative distribution", recordDistribution),
		script.Output("record.correction", "records a correction of a meter, and writes it as a file that a bench file can name", recordCorrection),
		script.Output("record.note", "records a note", recordNote),
		script.Output("table:add", "adds a row to a table from record.table", addRow, script.Costing(func(_ *script.Call, a addArgs) int64 { return int64(2 * a.Self.t.Width()) })),
		script.Pure("table:at", "returns the cell of a column in the one row where other columns have these values", cellAt, script.Costing(func(_ *script.Call, a atArgs) int64 { return int64(a.Self.t.Len() * (1 + len(a.Where))) })),
		script.Pure("table:column", "returns the numbers of a column as a list", column, script.Costing(func(_ *script.Call, a columnArgs) int64 { return int64(2 * a.Self.t.Len()) })),
		script.Pure("table:len", "returns the number of rows", func(_ *script.Call, a tableSelf) (int, error) { return a.Self.t.Len(), nil }),
	}}
}

type valueArgs struct {
	Name      string        `lua:"name" help:"name as it appears in the results"`
	Value     any           `lua:"value" optional:"true" want:"a number, a text or a reading" help:"the value, or a reading whose luminance is recorded; nil if it could not be evaluated"`
	Unit      string        `lua:"unit" default:"" help:"unit of the value, as in unit = \"cd/m2\""`
	ID        string        `lua:"id" default:"" help:"identifier for programs; made from name when left out; do not change it after results are published"`
	Formerly  any           `lua:"formerly" optional:"true" want:"a text, or a list of texts" help:"earlier id of the value, or a list of them, so that older results can be compared with newer ones"`
	Of        *Reading      `lua:"of" help:"the reading of which the value is one number; from can state it too"`
	From      declare.Loose `lua:"from" optional:"true" want:"a reading, a list of readings or of rows with readings in them, or a table from record.table" help:"the readings that the value is computed from; if something stands against one of them, the value is not evaluated, unless bound is given; without from that is found after the run, and said beside the value"`
	Bound     *string       `lua:"bound" one_of:"upper|lower" help:"upper: the quantity is at most this; lower: it is at least this"`
	Tolerance *toleranceArg `lua:"tolerance" help:"range in which the value passes, as in { min = 0, max = 3 }"`
	Why       string        `lua:"why" default:"" help:"reason why the value could not be evaluated; the results show it in place of the value"`
}

type toleranceArg struct {
	Min *float64 `lua:"min" help:"lowest value that passes"`
	Max *float64 `lua:"max" help:"highest value that passes"`
}

func recordValue(c *script.Call, a valueArgs) (script.None, error) {
	v := result.Value{ID: a.ID, Name: a.Name, Unit: a.Unit, Why: a.Why, Where: c.Where()}
	var err error
	if v.Formerly, err = textsOf(a.Formerly); err != nil {
		return script.None{}, err
	}
	if a.Bound != nil {
		v.Bound = result.Bound(*a.Bound)
	}
	if a.Tolerance != nil {
		v.Tolerance = &result.Tolerance{Min: a.Tolerance.Min, Max: a.Tolerance.Max}
	}
	switch x := a.Value.(type) {
	case nil:
		v.Bound = ""
	case float64:
		v.Value = &x
		if err := bitsOf(c).claim(&v); err != nil {
			return script.None{}, err
		}
		if missesInDraw(c, finiteNumber(x)) {
			v.Value, v.U, v.Bound, v.Why = nil, nil, "", "it is no finite number"
		}
	case string:
		v.Text = x
	case *Reading:
		if a.Unit != "" && plainUnit(a.Unit) != "cd/m2" {
			return script.None{}, wrongUnit(a.Unit, "cd/m2")
		}
		v.Value, v.U = &x.Y, x.UY
		if v.Unit == "" {
			v.Unit = "cd/m2"
		}
	default:
		return script.None{}, &fault.ArgError{Arg: "value", Got: declare.Show(x), Want: "a number, a text or a reading"}
	}
	o, err := a.origin(c)
	if err != nil {
		return script.None{}, err
	}
	if o.one != nil && v.Value != nil {
		u, ok := o.one.uncertaintyOf(*v.Value)
		if !ok && a.Of != nil {
			return script.None{}, &fault.ArgError{Arg: "of", Got: "a reading that does not hold the value " + formatNumber(*v.Value), Want: "the reading that the value is taken from"}
		}
		v.U = u
	}
	o.mind(c, &v)
	v.Unsaid = !o.stated && (v.Value != nil || strings.ContainsAny(v.Text, "0123456789"))
	if v.Bound != "" && a.Of == nil {
		v.U = nil // a number's scatter says nothing of a quantity that is only known to be beyond it
	}
	_, err = c.Results().Value(v)
	return script.None{}, err
}

// mostFormerly is how many former ids a value has.
const mostFormerly = 100

// numberCalls counts the calls of an execution that record numbers.
type numberCalls struct{ calls int }

// gaveNumbers are the calls that gave finite numbers in the run, by their place among
// such calls.
type gaveNumbers map[int]bool

// missesInDraw says whether a draw has no number where the run recorded one, as of the
// logarithm of a dark reading that noise made negative. Each call that records numbers asks it,
// because they are counted. The draw
// then goes on, and this number alone misses in it. Where the run had none either, the call
// fails as it did, so that no script can tell the two apart.
func missesInDraw(c *script.Call, finite bool) bool {
	d := c.Host().Draws
	if d == nil || !c.Since(4) {
		return false
	}
	here := script.State[numberCalls](c)
	here.calls++
	seen := script.SharedState[gaveNumbers](d.Shared)
	if d.Number != script.Look {
		return !finite && (*seen)[here.calls]
	}
	if *seen == nil {
		*seen = gaveNumbers{}
	}
	if finite {
		(*seen)[here.calls] = true
	}
	return false
}

func finiteNumber(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// textsOf reads former ids: nothing, a text or a list of texts.
func textsOf(x any) ([]string, error) {
	list, isList := x.([]any)
	switch {
	case x == nil:
		return nil, nil
	case !isList:
		list = []any{x}
	}
	if len(list) > mostFormerly {
		return nil, wrongCount("formerly", howMany(len(list), "ids"), fmt.Sprintf("at most %d", mostFormerly), "")
	}
	var out []string
	for _, e := range list {
		s, ok := e.(string)
		if !ok {
			return nil, &fault.ArgError{Arg: "formerly", Got: declare.Show(x), Want: "a text, or a list of texts"}
		}
		out = append(out, s)
	}
	return out, nil
}

func wrongUnit(given, is string) error {
	const tip = "the value is taken from a reading, whose unit is known"
	if is == "" {
		return &fault.ArgError{Arg: "unit", Got: "is " + strconv.Quote(given) + "; leave it out, because a chromaticity has no unit", Tip: tip}
	}
	return &fault.ArgError{Arg: "unit", Got: strconv.Quote(given), Want: strconv.Quote(is), Tip: tip}
}

// uncertaintyOf finds which of the reading's numbers x is.
func (r *Reading) uncertaintyOf(x float64) (*float64, bool) {
	for _, t := range []struct{ x, u *float64 }{{&r.Y, r.UY}, {r.X, r.UX}, {r.Z, r.UZ}, {r.Cx, r.Ucx}, {r.Cy, r.Ucy}, {r.U, r.Uu}, {r.V, r.Uv}} {
		if t.x != nil && *t.x == x {
			return t.u, true
		}
	}
	return nil, false
}

// Table is a table that the script is filling.
type Table struct {
	t        *result.Table
	readings []*Reading // that its rows are from
}

// LuaName is what scripts call it.
func (Table) LuaName() string { return "recorded table" }

type tableArgs struct {
	Name    string     `lua:"name" pos:"1" help:"name as it appears in the results"`
	Columns [][]string `lua:"columns" pos:"2" help:"names and units of the columns, as in { { \"window\", \"%\" }, { \"luminance\", \"cd/m2\" } }"`
	ID      string     `lua:"id" default:"" help:"identifier for programs; made from name when left out"`
}

func recordTable(c *script.Call, a tableArgs) (*Table, error) {
	var columns []result.Column
	for i, col := range a.Columns {
		if len(col) < 1 || len(col) > 2 {
			return nil, &fault.ArgError{Arg: fmt.Sprintf("columns[%d]", i+1), Got: fmt.Sprintf("%d texts", len(col)), Want: "a name, and a unit if there is one"}
		}
		column := result.Column{Name: col[0]}
		if len(col) == 2 {
			column.Unit = col[1]
		}
		columns = append(columns, column)
	}
	t, err := c.Results().Table(a.Name, a.ID, columns)
	if err != nil {
		return nil, err
	}
	t.Where = c.Where()
	return &Table{t: t}, nil
}

type tableSelf struct {
	Self *Table `lua:"self"`
}

type addArgs struct {
	Self *Table                   `lua:"self"`
	Row  map[string]declare.Loose `lua:"*" help:"column = value; of a reading, its luminance, with what stands against it; from = readings says which readings the row is computed from"`
}

func addRow(c *script.Call, a addArgs) (script.None, error) {
	o, err := a.origin(c)
	if err != nil {
		return script.None{}, err
	}
	row, readings, finite := map[string]any{}, map[string]*Reading{}, true
	for name, x := range a.Row {
		row[name] = x
		switch x := x.(type) {
		case *Reading:
			row[name], readings[name] = x.Y, x
		case float64:
			finite, a.Self.t.Unsaid = finite && finiteNumber(x), true
		case declare.Named:
			return script.None{}, &fault.ArgError{Arg: name, Got: declare.Show(x), Want: "a plain value or a reading"}
		}
	}
	if missesInDraw(c, finite) {
		maps.DeleteFunc(row, func(_ string, x any) bool { n, isNumber := x.(float64); return isNumber && !finiteNumber(n) })
	}
	if err := a.Self.t.Add(row); err != nil {
		return script.None{}, err
	}
	a.Self.readings = append(a.Self.readings, o.readings...)
	for _, name := range slices.Sorted(maps.Keys(readings)) {
		a.Self.readings = append(a.Self.readings, readings[name])
		if err := a.Self.tell(c, row, name, readings[name]); err != nil {
			return script.None{}, err
		}
	}
	return script.None{}, nil
}

// origin takes the readings that a row states out of it. A table may have a column of the name from: then that is meant.
func (a *addArgs) origin(c *script.Call) (origin, error) {
	isColumn := slices.ContainsFunc(a.Self.t.Columns(), func(c result.Column) bool { return c.Name == "from" })
	if isColumn || !c.Since(5) {
		return origin{}, nil
	}
	from := a.Row["from"]
	delete(a.Row, "from")
	return originOf(from)
}

// tell says what stands against a reading in a row of a table, where it would pass for
// what the patch gives. By the rules before 5 a note said it.
func (t *Table) tell(c *script.Call, row map[string]any, name string, r *Reading) error {
	if c.Since(5) {
		t.doubt(name, r)
		return nil
	}
	is := "is not what the patch gives"
	switch {
	case r.doubt.why == "":
		return nil
	case r.doubt.bound == result.Lower:
		is = "is a lower limit"
	}
	at := ""
	for _, col := range t.t.Columns() {
		if x, stated := row[col.Name]; stated && col.Name != name {
			at = fmt.Sprintf(" at %s %s", col.Name, strings.TrimSpace(declare.Show(x)+" "+col.Unit))
			break
		}
	}
	text := fmt.Sprintf("%s: the %s%s %s, because %s.", t.t.Name, name, at, is, r.doubt.why)
	return c.Results().Note(result.Note{Text: text, Level: doubtLevel(c), Where: c.Where()})
}

// doubt says what stands against the reading in a cell of the last row.
func (t *Table) doubt(name string, r *Reading) {
	why := r.unsound()
	if r.doubt.bound == result.Lower {
		why += ", so the number is a lower limit"
	}
	if why != "" {
		t.t.AddDoubt(t.t.Len()-1, slices.IndexFunc(t.t.Columns(), func(c result.Column) bool { return c.Name == name }), why)
	}
}

type atArgs struct {
	Self   *Table         `lua:"self"`
	Column string         `lua:"column" pos:"1" help:"column of the cell"`
	Where  map[string]any `lua:"*" help:"column = value, to find the row"`
}

func cellAt(_ *script.Call, a atArgs) (any, error) {
	cell, err := a.Self.t.At(a.Column, a.Where)
	return cell.Any(), err
}

type columnArgs struct {
	Self   *Table `lua:"self"`
	Column string `lua:"column" pos:"1" help:"name of the column"`
}

func column(_ *script.Call, a columnArgs) ([]float64, error) { return a.Self.t.Column(a.Column) }

type plotArgs struct {
	Table *Table `lua:"table" help:"the table to draw"`
	X     string `lua:"x" help:"column on the horizontal axis"`
	Y     any    `lua:"y" want:"a column's name, or a list of them" help:"column on the vertical axis, or several"`
	ID    string `lua:"id" default:"" help:"identifier for programs; made from the table and the columns when left out"`
	Title string `lua:"title" default:"" help:"title of the drawing; when left out, the name of the table"`
	LogX  bool   `lua:"log_x" default:"false" help:"true: the horizontal axis is logarithmic"`
	LogY  bool   `lua:"log_y" default:"false" help:"true: the vertical axis is logarithmic"`
}

// mostSeries is how many columns a plot shows: as many as a table can have.
const mostSeries = 200

func recordPlot(c *script.Call, a plotArgs) (script.None, error) {
	if a.Table == nil {
		return script.None{}, &fault.ArgError{Arg: "table", Got: "missing", Want: "a table from record.table"}
	}
	p := result.Plot{ID: a.ID, Title: a.Title, Table: a.Table.t.ID, X: a.X, LogX: a.LogX, LogY: a.LogY, Where: c.Where()}
	wrong := &fault.ArgError{Arg: "y", Got: declare.Show(a.Y), Want: "a column's name, or a list of them"}
	switch y := a.Y.(type) {
	case string:
		p.Y = []string{y}
	case []any:
		if len(y) > mostSeries {
			return script.None{}, wrongCount("y", howMany(len(y), "columns"), fmt.Sprintf("at most %d", mostSeries), "draw fewer columns, or several plots")
		}
		for _, name := range y {
			s, ok := name.(string)
			if !ok {
				return script.None{}, wrong
			}
			p.Y = append(p.Y, s)
		}
	default:
		return script.None{}, wrong
	}
	if err := drawable(c, a.Table.t, append([]string{p.X}, p.Y...)); err != nil {
		return script.None{}, err
	}
	_, err := c.Results().Plot(p)
	return script.None{}, err
}

// drawable refuses, since the rules 4, columns that hold texts and no number: nothing of
// them could be drawn. A table that is still empty may be filled later.
func drawable(c *script.Call, t *result.Table, columns []string) error {
	if !c.Since(4) {
		return nil
	}
	for i, name := range columns {
		column := slices.IndexFunc(t.Columns(), func(c result.Column) bool { return c.Name == name })
		if column < 0 {
			return nil // [result.Results.Plot] says what is wrong with it
		}
		texts, numbers := 0, 0
		for row := range t.Len() {
			switch t.Cell(row, column).Kind() {
			case result.Word:
				texts++
			case result.Numeric:
				numbers++
			}
		}
		if texts > 0 && numbers == 0 {
			axis := "x"
			if i > 0 {
				axis = "y"
			}
			return &fault.ArgError{Arg: axis, Got: declare.Show(name) + ", a column of texts", Want: "a column with numbers", Tip: "give the rows a column of numbers too, such as 1, 2, 3"}
		}
	}
	return nil
}

type noteArgs struct {
	Text  string  `lua:"text" pos:"1" help:"text of the note"`
	Level *string `lua:"level" one_of:"doubt|caution" help:"doubt: the note limits how far the results can be trusted; when left out, it is a plain note; caution is the former word for doubt"`
}

func recordNote(c *script.Call, a noteArgs) (script.None, error) {
	n := result.Note{Text: a.Text, Where: c.Where()}
	if a.Level != nil {
		n.Level = doubtLevel(c)
	}
	return script.None{}, c.Results().Note(n)
}

// doubtLevel is the level of a note that limits how far the results can be trusted: its word is another since rules 4.
func doubtLevel(c *script.Call) result.Level {
	if c.Since(4) {
		return result.Doubt
	}
	return result.FormerDoubt
}

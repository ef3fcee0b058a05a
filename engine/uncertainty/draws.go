package uncertainty

import (
	"context"
	"math"
	"slices"
	"strings"

	"candelua/engine/draw"
	"candelua/engine/result"
)

// DefaultDraws is how many draws a run has where nobody says otherwise.
const DefaultDraws = 500

// Drawn is what the values of a run were on drawn readings.
type Drawn struct {
	result.Draws
	base   *result.Results
	values map[string][]float64 // by the value's id; NaN where a draw did not give it
	cells  map[cell][]float64
	wanted map[string][]wantedCell // the same by table, for speed
	sheet  *draw.Sheet
	moves  *draw.Moves // of all draws, once they are made
	causes []draw.Cause
	rest   string // what follows from no cause

	depends  depends
	made     made
	straight bool // angles are numbers on a line
}

// wantedCell is a number of a table, and what it was in each draw.
type wantedCell struct {
	row, column int
	all         []float64
}

// cell is a number of a table.
type cell struct {
	table       string
	row, column int
}

// Executions executes the script of a run on drawn readings. Several goroutines may call it
// at once.
type Executions interface {
	// Look executes the script on the readings themselves, and tells what is drawn of them.
	Look(context.Context) (*draw.Sheet, error)
	// Once executes it on the readings of one draw.
	Once(ctx context.Context, number int) (Once, error)
	// Shake executes it with all that is of one unknown kind moved a little, and nothing else.
	Shake(ctx context.Context, of draw.Unknown, number int) (Once, error)
}

// Once is what became of one draw.
type Once struct {
	Results    *result.Results // nil where the script asked for other steps, or ended in an error
	OtherSteps bool
	Work       int64 // what the script worked, in units of about one instruction; alike on every machine
}

// Draw executes a script as often as a plan says, each time on readings that are drawn from what is
// known of their errors, on all cores. base are the results on the readings
// themselves. done is called for each draw that is over, by several goroutines at
// once; it may be nil.
//
// A draw in which the script would have asked other steps is counted, and gives
// no value; so is one in which it ends in an error.
//
// Where no error of a reading is known, or no result is a number, no draw is made, since
// none could change anything. Fewer are made than asked for where the plan's limits end them.
// The results say so: [result.Draws.Ended].
//
// More numbers than memory should hold are a [TooManyDrawsError], before any is drawn.
//
// Source: JCGM 101:2008, 7.
func Draw(ctx context.Context, of Executions, base *result.Results, p Plan, done func()) (*Drawn, error) {
	p, err := withinMemory(base, p)
	if err != nil {
		return nil, err
	}
	d := newDrawn(base, 0)
	d.straight = p.Straight
	defer CollectSeldom()()
	sheet, err := of.Look(ctx)
	if err != nil {
		return nil, err
	}
	d.FarScatter = sheet.FarScatter()
	d.sheet = sheet
	d.causes, d.rest, d.NoScatter, d.Unstated = sheet.Causes(), sheet.Rest(), sheet.NoScatter(), strings.Join(sheet.Unstated(), " and ")
	if len(d.values)+len(d.cells) == 0 && !p.Always {
		d.nothing(p, sheet.Still())
		return d, nil
	}
	if err := d.shake(ctx, of, sheet.Unknowns(), false); err != nil {
		return nil, err
	}
	if sheet.Still() && !p.Always {
		d.nothing(p, true)
	} else if err := d.draw(ctx, of, p, done); err != nil {
		return nil, err
	}
	if d.Count == 0 && d.Ended != result.NothingDrawn || !d.rests() {
		return d, nil
	}
	return d, d.shake(ctx, of, sheet.Unknowns(), true)
}

// draw makes the draws.
func (d *Drawn) draw(ctx context.Context, of Executions, p Plan, done func()) error {
	return d.each(ctx, p, func(ctx context.Context, number int) (Once, error) {
		once, err := of.Once(ctx, number)
		if err == nil && once.Results != nil {
			d.take(number, once.Results)
		}
		once.Work += NumberWork * int64(len(d.values)+len(d.cells))
		if err == nil && done != nil {
			done()
		}
		return once, err
	})
}

// newDrawn makes room for the numbers of the results.
func newDrawn(base *result.Results, n int) *Drawn {
	d := &Drawn{Draws: result.Draws{Count: n}, base: base, values: map[string][]float64{}, cells: map[cell][]float64{}, wanted: map[string][]wantedCell{},
		depends: depends{map[string][]draw.Unknown{}, map[cell][]draw.Unknown{}}}
	eachNumber(base, func(v *result.Value) {
		d.values[v.ID] = unknown(n)
	}, func(at cell) {
		all := unknown(n)
		d.cells[at] = all
		d.wanted[at.table] = append(d.wanted[at.table], wantedCell{at.row, at.column, all})
	})
	return d
}

// eachNumber calls for each number of the results that is drawn.
func eachNumber(base *result.Results, value func(*result.Value), number func(cell)) {
	for _, v := range base.Values() {
		if v.Value != nil && v.Bound == "" {
			value(v)
		}
	}
	for _, t := range base.Tables() {
		for i, row := range t.Rows() {
			for k, c := range row {
				if _, isNumber := c.Float(); isNumber {
					number(cell{t.ID, i, k})
				}
			}
		}
	}
}

func unknown(n int) []float64 { return grown(nil, n) }

// grow makes room for the numbers of so many draws. No draw may be under way.
func (d *Drawn) grow(to int) {
	for id, all := range d.values {
		d.values[id] = grown(all, to)
	}
	for table, wanted := range d.wanted {
		for i := range wanted {
			all := grown(wanted[i].all, to)
			wanted[i].all, d.cells[cell{table, wanted[i].row, wanted[i].column}] = all, all
		}
	}
	d.made.became = append(d.made.became, make([]became, to-len(d.made.became))...)
}

// grown copies numbers to a longer list, in which those beyond are unknown.
func grown(numbers []float64, to int) []float64 {
	all := make([]float64, to)
	for i := copy(all, numbers); i < to; i++ {
		all[i] = math.NaN()
	}
	return all
}

// take keeps the results of a draw.
func (d *Drawn) take(number int, r *result.Results) {
	for id, all := range d.values {
		if v, ok := r.ValueByID(id); ok && v.Value != nil && v.Bound == "" {
			all[number] = *v.Value
		}
	}
	for _, t := range d.base.Tables() {
		now := tableByID(r, t.ID)
		if now == nil || now.Len() != t.Len() {
			continue
		}
		for _, at := range d.wanted[t.ID] {
			if x, isNumber := now.Cell(at.row, at.column).Float(); isNumber {
				at.all[number] = x
			}
		}
	}
}

func tableByID(r *result.Results, id string) *result.Table {
	i := slices.IndexFunc(r.Tables(), func(t *result.Table) bool { return t.ID == id })
	if i < 0 {
		return nil
	}
	return r.Tables()[i]
}

// Run is a value's number and its draws, to be compared with another run's; false
// where it was not drawn, or depends on something whose error nobody states.
func (d *Drawn) Run(id string) (draw.Run, bool) {
	all, ok := d.values[id]
	if !ok || notKnown(d.depends.values[id], false) != "" {
		return draw.Run{}, false
	}
	v, _ := d.base.ValueByID(id)
	return draw.Run{Estimate: *v.Value, Draws: all}, true
}

package engine

import (
	"context"
	"encoding/json"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"candelua/engine/draw"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/script"
)

// DefaultDraws is how many draws a run has where nobody says otherwise.
const DefaultDraws = 500

// tape is the steps of a journal, read once for many executions.
type tape struct {
	steps []journal.Step
	memos []script.Memo
}

func newTape(j *journal.Journal) (*tape, error) {
	t := &tape{steps: make([]journal.Step, j.Steps()), memos: make([]script.Memo, j.Steps())}
	for n := range t.steps {
		s, err := j.Step(n + 1)
		if err != nil {
			return nil, err
		}
		t.steps[n] = s
	}
	return t, nil
}

// Drawn is what the values of a run were on drawn readings.
type Drawn struct {
	result.Draws
	base   *result.Results
	values map[string][]float64 // by the value's id; NaN where a draw did not give it
	cells  map[cell][]float64
	wanted map[string][]wantedCell // the same by table, for speed
	causes []draw.Cause
	rest   string // what follows from no cause
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

// Draw executes the script again over the journal, n times, each on readings
// that are drawn from what is known of their errors, on all cores. base are the
// results on the readings themselves. done is told of each draw that is over,
// by several goroutines at once; it may be nil.
//
// Apart says that the draws are to be compared with another run's: then the
// run's own errors are drawn apart from those of any other, and what the two
// share, as the meter's scale, is drawn alike. Otherwise two runs that read the
// same come to the same.
//
// A draw in which the script would have asked other steps is counted, and gives
// no value; so is one in which it ends in an error.
//
// More numbers than memory should hold are a [TooManyDrawsError], before any is drawn.
//
// Source: JCGM 101:2008, 7.
func (j *Job) Draw(ctx context.Context, base *result.Results, n int, apart bool, done func()) (*Drawn, error) {
	if err := checkKept(base, n); err != nil {
		return nil, err
	}
	t, err := newTape(j.Journal)
	if err != nil {
		return nil, err
	}
	run := ""
	if apart {
		if run, err = j.key(); err != nil {
			return nil, err
		}
	}
	corrections, err := j.Head.corrections()
	if err != nil {
		return nil, err
	}
	d := newDrawn(base, n)
	defer CollectSeldom()()
	shared := &script.Shared{}
	between, stood := betweenSteps(j.Journal), stoodBySteps(j.Journal, t.steps)
	once := func(number int) (*Outcome, error) {
		answers := &door{journal: j.Journal, tape: t, next: 1, between: between}
		out, err := j.playDrawn(ctx, answers, corrections, &script.Draws{Number: number, Run: run, Shared: shared, Stood: stood})
		if err == nil && out.Err == nil {
			out.Err = j.leftOver(answers) // a series that would have ended sooner
		}
		return out, err
	}
	if _, err := once(script.Look); err != nil {
		return nil, err
	}
	sheet := script.SharedState[draw.Sheet](shared)
	d.causes, d.rest, d.NoScatter = sheet.Causes(), sheet.Rest(), sheet.NoScatter()
	return d, d.each(ctx, func(number int) error {
		out, err := once(number)
		if err != nil {
			return err
		}
		d.take(number, out)
		if done != nil {
			done()
		}
		return nil
	})
}

// key tells the run from any other, in whatever folder it lies.
func (j *Job) key() (string, error) {
	var head json.RawMessage
	if err := j.Journal.Head(&head); err != nil {
		return "", err
	}
	return Sum(head), nil
}

// newDrawn makes room for the numbers of the results.
func newDrawn(base *result.Results, n int) *Drawn {
	d := &Drawn{Draws: result.Draws{Count: n}, base: base, values: map[string][]float64{}, cells: map[cell][]float64{}, wanted: map[string][]wantedCell{}}
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

func unknown(n int) []float64 {
	all := make([]float64, n)
	for i := range all {
		all[i] = math.NaN()
	}
	return all
}

// each calls for all draws, on all cores, and gives the first error.
func (d *Drawn) each(ctx context.Context, call func(number int) error) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), d.Count) {
		all.Go(func() {
			for ctx.Err() == nil {
				number := int(next.Add(1)) - 1
				if number >= d.Count {
					return
				}
				if err := call(number); err != nil {
					stop(err)
				}
			}
		})
	}
	all.Wait()
	return context.Cause(ctx)
}

var counting sync.Mutex

// take keeps what a draw came to.
func (d *Drawn) take(number int, out *Outcome) {
	if out.Err != nil {
		counting.Lock()
		defer counting.Unlock()
		if divergent(out.Err) {
			d.Divergent++
		} else {
			d.Failed++
		}
		return
	}
	for id, all := range d.values {
		if v, ok := out.Results.ValueByID(id); ok && v.Value != nil && v.Bound == "" {
			all[number] = *v.Value
		}
	}
	for _, t := range d.base.Tables() {
		now := tableByID(out.Results, t.ID)
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
// where it was not drawn.
func (d *Drawn) Run(id string) (draw.Run, bool) {
	all, ok := d.values[id]
	if !ok {
		return draw.Run{}, false
	}
	v, _ := d.base.ValueByID(id)
	return draw.Run{Estimate: *v.Value, Draws: all}, true
}

package uncertainty

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"candelua/engine/draw"
	"candelua/engine/result"
)

// Plan says how many draws are made, and what ends them sooner.
type Plan struct {
	Draws int // where they are made as needed, the most
	// Least makes draws as needed: so many at first, and then more, a block at a time, until the digits
	// that are shown are stable. 0: all.
	Least  int
	Enough int64         // work in all draws together beyond which no more are made as needed
	Work   int64         // what scripts may work in all draws together, see [Once], and what their numbers add; 0: as much as they will
	Time   time.Duration // how long all draws may take; 0: as long as they will
	// Always makes draws where none could change anything too, as the rules before 4 did.
	Always bool
	// Straight takes angles for numbers on a line, as the rules before 4 did.
	Straight bool
}

// What the draws of a run may take, on average. A draw of the heaviest shipped procedure works 8 million
// units; a script may work a hundred million between two contacts. 500 draws may work 5 thousand million units, one to two
// minutes of processor time. Work is counted, so that it ends the
// draws of a run after the same draw on every machine. The time is a guard behind it, for machines that are far
// slower than any should be.
const (
	workOfDraw = 10_000_000 // some 100 ms
	timeOfDraw = 400 * time.Millisecond
)

// NumberWork is what each number of the results adds to the work of a draw: it is kept, and its
// interval is found from all draws, which takes some 120 ns of each.
const NumberWork = 12

// Budgeted plans n draws within the limits of a run: those of the default number at least,
// so that many draws may take more.
func Budgeted(n int) Plan {
	most := max(n, DefaultDraws)
	return Plan{Draws: n, Work: int64(most) * workOfDraw, Time: time.Duration(most) * timeOfDraw}
}

// AsNeeded stands for the number of draws that the digits which are shown need.
const AsNeeded = -1

// How many draws are made as needed. In each block every shared cause of error is divided evenly
// (draw.Key). With the least number, twice the numerical standard deviation of u is 10 % of u at most, and of the
// ends of an interval 38 %, which costs 0.4 % of coverage; where a shared cause is most of u it is a fraction of
// that. With the most it is 4.5 % and 17 %.
const (
	block         = 100
	leastAsNeeded = 200
	mostAsNeeded  = 1000
	enoughWork    = 350_000_000 // some 3 s of processor time
)

// Planned plans n draws within the limits of a run, or [AsNeeded].
func Planned(n int) Plan {
	if n != AsNeeded {
		return Budgeted(n)
	}
	p := Budgeted(DefaultDraws)
	p.Draws, p.Least, p.Enough = mostAsNeeded, leastAsNeeded, enoughWork
	return p
}

// Fixed plans exactly n draws, however long they take.
func Fixed(n int) Plan { return Plan{Draws: n} }

// leastDraws is how many draws an interval is made of at least.
const leastDraws = 100

// What ends draws before all are made.
var (
	errWork = errors.New("the draws work more than they may")
	errTime = errors.New("the draws take longer than they may")
)

// made is what became of draws that are being made.
type made struct {
	sync.Mutex
	became []became // by the draw's number
	first  int      // so many are over, from the first on, without a gap
	work   int64    // of these
	within int      // so many of these worked no more than the plan allows
}

// became is what became of one draw.
type became struct {
	over, divergent, failed bool
	work                    int64
}

// over takes in that a draw is over. It says whether there is work for more.
func (m *made) over(number int, once Once, most int64) bool {
	m.Lock()
	defer m.Unlock()
	m.became[number] = became{over: true, divergent: once.OtherSteps, failed: once.Results == nil && !once.OtherSteps, work: once.Work}
	for m.first < len(m.became) && m.became[m.first].over && m.work <= most {
		m.work += m.became[m.first].work
		m.first++
		if m.work <= most {
			m.within = m.first
		}
	}
	return m.work <= most
}

// each calls for all draws that are planned, on all cores, and gives the first error.
func (d *Drawn) each(ctx context.Context, p Plan, call func(context.Context, int) (Once, error)) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	if p.Time > 0 {
		defer time.AfterFunc(p.Time, func() { stop(errTime) }).Stop()
	}
	most := cmp.Or(p.Work, math.MaxInt64)
	for d.grow(d.first(p)); ; d.grow(len(d.made.became) + block) {
		d.reach(ctx, stop, most, call)
		if ctx.Err() != nil || d.enough(p) {
			break
		}
	}
	if cause := context.Cause(ctx); cause != nil && !errors.Is(cause, errWork) && !errors.Is(cause, errTime) {
		return cause
	}
	d.end(p, most)
	return nil
}

// first is how many draws are made before it is asked whether they are enough.
func (d *Drawn) first(p Plan) int {
	if p.Least == 0 {
		return p.Draws
	}
	return min(max(p.Least, blocksFor(draw.NewExplainer(d.causes).Least())), p.Draws)
}

// blocksFor is the number of draws in as many blocks as hold n.
func blocksFor(n int) int { return (n + block - 1) / block * block }

// enough says whether no more draws are needed.
func (d *Drawn) enough(p Plan) bool {
	n := len(d.made.became)
	return n+block > p.Draws || d.made.work >= p.Enough || d.stable(n)
}

// reach calls for the draws that there is room for and that were not made yet.
func (d *Drawn) reach(ctx context.Context, stop context.CancelCauseFunc, most int64, call func(context.Context, int) (Once, error)) {
	var next atomic.Int64
	next.Store(int64(d.made.first))
	to := len(d.made.became)
	take := func() int { return int(next.Add(1)) - 1 }
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), to-d.made.first) {
		all.Go(func() {
			for number := take(); number < to && ctx.Err() == nil; number = take() {
				once, err := call(ctx, number)
				if err != nil {
					stop(err)
				} else if !d.made.over(number, once, most) {
					stop(errWork)
				}
			}
		})
	}
	all.Wait()
}

// end counts the draws that were made, and leaves those out that came after a limit was reached.
func (d *Drawn) end(p Plan, most int64) {
	n, asked := d.made.within, len(d.made.became)
	if n < asked {
		reached := result.EndedByTime
		what := fmt.Sprintf("more would have taken longer than %v", p.Time)
		if d.made.work > most {
			reached, what = result.EndedByWork, "the script works long, and more would have gone beyond the limit of work"
		}
		d.fewer(asked, n, reached, what)
		if n < leastDraws {
			n = 0
		}
	}
	d.Count = n
	for _, b := range d.made.became[:n] {
		if b.divergent {
			d.Divergent++
		}
		if b.failed {
			d.Failed++
		}
	}
	for id, all := range d.values {
		d.values[id] = all[:n]
	}
	for at, all := range d.cells {
		d.cells[at] = all[:n]
	}
}

// fewer says in words why fewer draws were made than asked for.
func (d *Drawn) fewer(asked, n int, ended result.Ended, what string) {
	d.Asked, d.Ended = asked, ended
	all := fmt.Sprintf("to make all %d: candelua replay RUN --draws %d", asked, asked)
	if n < leastDraws {
		d.Note = fmt.Sprintf("there are no uncertainties: only %d of %d repeated computations were made, because %s, and at least %d are needed; %s", n, asked, what, leastDraws, all)
		return
	}
	d.Note = fmt.Sprintf("the uncertainties are from %d repeated computations and not from %d, because %s; %s", n, asked, what, all)
}

// nothing says that no draw was made, because none could change anything.
func (d *Drawn) nothing(p Plan, still bool) {
	d.Asked, d.Ended, d.Count = cmp.Or(p.Least, p.Draws), result.NothingDrawn, 0
	d.Note = "no repeated computations were made, because no result is a number"
	if still {
		d.Note = "no repeated computations were made, because no error of a reading is known: they would all give the same"
	}
}

// Stopped is what results say where n draws were stopped for a reason.
func Stopped(n int, ended result.Ended, why string) *result.Draws {
	return &result.Draws{Asked: n, Ended: ended, Note: fmt.Sprintf("there are no uncertainties, because %s; to compute them: candelua replay RUN --draws %d", why, n)}
}

// TooMany is what results say where so many draws were not begun.
func TooMany(e *TooManyDrawsError) *result.Draws {
	return &result.Draws{Asked: e.Draws, Ended: result.TooManyDraws,
		Note: fmt.Sprintf("there are no uncertainties: %v; to compute them: candelua replay RUN --draws %d", e, e.Most())}
}

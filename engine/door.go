package engine

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/script"
)

// door is the one way to the world. It answers steps from the journal as long
// as it reaches and then, unless it is a replay, goes live.
type door struct {
	journal  *journal.Journal
	tape     *tape        // the steps as they were read before; nil where each is read anew
	bench    *bench.Bench // nil on a replay
	stop     func(error)
	refill   func()
	charge   func(int64)
	progress func(Progress)
	warn     func(string)

	onResume func(script.Pause, string) error // the script's; nil where it has none
	devices  func([]bench.Named)              // other instruments than at the start
	joins    []Join                           // what is put on record when the run goes on
	asides   int                              // interludes that are open whose steps are no part of what the run leaves

	next    int             // number of the next step
	fresh   bool            // nothing was recorded before this execution
	live    bool            // has gone live
	used    map[string]bool // devices that were asked for something, whatever came of it
	now     time.Duration   // script time
	offset  time.Duration   // bench time less script time
	agreed  agreed
	blocks  []int                    // numbers of the open blocks, innermost last
	opened  int                      // blocks that were opened in this execution
	cutOff  map[string]bool          // unbroken stretches that were interrupted and not entered since
	held    []journal.Record         // opens and closes, until the run goes live
	between map[int][]journal.Record // what happened outside the numbering, by the step that came next
	relit   *bench.Shown
	left    bench.State                             // what the kept steps left on the bench
	stands  *bench.State                            // what was asked of the bench in this process, granted
	pause   func() (seconds float64, reason string) // how the run stood still
	slept   func(time.Duration)                     // told of a pause that nobody asked for
}

// agreed is the last step that was as recorded.
type agreed struct {
	step journal.Step
	show func(json.RawMessage) string
}

func (a agreed) String() string {
	if a.show == nil {
		return ""
	}
	return fmt.Sprintf("step %d, %s   %s", a.step.Number, a.show(a.step.Args), a.step.At)
}

var _ script.Door = (*door)(nil)

// Now is script time in seconds.
func (d *door) Now() float64 { return seconds(d.now) }

// Time turns bench time into script time in seconds.
func (d *door) Time(t time.Duration) float64 { return seconds(t - d.offset) }

func seconds(t time.Duration) float64 { return float64(t) / 1e9 }

// duration is exact for what seconds gave.
func duration(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }

// Step answers one step.
func (d *door) Step(ctx context.Context, a script.Ask) (script.Kept, error) {
	if err := context.Cause(ctx); err != nil {
		return script.Kept{}, err
	}
	if err := d.resumedBefore(a.At); err != nil {
		return script.Kept{}, err
	}
	if d.next <= d.journal.Steps() {
		return d.recorded(ctx, a)
	}
	if d.bench == nil {
		return script.Kept{}, d.fail(placed(a.At, ErrJournalEnds))
	}
	if err := d.goLive(ctx); err != nil {
		return script.Kept{}, err
	}
	return d.contact(ctx, a)
}

// fail ends the run. The first cause wins, and no pcall can outlive it.
func (d *door) fail(cause error) error {
	d.stop(cause)
	return cause
}

// recorded answers from the journal, if the step is the recorded one.
func (d *door) recorded(ctx context.Context, a script.Ask) (script.Kept, error) {
	s, memo, err := d.step(d.next)
	if err != nil {
		return script.Kept{}, d.fail(err)
	}
	if err := d.match(s, a); err != nil {
		return script.Kept{}, d.fail(err)
	}
	if err := d.rejoin(s.Number); err != nil {
		return script.Kept{}, d.fail(err)
	}
	if d.bench != nil {
		if err := d.relive(ctx, a, s); err != nil {
			return script.Kept{}, d.fail(err)
		}
	}
	return script.Kept{Number: s.Number, Samples: s.Samples, Answer: s.Answer, Memo: memo}, d.advance(s, a)
}

// step is a recorded step.
func (d *door) step(n int) (journal.Step, *script.Memo, error) {
	if d.tape == nil {
		s, err := d.journal.Step(n)
		return s, nil, err
	}
	return d.tape.steps[n-1], &d.tape.memos[n-1], nil
}

// advance moves script time to a step's answer and gives its error, if that is
// what was answered.
func (d *door) advance(s journal.Step, a script.Ask) error {
	d.next++
	d.agreed = agreed{s, a.Show}
	t := max(duration(s.T), d.now)
	if t-d.now >= refillAfter {
		d.refill()
	} else {
		d.charge(stillStep)
	}
	d.now = t
	if s.Failure != nil {
		return &script.StepError{Step: s.Number, Reason: s.Failure.Code, Text: s.Failure.Message, Tip: s.Failure.Hint}
	}
	return nil
}

// stillStep is what a step that takes no time costs of the budget of work
// without contact, so that a loop of such steps ends too.
const stillStep = 5000

// refillAfter is how far script time must move for the budget to be filled
// again. What a step costs the processor is no time passed.
const refillAfter = time.Millisecond

// match compares the step that is asked with the recorded one.
func (d *door) match(s journal.Step, a script.Ask) error {
	var fields []string
	if s.Name == a.Name && s.Device == a.Device {
		if bytes.Equal(s.Args, a.Args) {
			return nil
		}
		var err error
		if fields, err = a.Differing(s.Args, a.Args); err != nil {
			return fmt.Errorf("step %d of the journal cannot be read: %w", s.Number, err)
		}
		if len(fields) == 0 {
			return nil
		}
	}
	recorded := s.Name + string(s.Args)
	if s.Name == a.Name {
		recorded = a.Show(s.Args)
	}
	asked := a.Show(a.Args)
	if s.Device != a.Device {
		recorded += " on " + s.Device
		asked += " on " + a.Device
	}
	return &DivergenceError{Step: s.Number, At: a.At, RecordedAt: s.At, Recorded: recorded, Asked: asked,
		Fields: fields, LastAgreed: d.agreed.String(), Record: s.Record}
}

func (d *door) use(device string) {
	if d.used == nil {
		d.used = map[string]bool{}
	}
	d.used[device] = true
}

// contact asks the world, and keeps the answer before the script sees it. Where
// a person strikes an answer and there is none, the step is asked again.
func (d *door) contact(ctx context.Context, a script.Ask) (script.Kept, error) {
	d.tell(a)
	d.use(a.Device)
	for {
		lid := d.watchLid()
		answer, err := d.askOnce(ctx, a)
		if cause := d.notAnAnswer(ctx, a.At, err); cause != nil {
			return script.Kept{}, cause
		}
		slept := lid()
		if slept > 0 && !(err == nil && answer.ByHand) {
			return script.Kept{}, d.wake(slept)
		}
		if errors.Is(err, bench.ErrStruck) {
			continue
		}
		if err != nil {
			answer.Failure = &journal.Failure{Code: fault.CodeOf(err), Message: err.Error(), Hint: fault.HintOf(err)}
		}
		if err := d.append(answer); err != nil {
			return script.Kept{}, err
		}
		if slept > 0 { // what a person typed is kept
			return script.Kept{}, d.wake(slept)
		}
		if err := d.leave(a, err); err != nil {
			return script.Kept{}, d.fail(err)
		}
		return d.answered(answer.Step, a, err)
	}
}

// leave takes in what a live step left on the bench.
func (d *door) leave(a script.Ask, failed error) error {
	if a.Request == nil {
		return nil
	}
	request, err := a.Request()
	if err != nil {
		return err
	}
	if failed != nil {
		d.stands.Drop(request)
		return nil
	}
	d.stands.Take(request)
	if d.asides == 0 {
		d.left.Take(request)
	}
	return nil
}

// askOnce writes the ask, touches the world and gives the answer that is to be
// written.
func (d *door) askOnce(ctx context.Context, a script.Ask) (journal.Record, error) {
	n := d.next
	answer := journal.Record{Kind: journal.KindAnswer, Step: n}
	if err := d.append(journal.Record{Kind: journal.KindAsk, Step: n, Name: a.Name, Device: a.Device, Args: a.Args, At: a.At, T: d.Now()}); err != nil {
		return answer, err
	}
	live := &script.Contact{Sample: func(raw json.RawMessage) error {
		return d.append(journal.Record{Kind: journal.KindSample, Step: n, Data: raw})
	}}
	var data json.RawMessage
	err := fault.Guard(a.Name, func() (err error) {
		data, err = a.Live(ctx, live)
		return err
	})
	// Script time never runs backwards, whatever a device's clock does.
	answer.T = seconds(max(d.bench.Clock.Now()-d.offset, d.now))
	answer.ByHand, answer.Data = live.ByHand, data
	return answer, err
}

// answered reads the answer back from the journal, so that a script cannot
// tell a live one from a recorded one.
func (d *door) answered(n int, a script.Ask, failed error) (script.Kept, error) {
	s, err := d.journal.Step(n)
	if err != nil {
		return script.Kept{}, d.fail(err)
	}
	kept := script.Kept{Number: n, Samples: s.Samples, Answer: s.Answer}
	err = d.advance(s, a)
	var step *script.StepError
	if errors.As(err, &step) {
		step.Err = failed
	}
	if d.bench.Simulated && (d.now > longest || d.journal.Size() > largest) {
		return kept, d.fail(placed(a.At, ErrTooLong))
	}
	return kept, err
}

// longest and largest are how much simulated time a run may take, and how
// large its journal may grow, which stays in memory.
const (
	longest = 48 * time.Hour
	largest = 64 << 20
)

// notAnAnswer tells a stop from an answer. A stop ends the run and leaves the
// step to be taken again; an answer that came all the same is kept.
func (d *door) notAnAnswer(ctx context.Context, at string, err error) error {
	switch cause := context.Cause(ctx); {
	case err == nil:
		return nil
	case cause != nil:
		return cause
	case errors.Is(err, bench.ErrStruck):
		return d.strike()
	case errors.Is(err, fault.ErrInternal):
		return d.fail(placed(at, err))
	case errors.Is(err, bench.ErrPaused):
		return d.fail(err)
	}
	return nil
}

// strike sets aside the last answer that a person gave, and all after it, and
// has the script executed again. It gives nil where there is no such answer.
func (d *door) strike() error {
	for n := d.journal.Steps(); n > 0; n-- {
		s, err := d.journal.Step(n)
		if err != nil {
			return d.fail(err)
		}
		if !s.ByHand {
			continue
		}
		if err := d.void(outermost(d.journal, n), "struck by the operator"); err != nil {
			return err
		}
		return d.fail(errRestart)
	}
	if d.warn != nil {
		d.warn("no answer was given by hand so far, so there is none to strike; the question stands")
	}
	return nil
}

// outermost is n, or the first step of the unbroken block around it, which
// must not be entered in its middle.
func outermost(j *journal.Journal, n int) int {
	for _, b := range j.Blocks() {
		if b.Unbroken && b.Next <= n && (!b.Closed || b.Last >= n) {
			return b.Next
		}
	}
	return n
}

// Steps is how many steps were answered in this execution.
func (d *door) Steps() int { return d.next - 1 }

// SetAside pauses a run whose last steps cannot be trusted. It comes to the same
// where the run was cut off before they were set aside, and on a replay of that.
func (d *door) SetAside(from int, reason, at string) error {
	cause := placed(at, bench.Errorf(bench.CodePaused, fmt.Sprintf("look at the meter, the unit and its screen, then resume: what was read from step %d on is taken anew; "+
		"if it is the first look that was wrong, set that aside: --from and --because", from), "%s", reason))
	if d.bench == nil {
		return d.fail(cause)
	}
	if err := d.void(outermost(d.journal, from), reason); err != nil {
		return err
	}
	return d.fail(cause)
}

func (d *door) void(from int, reason string) error {
	return d.append(journal.Record{Kind: journal.KindVoid, From: from, Reason: reason})
}

// append writes a record; a journal that cannot be written ends the run.
func (d *door) append(r journal.Record) error {
	if err := d.journal.Append(r); err != nil {
		return d.fail(fmt.Errorf("the journal cannot be written: %w", err))
	}
	return nil
}

// Open begins a named stretch of the run. One that must not be interrupted
// goes live where the journal is used up, so that what on_resume does stays
// outside it, and starts over where it was interrupted.
func (d *door) Open(ctx context.Context, s script.Stretch) (int, error) {
	d.charge(stillStep)
	if err := context.Cause(ctx); err != nil {
		return 0, err
	}
	err := d.resumedBefore(s.At)
	if err == nil && s.Unbroken {
		err = d.enter(ctx, s)
	}
	if err != nil {
		return 0, err
	}
	n := d.push()
	if b, ok := d.journal.Block(n); ok {
		return n, d.matchBlock(b, s)
	}
	if d.bench == nil {
		return n, nil
	}
	return n, d.write(journal.Record{Kind: journal.KindOpen, Block: n, Name: s.Name, Unbroken: s.Unbroken, At: s.At, T: d.Now()})
}

// push numbers a stretch that is opened.
func (d *door) push() int {
	d.opened++
	d.blocks = append(d.blocks, d.opened)
	return d.opened
}

// matchBlock refuses a stretch that is not the recorded one.
func (d *door) matchBlock(b journal.Block, s script.Stretch) error {
	if b.Name == s.Name && b.Unbroken == s.Unbroken && b.Next == d.next && d.interludeOf(b) == nil {
		return nil
	}
	return d.differs(b, stretchText(s.Name, s.Unbroken, d.next), s.At)
}

func (d *door) differs(b journal.Block, asked, at string) error {
	recorded := stretchText(b.Name, b.Unbroken, b.Next)
	if i := d.interludeOf(b); i != nil {
		recorded = i.Kind
	}
	return d.fail(&DivergenceError{Step: d.next, At: at, RecordedAt: d.journal.Record(b.Record).At, Recorded: recorded, Asked: asked,
		LastAgreed: d.agreed.String(), Record: b.Record})
}

func stretchText(name string, unbroken bool, next int) string {
	if unbroken {
		return fmt.Sprintf("run.unbroken(%q) before step %d", name, next)
	}
	return fmt.Sprintf("run.part(%q) before step %d", name, next)
}

// Close ends the innermost stretch.
func (d *door) Close(block int, failed bool) error {
	d.blocks = d.blocks[:len(d.blocks)-1]
	if b, ok := d.journal.Block(block); d.bench == nil || ok && b.Closed {
		return nil
	}
	r := journal.Record{Kind: journal.KindClose, Block: block, T: d.Now()}
	if failed {
		r.Failure = &journal.Failure{Code: "error", Message: "left by an error"}
	}
	return d.write(r)
}

// write keeps what a script says of its stretches. Before the run has gone
// live it is held back: the journal takes nothing until the run is resumed, and
// an error while it is being answered from the journal closes no stretch that
// was merely interrupted.
func (d *door) write(r journal.Record) error {
	if !d.live {
		d.held = append(d.held, r)
		return nil
	}
	return d.append(r)
}

// release writes what was held back.
func (d *door) release() error {
	for _, r := range d.held {
		if err := d.append(r); err != nil {
			return err
		}
	}
	d.held = nil
	return nil
}

// Progress is what is being done, for those who wait.
type Progress struct {
	Step int
	Name string
	Show func() string // the step in words
	At   string
	Now  float64 // script time, seconds
}

func (d *door) tell(a script.Ask) {
	if d.progress != nil {
		d.progress(Progress{Step: d.next, Name: a.Name, Show: func() string { return a.Show(a.Args) }, At: a.At, Now: d.Now()})
	}
}

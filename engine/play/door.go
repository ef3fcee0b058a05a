package play

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/script"
)

// door is the one way to the world. It answers steps from the journal as long
// as it reaches and then, unless it is a replay, goes live.
type door struct {
	listener *Listener
	pause    *Pause
	history  *history.History
	tape     *tape           // the steps as they were read before; nil where each is read anew
	world    *world          // nil on a replay
	script   *script.Runtime // what the door stops, refills and calls between steps
	params   script.Params   // for on_resume
	devices  map[string]bench.Identity

	state  state
	next   int           // number of the next step
	now    time.Duration // script time
	agreed agreed
	opened int              // stretches that were opened in this execution
	still  caution.Still    // bright pictures that stood still
	asides int              // interludes that are open whose steps are no part of what the run leaves
	held   []journal.Record // opens and closes, until the run goes live

	sight   *Sight   // of the results; nil where nobody can look
	within  []string // the names of the stretches that are open
	lenient bool     // a recorded step is the one asked for whatever its arguments
}

// state is what the door answers from.
type state int

const (
	answering state = iota // the journal
	fresh                  // nothing was on record: the first contact goes live
	live                   // the world
)

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
func (d *door) Time(t time.Duration) float64 {
	if d.world == nil {
		return seconds(t)
	}
	return seconds(t - d.world.offset)
}

// Step answers one step.
func (d *door) Step(ctx context.Context, a script.Ask) (script.Kept, error) {
	if err := context.Cause(ctx); err != nil {
		return script.Kept{}, err
	}
	if err := d.resumedBefore(a.At); err != nil {
		return script.Kept{}, err
	}
	if d.next <= d.history.Journal.Steps() {
		return d.recorded(ctx, a)
	}
	if d.world == nil {
		return script.Kept{}, d.fail(placed(a.At, ErrJournalEnds))
	}
	if err := d.goLive(ctx); err != nil {
		return script.Kept{}, err
	}
	return d.contact(ctx, a)
}

// fail ends the run. The first cause wins, and no pcall can outlive it.
func (d *door) fail(cause error) error {
	d.script.Stop(cause)
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
	if d.world != nil {
		if err := d.relive(ctx, a, s); err != nil {
			return script.Kept{}, d.fail(err)
		}
	}
	return script.Kept{Number: s.Number, Samples: s.Samples, Answer: s.Answer, Memo: memo}, d.advance(s, a)
}

// step is a recorded step.
func (d *door) step(n int) (journal.Step, *script.Memo, error) {
	if d.tape == nil {
		s, err := d.history.Journal.Step(n)
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
	d.light(s, a, t)
	if t-d.now >= refillAfter {
		d.script.Refill()
	} else {
		d.script.Charge(stillStep)
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
		if d.lenient || bytes.Equal(s.Args, a.Args) {
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

// contact asks the world, and keeps the answer before the script sees it. Where
// a person withdraws an answer and there is none, the step is asked again.
func (d *door) contact(ctx context.Context, a script.Ask) (script.Kept, error) {
	d.sight.rest()
	defer d.sight.work()
	if err := d.lookOut(ctx, a); err != nil {
		return script.Kept{}, err
	}
	d.tell(Progress{Step: d.next, Name: a.Name, Device: a.Device, Show: func() string { return a.Show(a.Args) }, Request: a.Request, At: a.At, Now: d.Now()})
	d.world.use(a.Device)
	for {
		lid := watchLid(d.world.bench.Clock, d.listener.warn)
		answer, lapse, err := d.askWatching(ctx, a)
		if lapse != nil {
			return script.Kept{}, d.waitBack(ctx, a.At, lapse)
		}
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
			answer.Data = trafficOf(err)
		}
		if err := d.append(answer); err != nil {
			return script.Kept{}, err
		}
		if slept > 0 { // what a person typed is kept
			return script.Kept{}, d.wake(slept)
		}
		kept, failed := d.answered(answer.Step, a, err)
		d.tell(Answered{Step: answer.Step, Name: a.Name, Now: d.Now(), Failed: failureText(answer.Failure)})
		if cause := d.leave(ctx, a, err); cause != nil {
			return script.Kept{}, d.fail(cause)
		}
		return kept, failed
	}
}

// trafficOf is what is kept with a failure of what went to and from the instrument, for those who look for a fault; nil
// where its driver keeps none. Nothing is computed of it.
func trafficOf(err error) json.RawMessage {
	var failed interface{ Traffic() string }
	if !errors.As(err, &failed) {
		return nil
	}
	text, err := json.Marshal(struct {
		Traffic string `json:"traffic"`
	}{failed.Traffic()})
	if err != nil {
		panic(err) // a text can be written
	}
	return text
}

// leave takes in what a live step left on the bench.
func (d *door) leave(ctx context.Context, a script.Ask, failed error) error {
	if a.Request == nil {
		return nil
	}
	request, err := a.Request()
	if err != nil {
		return err
	}
	request = d.world.bench.OwnRequest(request)
	if d.world.asked(request, failed) != nil || d.asides > 0 {
		return nil
	}
	d.world.left.Take(request)
	if request != any(bench.PowerRequest{On: true}) {
		return nil
	}
	back, err := d.world.owedPatch(ctx)
	if err != nil || back == nil {
		return err
	}
	d.world.offset = d.world.bench.Clock.Now() - d.now // what it took is no script time
	return d.aside(history.Restore, bench.KindPatches, *back, nil)
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
	tries := 1
	ctx = bench.CountingTries(ctx, func(n int) { tries = max(tries, n) })
	err := fault.Guard(a.Name, func() (err error) {
		data, err = a.Live(ctx, live)
		return err
	})
	if tries > 1 && err == nil {
		err = d.tried(tries)
	}
	// Script time never runs backwards, whatever a device's clock does.
	answer.T = seconds(max(d.world.bench.Clock.Now()-d.world.offset, d.now))
	answer.ByHand, answer.Data = live.ByHand, data
	return answer, err
}

// answered reads the answer back from the journal, so that a script cannot
// tell a live one from a recorded one.
func (d *door) answered(n int, a script.Ask, failed error) (script.Kept, error) {
	s, err := d.history.Journal.Step(n)
	if err != nil {
		return script.Kept{}, d.fail(err)
	}
	kept := script.Kept{Number: n, Samples: s.Samples, Answer: s.Answer}
	err = d.advance(s, a)
	var step *script.StepError
	if errors.As(err, &step) {
		step.Err = failed
	}
	if d.world.bench.Simulated && (d.now > longest || d.history.Journal.Size() > largest) {
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

// strike withdraws the last answer that a person gave: it sets aside its step and all after it, and
// has the script executed again. It gives nil where there is no such answer.
func (d *door) strike() error {
	for n := d.history.Journal.Steps(); n > 0; n-- {
		s, err := d.history.Journal.Step(n)
		if err != nil {
			return d.fail(err)
		}
		if !s.ByHand {
			continue
		}
		if err := d.void(n, "struck by the operator"); err != nil {
			return err
		}
		return d.fail(errRestart)
	}
	d.listener.warn("there is no earlier reading or answer to withdraw (a confirmed setting cannot be withdrawn); please answer the question")
	return nil
}

// Steps is how many steps were answered in this execution.
func (d *door) Steps() int { return d.next - 1 }

// SetAside pauses a run whose last steps cannot be trusted. The result is the same
// where the run was cut off before they were set aside, and on a replay of that.
func (d *door) SetAside(from int, reason, hint, at string) error {
	cause := placed(at, bench.Errorf(bench.CodePaused, hint, "%s", reason))
	if d.world == nil {
		return d.fail(cause)
	}
	if err := d.void(from, reason); err != nil {
		return err
	}
	return d.fail(cause)
}

// void sets aside a step and all after it, and the unbroken stretch around it.
func (d *door) void(from int, reason string) error {
	return d.append(journal.Record{Kind: journal.KindVoid, From: d.history.Outermost(from), Reason: reason, Data: history.Stamp{Struck: d.world.struck()}.JSON()})
}

// append writes a record; a journal that cannot be written ends the run.
func (d *door) append(r journal.Record) error {
	if err := d.history.Append(r); err != nil {
		return d.fail(fmt.Errorf("the journal cannot be written: %w", err))
	}
	return nil
}

// tell tells what goes on. What is executed without a bench goes on nowhere.
func (d *door) tell(e Event) {
	if d.world != nil {
		d.listener.tell(e)
	}
}

func failureText(f *journal.Failure) string {
	if f == nil {
		return ""
	}
	return f.Message
}

// Relit is when the patch was shown again as the run went on, in script time.
func (d *door) Relit() (lit float64, pending, again bool) {
	if d.world == nil || d.world.relit == nil {
		return 0, false, false
	}
	return d.Time(d.world.relit.Lit), d.world.relit.Pending, true
}

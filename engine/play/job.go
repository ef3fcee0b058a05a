package play

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/sandbox"
	"candelua/engine/script"
)

// Job is one procedure to be executed over one history.
type Job struct {
	Program *script.Program
	Head    history.Head // what it is executed with: the history's own, or with other corrections
	History *history.History
	Open    func(context.Context) (*bench.Bench, error) // opens the bench; nil for a replay
	Pause
	Listener

	lit    caution.Still // what this process showed, whatever became of its steps
	stands bench.State   // what was asked of the bench in this process, granted
}

// NewJob readies a program to be executed over a history.
func NewJob(p *script.Program, h *history.History) *Job {
	return &Job{Program: p, Head: h.Head, History: h}
}

// Outcome is how an execution ended, with its results.
type Outcome struct {
	Status   journal.Standing
	Results  *result.Results
	Readings []script.ReadingRow
	Contract *script.Contract
	Err      error   // why it is not done
	Fault    string  // the code of the step whose failure ended it, also where the script raised an error of its own for it; empty for none
	Seconds  float64 // script time
	Steps    int
	Still    caution.Still // bright pictures that stood still in the steps
	Lit      caution.Still // the same of this process, also in steps that were set aside or had no answer
	Work     int64         // what the script worked, see [script.Runtime.Work]
}

// Execute runs the script from its start: from the journal as far as it
// reaches, then live. It always ends with the unit safe and the end on record.
// An error is a failure to execute at all; what became of the script is in the
// outcome.
func (j *Job) Execute(ctx context.Context) (*Outcome, error) {
	b, err := j.Open(ctx)
	if err != nil {
		return nil, err
	}
	defer func() { closeBench(b) }()
	for {
		out, err := j.once(ctx, b)
		if err == nil && errors.Is(out.Err, errRestart) {
			j.Stood = 0
			if b, err = j.again(ctx, b); err == nil {
				continue
			}
			out, err = j.closedDown(ctx, err)
		}
		if out != nil {
			j.tell(Ended{Status: out.Status, Err: out.Err, Steps: out.Steps, Seconds: out.Seconds, Results: out.Results.Snapshot()})
		}
		return out, err
	}
}

func closeBench(b *bench.Bench) {
	if b != nil {
		_ = fault.Guard("bench", b.Close)
	}
}

// again readies the bench for another execution. It stays open, but for a
// simulated world, which is made anew, and after the machine slept.
func (j *Job) again(ctx context.Context, b *bench.Bench) (*bench.Bench, error) {
	if !b.Relives() && !j.slept {
		return b, fault.Guard("bench", func() error {
			b.Again()
			return nil
		})
	}
	j.slept = false
	if b.Relives() { // another world, in which nothing was asked for
		j.stands = bench.State{}
	}
	closeBench(b)
	return j.Open(ctx)
}

// closedDown ends a run whose bench cannot be opened again after steps were
// set aside, with the results so far.
func (j *Job) closedDown(ctx context.Context, cause error) (*Outcome, error) {
	d := j.door()
	out, err := j.play(ctx, d)
	if err != nil {
		return nil, errors.Join(cause, err)
	}
	out.Status, out.Err = journal.Paused, cause
	return out, j.end(d, out)
}

// once executes the script one time.
func (j *Job) once(ctx context.Context, b *bench.Bench) (*Outcome, error) {
	j.Pause.begin(j.History)
	if err := j.setAside(); err != nil {
		return nil, err
	}
	watched, stop := watchGone(ctx, b)
	defer stop()
	d := j.door()
	d.world = &world{bench: b, stands: &j.stands, lit: &j.lit, tell: j.tell}
	b.NoteTo(d.noted)
	if j.History.Journal.Records() == 1 {
		d.state = fresh
	}
	out, err := j.play(watched, d)
	if err != nil || errors.Is(out.Err, errRestart) {
		return out, err
	}
	if left := d.leftOver(); out.Err == nil && left != nil {
		out.Status, out.Err = journal.Failed, left
	}
	j.settle(d, out)
	if err := d.safeEnd(ctx); err != nil && out.Err == nil {
		out.Status, out.Err = journal.Failed, err
	}
	j.lit.End(b.Clock.Now())
	out.Lit = j.lit
	if out.Steps > j.History.Journal.Steps() {
		if err := j.conclude(ctx, out); err != nil {
			return nil, err
		}
	}
	return out, j.end(d, out)
}

// door answers from the journal, and nothing else unless it is given a world.
func (j *Job) door() *door {
	return &door{listener: &j.Listener, pause: &j.Pause, history: j.History, next: 1}
}

// conclude takes back what was concluded from steps that were set aside since.
func (j *Job) conclude(ctx context.Context, out *Outcome) error {
	kept, err := j.play(context.WithoutCancel(ctx), j.door())
	if err != nil {
		return err
	}
	out.Results, out.Readings, out.Seconds, out.Steps, out.Still = kept.Results, kept.Readings, kept.Seconds, kept.Steps, kept.Still
	return nil
}

// play executes the script with a door to the world or to a tape.
func (j *Job) play(ctx context.Context, d *door) (*Outcome, error) {
	corrections, err := j.Head.Corrections()
	if err != nil {
		return nil, err
	}
	return j.playDrawn(ctx, d, corrections, nil)
}

// playDrawn is play with corrections that were read before, on drawn readings
// where draws is given.
func (j *Job) playDrawn(ctx context.Context, d *door, corrections map[string]*bench.Correction, draws *script.Draws) (*Outcome, error) {
	out := &Outcome{Results: result.New()}
	d.devices = bench.Identities(j.Head.Devices)
	host := script.Host{
		Door: d, Results: out.Results, Unit: j.Head.Unit, Panel: j.Head.Panel, Mode: j.Head.Mode, Day: j.Head.Day(), Simulated: j.Head.Simulated,
		Devices: d.devices, Corrections: corrections, Seed: j.Head.Seed, Rules: j.Head.ByRules(),
		Reading: func(r script.ReadingRow) {
			out.Readings = append(out.Readings, r)
			d.tell(Read{r})
		},
		Print: func(text string) {
			if d.state != answering && j.Print != nil {
				j.Print(text)
			}
		},
		Draws: draws,
	}
	if d.world != nil {
		host.Bench = d.world.bench
	}
	if draws != nil { // for the values alone
		host.Reading, host.Print = nil, nil
	}
	rt, err := j.Program.Start(ctx, host)
	if err != nil {
		return nil, err
	}
	defer rt.Close()
	d.script = rt
	out.Contract = rt.Contract()
	if d.world != nil {
		d.sight = newSight(out.Results)
		defer d.sight.seal()
		d.tell(Began{Head: j.Head, Title: out.Contract.Title, Sight: d.sight})
	}
	if d.params, err = out.Contract.Restore(j.Head.Params); err != nil {
		return nil, err
	}
	out.Err = rt.Run(d.params)
	d.still.End(d.now)
	out.Seconds, out.Steps, out.Still, out.Work = d.Now(), d.next-1, d.still, rt.Work()
	out.Status = statusOf(out.Err)
	return out, nil
}

// statusOf tells a run that can go on from one that cannot. A step that failed
// and was not caught pauses the run: the next try may succeed. So does a full
// disk, and a heap that grew too large: what else runs in the process has a part in it,
// so it says nothing about the script.
func statusOf(err error) journal.Standing {
	var step *script.StepError
	var restore *RestoreError
	var refused *cautionError
	switch {
	case err == nil:
		return journal.Done
	case errors.Is(err, bench.ErrPaused), errors.Is(err, ErrInterrupted), errors.Is(err, context.Canceled), errors.Is(err, journal.ErrBroken),
		errors.Is(err, sandbox.ErrHeap), errors.As(err, &step), errors.As(err, &restore), errors.As(err, &refused):
		return journal.Paused
	}
	return journal.Failed
}

// settle sets aside the step whose failure ended the run, so that a resumed
// run takes it again.
func (j *Job) settle(d *door, out *Outcome) {
	n, code, text := j.failedStep(out.Err)
	if n == 0 {
		return
	}
	out.Status, out.Fault = journal.Paused, code
	if err := d.void(n, "it failed: "+text); err != nil {
		out.Status, out.Err = journal.Failed, err
	}
}

// failedStep is the step whose failure ended the run, 0 where it was none. The
// script may have caught the failure and raised an error of its own: one that
// quotes it, or any if nothing was asked since.
func (j *Job) failedStep(err error) (n int, code, text string) {
	var step *script.StepError
	if errors.As(err, &step) {
		return step.Step, step.Reason, step.Text
	}
	var own *sandbox.Error
	if !errors.As(err, &own) || !own.Said {
		return 0, "", ""
	}
	for n := j.History.Journal.Steps(); n > 0; n-- {
		s, err := j.History.Journal.Step(n)
		if err != nil {
			return 0, "", ""
		}
		if f := s.Failure; f != nil && (n == j.History.Journal.Steps() || strings.Contains(own.Message, f.Message)) {
			return n, f.Code, f.Message
		}
	}
	return 0, "", ""
}

// end puts the end on record. Where nothing went live and the run did not come
// to its end, the journal already says how it stands.
func (j *Job) end(d *door, out *Outcome) error {
	if errors.Is(out.Err, journal.ErrBroken) {
		return nil // it has said so itself, and takes no end
	}
	r := journal.Record{Kind: journal.KindEnd, Status: out.Status, T: d.Now()}
	if out.Err != nil {
		r.Reason = out.Err.Error()
	}
	switch {
	case d.world == nil:
	case d.world.bench.Simulated:
		r.Data = history.Stamp{Struck: d.world.struck()}.JSON()
	default:
		r.Data = history.Stamp{Wall: d.world.bench.Clock.Wall()}.JSON()
	}
	var err error
	if last, ended := j.History.Journal.Ended(); d.state != live && ended && (out.Status != journal.Done || last.Status == r.Status) {
		return nil
	}
	if j.Editing() && out.Status != journal.Done {
		return nil // an edited script that got nowhere is not taken over
	}
	if d.state != live && (!j.History.Journal.Moving() || len(j.Joins) > 0) {
		_, err = d.takeUp()
	}
	if err == nil && out.Status == journal.Done {
		err = d.release()
	}
	if err == nil {
		err = j.History.Append(r)
	}
	if err != nil {
		return fmt.Errorf("the end of the run cannot be written: %w", err)
	}
	return nil
}

// Replay executes the script from the journal alone. The journal's end is
// where the run ended, so a script that asks for more of a run that is done
// differs from it, and so does one that asks for less.
func (j *Job) Replay(ctx context.Context) (*Outcome, error) {
	d := j.door()
	out, err := j.play(ctx, d)
	if err != nil {
		return nil, err
	}
	last, ended := j.History.Journal.Ended()
	if errors.Is(out.Err, ErrJournalEnds) && !(ended && last.Status == journal.Done) {
		out.Status, out.Err = journal.Paused, nil
		if ended {
			out.Status = last.Status
		}
		return out, nil
	}
	if left := d.leftOver(); out.Err == nil && left != nil {
		out.Status, out.Err = journal.Failed, left
	}
	return out, nil
}

// leftOver is an error where the journal holds more steps than the script asked for.
func (d *door) leftOver() error {
	used, recorded := d.next-1, d.history.Journal.Steps()
	if used >= recorded {
		return nil
	}
	s, err := d.history.Journal.Step(d.next)
	if err != nil {
		return err
	}
	return &LeftOverError{Used: used, Recorded: recorded, Next: fmt.Sprintf("step %d, %s%s", s.Number, s.Name, s.Args)}
}

// setAside sets aside what was asked for and what cannot be taken up in its
// middle: the outermost unbroken stretch that is open, and an on_resume after which nothing was kept.
func (j *Job) setAside() error {
	if j.From > 0 {
		if err := j.void(j.History.Outermost(j.From), j.Because, j.History.Struck()); err != nil {
			return err
		}
		j.From = 0
	}
	for {
		from, reason := j.History.Interrupted()
		if from == 0 {
			return nil
		}
		if err := j.void(from, reason, nil); err != nil {
			return err
		}
	}
}

func (j *Job) void(from int, reason string, struck []int) error {
	// This may be all that is written before the run is taken up again.
	stamp := history.Stamp{Wall: j.Pause.since, Struck: struck}
	r := journal.Record{Kind: journal.KindVoid, From: from, Reason: reason, Data: stamp.JSON()}
	if err := j.History.Append(r); err != nil {
		return fmt.Errorf("the journal cannot be written: %w", err)
	}
	return nil
}

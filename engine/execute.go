package engine

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"strings"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/sandbox"
	"candelua/engine/script"
)

// Job is one procedure to be executed over one journal.
type Job struct {
	Setup
	Program *script.Program
	Head    Head
	Journal *journal.Journal
	Open    func(context.Context) (*bench.Bench, error) // opens the bench; nil for a replay
	Written time.Time                                   // when the journal was last written, for a pause's length
	// From is the first step that is set aside before the run goes on, because
	// of Because; 0 for none.
	From    int
	Because string
	// Stood is for how many seconds a simulated unit stood in the pause before,
	// its screen dark. No time passes there by itself.
	Stood float64
	// Joins is what is put on record as the run goes on.
	Joins []Join

	stands bench.State // what was asked of the bench in this process, granted
	slept  bool        // the machine slept: the instruments are opened anew
}

// Join is what is other from here on than when the run began: an edited script,
// another instrument. Before is done before the record is written; it may be
// nil.
type Join struct {
	Record journal.Record // an aside
	Before func() error
}

// Outcome is what an execution came to.
type Outcome struct {
	Status   Status
	Results  *result.Results
	Readings []script.ReadingRow
	Contract *script.Contract
	Err      error   // why it is not done
	Seconds  float64 // script time
	Steps    int
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
		if err != nil || !errors.Is(out.Err, errRestart) {
			return out, err
		}
		j.Stood = 0
		if b, err = j.again(ctx, b); err != nil {
			return j.closedDown(ctx, err)
		}
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
		return b, nil
	}
	j.slept = false
	closeBench(b)
	return j.Open(ctx)
}

// closedDown ends a run whose bench cannot be opened again after steps were
// set aside, with the results so far.
func (j *Job) closedDown(ctx context.Context, cause error) (*Outcome, error) {
	d := j.tape()
	out, err := j.play(ctx, d)
	if err != nil {
		return nil, errors.Join(cause, err)
	}
	out.Status, out.Err = Paused, cause
	return out, j.end(d, out)
}

// once executes the script one time.
func (j *Job) once(ctx context.Context, b *bench.Bench) (*Outcome, error) {
	pause := j.pause(b) // before anything is written
	j.Written = time.Time{}
	if err := j.setAside(); err != nil {
		return nil, err
	}
	watched, stop := watchGone(ctx, b)
	defer stop()
	d := &door{journal: j.Journal, bench: b, next: 1, fresh: j.Journal.Records() == 1, between: betweenSteps(j.Journal),
		cutOff: cutOff(j.Journal), stands: &j.stands, joins: j.Joins, pause: pause, progress: j.Progress, warn: j.Warn,
		slept: func(t time.Duration) { j.Written, j.slept = b.Clock.Wall().Add(-t), true }}
	defer func() { j.Joins = d.joins }()
	out, err := j.play(watched, d)
	if err != nil || errors.Is(out.Err, errRestart) {
		return out, err
	}
	if left := j.leftOver(d); out.Err == nil && left != nil {
		out.Status, out.Err = Failed, left
	}
	j.settle(d, out)
	if err := d.safeEnd(ctx); err != nil && out.Err == nil {
		out.Status, out.Err = Failed, err
	}
	if out.Steps > j.Journal.Steps() {
		if err := j.conclude(ctx, out); err != nil {
			return nil, err
		}
	}
	return out, j.end(d, out)
}

// conclude takes back what was concluded from steps that were set aside since.
func (j *Job) conclude(ctx context.Context, out *Outcome) error {
	kept, err := j.play(context.WithoutCancel(ctx), j.tape())
	if err != nil {
		return err
	}
	out.Results, out.Readings, out.Seconds, out.Steps = kept.Results, kept.Readings, kept.Seconds, kept.Steps
	return nil
}

// play executes the script with a door to the world or to a tape.
func (j *Job) play(ctx context.Context, d *door) (*Outcome, error) {
	corrections, err := j.Head.corrections()
	if err != nil {
		return nil, err
	}
	return j.playDrawn(ctx, d, corrections, nil)
}

// playDrawn is play with corrections that were read before, on drawn readings
// where draws is given.
func (j *Job) playDrawn(ctx context.Context, d *door, corrections map[string]*bench.Correction, draws *script.Draws) (*Outcome, error) {
	out := &Outcome{Results: result.New()}
	devices := identities(j.Head.Devices)
	d.devices = func(other []bench.Named) { maps.Copy(devices, identities(other)) }
	host := script.Host{
		Door: d, Bench: d.bench, Results: out.Results, Unit: j.Head.Unit, Mode: j.Head.Mode, Day: j.Head.day(), Simulated: j.Head.Simulated,
		Devices: devices, Corrections: corrections, Seed: j.Head.Seed,
		Reading: func(r script.ReadingRow) { out.Readings = append(out.Readings, r) },
		Print: func(text string) {
			if (d.live || d.fresh) && j.Print != nil {
				j.Print(text)
			}
		},
		Draws: draws,
	}
	if draws != nil { // for the values alone
		host.Reading, host.Print = nil, nil
	}
	rt, err := j.Program.Start(ctx, host)
	if err != nil {
		return nil, err
	}
	defer rt.Close()
	d.stop, d.refill, d.charge = rt.Stop, rt.Refill, rt.Charge
	out.Contract = rt.Contract()
	params, err := out.Contract.Restore(j.Head.Params)
	if err != nil {
		return nil, err
	}
	if rt.HasOnResume() {
		d.onResume = func(p script.Pause, key string) error { return rt.OnResume(params, p, key) }
	}
	out.Err = rt.Run(params)
	out.Seconds, out.Steps = d.Now(), d.next-1
	out.Status = statusOf(out.Err)
	return out, nil
}

func identities(devices []bench.Named) map[string]bench.Identity {
	m := map[string]bench.Identity{}
	for _, d := range devices {
		m[d.Name] = d.Identity
	}
	return m
}

// statusOf tells a run that can go on from one that cannot. A step that failed
// and was not caught pauses the run: the next try may succeed. So does a full
// disk.
func statusOf(err error) Status {
	var step *script.StepError
	var restore *RestoreError
	switch {
	case err == nil:
		return Done
	case errors.Is(err, bench.ErrPaused), errors.Is(err, ErrInterrupted), errors.Is(err, context.Canceled), errors.Is(err, journal.ErrBroken),
		errors.As(err, &step), errors.As(err, &restore):
		return Paused
	}
	return Failed
}

// settle sets aside the step whose failure ended the run, so that a resumed
// run takes it again.
func (j *Job) settle(d *door, out *Outcome) {
	n, text := j.failedStep(out.Err)
	if n == 0 {
		return
	}
	out.Status = Paused
	if err := d.void(outermost(j.Journal, n), "it failed: "+text); err != nil {
		out.Status, out.Err = Failed, err
	}
}

// failedStep is the step whose failure ended the run, 0 where it was none. The
// script may have caught the failure and raised an error of its own: one that
// quotes it, or any if nothing was asked since.
func (j *Job) failedStep(err error) (n int, text string) {
	var step *script.StepError
	if errors.As(err, &step) {
		return step.Step, step.Text
	}
	var own *sandbox.Error
	if !errors.As(err, &own) || !own.Said {
		return 0, ""
	}
	for n := j.Journal.Steps(); n > 0; n-- {
		s, err := j.Journal.Step(n)
		if err != nil {
			return 0, ""
		}
		if f := s.Failure; f != nil && (n == j.Journal.Steps() || strings.Contains(own.Message, f.Message)) {
			return n, f.Message
		}
	}
	return 0, ""
}

// end puts the end on record. Where nothing went live and the run did not come
// to its end, the journal already says how it stands.
func (j *Job) end(d *door, out *Outcome) error {
	if errors.Is(out.Err, journal.ErrBroken) {
		return nil // it has said so itself, and takes no end
	}
	r := journal.Record{Kind: journal.KindEnd, Status: string(out.Status), T: d.Now()}
	if out.Err != nil {
		r.Reason = out.Err.Error()
	}
	if d.bench != nil && !d.bench.Simulated {
		r.Data = wallStamp(d.bench.Clock.Wall())
	}
	var err error
	if last, ended := j.Journal.Ended(); !d.live && ended && (out.Status != Done || last.Status == r.Status) {
		return nil
	}
	if editing(d.joins) && out.Status != Done {
		return nil // an edited script that got nowhere is not taken over
	}
	if !d.live && (!j.Journal.Moving() || len(d.joins) > 0) {
		_, err = d.takeUp()
	}
	if err == nil && out.Status == Done {
		err = d.release()
	}
	if err == nil {
		err = j.Journal.Append(r)
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
	d := j.tape()
	out, err := j.play(ctx, d)
	if err != nil {
		return nil, err
	}
	last, ended := j.Journal.Ended()
	if errors.Is(out.Err, ErrJournalEnds) && !(ended && last.Status == string(Done)) {
		out.Status, out.Err = Paused, nil
		if ended {
			out.Status = Status(last.Status)
		}
		return out, nil
	}
	if left := j.leftOver(d); out.Err == nil && left != nil {
		out.Status, out.Err = Failed, left
	}
	return out, nil
}

// tape is a door that answers from the journal alone.
func (j *Job) tape() *door {
	return &door{journal: j.Journal, next: 1, between: betweenSteps(j.Journal)}
}

func (j *Job) leftOver(d *door) error {
	used, recorded := d.next-1, j.Journal.Steps()
	if used >= recorded {
		return nil
	}
	s, err := j.Journal.Step(d.next)
	if err != nil {
		return err
	}
	return &LeftOverError{Used: used, Recorded: recorded, Next: fmt.Sprintf("step %d, %s%s", s.Number, s.Name, s.Args)}
}

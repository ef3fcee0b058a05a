package play

import (
	"context"
	"errors"
	"time"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/script"
)

// errNotDone is a rehearsal without an end, from which nothing can be learnt of how long a run takes.
var errNotDone = errors.New("the rehearsal did not come to its end")

// Rehearse executes a program from its start, on a bench and a journal of its own that leave nothing behind. head is the
// run's; it is told that the bench is another one. What goes on is told to tell, where that is not nil.
func Rehearse(ctx context.Context, program *script.Program, head history.Head, file *bench.File, openers bench.Openers, tell func(Event)) (*Outcome, error) {
	return rehearse(ctx, program, head, file, openers, 0, tell)
}

// Request is what a rehearsal asked of a device, and when, script time in seconds.
type Request struct {
	Of any
	At float64
}

// Requests executes a program as [Rehearse] does, and gives what it asked of its devices, in order. Where cut is above 0, the
// run is interrupted at the step of that number, stands for an hour, and goes on: what is asked for then is asked too.
func Requests(ctx context.Context, program *script.Program, head history.Head, file *bench.File, openers bench.Openers, cut int) ([]Request, *Outcome, error) {
	var all []Request
	out, err := rehearse(ctx, program, head, file, openers, cut, Steps(func(p Progress) {
		if p.Request == nil {
			return
		}
		if request, err := p.Request(); err == nil { // else the step itself says what is wrong
			all = append(all, Request{request, p.Now})
		}
	}))
	return all, out, err
}

// stoodSeconds is for how long an interrupted rehearsal stands: long enough that a procedure which warms up again does so.
const stoodSeconds = 3600

func rehearse(ctx context.Context, program *script.Program, head history.Head, file *bench.File, openers bench.Openers, cut int, tell func(Event)) (*Outcome, error) {
	b, err := OpenBench(ctx, file, openers)
	if err != nil {
		return nil, err
	}
	opened := Lend(b, func(ctx context.Context) (*bench.Bench, error) { return OpenBench(ctx, file, openers) })
	defer opened.Close()
	head.Bench, head.Simulated, head.Devices = b.Name, b.Simulated, b.Devices()
	h, err := history.Begin(head)
	if err != nil {
		return nil, err
	}
	job := NewJob(program, h)
	job.Open, job.Tell = opened.Take, tell
	if cut > 0 {
		if err := job.interrupted(ctx, cut); err != nil {
			return nil, err
		}
		job = NewJob(program, h)
		job.Open, job.Tell, job.Stood = opened.Take, tell, stoodSeconds
	}
	out, err := job.Execute(ctx)
	if err == nil && out.Status != journal.Done {
		err = errors.Join(errNotDone, out.Err)
	}
	return out, err
}

// interrupted executes a job until it comes to a step, as where a person presses Ctrl-C there.
func (j *Job) interrupted(ctx context.Context, at int) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	tell := j.Tell
	j.Tell = func(e Event) {
		if p, isStep := e.(Progress); isStep && p.Step >= at {
			stop(ErrInterrupted)
		}
		if tell != nil {
			tell(e)
		}
	}
	out, err := j.Execute(ctx)
	if err == nil && out.Status != journal.Paused {
		err = errors.Join(errNotDone, out.Err)
	}
	return err
}

// Stage is a bench that stands for another one in a rehearsal.
type Stage struct {
	File    *bench.File
	Openers bench.Openers
	// ByHand are the places at which a person will be asked: the script is told so.
	ByHand map[string]bool
	// Wait is how long something takes there beyond what it takes on the stage: a step before it is asked, a single reading once it
	// is there. Nil: nothing takes longer.
	Wait func(Event) time.Duration
	// Ready checks the stage before the script is executed; nil does not.
	Ready func(*bench.Bench) error
}

// RehearseOn executes a program on a stage, to its end or to where it fails, which the outcome then says. The job can be executed
// again on other readings.
func RehearseOn(ctx context.Context, program *script.Program, head history.Head, s Stage, tell func(Event)) (*Outcome, *Job, error) {
	b, err := OpenBench(ctx, s.File, s.Openers)
	if err != nil {
		return nil, nil, err
	}
	opened := Lend(b, func(ctx context.Context) (*bench.Bench, error) { return OpenBench(ctx, s.File, s.Openers) })
	defer opened.Close()
	if s.Ready != nil {
		if err := s.Ready(b); err != nil {
			return nil, nil, err
		}
	}
	head.Bench, head.Simulated, head.Devices = b.Name, b.Simulated, b.Devices()
	for i := range head.Devices {
		d := &head.Devices[i]
		d.Identity.ByHand = d.Identity.ByHand || s.ByHand[d.Name]
	}
	h, err := history.Begin(head)
	if err != nil {
		return nil, nil, err
	}
	job := NewJob(program, h)
	job.Open = opened.Take
	job.Tell = func(e Event) {
		if tell != nil {
			tell(e)
		}
		if s.Wait == nil {
			return
		}
		if d := s.Wait(e); d > 0 {
			_ = b.Clock.WaitUntil(ctx, b.Clock.Now()+d) // a simulated clock; what ends it ends the execution
		}
	}
	out, err := job.Execute(ctx)
	return out, job, err
}

package play

import (
	"context"
	"encoding/json"
	"errors"

	"candelua/engine/bench"
	"candelua/engine/draw"
	"candelua/engine/history"
	"candelua/engine/result"
	"candelua/engine/sandbox"
	"candelua/engine/script"
	"candelua/engine/uncertainty"
)

// Many executes a job again and again, on drawn readings. Several goroutines may
// do so at once.
type Many struct {
	job         *Job
	tape        *tape
	run         string // tells the run from any other
	corrections map[string]*bench.Correction
	shared      *script.Shared
	stood       []float64
	before4     bool
	chosen      bool // see script.Draws.Chosen
}

// rulesOfSameDraws are those since which a draw gives a script all that the run gave it, but for
// the numbers of readings.
const rulesOfSameDraws = 4

// Many readies a job to be executed on drawn readings.
//
// Apart says that the draws are to be compared with another run's: then the
// run's own errors are drawn apart from those of any other, and what the two
// share, as the meter's scale, is drawn alike. Otherwise two runs that read the
// same give the same.
func (j *Job) Many(apart bool) (*Many, error) {
	m := &Many{job: j, shared: &script.Shared{}, before4: j.Head.ByRules() < rulesOfSameDraws}
	var err error
	if m.tape, err = newTape(j.History.Journal); err != nil {
		return nil, err
	}
	if apart {
		if m.run, err = j.key(); err != nil {
			return nil, err
		}
	}
	m.corrections, err = j.Head.Corrections()
	m.stood = j.History.StoodBefore(m.tape.steps)
	return m, err
}

// key tells the run from any other, in whatever folder it lies.
func (j *Job) key() (string, error) {
	var head json.RawMessage
	if err := j.History.Journal.Head(&head); err != nil {
		return "", err
	}
	return history.Sum(head), nil
}

// Look executes on the readings themselves, and tells what is drawn of them.
func (m *Many) Look(ctx context.Context) (*draw.Sheet, error) {
	out, err := m.execute(ctx, &script.Draws{Number: script.Look})
	if err != nil {
		return nil, err
	}
	if out.Err == nil && m.shared.Computed() {
		if m.chosen, err = m.sameChosen(ctx, out.Results); err != nil {
			return nil, err
		}
	}
	return script.SharedState[draw.Sheet](m.shared), nil
}

// sameChosen says whether the script comes to the same results where the functions by which it chooses are left out. It
// does not where such a function changes anything outside of itself, or fails; then all executions call them.
func (m *Many) sameChosen(ctx context.Context, want *result.Results) (bool, error) {
	out, err := m.execute(ctx, &script.Draws{Number: script.Probe, Chosen: true})
	if err == nil {
		err = context.Cause(ctx)
	}
	if err != nil || out.Err != nil {
		return false, err
	}
	return uncertainty.Alike(want, out.Results), nil
}

// Once executes on the readings of one draw. A heap that grew too large says nothing
// about the draw, and is an error itself.
func (m *Many) Once(ctx context.Context, number int) (once uncertainty.Once, err error) {
	return m.once(ctx, &script.Draws{Number: number})
}

// Shake executes with all that is of one unknown kind moved a little.
func (m *Many) Shake(ctx context.Context, of draw.Unknown, number int) (uncertainty.Once, error) {
	return m.once(ctx, &script.Draws{Number: number, Shaken: &of})
}

func (m *Many) once(ctx context.Context, draws *script.Draws) (once uncertainty.Once, err error) {
	out, err := m.execute(ctx, draws)
	if err == nil && errors.Is(out.Err, sandbox.ErrHeap) {
		err = out.Err
	}
	if err == nil {
		err = context.Cause(ctx) // what was stopped is no draw
	}
	switch {
	case err != nil:
	case out.Err != nil:
		once = uncertainty.Once{OtherSteps: Diverged(out.Err), Work: out.Work}
	default:
		once = uncertainty.Once{Results: out.Results, Work: out.Work}
	}
	return once, err
}

// Probe executes on readings of which some are moved, by the numbers of their steps. It gives no
// results where the script then asks for other steps or ends in an error.
func (m *Many) Probe(ctx context.Context, moves map[int]draw.Move) (*result.Results, error) {
	return m.probe(ctx, &script.Draws{Number: script.Probe, Moves: moves})
}

// rulesOfAsking are those since which a probe asks for numbers that run.decide keeps.
const rulesOfAsking = 6

// ProbeAsked is Probe, with the numbers that the script keeps now in place of those that the run kept.
func (m *Many) ProbeAsked(ctx context.Context, moves map[int]draw.Move) (*result.Results, error) {
	if m.job.Head.ByRules() < rulesOfAsking {
		return nil, nil
	}
	return m.probe(ctx, &script.Draws{Number: script.Probe, Moves: moves, Asking: true})
}

func (m *Many) probe(ctx context.Context, draws *script.Draws) (*result.Results, error) {
	out, err := m.execute(ctx, draws)
	if err == nil {
		err = context.Cause(ctx)
	}
	if err != nil || out.Err != nil {
		return nil, err
	}
	return out.Results, nil
}

// Moved executes as [Many.Probe] does, and gives why the script then did not come to the recorded end: other steps, or an error. Nil
// where it did.
func (m *Many) Moved(ctx context.Context, moves map[int]draw.Move) (why, err error) {
	out, err := m.execute(ctx, &script.Draws{Number: script.Probe, Moves: moves})
	if err == nil {
		err = context.Cause(ctx)
	}
	if err != nil {
		return nil, err
	}
	return out.Err, nil
}

// execute executes for one draw, or for what a draw's number says it is. Where what is unknown is shaken, a step may have
// other arguments than the recorded one: what is looked for is what depends on what, and a wait that follows from a
// moved time says nothing of that.
func (m *Many) execute(ctx context.Context, draws *script.Draws) (*Outcome, error) {
	d := m.job.door()
	d.tape, d.lenient = m.tape, draws.Shaken != nil
	draws.Run, draws.Shared, draws.Stood, draws.Before4 = m.run, m.shared, m.stood, m.before4
	draws.Chosen = draws.Chosen || m.chosen && !draws.Asking
	out, err := m.job.playDrawn(ctx, d, m.corrections, draws)
	if err == nil && out.Err == nil {
		out.Err = d.leftOver() // a series that would have ended sooner
	}
	return out, err
}

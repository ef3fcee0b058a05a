package trial

import (
	"context"
	"fmt"

	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/result"
)

// Interruption is a place where a run is stopped and gone on with later, its
// unit asleep meanwhile.
type Interruption struct {
	At    float64 `lua:"at" min:"0" unit:"s" help:"time of the interruption, as of clock.now: the run stops before the first step from then on"`
	Pause float64 `lua:"pause" min:"0" max:"10000000" unit:"s" help:"duration of the interruption; the unit sleeps during it"`
}

// checkOrder refuses interruptions that come before others.
func checkOrder(all []Interruption) error {
	for i := 1; i < len(all); i++ {
		if all[i].At < all[i-1].At {
			return fmt.Errorf("interrupt[%d].at is %g; it must be at least %g, the at of the one before", i+1, all[i].At, all[i-1].At)
		}
	}
	return nil
}

// interrupted executes a job, stops it at each place, and goes on. What it then
// gives must be what a replay gives.
func interrupted(ctx context.Context, job *play.Job, places []Interruption) (*play.Outcome, error) {
	for _, place := range places {
		out, err := until(ctx, job, place.At)
		if err != nil {
			return nil, err
		}
		if out.Status != journal.Paused {
			if out.Err != nil {
				return out, nil
			}
			return nil, fmt.Errorf("the run ends after %g s, before the interruption at %g s", out.Seconds, place.At)
		}
		job.Stood = place.Pause
	}
	out, err := job.Execute(ctx)
	if err != nil || len(places) == 0 || out.Err != nil {
		return out, err
	}
	again, err := job.Replay(ctx)
	if err != nil {
		return nil, err
	}
	if again.Err != nil {
		return nil, fmt.Errorf("the replay ends with: %w", again.Err)
	}
	if d := result.Compare(out.Results, again.Results); len(d) > 0 {
		return nil, fmt.Errorf("the replay differs from the run: %v", d[0])
	}
	return out, nil
}

// until executes a job up to the first step that begins at a script time or
// later.
func until(ctx context.Context, job *play.Job, at float64) (*play.Outcome, error) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	job.Tell = play.Steps(func(p play.Progress) {
		if p.Now >= at {
			cancel(play.ErrInterrupted)
		}
	})
	defer func() { job.Tell = nil }()
	return job.Execute(ctx)
}

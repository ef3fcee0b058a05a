package play

import (
	"context"
	"errors"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/script"
)

// errLapse ends a step during which the source of patches lost what it showed.
var errLapse = errors.New("what was shown did not stand")

// askWatching asks the world while it watches whether what is shown stands. A lapse is told by the source, and the step
// has no answer then: a meter may have read something else. What a person answered stays, unless it is a reading. A
// meter's step is confirmed by the source after its end.
func (d *door) askWatching(ctx context.Context, a script.Ask) (answer journal.Record, lapse bench.Returning, err error) {
	source, ok := bench.As[bench.Returning](d.world.bench.Patches)
	if !ok {
		answer, err = d.askOnce(ctx, a)
		return answer, nil, err
	}
	watched, stop := watchLapse(ctx, source)
	defer stop()
	meter := d.world.bench.Meters[a.Device] != nil
	if d.lapsed() == nil { // else nothing need be asked
		answer, err = d.askOnce(watched, a)
	}
	if ctx.Err() != nil {
		return answer, nil, err
	}
	if d.lapsed() == nil && meter && err == nil {
		_ = source.Stood(ctx) // says it by a lapse
	}
	if d.lapsed() == nil || err == nil && answer.ByHand && !meter {
		return answer, nil, err
	}
	return answer, source, err
}

// watchLapse ends a context with errLapse when the source loses what it shows.
func watchLapse(ctx context.Context, source bench.Returning) (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(ctx)
	gone := source.Lapse()
	go func() {
		select {
		case <-gone:
			cancel(errLapse)
		case <-ctx.Done():
		}
	}()
	return ctx, func() { cancel(nil) }
}

// lapsed is the source of patches if it lost what it showed; nil otherwise.
func (d *door) lapsed() bench.Returning {
	source, ok := bench.As[bench.Returning](d.world.bench.Patches)
	if !ok {
		return nil
	}
	select {
	case <-source.Lapse():
		return source
	default:
		return nil
	}
}

// waitBack makes a pause of a lapse: it waits until the source is back, and the script is executed again.
func (d *door) waitBack(ctx context.Context, at string, source bench.Returning) error {
	reason := "what was shown was lost"
	if err := source.Stood(ctx); err != nil {
		reason = err.Error()
		var gone *bench.GoneError
		if errors.As(err, &gone) {
			reason = gone.Err.Error()
		}
	}
	d.listener.warn("the run is paused: %s; the run continues by itself when that is put right", strings.TrimSuffix(reason, "."))
	if err := d.append(journal.Record{Kind: journal.KindPause, T: d.Now(), Reason: reason}); err != nil {
		return err
	}
	d.pause.Since = d.world.bench.Clock.Wall()
	err := fault.Guard("patches", func() error { return source.Return(ctx) })
	if cause := d.notAnAnswer(ctx, at, err); cause != nil {
		return cause
	}
	if err != nil {
		return d.fail(err)
	}
	return d.fail(errRestart)
}

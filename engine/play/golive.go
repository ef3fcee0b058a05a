package play

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"strings"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
)

// rejoin applies what is other from a step on than at the run's start.
func (d *door) rejoin(step int) error {
	now, err := d.history.SwapsBefore(step)
	if err != nil {
		return fmt.Errorf("the instruments from step %d on cannot be read from the journal: %w", step, err)
	}
	maps.Copy(d.devices, bench.Identities(now))
	return nil
}

// goLive puts the world back as the kept steps left it and turns to it.
func (d *door) goLive(ctx context.Context) error {
	was := d.state
	d.state = live
	switch was {
	case live:
		return nil
	case fresh:
		d.world.offset = d.world.bench.Clock.Now()
		return d.release()
	}
	if err := d.reliveBetween(ctx, d.next); err != nil {
		return d.fail(err)
	}
	pause, err := d.takeUp()
	if err != nil {
		return err
	}
	if err := d.release(); err != nil {
		return err
	}
	if err := d.caution(ctx, "", d.world.left.Requests()...); err != nil {
		return err
	}
	if d.script.HasOnResume() && d.next > 1 {
		if err := d.putBack(ctx, bench.KindUnit, bench.KindRig); err != nil {
			return err
		}
		if err := d.resume(pause); err != nil {
			return err
		}
	}
	if err := d.putBack(ctx, bench.KindUnit, bench.KindRig, bench.KindPatches); err != nil {
		return err
	}
	if changed := d.world.strangers(); len(changed) > 0 {
		d.listener.warn("check by hand: %s; a step that does not count any longer changed it, and what it was before is not known", strings.Join(changed, ", "))
	}
	return nil
}

// takeUp puts on record that the run goes on, after which pause, and what is
// other from here on.
func (d *door) takeUp() (history.Interlude, error) {
	var seconds float64
	var reason string
	if d.world != nil {
		seconds, reason = d.pause.over(d.world.bench.Clock, d.listener.warn)
	}
	for _, line := range d.history.TypedAhead() {
		d.listener.warn("the reading %q was typed before it was asked for, and was not used when the run stopped; the journal keeps it; "+
			"type it again if the unit shows what it is a reading of", line)
	}
	i := history.Interlude{Kind: history.OnResume, Seconds: d.history.Idle() + seconds, Reason: reason}
	if err := d.append(journal.Record{Kind: journal.KindResume, T: d.Now(), PauseSeconds: seconds, Reason: reason}); err != nil {
		return i, err
	}
	if err := d.join(); err != nil {
		return i, err
	}
	if d.world != nil {
		d.world.stand(seconds)
	}
	return i, nil
}

// join puts on record what is other from here on.
func (d *door) join() error {
	for _, join := range d.pause.Joins {
		if join.Before != nil {
			if err := join.Before(); err != nil {
				return d.fail(err)
			}
		}
		r := join.Record
		r.T = d.Now()
		if err := d.append(r); err != nil {
			return err
		}
	}
	d.pause.Joins = nil
	if err := d.rejoin(d.next); err != nil {
		return d.fail(err)
	}
	return nil
}

// putBack has these devices put back what the kept steps left. Where a person
// withdraws an answer meanwhile and there is none, it is begun again.
func (d *door) putBack(ctx context.Context, kinds ...bench.Kind) error {
	d.sight.rest()
	defer d.sight.work()
	for {
		err := d.restore(ctx, kinds)
		if lapse := d.lapsed(); lapse != nil && err != nil && ctx.Err() == nil {
			if err = lapse.Return(ctx); err == nil {
				continue
			}
		}
		if err == nil {
			d.world.offset = d.world.bench.Clock.Now() - d.now
			return nil
		}
		if !errors.Is(err, bench.ErrStruck) {
			return d.fail(&RestoreError{err})
		}
		if err := d.strike(); err != nil {
			return err
		}
	}
}

// noted keeps a reading that was typed before it was asked for.
func (d *door) noted(line string) error {
	args, err := json.Marshal(history.TypedLine{Line: line})
	if err != nil {
		return err
	}
	return d.append(journal.Record{Kind: journal.KindAside, Name: history.Typed, Args: args, T: d.Now(), ByHand: true})
}

// tried keeps that the step which is under way needed more than one try.
func (d *door) tried(tries int) error {
	args, err := json.Marshal(history.TriesOf{Tries: tries})
	if err != nil {
		return err
	}
	return d.append(journal.Record{Kind: journal.KindAside, Name: history.Tries, Args: args, T: d.Now()})
}

// aside keeps a contact that was no step.
func (d *door) aside(name string, kind bench.Kind, what bench.Restored, failed error) error {
	args, err := json.Marshal(what)
	if err != nil {
		return err
	}
	if _, ended := d.history.Journal.Ended(); ended {
		return nil // a run that was done takes no more
	}
	r := journal.Record{Kind: journal.KindAside, Name: name, Device: string(kind), Args: args, T: d.Now()}
	if failed != nil {
		r.Failure = &journal.Failure{Code: fault.CodeOf(failed), Message: failed.Error()}
	}
	return d.append(r)
}

// wake makes a pause of the time for which the machine slept: the script is
// executed again, and what the pause did to the unit is dealt with as after any
// other.
func (d *door) wake(slept time.Duration) error {
	reason := "the machine slept"
	d.listener.warn("%s for %s; the run continues as after a pause", reason, slept.Round(time.Second))
	if err := d.append(journal.Record{Kind: journal.KindPause, T: d.Now(), Reason: reason}); err != nil {
		return err
	}
	d.pause.Since, d.pause.slept = d.world.bench.Clock.Wall().Add(-slept), true
	return d.fail(errRestart)
}

// restore asks for all again that the kept steps left and that may not stand any
// more: what surrounds the patch comes before the patch.
func (d *door) restore(ctx context.Context, kinds []bench.Kind) error {
	put := map[bench.Kind]func(context.Context) (*bench.Restored, error){
		bench.KindUnit: d.world.putUnit, bench.KindRig: d.world.putRig, bench.KindPatches: d.world.putPatch}
	for _, kind := range kinds {
		back, err := put[kind](ctx)
		if err != nil {
			return err
		}
		if back == nil {
			continue
		}
		d.world.use(string(kind))
		if err := d.aside(history.Restore, kind, *back, nil); err != nil {
			return err
		}
	}
	return nil
}

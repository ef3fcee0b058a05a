package play

import (
	"context"
	"encoding/json"
	"slices"
	"time"

	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/script"
)

// lookOut looks at a step before it reaches its device. It stops the run before a patch that makes the screen flash
// without the contract saying so, and where a caution of what is asked is neither shown yet nor accepted now.
func (d *door) lookOut(ctx context.Context, a script.Ask) error {
	if a.Request == nil {
		return nil
	}
	request, err := a.Request()
	if err != nil {
		return nil // the step itself says what is wrong
	}
	if err := d.flash(a, request); err != nil {
		return d.fail(placed(a.At, err))
	}
	return d.caution(ctx, a.At, request)
}

// caution has the cautions of requests shown that were not shown before, and accepted. at is the script's line.
func (d *door) caution(ctx context.Context, at string, requests ...any) error {
	if d.listener.Caution == nil || d.world.bench.Simulated {
		return nil
	}
	var open []caution.Caution
	var kinds []caution.Kind
	for _, request := range requests {
		for _, c := range caution.ByRequest(request) {
			if !slices.Contains(d.listener.Told, c.Kind) && !slices.Contains(kinds, c.Kind) {
				open, kinds = append(open, c), append(kinds, c.Kind)
			}
		}
	}
	if len(open) == 0 {
		return nil
	}
	if err := d.listener.Caution(ctx, open); err != nil {
		return d.fail(placed(at, &cautionError{err}))
	}
	d.listener.Told = append(d.listener.Told, kinds...)
	args, err := json.Marshal(map[string]any{"kinds": kinds})
	if err != nil {
		return err
	}
	return d.append(journal.Record{Kind: journal.KindAside, Name: history.Caution, Args: args, T: d.Now()})
}

// cautionError is a caution that nobody accepted. The run stays paused.
type cautionError struct{ error }

func (e *cautionError) Unwrap() error { return e.error }

// flash judges the patches of a request, each at the time at which it is asked for: how long a source takes is taken to be
// much the same for all. A person does not show patches that quickly, whatever the script asks for.
func (d *door) flash(a script.Ask, request any) error {
	if d.script.Contract().Flashing != "" || d.devices[a.Device].ByHand {
		return nil
	}
	at := d.world.bench.Clock.Now()
	switch q := request.(type) {
	case bench.Patch:
		return d.judge(q, at, "the patch makes")
	case []bench.TimedPatch:
		for _, t := range q {
			if err := d.judge(t.Patch, at, "the sequence makes"); err != nil {
				return err
			}
			at += time.Duration(t.Hold * float64(time.Second))
		}
	}
	return nil
}

func (d *door) judge(p bench.Patch, at time.Duration, what string) error {
	d.world.shown = caution.Recent(append(d.world.shown, caution.Lit{Patch: p, At: at}))
	if !caution.Flashes(d.world.shown) {
		return nil
	}
	return bench.Errorf(bench.CodeFlashing, `show each patch for a sixth of a second or more; if the procedure must flash, say why in its contract, `+
		`as in flashing = "…": candelua then shows the caution for seizures, which must be accepted`,
		"%s the screen flash more than three times in a second, and the contract does not say so", what)
}

// light adds up what a step did to the panel. Draws, of which there are many, leave that out.
func (d *door) light(s journal.Step, a script.Ask, ended time.Duration) {
	if d.tape != nil || a.Request == nil || s.Failure != nil {
		return
	}
	if request, err := a.Request(); err == nil {
		d.still.Ask(request, d.now, ended)
	}
}

package play

import (
	"context"
	"encoding/json"
	"fmt"
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
		return d.fail(placed(a.At, fmt.Errorf("%s: %w", a.Name, err)))
	}
	return d.caution(ctx, a.At, request)
}

// caution has the cautions of requests shown that were not shown before, and accepted. at is the script's line.
func (d *door) caution(ctx context.Context, at string, requests ...any) error {
	if d.listener.Caution == nil || !d.world.bench.Real {
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

// flash judges what a request does to the light, each part of it at the time at which it is asked for: how long a device
// takes is taken to be much the same for all. A person does nothing that quickly, whatever the script asks for.
func (d *door) flash(a script.Ask, request any) error {
	if d.script.Contract().Flashing != "" || d.devices[a.Device].ByHand {
		return nil
	}
	at := d.world.bench.Clock.Now()
	switch q := d.world.bench.OwnRequest(request).(type) { // a control can be asked for by its role, too
	case bench.Patch:
		return d.lights(q, at, "the patch makes the screen")
	case []bench.TimedPatch:
		for _, t := range q {
			if err := d.lights(t.Patch, at, "the sequence makes the screen"); err != nil {
				return err
			}
			at += time.Duration(t.Hold * float64(time.Second))
		}
	case bench.PowerRequest:
		screen := bench.Patch{} // dark
		if q.On {
			screen = d.world.screen()
		}
		d.world.shown = append(d.world.shown, caution.Lit{Patch: screen, At: at})
		return d.judge("switching the unit off and on makes the screen")
	case bench.LampRequest:
		return d.switches("lamp "+q.Lamp, q.Level, at, fmt.Sprintf("setting the lamp %q makes the light", q.Lamp))
	case []bench.Setting:
		for _, s := range q {
			if err := d.switches(s.Name, s.Value, at, fmt.Sprintf("setting %q makes the screen", s.Name)); err != nil {
				return err
			}
		}
	}
	return nil
}

// screen is what the unit shows once it is on again: white, where that is not known.
func (w *world) screen() bench.Patch {
	if w.patch != nil {
		return *w.patch
	}
	return bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 100, Signal: bench.SDR}
}

func (d *door) lights(p bench.Patch, at time.Duration, what string) error {
	d.world.patch = &p
	d.world.shown = append(d.world.shown, caution.Lit{Patch: p, At: at})
	return d.judge(what)
}

func (d *door) switches(name string, value any, at time.Duration, what string) error {
	d.world.switched = append(d.world.switched, caution.Switched{What: name, Value: value, At: at})
	return d.judge(what)
}

func (d *door) judge(what string) error {
	d.world.shown, d.world.switched = caution.Recent(d.world.shown), caution.RecentSwitches(d.world.switched)
	if !caution.Flashes(d.world.shown, d.world.switched...) {
		return nil
	}
	return bench.Errorf(bench.CodeFlashing, `leave each patch, level and setting for a sixth of a second or more; if the procedure must flash, say why in its contract, `+
		`as in flashing = "…": candelua then shows the caution for seizures, which must be accepted`,
		"%s flash more than three times in a second, and the contract does not say so", what)
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

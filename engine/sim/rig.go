package sim

import (
	"context"
	"fmt"
	"math"
	"slices"

	"candelua/engine/bench"
	"candelua/engine/spell"
)

// rig sets the room's lamps, turns the unit, moves the meter and reads
// illuminance.
type rig struct{ w *World }

var (
	_ bench.Rig         = rig{}
	_ bench.Lit         = rig{}
	_ bench.LightSensor = rig{}
	_ bench.Turner      = rig{}
	_ bench.Placer      = rig{}
	_ bench.Safe        = rig{}
	_ bench.Reliver     = rig{}
	_ bench.Verifier    = rig{}
)

// About implements [bench.Device].
func (r rig) About() bench.Identity {
	p := r.w.params.Rig
	id := bench.Identity{Name: "simulated rig", Driver: driverName, Simulated: true,
		Lux: bench.LuxAccuracy{Scale: p.LuxScale, Zero: p.LuxZero, Repeatability: p.LuxNoise}}
	if p.LuxErrorsSeed == 0 && p.LuxScale > 0 {
		id.Serial = fmt.Sprint(r.w.noise.seed)
	}
	return id
}

// Set implements [bench.Rig]. A lamp that is at the level already takes no time.
// It fails with a [bench.Error] of code "bad-setting" for an unknown lamp or a level
// that is not possible, and with ctx's cause if ctx has ended before.
func (r rig) Set(ctx context.Context, name string, level float64) (bench.SetAnswer, error) {
	if ctx.Err() != nil {
		return bench.SetAnswer{}, context.Cause(ctx)
	}
	w := r.w
	w.mu.Lock()
	defer w.mu.Unlock()
	l, err := w.room.find(name)
	if err != nil {
		return bench.SetAnswer{}, err
	}
	if !(level >= 0 && level <= 100) {
		return bench.SetAnswer{}, bench.Errorf(bench.CodeBadSetting, "", "lamp %q: level is %v; it must be 0 to 100 %%", name, level)
	}
	if l.level == level/100 {
		return bench.SetAnswer{}, nil
	}
	done := w.Now() + seconds(l.p.SetSeconds)
	w.advance(done)
	l.set(done, level/100)
	w.turn(done)
	w.pass(done)
	return bench.SetAnswer{}, nil
}

// Lamps implements [bench.Lit].
func (r rig) Lamps() []string { return r.w.room.names() }

func (r *room) names() []string {
	names := make([]string, len(r.lamps))
	for i := range r.lamps {
		names[i] = r.lamps[i].p.Name
	}
	return names
}

// find returns the lamp of a name.
func (r *room) find(name string) (*lamp, error) {
	names := r.names()
	if i := slices.Index(names, name); i >= 0 {
		return &r.lamps[i], nil
	}
	if len(names) == 0 {
		return nil, bench.Errorf(bench.CodeBadSetting, "", "the rig has no lamp %q; it has no lamps at all", name)
	}
	return nil, bench.Errorf(bench.CodeBadSetting, didYouMean(spell.Nearest(name, names)), "the rig has no lamp %q; it has %s", name, quoted(names))
}

// Lux implements [bench.LightSensor]. The unit's sensor is read where it is,
// behind the meter that may shade it. It fails with a [bench.Error] of code
// "unsupported" for another place.
func (r rig) Lux(ctx context.Context, at string) (bench.Illuminance, error) {
	if ctx.Err() != nil {
		return bench.Illuminance{}, context.Cause(ctx)
	}
	w := r.w
	w.mu.Lock()
	defer w.mu.Unlock()
	began, over := w.Now(), w.params.Rig.LuxSeconds
	var lux float64
	switch at {
	case bench.AtScreen:
		lux = w.room.screenLux(began, over)
	case bench.AtSensor:
		lux = w.room.sensorLux(began, over) * (1 - w.params.Meter.Shade/100)
	default:
		return bench.Illuminance{}, bench.Errorf(bench.CodeUnsupported, "", "lux: at is %q; it must be %q or %q", at, bench.AtScreen, bench.AtSensor)
	}
	w.pass(began + seconds(over))
	noise := 1 + w.params.Rig.LuxNoise/100*w.noise.at(noiseLux, began).NormFloat64()
	return bench.Illuminance{Lux: lux*noise*w.lux.gain + w.lux.zero}, nil
}

// Turn implements [bench.Turner] for angles up to 89 degrees each way, rounded
// to the turntable's steps. It fails with a [bench.Error] of code
// "bad-setting" for others, "unsupported" for another axis.
func (r rig) Turn(ctx context.Context, axis string, degrees float64) (float64, error) {
	if ctx.Err() != nil {
		return 0, context.Cause(ctx)
	}
	w := r.w
	w.mu.Lock()
	defer w.mu.Unlock()
	angle := r.angle(axis)
	if angle == nil {
		return 0, bench.Errorf(bench.CodeUnsupported, "", "turn: axis is %q; it must be %q or %q", axis, bench.Horizontal, bench.Vertical)
	}
	if !(math.Abs(degrees) <= 89) {
		return 0, bench.Errorf(bench.CodeBadSetting, "", "turn: angle is %v; it must be -89 to 89 degrees", degrees)
	}
	degrees = r.rounded(degrees)
	took := math.Abs(degrees-*angle) * w.params.Rig.TurnSeconds
	*angle = degrees
	w.pass(w.Now() + seconds(took))
	return degrees, nil
}

// angle is how the unit stands about an axis, nil for another axis.
func (r rig) angle(axis string) *float64 {
	switch axis {
	case bench.Horizontal:
		return &r.w.mount.horizontal
	case bench.Vertical:
		return &r.w.mount.vertical
	}
	return nil
}

// rounded is the nearest angle at which the turntable can stop.
func (r rig) rounded(degrees float64) float64 {
	if step := r.w.params.Rig.TurnStep; step > 0 {
		return step * math.Round(degrees/step)
	}
	return degrees
}

// Place implements [bench.Placer]. It fails with a [bench.Error] of code
// "bad-setting" for a place that is not on the screen.
func (r rig) Place(ctx context.Context, at [2]float64) ([2]float64, error) {
	if ctx.Err() != nil {
		return at, context.Cause(ctx)
	}
	for _, v := range at {
		if !(v >= 0 && v <= 1) {
			return at, bench.Errorf(bench.CodeBadSetting, "", "place: at has %v; it must be two numbers from 0 to 1", v)
		}
	}
	w := r.w
	w.mu.Lock()
	defer w.mu.Unlock()
	if p := w.mount.place; p != nil && *p == at {
		return at, nil
	}
	w.mount.place = &at
	w.pass(w.Now() + seconds(w.params.Rig.MoveSeconds))
	return at, nil
}

// Relive implements [bench.Reliver] for what the rig is asked for.
func (r rig) Relive(k bench.Kept) error {
	switch q := k.Request.(type) {
	case bench.RigRequest:
		return r.w.relive(k, func(ctx context.Context) error {
			_, err := q.Make(ctx, r)
			return err
		})
	case bench.SafeRequest:
		return r.w.relive(k, func(ctx context.Context) error { return r.MakeSafe(ctx, nil) })
	case bench.LuxRequest:
		r.w.Skip(k.Ended)
		return nil
	}
	return unheard("rig", k)
}

// Stands implements [bench.Verifier]. What it does not know is asked for again.
func (r rig) Stands(request any) bool {
	switch q := request.(type) {
	case bench.LampRequest:
		l, err := r.w.room.find(q.Lamp)
		return err == nil && l.level == q.Level/100
	case bench.TurnRequest:
		at := r.angle(q.Axis)
		return at != nil && *at == r.rounded(q.Degrees)
	case bench.PlaceRequest:
		return r.w.mount.place != nil && *r.w.mount.place == q.At
	}
	return false
}

// MakeSafe takes all lamps down.
func (r rig) MakeSafe(ctx context.Context, _ []bench.LampRequest) error {
	for i := range r.w.room.lamps {
		if _, err := r.Set(ctx, r.w.room.lamps[i].p.Name, 0); err != nil {
			return err
		}
	}
	return nil
}

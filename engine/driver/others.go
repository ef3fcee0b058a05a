package driver

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"candelua/engine/bench"
)

// patches is a source of patches over a line.
type patches struct {
	*line
	id    bench.Identity
	chain *bench.Chain
}

var (
	_ bench.Patches = (*patches)(nil)
	_ bench.Painter = (*patches)(nil)
)

// Paints implements [bench.Painter]: a source shows what its driver says.
func (p *patches) Paints(q bench.Patch) error { return bench.Shows(p.card.Shows).Paints(q) }

// About implements [bench.Device].
func (p *patches) About() bench.Identity { return p.id }

// Show implements [bench.Patches]. Where the source does not say when the light changes, it is
// between request and answer, evenly likely.
func (p *patches) Show(ctx context.Context, q bench.Patch) (bench.Shown, error) {
	ask := askOf(q, p.chain)
	var got *Showed
	var began time.Duration
	_, err := p.do(ctx, Show, ask, func() any {
		got, began = &Showed{}, p.clock().Now()
		return got
	}, func() error { return got.check() })
	if err != nil {
		return bench.Shown{}, err
	}
	ended := p.clock().Now()
	shown := bench.Shown{Lit: ended, Area: q.Area(), Codes: ask.Codes, Path: bench.PathGenerator, HDR: got.HDR}
	shown.LitWithin = time.Duration(float64(ended-began) / math.Sqrt(12)) // JCGM 100:2008, 4.3.7
	if got.Delay != nil {
		shown.Lit += time.Duration(*got.Delay * float64(time.Second))
	}
	if got.Area != nil {
		shown.Area = *got.Area
	}
	return shown, nil
}

// askOf is a patch as a source is asked for it.
func askOf(q bench.Patch, chain *bench.Chain) *ShowPatch {
	window, back := chain.Codes(q.RGB), chain.Codes(q.Background)
	bits := 8
	if chain != nil {
		bits = chain.Bits
	}
	ask := &ShowPatch{Red: q.RGB[0], Green: q.RGB[1], Blue: q.RGB[2], Window: q.Window, Codes: window[:], BackCodes: back[:],
		BackRed: q.Background[0], BackGreen: q.Background[1], BackBlue: q.Background[2], AtX: q.At[0], AtY: q.At[1],
		Signal: string(q.Signal), Bits: bits, Mastering: q.Metadata.MasteringPeak, MaxContent: q.Metadata.MaxCLL, MaxAverage: q.Metadata.MaxFALL,
		Space: string(q.Space)}
	if p := q.Pattern; p.Kind != bench.Window {
		ask.Pattern, ask.Columns, ask.Rows, ask.Count, ask.Vertical = string(p.Kind), p.Columns, p.Rows, p.Count, p.Vertical
		ask.FromRed, ask.FromGreen, ask.FromBlue = p.From[0], p.From[1], p.From[2]
	}
	return ask
}

func (s *Showed) check() error {
	if s.Area != nil && !(*s.Area > 0 && *s.Area <= 100) {
		return Garbled("", "the area is %v %%; it must be above 0 and at most 100 %%", *s.Area)
	}
	if s.Delay != nil && !(*s.Delay >= 0 && *s.Delay <= 60) {
		return Garbled("", "the delay is %v s; it must be 0 to 60 s", *s.Delay)
	}
	return nil
}

// unit is a unit over a line.
type unit struct {
	*line
	id bench.Identity
}

var (
	_ bench.Unit     = (*unit)(nil)
	_ bench.Switcher = (*unit)(nil)
	_ bench.Partial  = (*unit)(nil)
)

// About implements [bench.Device].
func (u *unit) About() bench.Identity { return u.id }

// Lacks implements [bench.Partial].
func (u *unit) Lacks(ability string) bool { return ability == "Switcher" && !u.card.Can(Power) }

// Set implements [bench.Unit], one control after the other.
func (u *unit) Set(ctx context.Context, all []bench.Setting) (a bench.SetAnswer, err error) {
	for _, s := range all {
		if _, err = u.do(ctx, Set, &SetControl{Name: s.Name, Value: s.Value}, func() any { return &Nothing{} }, nil); err != nil {
			return a, err
		}
	}
	return a, nil
}

// Switch implements [bench.Switcher].
func (u *unit) Switch(ctx context.Context, on bool) (a bench.SetAnswer, err error) {
	_, err = u.do(ctx, Power, &SetPower{On: on}, func() any { return &Nothing{} }, nil)
	return a, err
}

// rig is a rig over a line.
type rig struct {
	*line
	id bench.Identity
}

var (
	_ bench.Rig         = (*rig)(nil)
	_ bench.Lit         = (*rig)(nil)
	_ bench.Turner      = (*rig)(nil)
	_ bench.Placer      = (*rig)(nil)
	_ bench.LightSensor = (*rig)(nil)
	_ bench.Safe        = (*rig)(nil)
	_ bench.Partial     = (*rig)(nil)
)

// About implements [bench.Device].
func (r *rig) About() bench.Identity { return r.id }

// Lacks implements [bench.Partial].
func (r *rig) Lacks(ability string) bool {
	switch ability {
	case "Lit":
		return r.card.Lamps == nil
	case "Turner":
		return !r.card.Can(Turn)
	case "Placer":
		return !r.card.Can(Place)
	case "LightSensor":
		return !r.card.Can(Lux)
	}
	return false
}

// Lamps implements [bench.Lit].
func (r *rig) Lamps() []string { return r.card.Lamps }

// Set implements [bench.Rig].
func (r *rig) Set(ctx context.Context, lamp string, level float64) (a bench.SetAnswer, err error) {
	if !r.card.Can(Lamp) {
		return a, bench.Errorf(bench.CodeUnsupported, "put a rig with lamps on the bench", "the rig sets no lamps")
	}
	_, err = r.do(ctx, Lamp, &SetLamp{Lamp: lamp, Level: level}, func() any { return &Nothing{} }, nil)
	return a, err
}

// Turn implements [bench.Turner].
func (r *rig) Turn(ctx context.Context, axis string, degrees float64) (float64, error) {
	var got *Turned
	_, err := r.do(ctx, Turn, &TurnTo{Axis: axis, Degrees: degrees}, func() any { got = &Turned{}; return got }, func() error { return finite("angle", got.Degrees) })
	if err != nil {
		return 0, err
	}
	return either(got.Degrees, degrees), nil
}

// Place implements [bench.Placer].
func (r *rig) Place(ctx context.Context, at [2]float64) ([2]float64, error) {
	var got *Placed
	_, err := r.do(ctx, Place, &PlaceAt{X: at[0], Y: at[1]}, func() any { got = &Placed{}; return got }, func() error { return finite("place", got.X, got.Y) })
	if err != nil {
		return at, err
	}
	return [2]float64{either(got.X, at[0]), either(got.Y, at[1])}, nil
}

// Lux implements [bench.LightSensor]. Slightly negative readings are noise around darkness.
func (r *rig) Lux(ctx context.Context, at string) (bench.Illuminance, error) {
	var got *Illuminance
	_, err := r.do(ctx, Lux, &LuxAt{At: at}, func() any { got = &Illuminance{}; return got }, func() error {
		if got.Lux == nil {
			return Garbled("", "the answer has no illuminance")
		}
		if !(*got.Lux > -1 && *got.Lux < 1e6) { // the sun gives some 100,000 lx
			return bench.Errorf(bench.CodeBadReading, "", "illuminance is %v lx; it must be 0 to 1e6 lx", *got.Lux)
		}
		return nil
	})
	if err != nil {
		return bench.Illuminance{}, err
	}
	return bench.Illuminance{Lux: *got.Lux}, nil
}

// MakeSafe implements [bench.Safe]: the lamps that were turned on are turned off, and the turntable is at rest
// once it has answered. One that does not answer leaves the others their share of the time.
func (r *rig) MakeSafe(ctx context.Context, lit []bench.LampRequest) error {
	var errs []error
	for i, l := range lit {
		if err := r.turnOff(ctx, l.Lamp, len(lit)-i); err != nil {
			errs = append(errs, fmt.Errorf("lamp %q: %w", l.Lamp, err))
		}
	}
	return errors.Join(errs...)
}

// turnOff turns one of some lamps off that are left, in its share of the time.
func (r *rig) turnOff(ctx context.Context, lamp string, left int) error {
	if d, ok := ctx.Deadline(); ok {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, time.Until(d)/time.Duration(left))
		defer cancel()
	}
	_, err := r.Set(ctx, lamp, 0)
	return err
}

func either(got *float64, asked float64) float64 {
	if got == nil {
		return asked
	}
	return *got
}

func finite(what string, all ...*float64) error {
	for _, x := range all {
		if x != nil && (math.IsNaN(*x) || math.IsInf(*x, 0)) {
			return Garbled("", "the %s is %v; it must be a finite number", what, *x)
		}
	}
	return nil
}

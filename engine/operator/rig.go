package operator

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"candelua/engine/bench"
)

// rig is a person who sets lamps, turns the unit, moves the meter and reads a
// light meter.
type rig struct {
	desk *desk
	id   bench.Identity
}

var (
	_ bench.Rig         = (*rig)(nil)
	_ bench.Turner      = (*rig)(nil)
	_ bench.Placer      = (*rig)(nil)
	_ bench.LightSensor = (*rig)(nil)
	_ bench.Safe        = (*rig)(nil)
)

func (r *rig) About() bench.Identity { return r.id }

// Set asks for a lamp's level in percent.
func (r *rig) Set(ctx context.Context, lamp string, level float64) (bench.SetAnswer, error) {
	what := fmt.Sprintf("the lamp %q to %s %%", lamp, decimals(level, 3))
	if level == 0 {
		what += " (off)"
	}
	r.desk.caution(ctx, bench.LampRequest{Lamp: lamp, Level: level})
	return r.desk.set(ctx, what)
}

// Turn asks to turn the unit, and asks for the angle that was reached: Enter means
// the angle asked for. It asks even if settings are assumed, since only a person can
// know the angle.
func (r *rig) Turn(ctx context.Context, axis string, degrees float64) (reached float64, err error) {
	reached = degrees
	r.desk.caution(ctx, bench.TurnRequest{Axis: axis, Degrees: degrees})
	err = r.desk.answer(ctx, question{
		ask: "Please turn the unit so that the meter views the screen " + angleWords(axis, degrees) +
			"; press Enter when done, or type the angle that you reached.",
		help: []helpLine{
			{"Enter", "the unit is turned as asked"},
			{"29.5", "the angle that you reached, in degrees, to the side asked for"},
			{"200 0.31 0.33", "the unit is turned as asked, and this is the meter's next reading"},
		},
		take: func(line string) error {
			v, err := oneNumber(strings.TrimRight(line, " °"))
			if err != nil {
				return r.desk.takeDone(line)
			}
			if math.Abs(v) > 90 {
				return fmt.Errorf("%s° is behind the screen: please type an angle from -90 to 90", decimals(v, 3))
			}
			if degrees < 0 && v > 0 { // said as it was asked, "30° from below"
				v = -v
			}
			reached = v
			return nil
		},
	})
	return reached, err
}

// sides are the sides from which the meter looks at a positive and a negative angle.
func sides(axis string) [2]string {
	if axis == bench.Vertical {
		return [2]string{"above", "below"}
	}
	return [2]string{"the right", "the left"}
}

func angleWords(axis string, degrees float64) string {
	from := sides(axis)
	switch {
	case degrees > 0:
		return decimals(degrees, 3) + "° from " + from[0]
	case degrees < 0:
		return decimals(-degrees, 3) + "° from " + from[1]
	}
	return "straight on, neither from " + from[0] + " nor from " + from[1]
}

// Place asks to move the meter. The place reached is the one asked for: a
// person does not measure it.
func (r *rig) Place(ctx context.Context, at [2]float64) ([2]float64, error) {
	r.desk.caution(ctx, bench.PlaceRequest{At: at})
	_, err := r.desk.do(ctx, "move the meter so that it looks "+spotWords(at), "it looks there")
	return at, err
}

// Lux asks for the illuminance that a light meter shows.
func (r *rig) Lux(ctx context.Context, at string) (read bench.Illuminance, err error) {
	where := "in the plane of the screen, with the light meter facing the same way"
	if at == bench.AtSensor {
		where = "at the unit's ambient light sensor"
	}
	err = r.desk.answer(ctx, question{
		ask:  "Illuminance " + where + ", in lux:",
		help: []helpLine{{"250", "the illuminance, in lux"}},
		take: func(line string) error {
			v, err := oneNumber(strings.TrimSpace(strings.TrimRight(line, " lux")))
			if err != nil {
				return err
			}
			if v < 0 {
				return errors.New("illuminance is never negative: please type 0 lux or more")
			}
			if v > mostLight {
				return fmt.Errorf("%s is too large: an illuminance is at most %.0f lux; please type it again", short(line), mostLight)
			}
			read = bench.Illuminance{Lux: v, Typed: strings.TrimSpace(strings.TrimRight(line, " lux"))}
			return nil
		},
	})
	return read, err
}

// MakeSafe asks the person to turn the lamps off if any is on. It waits for no
// answer.
func (r *rig) MakeSafe(_ context.Context, lit []bench.LampRequest) error {
	if len(lit) > 0 {
		r.desk.console.Say("Please turn the lamps off.")
	}
	return nil
}

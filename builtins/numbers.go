package builtins

import (
	"math"
	"strconv"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/draw"
	"candelua/engine/script"
)

// What a step gives besides readings, an illuminance or a number that a person typed, is drawn as well as
// somebody states how well it is known. Of what nobody states it, probes find the values that depend on
// it, so that these are not called constant ([draw.Unknown]). What run.decide keeps is no such thing: a choice
// is the procedure's own.

// number gives the number of a step as it is in this execution: as it was answered or, in a draw, with
// an error. unknown is what the number is of if nobody states how well it is known. least is what it
// is moved by at least in a probe, times the share.
func number(c *script.Call, known draw.Number, unknown *draw.Unknown, least float64) float64 {
	d := c.Host().Draws
	if d == nil || !c.Since(5) {
		return known.Value
	}
	s := script.SharedState[draw.Sheet](d.Shared)
	switch {
	case d.Number == script.Probe:
		return known.Value + d.Moves[c.Number()].Share*math.Max(math.Abs(known.Value), least)
	case unknown != nil && d.Number == script.Look:
		s.EnterUnknown(*unknown)
	case unknown != nil && d.Shakes(*unknown):
		share := known.Keys.Own.Shake(d.Number)
		return known.Value + share*math.Max(math.Abs(known.Value), least)
	case d.Shaken != nil || unknown != nil:
	case d.Number == script.Look:
		s.EnterNumber(c.Number(), known)
	default:
		if x, ok := s.Number(c.Number(), d.Number); ok {
			return x
		}
	}
	return known.Value
}

// ownKey is the key of what a step's number has of its own: as of a reading it goes by the step's place in a run
// that is not interrupted, and by what was answered.
func ownKey(c *script.Call, component string, x float64) draw.Key {
	return draw.NewKey(component).Text(runOf(c)).Number(c.Place()).Text(strconv.FormatFloat(x, 'e', 6, 64))
}

// runOf tells this run from any other where runs are compared; it is empty elsewhere.
func runOf(c *script.Call) string {
	if d := c.Host().Draws; d != nil {
		return d.Run
	}
	return ""
}

// unknownLux is of what a light meter read whose accuracy nobody states.
var unknownLux = draw.Unknown{Of: "what rig.lux read", Why: "the accuracy of the light meter is not stated", Do: "state it in the bench file ([rig.lux], scale in %)"}

// leastLuxMove is what an illuminance of 0 is moved by in a probe, in lx, times the share.
const leastLuxMove = 1

// illuminance is what a light meter read, as it is in this execution.
func illuminance(c *script.Call, w luxAnswer) float64 {
	known := c.Host().Devices[c.Device()]
	a := known.Lux
	meter := strings.Join([]string{known.Driver, known.Name, known.Serial, a.Certificate, a.Date}, "\x00")
	n := draw.Number{Value: w.Lux,
		NumberAccuracy: draw.NumberAccuracy{Scale: a.Scale, Zero: a.Zero, Share: a.Repeatability, Place: placeOf(w.Typed, "lx", "lux")},
		Keys:           draw.NumberKeys{Scale: draw.NewKey("lux scale").Text(meter), Zero: draw.NewKey("lux zero").Text(meter).Text(runOf(c)), Own: ownKey(c, "number", w.Lux)}}
	if a.Scale == 0 && !known.Simulated {
		return number(c, n, &unknownLux, leastLuxMove)
	}
	return number(c, n, nil, leastLuxMove)
}

// unknownTyped is of a number that a person typed, of which nobody states how well it is known.
var unknownTyped = draw.Unknown{Of: "a number from operator.ask",
	Why: "nobody states how well it is known", Do: "state it in the script (uncertainty, relative or within; of a number that is exact, such as a count, uncertainty = 0)"}

// typedNumber is the number that a person typed, as it is in this execution.
func typedNumber(c *script.Call, a askArgs, w bench.Reply) float64 {
	n := draw.Number{Value: w.Number, Keys: draw.NumberKeys{Own: ownKey(c, "number", w.Number)}}
	own, place := a.Uncertainty, placeOf(w.Text, a.Unit)
	if w.Uncertainty != nil {
		own = w.Uncertainty
	}
	exact := own != nil && *own == 0 && a.Relative == nil && a.Within == nil
	switch {
	case exact:
	case own == nil && a.Relative == nil && a.Within == nil:
		return number(c, n, &unknownTyped, 1)
	default:
		n.NumberAccuracy = draw.NumberAccuracy{Own: value(own), Share: value(a.Relative), Half: value(a.Within), Place: place}
	}
	return number(c, n, nil, 1)
}

func value(x *float64) float64 {
	if x == nil {
		return 0
	}
	return *x
}

// placeOf is the unit of the last digit of a typed number, behind which a unit may stand; 0 of none.
func placeOf(typed string, units ...string) float64 {
	typed, _, _ = bench.SplitTyped(typed)
	typed = strings.TrimSpace(typed)
	for _, unit := range units {
		typed = strings.TrimSpace(strings.TrimSuffix(typed, unit))
	}
	p, err := draw.LastPlace(typed)
	if err != nil {
		return 0
	}
	return p
}

// unknownTimes is of the times at which steps were answered. They depend on what was read where a script
// waits for something; no draw moves them. What is read over time is drawn by itself, so they matter only to a value that
// nothing else moves.
var unknownTimes = draw.Unknown{Of: "the time at which a step was answered", Resting: true, Axis: true, Most: 1,
	Why: "with other readings it might be another time, by how much is not computed"}

// unknownSettling is of how long a light took to settle.
var unknownSettling = draw.Unknown{Of: "how long meter.settle took",
	Why: "with other readings it might be another time, by how much is not computed"}

// timeNow is a script time as it is in this execution. A probe makes all times a little longer, never shorter, so that a
// wait of a stated length is still over after it.
func timeNow(c *script.Call, t float64) float64 {
	d := c.Host().Draws
	if d == nil || !c.Since(5) {
		return t
	}
	if d.Number == script.Look {
		script.SharedState[draw.Sheet](d.Shared).EnterUnknown(unknownTimes)
	}
	if d.Shakes(unknownTimes) {
		return t * (1 + 1e-7*float64(1+d.Number))
	}
	return t
}

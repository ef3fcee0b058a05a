package builtins

import (
	"context"
	"fmt"
	"math"

	"candelua/engine/bench"
	"candelua/engine/script"
)

func rigModule() *script.Module {
	return &script.Module{Name: "rig", Help: "What surrounds the unit: lamps, a turntable, where the meter looks, a light sensor.", Funcs: []*script.Func{
		script.Step("rig.set", "sets a lamp to a level, by driver or by hand", lampLive, lampDerive, script.Requesting(lampRequest)),
		script.Step("rig.turn", "turns the unit before the meter and answers the angle that was reached", turnLive, turnDerive, script.Requesting(turnRequest)),
		script.Step("rig.place", "moves the meter over the screen and answers the place that was reached; it looks there from then on", placeLive, placeDerive, script.Requesting(placeRequest)),
		script.Step("rig.lux", "reads the illuminance in lux", luxLive, luxDerive, script.Requesting(luxRequest)),
	}}
}

// rigOf finds an ability of the rig; what says in words what a rig without it
// cannot do.
func rigOf[D any](c *script.Call, what, hint string) (d D, err error) {
	if c.Bench().Rig == nil {
		return d, missing("rig")
	}
	d, ok := c.Bench().Rig.(D)
	if !ok {
		return d, bench.Errorf(bench.CodeUnsupported, hint, "the rig cannot %s", what)
	}
	return d, nil
}

// handled says that a person gave the answer, where one is the rig.
func handled(c *script.Call, err error) error {
	if err == nil && c.Host().Devices[c.Device()].ByHand {
		c.ByHand()
	}
	return err
}

type lampArgs struct {
	Lamp  string  `lua:"lamp" help:"as the bench calls it"`
	Level float64 `lua:"level" min:"0" max:"100" unit:"%" help:"of its full light; 0: off"`
}

func (a lampArgs) request() bench.LampRequest {
	return bench.LampRequest{Lamp: a.Lamp, Level: a.Level}
}

func lampLive(ctx context.Context, c *script.Call, a lampArgs) (bench.SetAnswer, error) {
	if c.Bench().Rig == nil {
		return bench.SetAnswer{}, missing("rig")
	}
	return c.Bench().Rig.Set(ctx, a.Lamp, a.Level)
}

func lampDerive(c *script.Call, a lampArgs, _ bench.SetAnswer) (script.None, error) {
	sceneOf(c).put(map[string]float64{"lamp " + a.Lamp + " (%)": a.Level})
	return script.None{}, nil
}

func lampRequest(a lampArgs) (any, error) {
	return a.request(), nil
}

type turnArgs struct {
	Axis    string  `lua:"axis" default:"horizontal" one_of:"horizontal|vertical" help:"horizontal: the meter looks from the right or, negative, from the left; vertical: from above or, negative, from below"`
	Degrees float64 `lua:"degrees" min:"-90" max:"90" unit:"degrees" help:"from straight on"`
}

type turnAnswer struct {
	Reached float64 `json:"reached"`
}

func turnLive(ctx context.Context, c *script.Call, a turnArgs) (w turnAnswer, err error) {
	d, err := rigOf[bench.Turner](c, "turn the unit", "turn it by hand after operator.confirm, or put a rig with a turntable on the bench")
	if err != nil {
		return w, err
	}
	w.Reached, err = d.Turn(ctx, a.Axis, a.Degrees)
	if err == nil && !finite(w.Reached) {
		err = fmt.Errorf("the rig answered an angle of %v, want a finite number of degrees", w.Reached)
	}
	return w, handled(c, err)
}

func turnDerive(c *script.Call, a turnArgs, w turnAnswer) (float64, error) {
	sceneOf(c).put(map[string]float64{"angle " + a.Axis + " (degrees)": w.Reached})
	return w.Reached, nil
}

func turnRequest(a turnArgs) (any, error) {
	return bench.TurnRequest{Axis: a.Axis, Degrees: a.Degrees}, nil
}

type placeArgs struct {
	X float64 `lua:"x" min:"0" max:"1" help:"from the left of the screen, 0 to 1"`
	Y float64 `lua:"y" min:"0" max:"1" help:"from its top, 0 to 1"`
}

// Place is a place on the screen.
type Place struct {
	X float64 `lua:"x" help:"from the left of the screen, 0 to 1"`
	Y float64 `lua:"y" help:"from its top, 0 to 1"`
}

// LuaName is what scripts call it.
func (Place) LuaName() string { return "place" }

type placeAnswer struct {
	Reached [2]float64 `json:"reached"`
}

func placeLive(ctx context.Context, c *script.Call, a placeArgs) (w placeAnswer, err error) {
	d, err := rigOf[bench.Placer](c, "move the meter", "move it by hand after operator.confirm, or put a rig that moves it on the bench")
	if err != nil {
		return w, err
	}
	w.Reached, err = d.Place(ctx, [2]float64{a.X, a.Y})
	if err == nil && !(finite(w.Reached[0]) && finite(w.Reached[1])) {
		err = fmt.Errorf("the rig answered the place %v, want two finite numbers", w.Reached)
	}
	return w, handled(c, err)
}

func placeDerive(c *script.Call, _ placeArgs, w placeAnswer) (Place, error) {
	sceneOf(c).put(meterAt(w.Reached))
	return Place{X: w.Reached[0], Y: w.Reached[1]}, nil
}

func placeRequest(a placeArgs) (any, error) {
	return bench.PlaceRequest{At: [2]float64{a.X, a.Y}}, nil
}

type luxArgs struct {
	At string `lua:"at" default:"screen" one_of:"screen|sensor" help:"screen: in the plane of the screen; sensor: where the unit's own ambient sensor sits"`
}

type luxAnswer struct {
	Lux float64 `json:"lux"`
}

// leastLux is how far below zero a light sensor's own offset may reach (common
// practice, no source).
const leastLux = -1

func luxLive(ctx context.Context, c *script.Call, a luxArgs) (w luxAnswer, err error) {
	d, err := rigOf[bench.LightSensor](c, "read illuminance", "ask for it with operator.ask, or put a rig with a light sensor on the bench")
	if err != nil {
		return w, err
	}
	w.Lux, err = d.Lux(ctx, a.At)
	if err == nil && !(finite(w.Lux) && w.Lux >= leastLux) {
		err = bench.Errorf(bench.CodeBadReading, "look whether the sensor is connected, and read again",
			"illuminance is %.4g lux, want a finite number of %d lux or more", w.Lux, leastLux)
	}
	return w, handled(c, err)
}

func luxDerive(_ *script.Call, _ luxArgs, w luxAnswer) (float64, error) { return w.Lux, nil }

func luxRequest(a luxArgs) (any, error) {
	return bench.LuxRequest{At: a.At}, nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

package builtins

import (
	"context"
	"fmt"
	"math"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/script"
)

func rigModule() *script.Module {
	return &script.Module{Name: "rig", Help: rigHelp(), Funcs: []*script.Func{
		script.Step("rig.set", "sets a lamp to a level; without a driver, the operator is asked to", lampLive, lampDerive, script.Requesting(lampRequest)),
		script.Step("rig.turn", "turns the unit in front of the meter, and returns the angle that was reached", turnLive, turnDerive, script.Requesting(turnRequest)),
		script.Step("rig.place", "moves the meter to another place on the screen, where it stays, and returns the place that was reached", placeLive, placeDerive, script.Requesting(placeRequest)),
		script.Step("rig.lux", "reads the illuminance in lx; how well the light meter measures is stated in the bench file, [rig.lux]: scale in %, zero in lx, repeatability in %, all standard uncertainties, or a certificate's with its coverage_factor. Without scale the uncertainty of values that depend on it is not known", luxLive, luxDerive, script.Requesting(luxRequest)),
	}}
}

// rigHelp names what a rig may have, by the abilities that there are.
func rigHelp() string {
	var all []string
	for _, a := range bench.Abilities {
		if a.Equipment != "" {
			all = append(all, a.Equipment)
		}
	}
	return "Equipment around the unit: " + strings.Join(all, ", ") + "."
}

// rigOf finds an ability of the rig; what says in words what a rig without it
// cannot do.
func rigOf[D any](c *script.Call, what, hint string) (d D, err error) {
	if c.Bench().Rig == nil {
		return d, missing("rig")
	}
	d, ok := bench.As[D](c.Bench().Rig)
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
	Lamp  string  `lua:"lamp" help:"name of the lamp, as in the bench file or, on a simulated bench, in the world"`
	Level float64 `lua:"level" min:"0" max:"100" unit:"%" help:"level, in percent of full light; 0: off"`
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
	Axis    string  `lua:"axis" default:"horizontal" one_of:"horizontal|vertical" help:"horizontal: the meter looks from the right, or from the left if degrees is negative; vertical: from above, or from below if degrees is negative"`
	Degrees float64 `lua:"degrees" min:"-90" max:"90" unit:"degrees" help:"angle of the unit; 0: the meter looks at it straight on"`
}

type turnAnswer struct {
	Reached float64 `json:"reached"`
}

func turnLive(ctx context.Context, c *script.Call, a turnArgs) (w turnAnswer, err error) {
	d, err := rigOf[bench.Turner](c, "turn the unit", "ask the operator to turn it with operator.confirm, or add a rig with a turntable to the bench")
	if err != nil {
		return w, err
	}
	w.Reached, err = d.Turn(ctx, a.Axis, a.Degrees)
	if err == nil && !finite(w.Reached) {
		err = fmt.Errorf("the rig returned an angle of %v; it must be a finite number of degrees", w.Reached)
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
	X float64 `lua:"x" min:"0" max:"1" help:"position from the left of the screen, 0 to 1"`
	Y float64 `lua:"y" min:"0" max:"1" help:"position from the top of the screen, 0 to 1"`
}

// Place is a place on the screen.
type Place struct {
	X float64 `lua:"x" help:"position from the left of the screen, 0 to 1"`
	Y float64 `lua:"y" help:"position from the top of the screen, 0 to 1"`
}

// LuaName is what scripts call it.
func (Place) LuaName() string { return "place" }

type placeAnswer struct {
	Reached [2]float64 `json:"reached"`
}

func placeLive(ctx context.Context, c *script.Call, a placeArgs) (w placeAnswer, err error) {
	d, err := rigOf[bench.Placer](c, "move the meter", "ask the operator to move it with operator.confirm, or add a rig that moves it to the bench")
	if err != nil {
		return w, err
	}
	w.Reached, err = d.Place(ctx, [2]float64{a.X, a.Y})
	if err == nil && !(finite(w.Reached[0]) && finite(w.Reached[1])) {
		err = fmt.Errorf("the rig returned the place %v; it must be two finite numbers", w.Reached)
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
	At string `lua:"at" default:"screen" one_of:"screen|sensor" help:"where to read; screen: in the plane of the screen; sensor: at the unit's own ambient light sensor"`
}

type luxAnswer struct {
	Lux   float64 `json:"lux"`
	Typed string  `json:"typed,omitempty"` // as a person typed it
}

// leastLux is how far below zero a light sensor's own offset may reach (common
// practice, no source).
const leastLux = -1

func luxLive(ctx context.Context, c *script.Call, a luxArgs) (w luxAnswer, err error) {
	d, err := rigOf[bench.LightSensor](c, "read illuminance", "ask the operator for it with operator.ask, or add a rig with a light sensor to the bench")
	if err != nil {
		return w, err
	}
	read, err := d.Lux(ctx, a.At)
	w = luxAnswer{read.Lux, read.Typed}
	if err == nil && !(finite(w.Lux) && w.Lux >= leastLux) {
		err = bench.Errorf(bench.CodeBadReading, "check that the sensor is connected, and read again",
			"illuminance is %.4g lx; it must be a finite number of %d lx or more", w.Lux, leastLux)
	}
	return w, handled(c, err)
}

func luxDerive(c *script.Call, _ luxArgs, w luxAnswer) (float64, error) {
	return illuminance(c, w), nil
}

func luxRequest(a luxArgs) (any, error) {
	return bench.LuxRequest{At: a.At}, nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

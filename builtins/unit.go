package builtins

import (
	"context"
	"maps"
	"math"
	"slices"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

func unitModule() *script.Module {
	return &script.Module{Name: "unit", Help: "The display under test: its settings, and whether it is on.", Funcs: []*script.Func{
		script.Step("unit.set", "sets controls of the unit; where they are set by hand, the operator is asked to do it", setLive, setDerive, script.Requesting(setRequest), script.Checking(func(a setArgs) error {
			_, err := a.list()
			return err
		})),
		script.Step("unit.off", "switches the unit off, so that it cools down; it shows nothing until unit.on",
			func(ctx context.Context, c *script.Call, _ script.None) (bench.SetAnswer, error) {
				return switchUnit(ctx, c, false)
			},
			switchDerive(false), script.Requesting(func(script.None) (any, error) { return bench.PowerRequest{}, nil })),
		script.Step("unit.on", "switches the unit on again; it then shows the last patch",
			func(ctx context.Context, c *script.Call, _ script.None) (bench.SetAnswer, error) {
				return switchUnit(ctx, c, true)
			},
			switchDerive(true), script.Requesting(func(script.None) (any, error) { return bench.PowerRequest{On: true}, nil })),
	}}
}

type setArgs struct {
	Settings map[string]any `lua:"*" help:"control = value, as in unit.set { Brightness = \"maximum\" }"`
}

// list is what a device is asked for, sorted by name so that equal settings
// are equal requests.
func (a setArgs) list() ([]bench.Setting, error) {
	var out []bench.Setting
	for _, name := range slices.Sorted(maps.Keys(a.Settings)) {
		value := a.Settings[name]
		x, isNumber := value.(float64)
		switch value.(type) {
		case string, float64, bool:
		default:
			return nil, &fault.ArgError{Arg: name, Got: declare.Show(value), Want: "a word, a number, or true or false"}
		}
		if isNumber && (math.IsNaN(x) || math.IsInf(x, 0)) {
			return nil, &fault.ArgError{Arg: name, Got: declare.Show(value), Want: "a finite number"}
		}
		out = append(out, bench.Setting{Name: name, Value: a.Settings[name]})
	}
	if len(out) == 0 {
		return nil, &fault.ArgError{Arg: "the call", Got: "sets nothing", Tip: "write control = value, as in unit.set { Brightness = \"maximum\" }"}
	}
	return out, nil
}

func setLive(ctx context.Context, c *script.Call, a setArgs) (bench.SetAnswer, error) {
	list, err := a.list()
	if err != nil {
		return bench.SetAnswer{}, err
	}
	if c.Bench().Unit == nil {
		return bench.SetAnswer{}, missing("unit")
	}
	made, err := c.Bench().Settings(list)
	if err != nil {
		return bench.SetAnswer{}, err
	}
	own := bench.Own(made)
	if len(own) == 0 {
		return bench.SetAnswer{Made: made}, nil
	}
	answer, err := c.Bench().Unit.Set(ctx, own)
	answer.Made = otherwise(made, answer.Made)
	return answer, err
}

// otherwise are the settings that were made by another name or value than they were asked
// for: by the unit's own controls, and as the unit itself says.
func otherwise(made, unit []bench.Made) (all []bench.Made) {
	for _, m := range made {
		said := slices.IndexFunc(unit, func(u bench.Made) bool { return u.Asked == m.Name })
		if said >= 0 {
			m.Setting = unit[said].Setting
		}
		if said >= 0 || m.Name != m.Asked || m.Value == bench.NoControl {
			all = append(all, m)
		}
	}
	return all
}

// setDerive keeps the settings as they were made: under the names by which they were
// asked for, and under the unit's own where those are others.
func setDerive(c *script.Call, a setArgs, w bench.SetAnswer) (script.None, error) {
	made := maps.Clone(a.Settings)
	for _, m := range w.Made {
		made[m.Name] = m.Value
	}
	sceneOf(c).set(made)
	return script.None{}, nil
}

func setRequest(a setArgs) (any, error) {
	list, err := a.list()
	if err != nil {
		return nil, err
	}
	return list, nil
}

// switchUnit switches the unit, by driver or by hand.
func switchUnit(ctx context.Context, c *script.Call, on bool) (bench.SetAnswer, error) {
	if c.Bench().Unit == nil {
		return bench.SetAnswer{}, missing("unit")
	}
	s, ok := bench.As[bench.Switcher](c.Bench().Unit)
	if !ok {
		return bench.SetAnswer{}, bench.Errorf(bench.CodeUnsupported, "ask the operator to do it with operator.confirm", "the unit cannot be switched off and on")
	}
	return s.Switch(ctx, on)
}

func switchDerive(on bool) func(*script.Call, script.None, bench.SetAnswer) (script.None, error) {
	return func(c *script.Call, _ script.None, _ bench.SetAnswer) (script.None, error) {
		sceneOf(c).off = !on
		return script.None{}, nil
	}
}

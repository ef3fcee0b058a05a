package rehearse

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"candelua/engine/bench"
	"candelua/engine/play"
	"candelua/engine/script"
	"candelua/engine/sim"
)

// handTimes are how long a person needs for one thing (common practice, no source).
var handTimes = map[string]time.Duration{
	"reading": 12 * time.Second, // a single one, read and typed
	"patch":   8 * time.Second,
	"control": 20 * time.Second, // of the unit
	"power":   20 * time.Second,
	"rig":     30 * time.Second, // a lamp, the turntable or the stage
	"answer":  15 * time.Second, // to a question, or for doing what was asked
}

// Target is what the procedure will be run on.
type Target struct {
	Bench *bench.File // nil: the simulated one
	Unit  *bench.UnitFile
	Mode  string
	World sim.Params // whose unit stands for the real one
	Seed  uint64
	// Lamps are the names of lamps that the procedure needs.
	Lamps []string
	Pace  *Pace // nil: that of the simulated instruments
	// Ready checks what a procedure needs against the bench, as a run does; nil does not.
	Ready func(*script.Contract, *bench.Bench, string) error
}

// called is what the bench is called.
func (t *Target) called() string {
	switch {
	case t.Bench == nil:
		return "simulated"
	case t.Bench.Path == "":
		return "operator"
	}
	return t.Bench.Path
}

// byHand says which drivers are a person.
var byHand = []string{bench.OperatorDriver, "files"}

// stage makes the simulated bench that stands for the target, and says what is not known of it.
func (t *Target) stage(wait func(play.Event) time.Duration) (play.Stage, []string, error) {
	world, err := t.world()
	if err != nil {
		return play.Stage{}, nil, err
	}
	hands := map[string]bool{}
	places := []bench.Kind{bench.KindMeter, bench.KindReference, bench.KindPatches, bench.KindUnit, bench.KindRig, bench.KindOperator}
	var unknown []string
	var text strings.Builder
	if t.Bench != nil {
		places = t.Bench.Kinds()
		for _, k := range []bench.Kind{bench.KindUnit, bench.KindOperator} { // a person stands in for these
			if !slices.Contains(places, k) {
				places = append(places, k)
			}
		}
	}
	fmt.Fprintf(&text, "name = %q\n", t.called())
	for _, k := range places {
		fmt.Fprintf(&text, "[%s]\ndriver = \"sim\"\n", k)
		if t.Bench == nil {
			continue
		}
		s := t.Bench.Section(k)
		switch {
		case s == nil || slices.Contains(byHand, s.Driver):
			hands[string(k)] = true
		case s.Driver != "sim" && len(bench.NeedWords(string(k))) > 0:
			unknown = append(unknown, fmt.Sprintf("whether the %s can do all that is asked of it: its driver says so only when it is opened", k))
		}
		if s == nil {
			continue
		}
		if s.Floor > 0 {
			fmt.Fprintf(&text, "floor = %v\n", s.Floor)
			if k == bench.KindMeter {
				world.Meter.Floor = s.Floor
			}
		}
	}
	file, err := bench.ParseFile("rehearsal.toml", []byte(text.String()))
	if err != nil {
		return play.Stage{}, nil, err
	}
	file = file.WithUnit(t.Unit)
	return play.Stage{File: file, Openers: bench.Openers{"sim": sim.Opener(world, t.Seed, 0)}, ByHand: hands, Wait: wait}, unknown, nil
}

// world is the simulated unit with the controls and modes of the unit file, and the lamps that the procedure needs.
func (t *Target) world() (sim.Params, error) {
	w := t.World
	if modes := t.Unit.Modes(); len(modes) > 0 {
		w.Modes, w.Mode = nil, t.Mode
		for _, m := range modes {
			w.Modes = append(w.Modes, sim.ModeParams{Name: m, Tone: "as_stated", Gamut: "native"})
		}
	} else if t.Mode != "" && !slices.ContainsFunc(w.Modes, func(m sim.ModeParams) bool { return m.Name == t.Mode }) {
		w.Modes = append(slices.Clone(w.Modes), sim.ModeParams{Name: t.Mode, Tone: "as_stated", Gamut: "native"})
		w.Mode = t.Mode
	} else if t.Mode != "" {
		w.Mode = t.Mode
	}
	if controls := t.Unit.Controls(); len(controls) > 0 {
		w.Controls = nil
		for _, c := range controls {
			w.Controls = append(w.Controls, control(c))
		}
	}
	w.Lamps = slices.Clone(w.Lamps)
	for _, name := range t.Lamps {
		if len(w.Lamps) > 0 && !slices.ContainsFunc(w.Lamps, func(l sim.LampParams) bool { return l.Name == name }) {
			lamp := w.Lamps[0]
			lamp.Name = name
			w.Lamps = append(w.Lamps, lamp)
		}
	}
	return w, nil
}

// control is a control of the unit file on the simulated unit. It does not change the light, as nobody knows by how much it would.
func control(c bench.Control) sim.ControlParams {
	out := sim.ControlParams{Name: c.Name, Former: c.Former, Role: c.Role, Values: c.Values, Min: c.Min, Max: c.Max, Step: c.Step, Unit: c.Unit}
	out.Start = fmt.Sprint(c.Min)
	if len(c.Values) > 0 {
		out.Start = c.Values[0]
		out.Min, out.Max, out.Step = 0, 0, 0
	}
	return out
}

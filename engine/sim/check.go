package sim

import (
	"fmt"
	"reflect"
)

// maxWarmupTerms bounds what a reading has to multiply out.
const maxWarmupTerms = 4

// check says whether the parameters describe a world: each within its limits,
// and those that depend on each other in agreement. The error names the
// parameter as a world file does, what it is and what is allowed.
func (p Params) check() error {
	if err := checkDeclared(reflect.ValueOf(p), ""); err != nil {
		return err
	}
	for _, check := range []func(*Params) error{
		checkPrimaries, checkLight, checkTone, checkLimit, checkWarmup, checkRetention, checkMeters, checkControls,
		checkAdaptive, checkLamps, checkFaults, checkModes,
	} {
		if err := check(&p); err != nil {
			return err
		}
	}
	return nil
}

func checkPrimaries(p *Params) error {
	o := newObserver()
	_, err := newPanel(p.Primaries, p.Room.Kelvin, &o)
	return err
}

func checkLight(p *Params) error {
	if lowest := min(p.Light.White, p.Light.HDRPeak); !(p.Light.Black < lowest) {
		return wrong("light.black", "is %v cd/m2; it must be less than white and hdr_peak (%v)", p.Light.Black, lowest)
	}
	return nil
}

func checkTone(p *Params) error {
	if p.Tone.HDR == "roll_off" && p.Tone.HDRSource < p.Light.HDRPeak {
		return wrong("tone.hdr_source", "is %v cd/m2; it must be at least hdr_peak (%v) for a roll-off", p.Tone.HDRSource, p.Light.HDRPeak)
	}
	for _, r := range p.Tone.Merged {
		if r[1] <= r[0] {
			return wrong("tone.merged", "has the range from %d to %d; the last code must be above the first", r[0], r[1])
		}
	}
	if p.Tone.Kind == "table" {
		return checkPoints(p.Tone.Points)
	}
	return nil
}

func checkPoints(points [][2]float64) error {
	if n := len(points); n < 2 || points[0] != [2]float64{0, 0} || points[n-1] != [2]float64{1, 1} {
		return wrong("tone.points", "are %v; they must be at least two points, the first [0, 0] and the last [1, 1]", points)
	}
	for i, point := range points[1:] {
		if before := points[i]; !(point[0] > before[0] && point[1] >= before[1]) {
			return wrong("tone.points", "have %v after %v; the signals must rise and the light must not fall", point, before)
		}
	}
	return nil
}

func checkLimit(p *Params) error {
	for i, point := range p.Limit.Curve {
		if i > 0 && !(point[0] > p.Limit.Curve[i-1][0]) {
			return wrong("limit.curve", "has the share %v after %v; the shares must rise", point[0], p.Limit.Curve[i-1][0])
		}
	}
	return nil
}

func checkRetention(p *Params) error {
	if n := len(p.Retention.Terms); n > maxRetentionTerms {
		return wrong("retention.terms", "has %d terms; it must have at most %d", n, maxRetentionTerms)
	}
	return nil
}

func checkWarmup(p *Params) error {
	w := p.Warmup
	if n := len(w.Terms); n > maxWarmupTerms {
		return wrong("warmup.terms", "has %d terms; it must have at most %d", n, maxWarmupTerms)
	}
	if len(w.Terms) == 0 && w.Colour != [3]float64{} {
		return wrong("warmup.colour", "is %v; it must be zeros if there are no terms", w.Colour)
	}
	return nil
}

func checkMeters(p *Params) error {
	if err := checkMeter("meter", &p.Meter); err != nil {
		return err
	}
	return checkMeter("reference", &p.Reference)
}

func checkMeter(path string, m *MeterParams) error {
	if m.IntegrationDark < m.Integration {
		return wrong(path+".integration_dark", "is %v s; it must be at least integration (%v s)", m.IntegrationDark, m.Integration)
	}
	return nil
}

func checkControls(p *Params) error {
	if err := checkFormer(p); err != nil {
		return err
	}
	seen := map[string]bool{}
	for i, c := range p.Controls {
		path := fmt.Sprintf("controls[%d]", i+1)
		if c.Name == "" {
			return wrong(path+".name", "is missing; it must be the name from the unit's menu")
		}
		if seen[c.Name] {
			return wrong(path+".name", "is %q, which another control has already", c.Name)
		}
		seen[c.Name] = true
		if err := checkControl(path, c); err != nil {
			return err
		}
	}
	return nil
}

// checkFormer refuses a former name that does not lead to one control.
func checkFormer(p *Params) error {
	names := map[string]bool{}
	for _, c := range p.Controls {
		names[c.Name] = true
	}
	for i, c := range p.Controls {
		for _, name := range c.Former {
			path := fmt.Sprintf("controls[%d].formerly", i+1)
			if name == "" {
				return wrong(path, "has an empty name; it must be an earlier name from the unit's menu")
			}
			if names[name] {
				return wrong(path, "has %q, which is already the name or a former name of a control", name)
			}
			names[name] = true
		}
	}
	return nil
}

func checkControl(path string, c ControlParams) error {
	if len(c.Values) > 0 && c.Gains != [3]float64{} {
		return wrong(path+".gains", "is %v; it must be zeros for a control that takes words", c.Gains)
	}
	factors := len(c.Values)
	if len(c.Values) == 0 {
		if factors = 2; !(c.Min < c.Max) {
			return wrong(path+".max", "is %v; it must be more than min (%v), or values instead", c.Max, c.Min)
		}
	}
	if n := len(c.Factors); n != 0 && n != factors {
		return wrong(path+".factors", "has %d numbers; it must have none or %d", n, factors)
	}
	words := map[string]bool{}
	for _, v := range c.Values {
		if words[v] {
			return wrong(path+".values", "has %q twice", v)
		}
		words[v] = true
	}
	if _, err := newControls([]ControlParams{c}); err != nil {
		return wrong(path+".start", "does not fit this control: %v", err)
	}
	return nil
}

func checkAdaptive(p *Params) error {
	a := p.Adaptive
	for i, point := range a.Curve {
		if i > 0 && !(point[0] > a.Curve[i-1][0]) {
			return wrong("adaptive.curve", "has %v lx after %v; the illuminances must rise", point[0], a.Curve[i-1][0])
		}
	}
	return nil
}

func checkLamps(p *Params) error {
	seen := map[string]bool{}
	for i, l := range p.Lamps {
		path := fmt.Sprintf("lamps[%d].name", i+1)
		if l.Name == "" {
			return wrong(path, "is missing; it must be the name by which the rig sets the lamp")
		}
		if seen[l.Name] {
			return wrong(path, "is %q, which another lamp has already", l.Name)
		}
		seen[l.Name] = true
	}
	return nil
}

func checkFaults(p *Params) error {
	for i, f := range p.Faults {
		switch path := fmt.Sprintf("faults[%d]", i+1); {
		case f.AtReading > 0 && f.AtPatch > 0:
			return wrong(path+".at_patch", "is %d; it must be 0 if at_reading is stated", f.AtPatch)
		case (f.AtReading > 0 || f.AtPatch > 0) && f.AtSecond > 0:
			return wrong(path+".at_second", "is %v s; it must be 0 if at_reading or at_patch is stated", f.AtSecond)
		}
	}
	return nil
}

func checkModes(p *Params) error {
	seen := map[string]bool{}
	for i := range p.Modes {
		name := p.Modes[i].Name
		path := fmt.Sprintf("modes[%d].name", i+1)
		if name == "" {
			return wrong(path, "is missing; it must be the name from the unit's menu")
		}
		if seen[name] {
			return wrong(path, "is %q, which another mode has already", name)
		}
		seen[name] = true
		in := *p
		in.Mode = name
		o := newObserver()
		changed, _, err := effective(in, &o)
		if err == nil && !(changed.Light.White > changed.Light.Black) {
			err = wrong(fmt.Sprintf("modes[%d].luminance", i+1), "leaves %v cd/m2; it must leave more than black (%v)", changed.Light.White, changed.Light.Black)
		}
		if err == nil && changed.Tone.Kind == "table" {
			err = checkPoints(changed.Tone.Points)
		}
		if err != nil {
			return err
		}
	}
	_, err := p.mode()
	return err
}

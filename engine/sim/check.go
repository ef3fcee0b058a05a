package sim

import (
	"fmt"
	"reflect"
)

// maxWarmupTerms bounds what a reading has to multiply out.
const maxWarmupTerms = 4

// Check says whether the parameters describe a world: each within its limits,
// and those that depend on each other in agreement. The error names the
// parameter as a world file does, what it is and what is allowed.
func (p Params) Check() error {
	if err := checkDeclared(reflect.ValueOf(p), ""); err != nil {
		return err
	}
	for _, check := range []func(*Params) error{
		checkPrimaries, checkLight, checkTone, checkLimit, checkWarmup, checkMeters, checkControls,
	} {
		if err := check(&p); err != nil {
			return err
		}
	}
	return nil
}

func checkPrimaries(p *Params) error {
	o := newObserver()
	_, err := newPanel(p.Primaries, &o)
	return err
}

func checkLight(p *Params) error {
	if lowest := min(p.Light.White, p.Light.HDRPeak); !(p.Light.Black < lowest) {
		return wrong("light.black", "is %v cd/m2, want less than white and hdr_peak (%v)", p.Light.Black, lowest)
	}
	return nil
}

func checkTone(p *Params) error {
	if p.Tone.HDR == "roll_off" && p.Tone.HDRSource < p.Light.HDRPeak {
		return wrong("tone.hdr_source", "is %v cd/m2, want at least hdr_peak (%v) for a roll-off", p.Tone.HDRSource, p.Light.HDRPeak)
	}
	return nil
}

func checkLimit(p *Params) error {
	for i, point := range p.Limit.Curve {
		if i > 0 && !(point[0] > p.Limit.Curve[i-1][0]) {
			return wrong("limit.curve", "has the share %v after %v, want rising shares", point[0], p.Limit.Curve[i-1][0])
		}
	}
	return nil
}

func checkWarmup(p *Params) error {
	w := p.Warmup
	if n := len(w.Terms); n > maxWarmupTerms {
		return wrong("warmup.terms", "has %d terms, want at most %d", n, maxWarmupTerms)
	}
	if len(w.Terms) == 0 && w.Colour != [3]float64{} {
		return wrong("warmup.colour", "is %v, want zeros where there are no terms", w.Colour)
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
		return wrong(path+".integration_dark", "is %v s, want at least integration (%v s)", m.IntegrationDark, m.Integration)
	}
	return nil
}

func checkControls(p *Params) error {
	seen := map[string]bool{}
	for i, c := range p.Controls {
		path := fmt.Sprintf("controls[%d]", i)
		if c.Name == "" {
			return wrong(path+".name", "is missing, want what the unit's menu says")
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

func checkControl(path string, c ControlParams) error {
	factors := len(c.Values)
	if len(c.Values) == 0 {
		if factors = 2; !(c.Min < c.Max) {
			return wrong(path+".max", "is %v, want more than min (%v), or values instead", c.Max, c.Min)
		}
	}
	if n := len(c.Factors); n != 0 && n != factors {
		return wrong(path+".factors", "has %d numbers, want none or %d", n, factors)
	}
	words := map[string]bool{}
	for _, v := range c.Values {
		if words[v] {
			return wrong(path+".values", "has %q twice", v)
		}
		words[v] = true
	}
	if _, err := newControls([]ControlParams{c}); err != nil {
		return wrong(path+".start", "does not fit: %v", err)
	}
	return nil
}

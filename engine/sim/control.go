package sim

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/spell"
)

// control is one of the unit's controls, with its position.
type control struct {
	p  ControlParams
	at float64 // the number, or the index of the word
}

// newControls puts each control into its position at the start.
func newControls(params []ControlParams) ([]control, error) {
	var all []control
	for _, p := range params {
		c := control{p: p}
		var start any = p.Start
		if n, err := strconv.ParseFloat(p.Start, 64); err == nil && len(p.Values) == 0 {
			start = n
		}
		var err error
		if c.at, err = c.position(start); err != nil {
			return nil, err
		}
		all = append(all, c)
	}
	return all, nil
}

// position returns where a value puts the control. It fails with an
// [bench.Error] of code "bad-setting" for a value that the control does not take.
func (c *control) position(value any) (float64, error) {
	if len(c.p.Values) > 0 {
		return c.word(value)
	}
	var n float64
	switch v := value.(type) {
	case float64:
		n = v
	case int:
		n = float64(v)
	case string:
		switch strings.ToLower(v) {
		case "minimum":
			return c.p.Min, nil
		case "maximum":
			return c.p.Max, nil
		}
		return 0, c.refuse(value, spell.Nearest(v, []string{"minimum", "maximum"}))
	default:
		return 0, c.refuse(value, "")
	}
	if !(n >= c.p.Min && n <= c.p.Max) {
		return 0, c.refuse(value, "")
	}
	if c.p.Step > 0 {
		n = math.Min(c.p.Min+math.Round((n-c.p.Min)/c.p.Step)*c.p.Step, c.p.Max)
	}
	return n, nil
}

// word returns the index of a word; true and false are "on" and "off".
func (c *control) word(value any) (float64, error) {
	v, ok := value.(string)
	if b, is := value.(bool); is {
		v, ok = map[bool]string{true: "on", false: "off"}[b], true
	}
	if !ok {
		return 0, c.refuse(value, "")
	}
	if i := slices.Index(c.p.Values, v); i >= 0 {
		return float64(i), nil
	}
	return 0, c.refuse(value, spell.Nearest(v, c.p.Values))
}

// refuse says what the control takes.
func (c *control) refuse(value any, near string) error {
	takes := quoted(c.p.Values)
	if len(c.p.Values) == 0 {
		unit := c.p.Unit
		if unit != "" {
			unit = " " + unit
		}
		takes = fmt.Sprintf(`%v to %v%s, "minimum" or "maximum"`, c.p.Min, c.p.Max, unit)
	}
	return bench.Errorf(bench.CodeBadSetting, didYouMean(near), "%s: value is %s; it must be %s", c.p.Name, show(value), takes)
}

// light returns the control's factor on the panel's light.
func (c *control) light() float64 {
	f := c.p.Factors
	switch {
	case len(f) == 0:
		return 1
	case len(c.p.Values) > 0:
		return f[int(c.at)]
	}
	return f[0] + (f[1]-f[0])*c.within((c.at-c.p.Min)/(c.p.Max-c.p.Min))
}

// within turns a share of the range into a share of the control's reach, from -1
// to 1.
func (c *control) within(share float64) float64 {
	if c.p.Reach == 0 {
		return share
	}
	return math.Min(math.Max(share/c.p.Reach, -1), 1)
}

// gain returns the control's factor on the drive of a primary.
func (c *control) gain(primary int) float64 {
	zero := math.Min(math.Max(0, c.p.Min), c.p.Max)
	if c.p.Gains[primary] == 0 || zero == c.p.Max {
		return 1
	}
	share := c.within((c.at - zero) / (c.p.Max - zero))
	return math.Max(0, 1+c.p.Gains[primary]/100*share)
}

// lightFactor returns the product of the controls' factors on the panel's light.
func lightFactor(controls []control) float64 {
	product := 1.0
	for i := range controls {
		product *= controls[i].light()
	}
	return product
}

// gainsOf returns the product of the controls' factors on the primaries' drive.
// The panel does not give what they ask for above full drive.
func gainsOf(controls []control) [3]float64 {
	product := [3]float64{1, 1, 1}
	for i := range controls {
		for k := range product {
			product[k] *= controls[i].gain(k)
		}
	}
	return product
}

// followsRoom says whether the control of this name is "on".
func followsRoom(controls []control, name string) bool {
	for i := range controls {
		if c := &controls[i]; c.p.is(name) && len(c.p.Values) > 0 {
			return c.p.Values[int(c.at)] == "on"
		}
	}
	return false
}

// is says whether the control has this name, or had it formerly.
func (p *ControlParams) is(name string) bool {
	return p.Name == name || slices.Contains(p.Former, name)
}

// find returns the control of this name. It fails with a [bench.Error] of code
// "bad-setting" that names the nearest.
func find(controls []control, name string) (*control, error) {
	names := make([]string, len(controls))
	for i := range controls {
		if names[i] = controls[i].p.Name; controls[i].p.is(name) {
			return &controls[i], nil
		}
	}
	if len(names) == 0 {
		return nil, bench.Errorf(bench.CodeBadSetting, "", "the unit has no control %q; it has no controls at all", name)
	}
	return nil, bench.Errorf(bench.CodeBadSetting, didYouMean(spell.Nearest(name, names)),
		"the unit has no control %q; it has %s", name, quoted(names))
}

// quoted joins words for a message: "a", "b" or "c".
func quoted(words []string) string {
	q := make([]string, len(words))
	for i, w := range words {
		q[i] = strconv.Quote(w)
	}
	if len(q) < 2 {
		return strings.Join(q, "")
	}
	return strings.Join(q[:len(q)-1], ", ") + " or " + q[len(q)-1]
}

func show(value any) string {
	if s, ok := value.(string); ok {
		return strconv.Quote(s)
	}
	return fmt.Sprint(value)
}

func didYouMean(near string) string {
	if near == "" {
		return ""
	}
	return fmt.Sprintf("did you mean %q?", near)
}

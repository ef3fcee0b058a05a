package bench

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
)

// UnitFile describes a display under test: what it is, which modes it has and
// which controls.
type UnitFile struct {
	Name     string
	Serial   string
	Kind     string // a word such as "phone", "television", "monitor"
	Screen   Screen
	Modes    []string
	Controls []Control // sorted by name

	path  string
	lines map[string]int // of each control
}

// Screen is the unit's panel. Zero means that nothing is stated.
type Screen struct {
	Diagonal float64 // inches
	Width    int     // pixels
	Height   int     // pixels
}

// Control is something that can be set on the unit: one of several values, or a
// number from Min to Max in steps.
type Control struct {
	Name   string
	Former []string // names that it had before, which are still taken
	Values []string // nil for a number
	Min    float64
	Max    float64
	Step   float64 // 0: any number between
	Unit   string  // "tick", "%"; may be empty
}

// DefaultUnit returns the unit that serves where no file is given: a display
// of which nothing is known.
func DefaultUnit() *UnitFile { return &UnitFile{Name: "unit"} }

// ParseUnit reads a unit file, strictly, as [ParseFile] reads a bench file. The
// name of the unit is required.
func ParseUnit(name string, src []byte) (*UnitFile, error) {
	doc, err := parseDocument(name, src)
	if err != nil {
		return nil, err
	}
	u := &UnitFile{path: name, lines: map[string]int{}}
	root := doc.root()
	root.only("unit file", []string{"format", "name", "serial", "kind", "screen", "modes", "controls"})
	root.format()
	root.required("name", &u.Name, `say which unit it is, for example name = "Heron 6"`)
	root.text("serial", &u.Serial)
	root.text("kind", &u.Kind)
	root.words("modes", &u.Modes)
	if t := root.table("screen"); t != nil {
		t.only("screen", []string{"diagonal", "width", "height"})
		t.number("diagonal", &u.Screen.Diagonal, 0.5, 1000, "inches")
		t.whole("width", &u.Screen.Width, 1, 100_000)
		t.whole("height", &u.Screen.Height, 1, 100_000)
	}
	if t := root.table("controls"); t != nil {
		u.readControls(t)
	}
	if doc.err != nil {
		return nil, doc.err
	}
	return u, nil
}

func (u *UnitFile) readControls(t *table) {
	for _, name := range slices.Sorted(maps.Keys(t.values)) {
		if strings.TrimSpace(name) == "" || strings.ContainsFunc(name, isControl) {
			t.doc.fail(t.lineOf(name), "", "control %q has no name that can be shown", name)
			continue
		}
		if c := t.table(name); c != nil {
			u.Controls = append(u.Controls, readControl(name, c))
			u.lines[name] = c.line
		}
	}
	u.checkFormer(t.doc)
}

// checkFormer refuses a former name that does not lead to one control.
func (u *UnitFile) checkFormer(doc *document) {
	names := map[string]bool{}
	for _, c := range u.Controls {
		names[c.Name] = true
	}
	for _, c := range u.Controls {
		for _, name := range c.Former {
			if names[name] {
				doc.fail(u.lines[c.Name], "", "control %q was formerly %q, which is the name, or another former name, of a control", c.Name, name)
			}
			names[name] = true
		}
	}
}

func readControl(name string, t *table) Control {
	c := Control{Name: name}
	t.words("formerly", &c.Former)
	_, listed := t.values["values"]
	if listed {
		t.only("a control with values", []string{"values", "formerly"})
		t.words("values", &c.Values)
		return c
	}
	t.only("a control", []string{"values", "min", "max", "step", "unit", "formerly"})
	for _, key := range []string{"min", "max"} {
		if _, ok := t.values[key]; !ok {
			t.doc.fail(t.line, `write values = ["on", "off"], or min and max`, "%s is missing", t.named(key))
			return c
		}
	}
	const far = 1e9
	t.number("min", &c.Min, -far, far, "")
	t.number("max", &c.Max, -far, far, "")
	t.number("step", &c.Step, 1e-9, far, "")
	t.text("unit", &c.Unit)
	if c.Max <= c.Min {
		t.wrong("max", "", "more than min, "+plain(c.Min))
	}
	return c
}

// Mode returns the mode that a run is in when name is asked for: name itself,
// or the only mode where name is empty. A unit of which no mode is stated takes
// any. A mode that the unit has not, or an empty name where there are several,
// is an [Error] of code "unknown-mode" that lists what there is.
func (u *UnitFile) Mode(name string) (string, error) {
	switch {
	case len(u.Modes) == 0 || slices.Contains(u.Modes, name):
		return name, nil
	case name == "" && len(u.Modes) == 1:
		return u.Modes[0], nil
	case name == "":
		return "", Errorf(CodeUnknownMode, "name the mode that the unit is in",
			"unit %q: no mode is named, want one of %s", u.Name, list(u.Modes))
	}
	return "", Errorf(CodeUnknownMode, didYouMean(name, u.Modes),
		"unit %q: mode is %q, want one of %s", u.Name, name, list(u.Modes))
}

// Control returns the control of a name, or of a former one. A unit of which no control is stated
// has any: ok is false and err nil.
func (u *UnitFile) Control(name string) (c Control, ok bool, err error) {
	if len(u.Controls) == 0 {
		return Control{}, false, nil
	}
	names := make([]string, len(u.Controls))
	for i, c := range u.Controls {
		if c.Name == name || slices.Contains(c.Former, name) {
			return c, true, nil
		}
		names[i] = c.Name
	}
	return Control{}, false, Errorf(CodeBadSetting, didYouMean(name, names),
		"unit %q: control is %q, want one of %s", u.Name, name, list(names))
}

// Check refuses, with an [Error] of code "bad-setting", a setting that the unit
// file rules out: an unknown control, a value that is not in its list, a number
// out of its range or between its steps. For a number the words "minimum" and
// "maximum" serve; for a list, true and false mean "on" and "off".
func (u *UnitFile) Check(s Setting) error {
	c, ok, err := u.Control(s.Name)
	if err != nil || !ok {
		return err
	}
	if c.allows(s.Value) {
		return nil
	}
	hint := ""
	if word, isText := s.Value.(string); isText {
		hint = didYouMean(word, c.Values)
	}
	return Errorf(CodeBadSetting, hint, "%s: control %q is to be %s, want %s",
		where(u.path, u.lines[c.Name]), c.Name, shown(s.Value), c.wants())
}

func (c Control) allows(value any) bool {
	switch v := value.(type) {
	case string:
		if c.Values == nil {
			return v == "minimum" || v == "maximum"
		}
		return slices.Contains(c.Values, v)
	case bool:
		return slices.Contains(c.Values, map[bool]string{true: "on", false: "off"}[v])
	case float64:
		return c.Values == nil && v >= c.Min && v <= c.Max && c.onStep(v)
	}
	return false
}

// onStep tells whether v is a whole number of steps above Min, to a millionth
// of a step.
func (c Control) onStep(v float64) bool {
	if c.Step == 0 {
		return true
	}
	steps := (v - c.Min) / c.Step
	return math.Abs(steps-math.Round(steps)) < 1e-6
}

// wants says what the control allows, for a message.
func (c Control) wants() string {
	if c.Values != nil {
		return "one of " + list(c.Values)
	}
	s := strings.TrimSpace(fmt.Sprintf("a number from %s to %s %s", plain(c.Min), plain(c.Max), c.Unit))
	if c.Step > 0 {
		s += " in steps of " + plain(c.Step)
	}
	return s
}

package bench

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// UnitFile describes a display under test: what it is, which modes it has and
// which controls.
type UnitFile struct {
	Name     string
	serial   string
	kind     string // a word such as "phone", "television", "monitor"
	panel    string // the kind of panel, in words, such as "RGB OLED"
	screen   screen
	modes    []string
	controls []Control // sorted by name

	path  string
	lines map[string]int // of each control
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
	// Role is what the control is for, see [Roles]; empty: nothing that has a role.
	Role string
	// Words are this control's own words for those of its role; a word that is not among
	// them is its own.
	Words map[string]string
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
	root.only("a unit file", []string{"format", "name", "serial", "kind", "panel", "screen", "modes", "controls"})
	root.format()
	root.required("name", &u.Name, `state the unit's name, for example name = "Crake 2"`)
	root.text("serial", &u.serial)
	root.text("kind", &u.kind)
	root.text("panel", &u.panel)
	root.words("modes", &u.modes)
	if t := root.table("screen"); t != nil {
		u.screen.read(t)
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
			t.doc.fail(t.lineOf(name), "", "control %q has a name that is blank or has control characters; it must be a printable name", name)
			continue
		}
		if c := t.table(name); c != nil {
			u.controls = append(u.controls, readControl(name, c))
			u.lines[name] = c.line
		}
	}
	u.checkFormer(t.doc)
}

// checkFormer refuses a former name that does not lead to one control.
func (u *UnitFile) checkFormer(doc *document) {
	names := map[string]bool{}
	for _, c := range u.controls {
		names[c.Name] = true
	}
	for _, c := range u.controls {
		for _, name := range c.Former {
			if names[name] {
				doc.fail(u.lines[c.Name], "", "control %q has the former name %q, which is already the name or a former name of a control", c.Name, name)
			}
			names[name] = true
		}
	}
}

func readControl(name string, t *table) Control {
	c := Control{Name: name}
	t.words("formerly", &c.Former)
	t.role(&c)
	_, listed := t.values["values"]
	if listed {
		t.only("a control with values", []string{"values", "role", "words", "formerly"})
		t.words("values", &c.Values)
		t.ownWords(&c)
		return c
	}
	t.only("a control", []string{"values", "min", "max", "step", "unit", "role", "formerly"})
	for _, key := range []string{"min", "max"} {
		if _, ok := t.values[key]; !ok {
			t.doc.fail(t.line, `write values = ["on", "off"], or min and max`, "%s is missing", t.named(key))
			return c
		}
	}
	const far = 1e9
	t.number("min", &c.Min, limits{-far, far, ""})
	t.number("max", &c.Max, limits{-far, far, ""})
	t.number("step", &c.Step, limits{1e-9, far, ""})
	t.text("unit", &c.Unit)
	if c.Max <= c.Min {
		t.wrong("max", "", "more than min, "+plain(c.Min))
	}
	return c
}

// Serial is the unit's serial number; empty where none is stated.
func (u *UnitFile) Serial() string { return u.serial }

// Panel is the kind of the unit's panel, in somebody's words; empty where none is stated.
func (u *UnitFile) Panel() string { return u.panel }

// Named says whether a file describes the unit: its runs can be told from those of others.
func (u *UnitFile) Named() bool { return u.path != "" }

// Controls are the controls that the file states, sorted by name; a copy.
func (u *UnitFile) Controls() []Control { return slices.Clone(u.controls) }

// Modes are the modes that the file states; a copy.
func (u *UnitFile) Modes() []string { return slices.Clone(u.modes) }

// Mode returns the mode that a run is in when name is asked for: name itself,
// or the only mode where name is empty. A unit of which no mode is stated takes
// any. A mode that the unit has not, or an empty name where there are several,
// is an [Error] of code "unknown-mode" that lists what there is.
func (u *UnitFile) Mode(name string) (string, error) {
	switch {
	case len(u.modes) == 0 || slices.Contains(u.modes, name):
		return name, nil
	case name == "" && len(u.modes) == 1:
		return u.modes[0], nil
	case name == "":
		return "", Errorf(CodeUnknownMode, "set the unit to one of them and state it, as in "+modeFlag(u.modes[0]),
			"unit %q: no mode is stated; it must be one of %s", u.Name, list(u.modes))
	}
	return "", Errorf(CodeUnknownMode, didYouMean(name, u.modes),
		"unit %q has no mode %q; it must be one of %s", u.Name, name, list(u.modes))
}

// control returns the control of a name, or of a former one. A unit of which no control is stated
// has any: ok is false and err nil.
func (u *UnitFile) control(name string) (c Control, ok bool, err error) {
	if len(u.controls) == 0 {
		return Control{}, false, nil
	}
	names := make([]string, len(u.controls))
	for i, c := range u.controls {
		if c.Name == name || slices.Contains(c.Former, name) {
			return c, true, nil
		}
		names[i] = c.Name
	}
	return Control{}, false, Errorf(CodeBadSetting, didYouMean(name, names),
		"unit %q has no control %q; it must be one of %s", u.Name, name, list(names))
}

// Check refuses, with an [Error] of code "bad-setting", a setting that the unit
// file rules out: an unknown control, a value that is not in its list, a number
// out of its range or between its steps. For a number the words "minimum" and
// "maximum" serve; for a list, true and false mean "on" and "off".
func (u *UnitFile) Check(s Setting) error {
	c, ok, err := u.control(s.Name)
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
	at := where(u.path, u.lines[c.Name])
	if u.path == "" {
		at = "unit " + strconv.Quote(u.Name)
	}
	return Errorf(CodeBadSetting, hint, "%s: control %q cannot be set to %s; it must be %s", at, c.Name, shown(s.Value), c.wants())
}

func (c Control) allows(value any) bool {
	switch v := value.(type) {
	case string:
		if len(c.Values) == 0 {
			return strings.EqualFold(v, "minimum") || strings.EqualFold(v, "maximum")
		}
		return slices.Contains(c.Values, v)
	case bool:
		return slices.Contains(c.Values, map[bool]string{true: "on", false: "off"}[v])
	case float64:
		return len(c.Values) == 0 && c.limits().allow(v) && c.onStep(v)
	}
	return false
}

func (c Control) limits() limits { return limits{c.Min, c.Max, c.Unit} }

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
	if len(c.Values) > 0 {
		return "one of " + list(c.Values)
	}
	s := c.limits().want("a number")
	if c.Step > 0 {
		s += " in steps of " + plain(c.Step)
	}
	return s
}

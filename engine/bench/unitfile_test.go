package bench

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

const crake = `name   = "Crake 2"
serial = "TS-0153"
kind   = "phone"
screen = { diagonal = 6.3, width = 1152, height = 2304 }
modes  = ["Noon", "Dusk"]
[controls]
"Automatic brightness" = { values = ["on", "off"], formerly = ["Adaptive brightness", "Ambient"] }
"Red" = { min = -20, max = 20, step = 1, unit = "%", formerly = ["Red gain"] }
[controls.Brightness]
min = 0
max = 100.0
`

func parseCrake(t *testing.T) *UnitFile {
	t.Helper()
	u, err := ParseUnit("crake.toml", []byte(crake))
	if err != nil {
		t.Fatal(err)
	}
	return u
}

func TestParseUnit(t *testing.T) {
	want := &UnitFile{
		Name: "Crake 2", serial: "TS-0153", kind: "phone",
		screen: screen{diagonal: 6.3, width: 1152, height: 2304},
		modes:  []string{"Noon", "Dusk"},
		controls: []Control{
			{Name: "Automatic brightness", Former: []string{"Adaptive brightness", "Ambient"}, Values: []string{"on", "off"}},
			{Name: "Brightness", Max: 100},
			{Name: "Red", Former: []string{"Red gain"}, Min: -20, Max: 20, Step: 1, Unit: "%"},
		},
	}
	if d := cmp.Diff(want, parseCrake(t), cmp.AllowUnexported(UnitFile{}, screen{}, Control{}), cmpopts.IgnoreFields(UnitFile{}, "path", "lines")); d != "" {
		t.Errorf("unit differs (-want +got):\n%s", d)
	}
}

// A part of the screen in pixels is a share of it, which holds whatever a page takes for a pixel.
func TestZones(t *testing.T) {
	u, err := ParseUnit("a.toml", []byte("name='a'\n[screen]\nwidth=1000\nheight=2000\ncorner=100\n[screen.avoid]\nnotch={x=400,y=0,width=200,height=80}\n'light sensor'={x=480,y=120,width=40,height=30}"))
	if err != nil {
		t.Fatal(err)
	}
	want := []Zone{
		{What: "rounded corner", Right: 0.1, Bottom: 0.05, Rounded: true}, {What: "rounded corner", Top: 0.95, Right: 0.1, Bottom: 1, Rounded: true},
		{What: "rounded corner", Left: 0.9, Right: 1, Bottom: 0.05, Rounded: true}, {What: "rounded corner", Left: 0.9, Top: 0.95, Right: 1, Bottom: 1, Rounded: true},
		{What: "light sensor", Left: 0.48, Top: 0.06, Right: 0.52, Bottom: 0.075}, {What: "notch", Left: 0.4, Right: 0.6, Bottom: 0.04},
	}
	if d := cmp.Diff(want, u.Zones(), cmpopts.EquateApprox(0, 1e-12)); d != "" {
		t.Error(d)
	}
	if DefaultUnit().Zones() != nil {
		t.Error("a unit of which nothing is known has parts to avoid")
	}
}

func TestParseUnitRefuses(t *testing.T) {
	const list = `a list of different texts, such as ["on", "off"]`
	const values = `write values = ["on", "off"], or min and max`
	tests := []struct{ name, src, message, hint string }{
		{"no name", "serial='1'", "b.toml:1: name is missing", `state the unit's name, for example name = "Crake 2"`},
		{"unknown key", "name='a'\nmode=['b']", "b.toml:2: mode is unknown; the keys of a unit file are format, name, serial, kind, panel, screen, modes, controls", `did you mean "modes"?`},
		{"newer format", "name='a'\nformat=3", "b.toml:2: format is 3; it must be 1", "the file was written for another version of candelua"},
		{"modes as text", "name='a'\nmodes='b'", `b.toml:2: modes is "b"; it must be ` + list, ""},
		{"mode twice", "name='a'\nmodes=['b','b']", "b.toml:2: modes is a list; it must be " + list, ""},
		{"no modes", "name='a'\nmodes=[]", "b.toml:2: modes is a list; it must be " + list, ""},
		{"blank mode", "name='a'\nmodes=[' ']", "b.toml:2: modes is a list; it must be " + list, ""},
		{"mode as number", "name='a'\nmodes=['b', 1]", "b.toml:2: modes is a list; it must be " + list, ""},
		{"flat screen", "name='a'\nscreen={diagonal=0}", "b.toml:2: screen.diagonal is 0; it must be a number from 0.5 to 1000 inches", ""},
		{"half a pixel", "name='a'\nscreen={width=0.5}", "b.toml:2: screen.width is 0.5; it must be a whole number from 1 to 100000", ""},
		{"unknown of screen", "name='a'\n[screen]\nwidht=3", "b.toml:3: screen.widht is unknown; the keys of [screen] are diagonal, width, height, corner, avoid", `did you mean "width"?`},
		{"corner of no screen", "name='a'\n[screen]\ncorner=30", "b.toml:3: screen.corner is given in pixels, and the screen has no width or no height", "state the size of the screen too, as in width = 1080 and height = 2400"},
		{"corner too large", "name='a'\n[screen]\nwidth=100\nheight=200\ncorner=51", "b.toml:5: screen.corner is 51; it must be a number from 0 to 50 pixels", ""},
		{"zone as text", "name='a'\n[screen]\nwidth=100\nheight=200\navoid={notch=1}", "b.toml:5: screen.avoid.notch is 1; it must be a single table with the head [screen.avoid.notch]", ""},
		{"zone without edge", "name='a'\n[screen]\nwidth=100\nheight=200\navoid={notch={x=1,width=3,height=3}}", "b.toml:5: screen.avoid.notch.y is missing", "state its left and its upper edge, and its size, in pixels: { x = 440, y = 0, width = 200, height = 80 }"},
		{"unknown of zone", "name='a'\n[screen]\nwidth=100\nheight=200\navoid={notch={x=1,y=0,widht=3,height=3}}", "b.toml:5: screen.avoid.notch.widht is unknown; the keys of a part of the screen to avoid are x, y, width, height", `did you mean "width"?`},
		{"zone off the screen", "name='a'\n[screen]\nwidth=100\nheight=200\navoid={notch={x=90,y=0,width=11,height=3}}", "b.toml:5: screen.avoid.notch.x reaches from 90, 0 to 101, 3; it must be a part of the screen of 100 by 200 pixels, and not empty", ""},
		{"control as text", "name='a'\n[controls]\nRed='x'", `b.toml:3: controls.Red is "x"; it must be a single table with the head [controls.Red]`, ""},
		{"control without limits", "name='a'\n[controls]\nRed={max=3}", "b.toml:3: controls.Red.min is missing", values},
		{"control of nothing", "name='a'\n[controls]\nRed={}", "b.toml:3: controls.Red.min is missing", values},
		{"control upside down", "name='a'\n[controls]\nRed={min=3,max=3}", "b.toml:3: controls.Red.max is 3; it must be more than min, 3", ""},
		{"step of nothing", "name='a'\n[controls]\nRed={min=3,max=5,step=0}", "b.toml:3: controls.Red.step is 0; it must be a number from 1e-09 to 1000000000", ""},
		{"values and limits", "name='a'\n[controls]\nRed={values=['a'],min=1}", "b.toml:3: controls.Red.min is unknown; the keys of a control with values are values, role, words, formerly", ""},
		{"unknown of control", "name='a'\n[controls]\nRed={min=1,max=2,stp=1}", "b.toml:3: controls.Red.stp is unknown; the keys of a control are values, min, max, step, unit, role, formerly", `did you mean "step"?`},
		{"former names as text", "name='a'\n[controls]\nRed={min=1,max=2,formerly='x'}", `b.toml:3: controls.Red.formerly is "x"; it must be ` + list, ""},
		{"own former name", "name='a'\n[controls]\nRed={min=1,max=2,formerly=['Red']}", `b.toml:3: control "Red" has the former name "Red", which is already the name or a former name of a control`, ""},
		{"another's former name", "name='a'\n[controls]\nBlue={min=1,max=2,formerly=['B']}\nRed={values=['x'],formerly=['B']}", `b.toml:4: control "Red" has the former name "B", which is already the name or a former name of a control`, ""},
		{"unknown role", "name='a'\n[controls]\nRed={min=1,max=2,role='brightnes'}", `b.toml:3: controls.Red.role is "brightnes"; it must be one of automatic brightness, brightness, picture mode, enhancements`, `did you mean "brightness"?`},
		{"word that the control lacks", "name='a'\n[controls]\nRed={values=['Off'],words={off='Of'}}", `b.toml:3: controls.Red.words.off is "Of"; it must be one of Off`, `did you mean "Off"?`},
		{"word that the role lacks", "name='a'\n[controls]\nRed={values=['An','Aus'],role='automatic brightness',words={of='Aus'}}", "b.toml:3: controls.Red.words.of is unknown; the keys of words of automatic brightness are on, off", `did you mean "off"?`},
		{"word that the role of that name lacks", "name='a'\n[controls]\nEnhancements={values=['An','Aus'],words={no='Aus'}}", "b.toml:3: controls.Enhancements.words.no is unknown; the keys of words of enhancements are on, off", ""},
		{"control without name", "name='a'\n[controls]\n''={min=1,max=2}", `b.toml:3: control "" has a name that is blank or has control characters; it must be a printable name`, ""},
		{"no TOML", "name", "b.toml:1: expected '=' after key", "the file must be TOML: put texts in quotes and names of tables in brackets"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := ParseUnit("b.toml", []byte(tt.src))
			fails(t, err, CodeBadFile, tt.message, tt.hint)
		})
	}
}

func TestMode(t *testing.T) {
	u := parseCrake(t)
	single := &UnitFile{Name: "Fulmar 55", modes: []string{"Cinema"}}
	for _, tt := range []struct {
		unit       *UnitFile
		name, want string
	}{{u, "Dusk", "Dusk"}, {single, "", "Cinema"}, {DefaultUnit(), "", ""}, {DefaultUnit(), "any", "any"}} {
		if got, err := tt.unit.Mode(tt.name); got != tt.want || err != nil {
			t.Errorf("mode %q of %s is %q, %v, want %q", tt.name, tt.unit.Name, got, err, tt.want)
		}
	}
	_, err := u.Mode("dusk ")
	fails(t, err, CodeUnknownMode, `unit "Crake 2" has no mode "dusk "; it must be one of Noon, Dusk`, `did you mean "Dusk"?`)
	_, err = u.Mode("")
	fails(t, err, CodeUnknownMode, `unit "Crake 2": no mode is stated; it must be one of Noon, Dusk`, "set the unit to one of them and state it, as in --mode Noon")
}

func TestCheckSetting(t *testing.T) {
	u := parseCrake(t)
	for _, s := range []Setting{
		{"Automatic brightness", "off"}, {"Automatic brightness", true}, {"Red", -20.0}, {"Red", 20.0},
		{"Adaptive brightness", "off"}, {"Ambient", true}, {"Red gain", 3.0},
		{"Red", "maximum"}, {"Brightness", 33.3}, {"Brightness", "minimum"},
	} {
		if err := u.Check(s); err != nil {
			t.Errorf("%v: %v", s, err)
		}
	}
	if err := DefaultUnit().Check(Setting{"Contrast", 3.0}); err != nil {
		t.Errorf("unit without controls: %v", err)
	}
	for _, tt := range []struct {
		s             Setting
		message, hint string
	}{
		{Setting{"Automatic brightnes", "off"}, `unit "Crake 2" has no control "Automatic brightnes"; it must be one of Automatic brightness, Brightness, Red`, `did you mean "Automatic brightness"?`},
		{Setting{"Automatic brightness", "of"}, `crake.toml:7: control "Automatic brightness" cannot be set to "of"; it must be one of on, off`, `did you mean "off"?`},
		{Setting{"Automatic brightness", 1.0}, `crake.toml:7: control "Automatic brightness" cannot be set to 1; it must be one of on, off`, ""},
		{Setting{"Ambient", "of"}, `crake.toml:7: control "Automatic brightness" cannot be set to "of"; it must be one of on, off`, `did you mean "off"?`},
		{Setting{"Red", 0.5}, `crake.toml:8: control "Red" cannot be set to 0.5; it must be a number from -20 to 20 % in steps of 1`, ""},
		{Setting{"Red", 21.0}, `crake.toml:8: control "Red" cannot be set to 21; it must be a number from -20 to 20 % in steps of 1`, ""},
		{Setting{"Red", "max"}, `crake.toml:8: control "Red" cannot be set to "max"; it must be a number from -20 to 20 % in steps of 1`, ""},
		{Setting{"Brightness", true}, `crake.toml:9: control "Brightness" cannot be set to true; it must be a number from 0 to 100`, ""},
		{Setting{"Brightness", nil}, `crake.toml:9: control "Brightness" cannot be set to <nil>; it must be a number from 0 to 100`, ""},
	} {
		fails(t, u.Check(tt.s), CodeBadSetting, tt.message, tt.hint)
	}
}

func FuzzParseUnit(f *testing.F) {
	f.Add([]byte(crake))
	f.Add([]byte("name='a'\ncontrols.'a b'.values=['x']"))
	f.Fuzz(func(t *testing.T, src []byte) {
		u, err := ParseUnit("b.toml", src)
		checkParsed(t, u != nil, err)
		if err != nil {
			return
		}
		for _, c := range u.controls {
			if c.Name == "" || c.Values == nil && !(c.Min < c.Max) || c.Step < 0 {
				t.Errorf("control passed as %+v", c)
			}
		}
	})
}

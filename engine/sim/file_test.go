package sim

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"candelua/engine/bench"
)

func TestShippedWorlds(t *testing.T) {
	names := Names()
	if !slices.Equal(names, []string{"default", "awkward", "dunlin-27", "fulmar-55", "ideal"}) {
		t.Errorf("names are %v", names)
	}
	for _, name := range names {
		p, err := Load(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := New(p, 1, 0); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestDefaultIsComplete: the default world states every parameter, for it is
// what other worlds fall back on.
func TestDefaultIsComplete(t *testing.T) {
	lines, err := readLines("default", shippedSource("default"))
	if err != nil {
		t.Fatal(err)
	}
	for i, d := range fieldsOf(reflect.TypeFor[Params]()) {
		if lines.of[d.name] == 0 {
			t.Errorf("%s is missing", d.name)
		}
		field := reflect.TypeFor[Params]().Field(i).Type
		if field.Kind() != reflect.Struct {
			continue
		}
		for _, in := range fieldsOf(field) {
			if lines.of[d.name+"."+in.name] == 0 {
				t.Errorf("%s.%s is missing", d.name, in.name)
			}
		}
	}
}

// TestPrint: what Print writes is a world file of the same world, and says of
// each parameter what it is.
func TestPrint(t *testing.T) {
	odd := Default()
	odd.Name = "tab\t \"quote\" \\ <é> \x7f\u2028 \x01"
	odd.Controls = nil
	odd.Warmup.Terms = [][2]float64{{0.1, -50}, {100000, 1.0 / 3}}
	odd.Light.Black = 1e-9
	worlds := []Params{odd}
	for _, name := range Names() {
		p, err := Load(name)
		if err != nil {
			t.Fatal(err)
		}
		worlds = append(worlds, p)
	}
	for _, p := range worlds {
		var b bytes.Buffer
		if err := Print(&b, p); err != nil {
			t.Fatal(err)
		}
		again, err := Parse("printed.toml", b.Bytes())
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		// An empty list may come back as nil.
		var c bytes.Buffer
		if err := Print(&c, again); err != nil {
			t.Fatal(err)
		}
		if b.String() != c.String() || again.Name != p.Name || len(again.Controls) != len(p.Controls) {
			t.Errorf("printed and parsed gives\n%s\nwant\n%s", c.String(), b.String())
		}
		if !reflect.DeepEqual(again.Meter, p.Meter) || !reflect.DeepEqual(again.Light, p.Light) || !reflect.DeepEqual(again.Primaries, p.Primaries) {
			t.Errorf("printed and parsed gives %+v, want %+v", again, p)
		}
	}
	var b bytes.Buffer
	if err := Print(&b, Default()); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "# luminance of full SDR white, black level included (1 to 10000 cd/m2)\nwhite = 480.0\n") {
		t.Errorf("no help in\n%s", b.String())
	}
	if !strings.Contains(b.String(), "\nfaults = []\n# To add one, ") || !strings.Contains(b.String(), "\n# at_reading: number of the meter's reading ") {
		t.Errorf("a list of tables without any is not explained in\n%s", b.String())
	}
}

type brokenWriter struct{}

var errBroken = errors.New("broken")

func (brokenWriter) Write([]byte) (int, error) { return 0, errBroken }

func TestPrintError(t *testing.T) {
	if err := Print(brokenWriter{}, Default()); !errors.Is(err, errBroken) {
		t.Errorf("got %v", err)
	}
}

// TestDifferences: a file changes what it states and nothing else; lists are
// replaced whole.
func TestDifferences(t *testing.T) {
	p, err := Parse("w.toml", []byte(`
format = 1
light = { white = 300 }
[limit]
curve = [ # none but
  [0.5, 0.5],
]
[[controls]]
name = "Mode"
values = ["a", "b"]
start = "b"
`))
	if err != nil {
		t.Fatal(err)
	}
	want := Default()
	want.Light.White = 300
	want.Limit.Curve = [][2]float64{{0.5, 0.5}}
	want.Controls = []ControlParams{{Name: "Mode", Values: []string{"a", "b"}, Start: "b"}}
	if !reflect.DeepEqual(p, want) {
		t.Errorf("got %+v\nwant %+v", p, want)
	}
	if d := Default(); len(d.Limit.Curve) != 5 || len(d.Controls) != 2 || d.Limit.Curve[0] != [2]float64{0, 1} {
		t.Errorf("reading a file changed the default world: %+v", d)
	}
	p, err = Parse("w.toml", []byte("format = 1\ncontrols = [{ name = \"Mode\", max = 5, start = \"5\" }]\n"))
	if err != nil || len(p.Controls) != 1 || p.Controls[0].Max != 5 || p.Controls[0].Values != nil {
		t.Errorf("inline: %+v, %v", p.Controls, err)
	}
	if p, err = Parse("w.toml", []byte("format = 1\ncontrols = []\n")); err != nil || len(p.Controls) != 0 {
		t.Errorf("none: %+v, %v", p.Controls, err)
	}
}

func TestLoadFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "dim.toml")
	if err := os.WriteFile(path, []byte("format = 1\nlight.white = 77\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if p, err := Load(path); err != nil || p.Light.White != 77 {
		t.Errorf("got %v, %v", p.Light, err)
	}
	if _, err := Load("missing.toml"); !errors.Is(err, os.ErrNotExist) || !strings.HasPrefix(err.Error(), "world: ") {
		t.Errorf("got %v", err)
	}
	_, err := Load("idael")
	wantError(t, err, bench.CodeBadFile, `there is no world "idael"; it must be "default", "awkward", "dunlin-27", "fulmar-55" or "ideal", or the path of a world file`, `did you mean "ideal"?`)
}

// TestFileErrors: what a file gets wrong is said with its line.
func TestFileErrors(t *testing.T) {
	const top = "format = 1\n"
	for _, c := range []struct{ src, message, hint string }{
		{"", "w.toml: format is missing", "write format = 1 at the top"},
		{"format = 2", "w.toml:1: format is 2; it must be 1", ""},
		{top + "colour = 1", `w.toml:2: unknown key "colour", a world file has format, name, serial, mode, screen, primaries, light, tone, limit, warmup, retention, static, thermal, pwm, angle, edge, source, adaptive, room, rig, meter, reference, controls, lamps, modes, faults, base`, ""},
		{top + "[limt]\ncurve = []", `w.toml:2: unknown key "limt", a world file has format, name, serial, mode, screen, primaries, light, tone, limit, warmup, retention, static, thermal, pwm, angle, edge, source, adaptive, room, rig, meter, reference, controls, lamps, modes, faults, base`, `did you mean "limit"?`},
		{top + "[light]\nwhit = 3", `w.toml:3: unknown key "whit", light has white, black, hdr_peak`, `did you mean "white"?`},
		{top + "[light]\nWhite = 3", `w.toml:3: unknown key "White", light has white, black, hdr_peak`, `did you mean "white"?`},
		{top + "light.peak = 3", `w.toml:2: unknown key "peak", light has white, black, hdr_peak`, ""},
		{top + "light = { dark = 3 }", `w.toml:2: unknown key "dark", light has white, black, hdr_peak`, ""},
		{top + "[[controls]]\nname = \"A\"\nvalue = 1", `w.toml:4: unknown key "value", controls[1] has name, formerly, role, values, min, max, step, unit, start, factors, gains, reach, seconds, base`, `did you mean "values"?`},
		{top + "light = 3", "w.toml:2: light is a number; it must be a table", ""},
		{top + "[name]", "w.toml:2: name is a table; it must be a word", ""},
		{top + "[light.white]", "w.toml:2: light.white is a table; it must be a number", ""},
		{top + "light.white.x = 3", "w.toml:2: light.white is a table; it must be a number", ""},
		{top + "[[light]]\nwhite = 1", "w.toml:2: light is a list of tables; it must be a table", ""},
		{top + "[controls]\nname = \"A\"", "w.toml:2: controls is a table; it must be a list of tables", ""},
		{top + "controls = 3", "w.toml:2: controls is a number; it must be a list of tables", ""},
		{top + "controls = [3]", "w.toml:2: controls[1] is a number; it must be a table", ""},
		{top + "name = 3", "w.toml:2: name is a number; it must be a word", ""},
		{top + "light.white = \"3\"", "w.toml:2: light.white is a word; it must be a number", ""},
		{top + "light.white = true", "w.toml:2: light.white is true or false; it must be a number", ""},
		{top + "light.white = 2030-01-01", "w.toml:2: light.white is a date or time; it must be a number", ""},
		{top + "light.white = [3]", "w.toml:2: light.white is a list; it must be a number", ""},
		{top + "tone.bits = 1.5", "w.toml:2: tone.bits is a number; it must be a whole number", ""},
		{top + "primaries.white = [0.3]", "w.toml:2: primaries.white is a list of 1; it must be a list of 2 numbers", ""},
		{top + "primaries.white = { x = 1 }", "w.toml:2: primaries.white is a table; it must be a list of 2 numbers", ""},
		{top + "limit.curve = [1, 2]", "w.toml:2: limit.curve is a number; it must be a list of 2 numbers", ""},
		{top + "limit.curve = [\n[0.1, 1],\n[0.2]]", "w.toml:2: limit.curve is a list of 1; it must be a list of 2 numbers", ""},
		{top + "limit.curve = 3", "w.toml:2: limit.curve is a number; it must be a list of lists of 2 numbers", ""},
		{top + "[[controls]]\nvalues = \"on\"", "w.toml:3: controls[1].values is a word; it must be a list of words", ""},
		{top + "[[controls]]\nfactors = 1", "w.toml:3: controls[1].factors is a number; it must be a list of numbers", ""},
		{top + "name = ", "w.toml:2: ", ""},
		{top + "name = \"A\"\nname = \"B\"", "w.toml:3: ", ""},
	} {
		_, err := Parse("w.toml", []byte(c.src))
		if strings.HasSuffix(c.message, ": ") { // the rest is the TOML reader's
			if err == nil || !strings.HasPrefix(err.Error(), c.message) {
				t.Errorf("%q: got %v, want %s…", c.src, err, c.message)
			}
			continue
		}
		wantError(t, err, bench.CodeBadFile, c.message, c.hint)
	}
}

// TestCheck: what does not describe a world is said, with its line in a file.
func TestCheck(t *testing.T) {
	const control = "[[controls]]\nname = \"A\"\n"
	const lamp = "[[lamps]]\nname = \"A\"\nwarm_seconds = 1\ndrift_seconds = 1\n"
	const mode = "[[modes]]\nname = \"A\"\ntone = \"as_stated\"\ngamut = \"native\"\n"
	for src, want := range map[string]string{
		"light.white = 0":                                "2: light.white is 0; it must be 1 to 10000 cd/m2",
		"light.white = nan":                              "2: light.white is NaN; it must be 1 to 10000 cd/m2",
		"light.white = inf":                              "2: light.white is +Inf; it must be 1 to 10000 cd/m2",
		"screen.width = 0":                               "2: screen.width is 0; it must be 1 to 16384 px",
		"tone.kind = \"gamma\"":                          `2: tone.kind is "gamma"; it must be "power", "srgb", "bt1886" or "table"`,
		"tone.hdr = \"\"":                                `2: tone.hdr is ""; it must be "clip" or "roll_off"`,
		"primaries.red = [300, 20]":                      "2: primaries.red is 300; it must be 380 to 780 nm; 5 to 200 nm",
		"primaries.red = [600, 2]":                       "2: primaries.red is 2; it must be 380 to 780 nm; 5 to 200 nm",
		"primaries.white = [0.2, 0.8]":                   "2: primaries.white is 0.2, 0.8; it must be a chromaticity inside the triangle of the primaries",
		"[primaries]\nred = [538, 70]":                   "2: primaries do not span a colour space: colours are linearly dependent: use three that span a triangle",
		"light.black = 5\nlight.white = 4":               "2: light.black is 5 cd/m2; it must be less than white and hdr_peak (4)",
		"[tone]\nhdr = \"roll_off\"\nhdr_source = 900":   "4: tone.hdr_source is 900 cd/m2; it must be at least hdr_peak (950) for a roll-off",
		"limit.curve = [[0.5, 1], [0.5, 0.9]]":           "2: limit.curve has the share 0.5 after 0.5; the shares must rise",
		"limit.curve = [[0.5, 1.1]]":                     "2: limit.curve is 1.1; it must be 0 to 1 share of full drive; 0 to 1 factor on light",
		"limit.seconds = -1":                             "2: limit.seconds is -1; it must be 0 to 3600 s",
		"warmup.terms = [[1,1],[2,1],[3,1],[4,1],[5,1]]": "2: warmup.terms has 5 terms; it must have at most 4",
		"tone.merged = [[5, 5]]":                         "2: tone.merged has the range from 5 to 5; the last code must be above the first",
		"tone.merged = [[5, 256]]":                       "2: tone.merged is 256; it must be 0 to 255 first code; 0 to 255 last code",
		"[tone]\nkind = \"table\"":                       "2: tone.points are []; they must be at least two points, the first [0, 0] and the last [1, 1]",
		"[tone]\nkind = \"table\"\npoints = [[0,0],[0.5,0.6],[0.4,0.7],[1,1]]": "4: tone.points have [0.4 0.7] after [0.5 0.6]; the signals must rise and the light must not fall",
		"[tone]\nkind = \"table\"\npoints = [[0,0],[0.5,0.6],[0.6,0.5],[1,1]]": "4: tone.points have [0.6 0.5] after [0.5 0.6]; the signals must rise and the light must not fall",
		"retention.terms = [[1,1,1,0],[1,1,1,0],[1,1,1,0],[1,1,1,0]]":          "2: retention.terms has 4 terms; it must have at most 3",
		"retention.terms = [[0,1,1,0]]":                                        "2: retention.terms is 0; it must be 0.1 to 1000000 s; -20 to 20 %; 0 to 1 cd/m2",
		"adaptive.curve = [[5, 1], [5, 2]]":                                    "2: adaptive.curve has 5 lx after 5; the illuminances must rise",
		"static.by = 100":                                                      "2: static.by is 100; it must be 0 to 95 %",
		"thermal.from = 1":                                                     "2: thermal.from is 1; it must be 0.01 to 0.99 share of the heat of full drive",
		"pwm.duty = 0":                                                         "2: pwm.duty is 0; it must be 0.01 to 1",
		"meter.kind = \"eye\"":                                                 `2: meter.kind is "eye"; it must be "spectral" or "filter"`,
		"[[lamps]]\nwarm_seconds = 1\ndrift_seconds = 1":                       "2: lamps[1].name is missing; it must be the name by which the rig sets the lamp",
		lamp + lamp: `7: lamps[2].name is "A", which another lamp has already`,
		"[[faults]]\nkind = \"slip\"\nat_reading = 1\nat_second = 2": "5: faults[1].at_second is 2 s; it must be 0 if at_reading or at_patch is stated",
		"[[faults]]\nkind = \"fire\"":                                `3: faults[1].kind is "fire"; it must be "timeout", "bad_reading", "slip", "banner" or "sleep"`,
		"[[modes]]\ntone = \"as_stated\"\ngamut = \"native\"":        "2: modes[1].name is missing; it must be the name from the unit's menu",
		mode + mode:                 `7: modes[2].name is "A", which another mode has already`,
		mode + "white = [0.1, 0.8]": "6: modes[1].white is 0.1, 0.8; it must be a chromaticity inside the triangle of the primaries",
		mode + "luminance = 0.0001\n[light]\nwhite = 500": "6: modes[1].luminance leaves 0.0005 cd/m2; it must leave more than black (0.0008)",
		"mode = \"Dus\"": `2: mode is "Dus"; it must be "Noon" or "Dusk"`,
		control + "values = [\"x\"]\nstart = \"x\"\ngains = [1, 0, 0]": "6: controls[1].gains is [1 0 0]; it must be zeros for a control that takes words",
		"warmup.terms = [[0,1]]":                             "2: warmup.terms is 0; it must be 0.1 to 100000 s; -50 to 50 %",
		"[warmup]\nterms = []":                               "2: warmup.colour is [-0.4 0 0.6]; it must be zeros if there are no terms",
		"meter.integration_dark = 0.5":                       "2: meter.integration_dark is 0.5 s; it must be at least integration (1 s)",
		"reference.integration_dark = 0.5":                   "2: reference.integration_dark is 0.5 s; it must be at least integration (1 s)",
		"[[controls]]":                                       "2: controls[1].name is missing; it must be the name from the unit's menu",
		control + "start = \"1\"":                            "2: controls[1].max is 0; it must be more than min (0), or values instead",
		control + "max = 1\nstart = \"2\"":                   `5: controls[1].start does not fit this control: A: value is 2; it must be 0 to 1, "minimum" or "maximum"`,
		control + "max = 1\nunit = \"%\"":                    `2: controls[1].start does not fit this control: A: value is ""; it must be 0 to 1 %, "minimum" or "maximum"`,
		control + "values = [\"x\", \"x\"]\nstart = \"x\"":   `4: controls[1].values has "x" twice`,
		control + "values = [\"x\"]\nstart = \"y\"":          `5: controls[1].start does not fit this control: A: value is "y"; it must be "x"`,
		control + "max = 1\nstart = \"1\"\nfactors = [1]":    "6: controls[1].factors has 1 numbers; it must have none or 2",
		control + "max = 1\nstart = \"1\"\nfactors = [1, 2]": "6: controls[1].factors is 2; it must be 0 to 1",
		control + "max = 1\nstart = \"1\"\n" + control:       `7: controls[2].name is "A", which another control has already`,
		control + "max = 1\nstart = \"1\"\nseconds = -1":     "6: controls[1].seconds is -1; it must be 0 to 600 s",
	} {
		_, err := Parse("w.toml", []byte("format = 1\n"+src))
		wantError(t, err, bench.CodeBadFile, "w.toml:"+want, "")
		var p *paramError
		if !errors.As(err, &p) {
			t.Errorf("%q: the cause is lost", src)
		}
	}
}

func TestNewErrors(t *testing.T) {
	p := Default()
	p.Light.White = math.Inf(1)
	_, err := New(p, 1, 0)
	wantError(t, err, "", "light.white is +Inf; it must be 1 to 10000 cd/m2", "")
}

// FuzzParse: no source makes the reader panic, and what it accepts is a world
// that prints and parses back.
func FuzzParse(f *testing.F) {
	for _, name := range Names() {
		f.Add(shippedSource(name))
	}
	f.Add([]byte("format = 1\ncontrols = [{ name = \"A\", max = 1, start = \"1\" }]\nlimit.curve = [[0.5, 1]]"))
	f.Add([]byte("[[controls]]\n[controls.x]\n[[controls.name]]"))
	f.Fuzz(func(t *testing.T, src []byte) {
		p, err := Parse("fuzz.toml", src)
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := Print(&b, p); err != nil {
			t.Fatal(err)
		}
		if _, err := Parse("printed.toml", b.Bytes()); err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
	})
}

// TestTimeConstantsAreAboveZero: a time constant that may be 0 is refused when it is
// declared, unless its help says what 0 does.
func TestTimeConstantsAreAboveZero(t *testing.T) {
	type params struct {
		A float64 `toml:"a" min:"0.1" max:"1" help:"time constant of a"`
		B float64 `toml:"b" min:"0" max:"1" help:"time constant of b; 0: at once"`
		C float64 `toml:"c" min:"0" max:"1" help:"time constant of c"`
	}
	fields := reflect.TypeFor[params]()
	declare(fields.Field(0))
	declare(fields.Field(1))
	defer func() {
		const want = "sim: parameter C is a time constant, and 0 would make all light NaN: give it a min above 0, or say in its help what 0 does"
		if got := recover(); got != want {
			t.Errorf("panic %v, want %s", got, want)
		}
	}()
	declare(fields.Field(2))
}

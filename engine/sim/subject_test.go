package sim

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/bench"
)

func TestSet(t *testing.T) {
	list := func(x ...any) []any { return x }
	for _, tt := range []struct {
		path  string
		value any
		get   func(Params) any
		want  any
	}{
		{"light.white", 900.0, func(p Params) any { return p.Light.White }, 900.0},
		{"tone.kind", "srgb", func(p Params) any { return p.Tone.Kind }, "srgb"},
		{"tone.bits", 10.0, func(p Params) any { return p.Tone.Bits }, 10},
		{"limit.curve", list(list(0.0, 1.0), list(1.0, 0.5)), func(p Params) any { return p.Limit.Curve }, [][2]float64{{0, 1}, {1, 0.5}}},
		{"limit.curve", map[string]any{}, func(p Params) any { return p.Limit.Curve }, [][2]float64{}},
		{"primaries.white", list(0.32, 0.33), func(p Params) any { return p.Primaries.White }, [2]float64{0.32, 0.33}},
		{"light", map[string]any{"white": 100.0, "black": 0.1}, func(p Params) any { return p.Light }, LightParams{White: 100, Black: 0.1, HDRPeak: Default().Light.HDRPeak}},
		{"controls.Brightness.start", "80", func(p Params) any { return p.Controls[1].Start }, "80"},
		{"controls.Automatic brightness.seconds", 3.0, func(p Params) any { return p.Controls[0].Seconds }, 3.0},
		{"controls", list(map[string]any{"name": "Dim", "min": 1.0, "max": 2.0, "start": "1"}), func(p Params) any { return p.Controls },
			[]ControlParams{{Name: "Dim", Min: 1, Max: 2, Start: "1"}}},
	} {
		p := Default()
		if err := p.Set(tt.path, tt.value); err != nil {
			t.Errorf("%s: %v", tt.path, err)
			continue
		}
		if d := cmp.Diff(tt.want, tt.get(p)); d != "" {
			t.Errorf("%s: %s", tt.path, d)
		}
		if err := p.check(); err != nil {
			t.Errorf("%s: %v", tt.path, err)
		}
	}
	fresh, err := readDefault()
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(fresh, Default()); d != "" {
		t.Errorf("the default world was changed: %s", d)
	}
}

func TestSetRefuses(t *testing.T) {
	for _, tt := range []struct {
		path  string
		value any
		want  string
	}{
		{"", 1.0, `a world has no parameter "", it has format, name`},
		{"lihgt.white", 1.0, `a world has no parameter "lihgt"`},
		{"light.whit", 1.0, `light has no parameter "whit", it has white, black, hdr_peak`},
		{"light.white.x", 1.0, `light.white.x is not a parameter, because light.white is a number`},
		{"light.white", "900", `light.white is the word "900"; it must be a number`},
		{"light.white", true, `light.white is true or false; it must be a number`},
		{"light.white", nil, `light.white is nothing; it must be a number`},
		{"light", 3.0, "light is the number 3; it must be a table"},
		{"light", map[string]any{"whit": 1.0}, `light has no parameter "whit"`},
		{"tone.kind", 2.0, "tone.kind is the number 2; it must be a word"},
		{"tone.bits", 8.5, "tone.bits is the number 8.5; it must be a whole number"},
		{"limit.curve", 1.0, "limit.curve is the number 1; it must be a list of lists of 2 numbers"},
		{"limit.curve", []any{[]any{0.0}}, "limit.curve[1] is a list of 1; it must be a list of 2 numbers"},
		{"limit.curve", []any{[]any{0.0, "1"}}, `limit.curve[1][2] is the word "1"; it must be a number`},
		{"limit.curve", map[string]any{"a": 1.0}, "limit.curve is a table; it must be a list"},
		{"controls.Contrast.start", "1", `controls has no parameter "Contrast", it has Automatic brightness, Brightness`},
		{"controls.Brightness.stat", "1", `controls.Brightness has no parameter "stat"`},
		{"controls.Brightness", 1.0, "controls.Brightness is the number 1; it must be a table"},
	} {
		p := Default()
		err := p.Set(tt.path, tt.value)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("Set(%q, %v): %v, want %q", tt.path, tt.value, err, tt.want)
		}
	}
	empty := Default()
	empty.Controls = nil
	if err := empty.Set("controls.Brightness.start", "1"); err == nil || !strings.Contains(err.Error(), "it has none") {
		t.Errorf("a unit without controls: %v", err)
	}
}

func TestNumber(t *testing.T) {
	p := Default()
	for path, want := range map[string]float64{"tone.exponent": p.Tone.Exponent, "tone.bits": float64(p.Tone.Bits), "meter.floor": p.Meter.Floor,
		"controls.Brightness.max": p.Controls[1].Max} {
		if got, err := p.number(path); err != nil || got != want {
			t.Errorf("%s is %v, %v; want %v", path, got, err, want)
		}
	}
	for path, want := range map[string]string{
		"tone.kind":      "tone.kind is a word; it must be the path of a parameter that is a number",
		"light":          "light is a table; it must be the path of a parameter that is a number",
		"limit.curve":    "limit.curve is a list of lists of 2 numbers; it must be the path of a parameter that is a number",
		"tone.exponents": `tone has no parameter "exponents"`,
	} {
		if _, err := p.number(path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", path, err, want)
		}
	}
}

func TestNewSubjectRefuses(t *testing.T) {
	for _, tt := range []struct {
		ref  any
		want string
	}{
		{7.0, "the world is the number 7; it must be a name"},
		{"defalt", `there is no world "defalt"`},
		{map[string]any{"base": 3.0}, "the world is the number 3; it must be a name"},
		{map[string]any{"light.whit": 3.0}, `the world: light has no parameter "whit"`},
		{map[string]any{"light.white": 0.5}, "the world: light.white is 0.5; it must be 1 to 10000 cd/m2"},
		{map[string]any{"light.black": 9.0, "light.white": 2.0}, "the world: light.black is 9 cd/m2; it must be less than white"},
	} {
		_, err := NewSubject(tt.ref, nil, "")
		var b *bench.Error
		if !errors.As(err, &b) || b.Code() != bench.CodeBadFile || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%v: %v, want a %s with %q", tt.ref, err, bench.CodeBadFile, tt.want)
		}
	}
	if _, err := NewSubject("no.toml", nil, t.TempDir()); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file that is not there: %v", err)
	}
	if _, err := NewSubject(nil, []any{"slip"}, ""); err == nil || err.Error() != `the world: faults[1] is the word "slip"; it must be a table` {
		t.Errorf("faults: %v, want a refusal", err)
	}
	if s, err := NewSubject(nil, []any{map[string]any{"kind": "slip", "at_reading": 3.0, "percent": 90.0}}, ""); err != nil || len(s.world.params.Faults) != 1 {
		t.Errorf("faults: %v", err)
	}
}

// A file is looked for in the folder, also one whose path is a bare name there.
func TestSubjectOfFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.toml")
	if err := os.WriteFile(path, []byte("format = 1\nname = \"A\"\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	for _, tt := range []struct{ ref, dir string }{{"a.toml", dir}, {"./a.toml", dir}, {path, "elsewhere"}, {"a.toml", ""}, {"./a.toml", "."}} {
		s, err := NewSubject(tt.ref, nil, tt.dir)
		if err != nil {
			t.Errorf("%s in %q: %v", tt.ref, tt.dir, err)
			continue
		}
		if s.Name() != "A" {
			t.Errorf("%s in %q is %q, want A", tt.ref, tt.dir, s.Name())
		}
	}
}

func subject(t *testing.T, ref any) *Subject {
	t.Helper()
	s, err := NewSubject(ref, nil, "")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The truths by name agree with what is published of the curves and whites,
// and with what the parameters state.
func TestTruthsByName(t *testing.T) {
	call := func(name string, args map[string]any) any { return map[string]any{name: args} }
	ideal := map[string]any{"base": "ideal"}
	limited := map[string]any{"base": "ideal", "light.hdr_peak": 100.0, "limit.curve": []any{[]any{0.0, 1.0}, []any{1.0, 0.5}}}
	narrow := map[string]any{"base": "ideal", "mode": "sRGB", "modes": []any{map[string]any{"name": "sRGB", "tone": "as_stated", "gamut": "bt709", "white": []any{0.3127, 0.329}}}}
	boosted := map[string]any{"base": "ideal", "primaries.white_share": 0.5, "primaries.white_boost": 0.4}
	grey := map[string]any{"base": "ideal", "light.black": 0.5}
	clips := map[string]any{"base": "ideal", "light.hdr_peak": 500.0}
	for _, tt := range []struct {
		name  string
		world any
		truth any
		want  float64
		eps   float64
	}{
		{"a number", nil, 3.5, 3.5, 0},
		{"a parameter", nil, "light.white", 480, 0},
		{"white", ideal, call("luminance", nil), 100, 1e-9},
		// [BT1886], Annex 1: with a black of 0, L = L_W·V^2.4.
		{"a grey of BT.1886", ideal, call("luminance", map[string]any{"grey": 0.5}), 100 * math.Pow(0.5, 2.4), 1e-9},
		{"its exponent", ideal, call("exponent", map[string]any{"bits": 0.0}), 2.4, 1e-12},
		{"its exponent from above", ideal, call("exponent", map[string]any{"bits": 0.0, "from": 0.5, "steps": 101.0}), 2.4, 1e-12},
		// [ST2084], 5.1: the signal 0.5081 is 100 cd/m2, to four places.
		{"a PQ signal", ideal, call("luminance", map[string]any{"grey": 0.5081, "signal": "pq"}), 100, 0.05},
		// [BT709]: the reference white D65 is x = 0.3127, y = 0.3290.
		{"x of white", ideal, call("x", nil), 0.3127, 1e-9},
		{"y of white", ideal, call("y", nil), 0.3290, 1e-9},
		// [CIE15], u' = 4x/(-2x+12y+3), v' = 9y/(-2x+12y+3).
		{"u' of white", ideal, call("u", nil), 4 * 0.3127 / (-2*0.3127 + 12*0.3290 + 3), 1e-9},
		{"v' of white", ideal, call("v", nil), 9 * 0.3290 / (-2*0.3127 + 12*0.3290 + 3), 1e-9},
		{"grey in three parts", ideal, call("luminance", map[string]any{"rgb": []any{1.0, 1.0, 1.0}, "window": 5.0}), 100, 1e-9},
		{"a power's exponent", map[string]any{"tone.exponent": 2.2, "tone.kind": "power"}, call("exponent", nil), 2.2, 1e-12},
		// By the definition of the curve: half the drive takes a quarter.
		{"a limited window", limited, call("luminance", map[string]any{"window": 100.0}), 50, 1e-9},
		{"a limited window on grey", limited, call("luminance", map[string]any{"window": 100.0, "background": 1.0}), 50, 1e-9},
		{"the brightest window", limited, call("peak_luminance", map[string]any{"windows": []any{100.0, 25.0}}), 87.5, 0.01},
		// ../../testdata/published/cct_duv.csv, the row D65_video.
		{"the temperature of white", ideal, call("cct", nil), 6504.34485, 0.05},
		{"its Duv", ideal, call("duv", nil), 0.00320720276, 1e-7},
		// ../../testdata/published/gamut_areas.csv, BT.709 in the others; the black is none.
		{"coverage of itself", narrow, call("coverage", nil), 100, 1e-9},
		{"coverage in xy", narrow, call("coverage", map[string]any{"space": "bt2020", "diagram": "xy"}), 52.88707748, 1e-6},
		{"coverage in u'v'", narrow, call("coverage", map[string]any{"space": "bt2020"}), 58.03102422, 1e-6},
		{"coverage of P3 in u'v'", narrow, call("coverage", map[string]any{"space": "p3-d65", "diagram": "uv"}), 79.64118748, 1e-6},
		{"red, green and blue", ideal, call("additivity", nil), 100, 1e-9},
		// By the definition of the panel: 1/(1 + share of the boost).
		{"with a white subpixel", boosted, call("additivity", nil), 100 / (1 + 0.5*0.4), 1e-9},
		{"contrast", grey, call("contrast", nil), 200, 1e-9},
		// [IDMS], 11.9, with 10/pi cd/m2 of 1000 lx: (100 + 3.183)/(0.5 + 3.183).
		{"contrast in light", grey, call("contrast", map[string]any{"lux": 1000.0, "reflectance": 1.0}), (100 + 10/math.Pi) / (0.5 + 10/math.Pi), 1e-9},
		// A display that clips at 500 cd/m2 is 5 % behind at 500/0.95.
		{"a roll-off that is a clip", clips, call("roll_off_start", nil), 500 / 0.95, 0.2},
	} {
		got, err := subject(t, tt.world).Truth(tt.truth)
		if err != nil || math.Abs(got-tt.want) > tt.eps {
			t.Errorf("%s is %v, %v; want %v within %v", tt.name, got, err, tt.want, tt.eps)
		}
	}
	red, err := subject(t, ideal).Truth(call("luminance", map[string]any{"rgb": []any{1.0, 0.0, 0.0}}))
	if err != nil || red <= 0 || red >= 50 {
		t.Errorf("red alone gives %v cd/m2, %v; want a part of white", red, err)
	}
}

func TestTruthRefuses(t *testing.T) {
	s := subject(t, nil)
	call := func(name string, args any) any { return map[string]any{name: args} }
	for _, tt := range []struct {
		truth any
		want  string
	}{
		{true, "the truth is true or false; it must be a number"},
		{nil, "the truth is nothing"},
		{map[string]any{}, "the truth is a table with 0 members; it must have one"},
		{map[string]any{"x": nil, "y": nil}, "the truth is a table with 2 members; it must have one"},
		{"tone.kind", "it must be the path of a parameter that is a number"},
		{call("luminence", map[string]any{}), `the simulated world has no truth "luminence"`},
		{call("luminance", 1.0), "luminance is the number 1; it must be a table"},
		{call("luminance", map[string]any{"gray": 1.0}), `luminance has no parameter "gray"`},
		{call("luminance", map[string]any{"grey": 2.0}), "luminance.grey is 2; it must be 0 to 1"},
		{call("luminance", map[string]any{"window": 0.0}), "luminance.window is 0; it must be 0.01 to 100 %"},
		{call("luminance", map[string]any{"signal": "hlg"}), `luminance.signal is "hlg"; it must be "sdr" or "pq"`},
		{call("luminance", map[string]any{"rgb": []any{1.0}}), "luminance: rgb is a list of 1; it must be 3 signals"},
		{call("x", map[string]any{"grey": 0.0, "rgb": []any{1.0, 2.0, 1.0}}), "x.rgb is 2; it must be 0 to 1"},
		{call("peak_luminance", map[string]any{}), "peak_luminance: windows is missing"},
		{call("peak_luminance", map[string]any{"windows": []any{200.0}}), "peak_luminance.windows is 200; it must be 0.01 to 100 %"},
		{call("coverage", map[string]any{"space": "p3"}), `coverage.space is "p3"; it must be "bt709", "p3-d65" or "bt2020"`},
		{call("cct", map[string]any{"rgb": []any{0.0, 0.0, 1.0}}), "cct: no correlated colour temperature"},
		{call("contrast", map[string]any{"lux": -1.0}), "contrast.lux is -1"},
		{call("roll_off_start", map[string]any{"window": 0.0}), "roll_off_start.window is 0"},
		{call("exponent", map[string]any{"from": 0.96}), "exponent: 1 greys are above from (0.96); at least two are needed"},
	} {
		if _, err := s.Truth(tt.truth); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%v: %v, want %q", tt.truth, err, tt.want)
		}
	}
	endless := subject(t, map[string]any{"base": "ideal"})
	if _, err := endless.Truth(call("roll_off_start", map[string]any{})); err == nil || !strings.Contains(err.Error(), "the light of no PQ signal falls 5 % short") {
		t.Errorf("the roll-off of a display without one: %v, want an error", err)
	}
	dim := subject(t, map[string]any{"controls.Brightness.factors": []any{0.01, 0.5}})
	if _, err := dim.Truth(call("roll_off_start", map[string]any{})); err == nil || !strings.Contains(err.Error(), "even at the darkest signal") {
		t.Errorf("the roll-off of a display that is dim throughout: %v, want an error", err)
	}
	if _, err := endless.Truth(call("contrast", map[string]any{})); err == nil || !strings.Contains(err.Error(), "black has no light") {
		t.Errorf("contrast over no light: %v, want an error", err)
	}
	dark := subject(t, map[string]any{"light.black": 0.0})
	if _, err := dark.Truth(call("x", map[string]any{"grey": 0.0})); err == nil || !strings.HasPrefix(err.Error(), "x: ") {
		t.Errorf("the chromaticity of darkness: %v, want an error", err)
	}
}

// Every truth is described, and its defaults are within its own limits.
func TestTruthsAreDescribed(t *testing.T) {
	docs := Truths()
	if len(docs) != len(TruthNames()) {
		t.Fatalf("%d descriptions of %d truths", len(docs), len(TruthNames()))
	}
	for _, d := range docs {
		if d.Help == "" || len(d.Args) == 0 {
			t.Errorf("%s lacks a description: %+v", d.Name, d)
		}
	}
}

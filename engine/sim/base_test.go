package sim

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"candelua/engine/bench"
	"candelua/engine/fault"
)

// A file that is based on a world differs from it in what it states and in nothing else,
// whichever world that is, and a trial's table of the same changes makes the same world.
func TestBase(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(r *rapid.T) {
		name := rapid.SampledFrom(Names()).Draw(r, "base")
		want, err := Load(name)
		if err != nil {
			r.Fatal(err)
		}
		white := want.Light.White + rapid.Float64Range(1, 50).Draw(r, "more light")
		text := fmt.Sprintf("format = 1\nbase = %q\nlight.white = %v\n", name, white)
		table := map[string]any{"base": name, "light": map[string]any{"white": white}}
		want.Light.White = white
		if n := len(want.Controls); n > 0 {
			// One entry inherits, under its name or another; the others are gone.
			kept := want.Controls[rapid.IntRange(0, n-1).Draw(r, "control")]
			entry := map[string]any{"base": kept.Name, "seconds": 7.0}
			text += fmt.Sprintf("[[controls]]\nbase = %q\nseconds = 7\n", kept.Name)
			kept.Seconds = 7
			if rapid.Bool().Draw(r, "renamed") {
				entry["name"], kept.Name = "Another", "Another"
				text += "name = \"Another\"\n"
			}
			table["controls"] = []any{entry}
			want.Controls = []ControlParams{kept}
			if want.Adaptive.Control != "" && !kept.is(want.Adaptive.Control) {
				text += "[adaptive]\ncontrol = \"\"\ncurve = []\n"
				table["adaptive"] = map[string]any{"control": "", "curve": []any{}}
				want.Adaptive.Control, want.Adaptive.Curve = "", nil
			}
		}
		path := filepath.Join(dir, "w.toml")
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			r.Fatal(err)
		}
		got, err := Load(path)
		if err != nil {
			r.Fatalf("%v\n%s", err, text)
		}
		subject, err := NewSubject(table, nil, "")
		if err != nil {
			r.Fatal(err)
		}
		if d := cmp.Diff(printed(r, want), printed(r, got)); d != "" {
			r.Errorf("the file\n%s\ndiffers: %s", text, d)
		}
		want.ExactMeters()
		if d := cmp.Diff(printed(r, want), subject.Text()); d != "" {
			r.Errorf("the table %v differs: %s", table, d)
		}
	})
}

func printed(r *rapid.T, p Params) string {
	var b bytes.Buffer
	if err := Print(&b, p); err != nil {
		r.Fatal(err)
	}
	return b.String()
}

// A chain of files takes the nearest statement, and paths begin at each file.
func TestBaseOfFiles(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte("format = 1\n"+text), 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	write("a.toml", "base = \"ideal\"\nlight.white = 200\nlight.black = 0.5")
	write("sub/b.toml", "base = \"../a.toml\"\nlight.white = 300")
	p, err := Load(write("c.toml", "base = \"./sub/b.toml\"\nserial = \"TS-9\""))
	if err != nil || p.Light.White != 300 || p.Light.Black != 0.5 || p.Serial != "TS-9" || p.Tone.Kind != "bt1886" {
		t.Errorf("%v: %+v, %s", err, p.Light, p.Serial)
	}
	write("round.toml", "base = \"trip.toml\"")
	for text, want := range map[string]string{
		"base = \"round.toml\"":  "round.toml:2: base leads in a circle: ",
		"base = \"idael\"":       `:2: base: there is no world "idael"`,
		"base = \"./none.toml\"": ":2: base: there is no file ",
		"base = \"\"":            ":2: base is empty; it must be the name of a world, or a file",
		"base = 3":               ":2: base is a number; it must be a word",
		"base = \"ideal\"\n[[lamps]]\nbase = \"front\"":                            `:4: lamps[1].base is "front", but the base world has no lamps`,
		"[[controls]]\nbase = \"Brightnes\"":                                       `:3: controls[1].base is "Brightnes"; it must be one of the base world's controls: "Automatic brightness"`,
		"[[controls]]\nbase = 3":                                                   ":3: controls[1].base is a number; it must be a word",
		"[[faults]]\nbase = \"slip\"":                                              `:3: unknown key "base"`,
		"[light]\nbase = \"ideal\"":                                                `:3: unknown key "base"`,
		"[[faults]]\nkind = \"slip\"\nat_reading = 1\nat_patch = 2":                ":5: faults[1].at_patch is 2; it must be 0 if at_reading is stated",
		"[[faults]]\nkind = \"slip\"\nat_patch = 1\nat_second = 2":                 ":5: faults[1].at_second is 2 s; it must be 0 if at_reading or at_patch is stated",
		"[[controls]]\nbase = \"Brightness\"\n[[controls]]\nbase = \"Brightness\"": `"Brightness", which another control has already`,
	} {
		_, err := Load(write("trip.toml", text))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s\n%v, want %q", text, err, want)
		}
	}
}

// TestCirclesOfBases: files in a circle of any length give one message that names each of them, and a chain without an end
// says so once. A file that is not there is said in plain words.
func TestCirclesOfBases(t *testing.T) {
	dir := t.TempDir()
	link := func(n int, base string) string {
		path := filepath.Join(dir, fmt.Sprintf("w%d.toml", n))
		if err := os.WriteFile(path, []byte("format = 1\nbase = \""+base+"\""), 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for length := 1; length <= 10; length++ {
		for n := range length {
			link(n, fmt.Sprintf("w%d.toml", (n+1)%length))
		}
		_, err := Load(filepath.Join(dir, "w0.toml"))
		if err == nil || strings.Count(err.Error(), ":2: base") != 1 || fault.HintOf(err) == "" {
			t.Errorf("a circle of %d: %v", length, err)
		}
		if in := strings.Count(err.Error(), " is based on "); length <= deepest && in != length {
			t.Errorf("a circle of %d names %d: %v", length, in, err)
		}
	}
	_, err := Load(link(0, "none.toml"))
	if want := "w0.toml:2: base: there is no file " + filepath.Join(dir, "none.toml"); err == nil || !strings.HasSuffix(err.Error(), want) || fault.HintOf(err) == "" {
		t.Errorf("%v, want …%s", err, want)
	}
}

// The base of a file and of an entry leave the base as it was.
func TestBaseIsACopy(t *testing.T) {
	before, _ := readDefault()
	if _, err := Parse("w.toml", []byte("format = 1\n[[controls]]\nbase = \"Automatic brightness\"\nvalues = [\"x\", \"off\"]\nstart = \"x\"\nformerly = [\"Old\"]")); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(before, Default()); d != "" {
		t.Errorf("the default world was changed: %s", d)
	}
}

// What a truth says of a window is what a meter without errors reads, from any place and
// angle, in any light and with any setting.
func TestTruthIsRead(t *testing.T) {
	changes := map[string]any{"base": "ideal", "edge": map[string]any{"dim": []any{12.0, 5.0}, "colour": []any{0.0, -3.0, 9.0}, "power": 2.0},
		"angle": map[string]any{"dim": 30.0, "colour": []any{4.0, 0.0, -8.0}}, "room": map[string]any{"reflectance": 5.0, "stray": 3.0},
		"lamps":    []any{map[string]any{"name": "front", "lux": 500.0, "warm_by": -8.0, "warm_seconds": 60.0, "drift_seconds": 10.0}},
		"controls": []any{map[string]any{"name": "Dim", "min": 0.0, "max": 10.0, "start": "10", "factors": []any{0.2, 1.0}}}}
	subject, err := NewSubject(changes, nil, "")
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(r *rapid.T) {
		share := func(name string) float64 { return rapid.Float64Range(0, 1).Draw(r, name) }
		x, y, level, dim, grey, window := share("x"), share("y"), 100*share("level"), rapid.IntRange(0, 10).Draw(r, "dim"), share("grey"), 1+99*share("window")
		turned := rapid.Float64Range(-80, 80).Draw(r, "turned")
		w, err := New(subject.world.params, 1, 0)
		if err != nil {
			r.Fatal(err)
		}
		set(t, w, bench.Setting{Name: "Dim", Value: float64(dim)})
		rig := device[rig](t, w, bench.KindRig)
		if _, err := rig.Set(t.Context(), "front", level); err != nil {
			r.Fatal(err)
		}
		if _, err := rig.Turn(t.Context(), bench.Horizontal, turned); err != nil {
			r.Fatal(err)
		}
		show1(t, w, patch(grey, window))
		wait(t, w, 3600)
		got := readAt(t, w, x, y)
		args := map[string]any{"grey": grey, "window": window, "at": []any{x, y}, "horizontal": turned,
			"lamps": map[string]any{"front": level}, "settings": map[string]any{"Dim": float64(dim)}}
		for name, is := range map[string]float64{"luminance": got.Y, "x": got.X / (got.X + got.Y + got.Z)} {
			truth, err := subject.Truth(map[string]any{name: args})
			if err != nil {
				r.Fatal(err)
			}
			if d := is - truth; d > 1e-6*truth || d < -1e-6*truth {
				r.Errorf("%s is read as %v; the truth of %v is %v", name, is, args, truth)
			}
		}
	})
}

func TestTruthArgumentsRefused(t *testing.T) {
	subject, err := NewSubject(map[string]any{"room": map[string]any{"stray": 20.0, "reflectance": 5.0}}, nil, "")
	if err != nil {
		t.Fatal(err)
	}
	for want, args := range map[string]map[string]any{
		"at is a list of 1; it must be 2 shares":                      {"at": []any{0.5}},
		"luminance.at is 2; it must be 0 to 1":                        {"at": []any{0.5, 2.0}},
		"luminance.horizontal is 90; it must be -89 to 89":            {"horizontal": 90.0},
		`the rig has no lamp "frnt"; it has "front"`:                  {"lamps": map[string]any{"frnt": 3.0}},
		"luminance.lamps.front is 101; it must be 0 to 100":           {"lamps": map[string]any{"front": 101.0}},
		"luminance.lamps is the number 3; it must be a table":         {"lamps": 3.0},
		`luminance.lamps.front is the word "on"; it must be a number`: {"lamps": map[string]any{"front": "on"}},
		`the unit has no control "Brightnes"`:                         {"settings": map[string]any{"Brightnes": 3.0}},
		`Brightness: value is "loud"`:                                 {"settings": map[string]any{"Brightness": "loud"}},
	} {
		if _, err := subject.Truth(map[string]any{"luminance": args}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: %v, want %q", args, err, want)
		}
	}
	dark, err := subject.Truth(map[string]any{"luminance": map[string]any{"grey": 0.0}})
	if err != nil {
		t.Fatal(err)
	}
	stray, err := subject.Truth(map[string]any{"luminance": map[string]any{"grey": 0.0, "lamps": []any{}}}) // as Lua's {}
	if err != nil || !(stray > dark) {
		t.Errorf("black in stray light is %v, %v; in the dark it is %v", stray, err, dark)
	}
	if _, err := subject.Truth(map[string]any{"additivity": map[string]any{"grey": 0.5}}); err == nil {
		t.Error("additivity takes a grey that it has no use for")
	}
}

// A fault at a patch begins when that patch is lit, however often it is read.
func TestFaultAtPatch(t *testing.T) {
	for n := 1; n <= 4; n++ {
		w := faulty(t, FaultParams{Kind: "slip", AtPatch: n, Percent: 50})
		for k := 1; k <= 4; k++ {
			show1(t, w, patch(1, float64(10+k)))
			want := 100.0
			if k >= n {
				want = 50
			}
			for _, s := range read(t, w, 2) {
				near(t, fmt.Sprintf("patch %d with the fault at %d", k, n), s.Y, want, 1e-9, 0)
			}
		}
	}
}

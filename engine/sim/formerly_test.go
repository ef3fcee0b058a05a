package sim

import (
	"math"
	"slices"
	"testing"
	"time"

	"candelua/engine/bench"
)

const now, former = "Automatic brightness", "Adaptive brightness"

// TestFormerName: a control is set, recalled and found in a path by a former name, too.
func TestFormerName(t *testing.T) {
	light := func(settings ...bench.Setting) float64 {
		w := instant(t, "default", nil)
		set(t, w, settings...)
		return luminance(t, w, patch(1, 10), time.Minute)
	}
	as := func(name, value string) bench.Setting { return bench.Setting{Name: name, Value: value} }
	if on, off, formerly := light(as(now, "on")), light(as(now, "off")), light(as(former, "off")); on == off || off != formerly {
		t.Errorf("white is %v switched on, %v switched off and %v switched off by the former name, want the last two alike", on, off, formerly)
	}

	p := Default()
	if err := p.Set("controls."+former+".start", "off"); err != nil || p.Controls[0].Start != "off" {
		t.Errorf("the control starts at %q, %v, want off", p.Controls[0].Start, err)
	}

	// What is set last stands, whichever name it goes by.
	d := openAll(t, instant(t, "default", nil))
	for i, s := range []bench.Setting{as(former, "off"), as(now, "on")} {
		at := time.Duration(i+1) * time.Minute
		if err := d.unit.Relive(bench.Kept{Request: []bench.Setting{s}, Began: at, Ended: at + 30*time.Second}); err != nil {
			t.Fatal(err)
		}
	}
	if !d.unit.Stands(as(former, "on")) || d.unit.Stands(as(former, "off")) {
		t.Error("the control does not stand as it was set last")
	}

	u := device[bench.Unit](t, instant(t, "default", nil), bench.KindUnit)
	_, err := u.Set(t.Context(), []bench.Setting{as(now, "on"), as(former, "off")})
	wantError(t, err, bench.CodeBadSetting, `Automatic brightness is set twice, as "Automatic brightness" and as "Adaptive brightness"`, `set it once, as "Automatic brightness"`)
}

// TestFormerNameInFile: a file that states a control by a former name of the default
// world's has that control, by both names.
func TestFormerNameInFile(t *testing.T) {
	const own = "format = 1\n[[controls]]\nname = \"Adaptive brightness\"\nvalues = [\"on\", \"off\"]\nstart = \"on\"\n"
	for _, c := range []struct {
		src  string
		also []string
	}{
		{own, []string{now}},
		{own + "formerly = [\"Ambient\"]\n", []string{"Ambient", now}},
		{own + "formerly = [\"Automatic brightness\"]\n", []string{now}},
		{own + "[[controls]]\nname = \"Automatic brightness\"\nvalues = [\"on\"]\nstart = \"on\"\n", nil},
		{"format = 1\n[[controls]]\nname = \"Dim\"\nvalues = [\"on\"]\nstart = \"on\"\n", nil},
		{"format = 1\n", []string{former}},
	} {
		p, err := Parse("w.toml", []byte(c.src))
		if err != nil || !slices.Equal(p.Controls[0].Former, c.also) {
			t.Errorf("%s\nthe control was formerly %q, %v, want %q", c.src, p.Controls[0].Former, err, c.also)
		}
	}
	dimmed := func(src string) float64 {
		p, err := Parse("w.toml", []byte(src))
		if err != nil {
			t.Fatal(err)
		}
		p.Meter.Repeatability, p.Meter.ShotNoise = 0, 0
		w, err := New(p, 1, 0)
		if err != nil {
			t.Fatal(err)
		}
		return luminance(t, w, patch(1, 10), time.Minute)
	}
	const byFormer = "[adaptive]\ncontrol = \"Adaptive brightness\"\n"
	const none = "[adaptive]\ncontrol = \"none\"\n"
	if got, want, other := dimmed("format = 1\n"+byFormer), dimmed("format = 1\n"), dimmed("format = 1\n"+none); got != want || math.Abs(other/want-1) < 0.1 {
		t.Errorf("white is %v, want %v and not %v", got, want, other)
	}
	if got, want, other := dimmed(own), dimmed(own+byFormer), dimmed(own+none); got != want || math.Abs(other/want-1) < 0.1 {
		t.Errorf("with controls of its own white is %v, want %v and not %v", got, want, other)
	}
}

func TestFormerNameErrors(t *testing.T) {
	const control = "format = 1\n[[controls]]\nname = \"A\"\nvalues = [\"x\"]\nstart = \"x\"\n"
	const taken = ", which is already the name or a former name of a control"
	for src, want := range map[string]string{
		control + "formerly = [\"A\"]":        `w.toml:6: controls[1].formerly has "A"` + taken,
		control + "formerly = [\"B\", \"B\"]": `w.toml:6: controls[1].formerly has "B"` + taken,
		control + "formerly = [\"\"]":         "w.toml:6: controls[1].formerly has an empty name; it must be an earlier name from the unit's menu",
		control + "formerly = \"B\"":          "w.toml:6: controls[1].formerly is a word; it must be a list of words",
		control + "formerly = [\"B\"]\n[[controls]]\nname = \"B\"\nmax = 1\nstart = \"1\"":                     `w.toml:6: controls[1].formerly has "B"` + taken,
		control + "formerly = [\"B\"]\n[[controls]]\nname = \"C\"\nformerly = [\"B\"]\nmax = 1\nstart = \"1\"": `w.toml:9: controls[2].formerly has "B"` + taken,
	} {
		_, err := Parse("w.toml", []byte(src))
		wantError(t, err, bench.CodeBadFile, want, "")
	}
}

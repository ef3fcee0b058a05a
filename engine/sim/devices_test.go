package sim

import (
	"context"
	"errors"
	"math"
	"reflect"
	"testing"
	"time"

	"candelua/engine/bench"
)

// wantError fails unless err has the message and, where given, code and hint.
func wantError(t *testing.T, err error, code, message, hint string) {
	t.Helper()
	if err == nil || err.Error() != message {
		t.Errorf("error is %v\nwant %s", err, message)
		return
	}
	var e *bench.Error
	if code != "" && (!errors.As(err, &e) || e.Code() != code || e.Hint() != hint) {
		t.Errorf("%v: code and hint are %+v, want %q, %q", err, e, code, hint)
	}
}

// TestLatency: the light changes within three standard deviations of what the
// source states, and scatters as it states.
func TestLatency(t *testing.T) {
	w := world(t, "default", func(p *Params) { p.Source.Latency, p.Source.LatencyWithin = 0.12, 0.02 })
	var square float64
	const n = 2000
	for i := range n {
		asked := w.Now()
		s := show1(t, w, patch(float64(1+i%2)/2, 10))
		if s.Lit != asked+120*time.Millisecond || s.LitWithin != 20*time.Millisecond {
			t.Fatalf("asked at %v, lit %v within %v", asked, s.Lit, s.LitWithin)
		}
		off := (w.phenomena[0].(*limiter).since - s.Lit).Seconds()
		if math.Abs(off) > 0.06 || w.Now() < s.Lit || w.Now() < w.phenomena[0].(*limiter).since {
			t.Fatalf("stated %v, truly %v s later; answered at %v", s.Lit, off, w.Now())
		}
		square += off * off / n
	}
	// Cutting a normal off at three takes 1.3 % from its standard deviation.
	near(t, "scatter, s", math.Sqrt(square), 0.02*0.987, 4/math.Sqrt(2*n), 0)
}

// TestShowAgain: what is on screen already takes no time and keeps its time.
func TestShowAgain(t *testing.T) {
	w := world(t, "default", nil)
	first := show1(t, w, patch(1, 10))
	passTo(t, w, time.Minute)
	if again := show1(t, w, patch(1, 10)); !reflect.DeepEqual(again, first) || w.Now() != time.Minute {
		t.Errorf("shown %+v, again %+v at %v", first, again, w.Now())
	}
}

// TestArea: windows cover whole pixels and are never nothing.
func TestArea(t *testing.T) {
	w := world(t, "default", func(p *Params) { p.Screen = ScreenParams{1000, 500} })
	for window, want := range map[float64]float64{
		100: 100, 25: 25, // 500 by 250 px
		10:      100 * 316. * 158 / 500000, // 316.2 by 158.1 px
		0.00001: 100 * 1. / 500000,
	} {
		near(t, "area", show1(t, w, patch(0.5, window)).Area, want, 1e-12, 0)
	}
}

func TestPatchErrors(t *testing.T) {
	w := world(t, "default", nil)
	s := device[bench.Patches](t, w, bench.KindPatches)
	for want, edit := range map[string]func(*bench.Patch){
		`patch: signal is "log"; it must be "sdr", "pq" or "hlg"`:                                         func(p *bench.Patch) { p.Signal = "log" },
		`patch: pattern: kind is "spiral"; it must be "checkerboard", "ramp", "steps" or "ladder"`:        func(p *bench.Patch) { p.Pattern.Kind = "spiral" },
		`patch: space is "display-p3" with signal "pq"; it must be "", or "display-p3" with signal "sdr"`: func(p *bench.Patch) { p.Space, p.Signal = bench.DisplayP3, bench.PQ },
		"patch: a signal is 1.5; it must be 0 to 1":                                                       func(p *bench.Patch) { p.RGB[1] = 1.5 },
		"patch: a signal is NaN; it must be 0 to 1":                                                       func(p *bench.Patch) { p.Background[2] = math.NaN() },
		"patch: window is 0 %; it must be more than 0 and at most 100 %":                                  func(p *bench.Patch) { p.Window = 0 },
		"patch: window is 100.5 %; it must be more than 0 and at most 100 %":                              func(p *bench.Patch) { p.Window = 100.5 },
		"patch: bits is 17; it must be 0 to 16":                                                           func(p *bench.Patch) { p.Bits = 17 },
	} {
		p := patch(1, 10)
		edit(&p)
		_, err := s.Show(t.Context(), p)
		wantError(t, err, "", want, "")
		_, err = w.TruthXYZ(p)
		wantError(t, err, "", want, "")
	}
	if w.Now() != 0 {
		t.Errorf("refused patches took %v", w.Now())
	}
}

// TestForgottenSettings: the default world starts as a phone does, and it shows.
func TestForgottenSettings(t *testing.T) {
	careless, careful := world(t, "default", nil), world(t, "default", nil)
	set(t, careful, bench.Setting{Name: "Automatic brightness", Value: false}, bench.Setting{Name: "Brightness", Value: "maximum"})
	if got := careful.Now(); got != 4*time.Second {
		t.Errorf("two settings took %v, want 4s", got)
	}
	p := patch(1, 1)
	near(t, "careful", luminance(t, careful, p, time.Second), 480, 0.005, 0)
	near(t, "careless", luminance(t, careless, p, time.Second), 480*0.7*(0.01+0.99*0.6), 0.005, 0)
	got, err := careless.truthLuminance(p)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "truth", got, 480, 1e-9, 0)
	got, err = careless.truthLuminance(p, bench.Setting{Name: "Brightness", Value: 50.0})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "truth at half", got, 0.0008+(480-0.0008)*0.505, 1e-9, 0)
}

// TestSettingChangesLight: a control works on what is already shown, and one
// that stands right takes no time.
func TestSettingChangesLight(t *testing.T) {
	w := world(t, "ideal", func(p *Params) { p.Controls[1].Seconds = 2 })
	show1(t, w, patch(1, 10))
	near(t, "before", read(t, w, 1)[0].Y, 100, 1e-9, 0)
	set(t, w, bench.Setting{Name: "Brightness", Value: 25.0})
	near(t, "after", read(t, w, 1)[0].Y, 25, 1e-9, 0)
	if since := w.phenomena[0].(*limiter).since; since != w.Now()-time.Second {
		t.Errorf("set at %v, want a second ago, before the reading, at the end of the setting", since)
	}
	before := w.Now()
	set(t, w, bench.Setting{Name: "Brightness", Value: 25})
	if w.Now() != before {
		t.Errorf("setting nothing took %v", w.Now()-before)
	}
}

func TestControlSteps(t *testing.T) {
	w := world(t, "fulmar-55", nil)
	set(t, w, bench.Setting{Name: "Brightness", Value: 12.4})
	if c := w.controls[1]; c.at != 12 {
		t.Errorf("12.4 puts the control at %v, want 12", c.at)
	}
	near(t, "factor", w.controls[1].light(), 0.15+0.85*12/24, 1e-12, 0)

	w = world(t, "ideal", func(p *Params) {
		p.Controls = []ControlParams{{Name: "Dim", Min: 1, Max: 9.5, Step: 4, Start: "1", Factors: []float64{1, 0.15}}}
	})
	for value, want := range map[float64]float64{2: 1, 4: 5, 7.5: 9, 9.5: 9} { // whole steps from min
		if set(t, w, bench.Setting{Name: "Dim", Value: value}); w.controls[0].at != want {
			t.Errorf("%v puts the control at %v, want %v", value, w.controls[0].at, want)
		}
	}
	got, err := w.truthLuminance(patch(1, 10)) // brightest at min
	if err != nil {
		t.Fatal(err)
	}
	near(t, "truth", got, 100, 1e-9, 0)
}

func TestSettingErrors(t *testing.T) {
	w := world(t, "default", nil)
	u := device[bench.Unit](t, w, bench.KindUnit)
	for _, c := range []struct {
		name          string
		value         any
		message, hint string
	}{
		{"Brightnes", 1.0, `the unit has no control "Brightnes"; it has "Automatic brightness" or "Brightness"`, `did you mean "Brightness"?`},
		{"Brightness", 101.0, `Brightness: value is 101; it must be 0 to 100 %, "minimum" or "maximum"`, ""},
		{"Brightness", math.NaN(), `Brightness: value is NaN; it must be 0 to 100 %, "minimum" or "maximum"`, ""},
		{"Brightness", "maximun", `Brightness: value is "maximun"; it must be 0 to 100 %, "minimum" or "maximum"`, `did you mean "maximum"?`},
		{"Brightness", true, `Brightness: value is true; it must be 0 to 100 %, "minimum" or "maximum"`, ""},
		{"Automatic brightness", "of", `Automatic brightness: value is "of"; it must be "on" or "off"`, `did you mean "off"?`},
		{"Automatic brightness", 1.0, `Automatic brightness: value is 1; it must be "on" or "off"`, ""},
	} {
		good := bench.Setting{Name: "Automatic brightness", Value: "off"}
		_, err := u.Set(t.Context(), []bench.Setting{good, {Name: c.name, Value: c.value}})
		wantError(t, err, bench.CodeBadSetting, c.message, c.hint)
		_, err = w.truthLuminance(patch(1, 1), bench.Setting{Name: c.name, Value: c.value})
		wantError(t, err, bench.CodeBadSetting, c.message, c.hint)
	}
	if w.Now() != 0 || w.controls[0].at != 0 {
		t.Error("a list with a bad setting was set in part")
	}
	w = world(t, "default", func(p *Params) { p.Controls = nil })
	_, err := device[bench.Unit](t, w, bench.KindUnit).Set(t.Context(), []bench.Setting{{Name: "Brightness", Value: 1.0}})
	wantError(t, err, bench.CodeBadSetting, `the unit has no control "Brightness"; it has no controls at all`, "")
}

func TestOperator(t *testing.T) {
	o := device[bench.Operator](t, world(t, "default", nil), bench.KindOperator)
	low, high := 0.0, 10.0
	ask := func(q bench.Question) (bench.Reply, error) { return o.Ask(t.Context(), q) }
	for _, c := range []struct {
		q    bench.Question
		want bench.Reply
	}{
		{bench.Question{Kind: bench.Confirm, Text: "Ready?"}, bench.Reply{Assumed: true}},
		{bench.Question{Kind: bench.Number, Example: "2.5", Min: &low, Max: &high}, bench.Reply{Text: "2.5", Number: 2.5}},
		{bench.Question{Kind: bench.Choice, Choices: []string{"a", "b"}, Example: "b"}, bench.Reply{Text: "b"}},
		{bench.Question{Kind: bench.Text, Example: "grey"}, bench.Reply{Text: "grey"}},
	} {
		if got, err := ask(c.q); err != nil || got != c.want {
			t.Errorf("%+v: %+v, %v", c.q, got, err)
		}
	}
	const mend, state = "correct example in the script; the simulated bench uses it as the answer", "give example in the script; the simulated bench uses it as the answer"
	for _, c := range []struct {
		q             bench.Question
		message, hint string
	}{
		{bench.Question{Kind: bench.Text, Text: "Tint?"}, `question "Tint?" has no example, and the simulated bench has no person to answer it`, state},
		{bench.Question{Kind: bench.Number, Text: "Lux?", Example: "many"}, `question "Lux?" has the example "many"; it must be a number within the question's limits`, mend},
		{bench.Question{Kind: bench.Number, Text: "Lux?", Example: "11", Max: &high}, `question "Lux?" has the example "11"; it must be a number within the question's limits`, mend},
		{bench.Question{Kind: bench.Number, Text: "Lux?", Example: "-1", Min: &low}, `question "Lux?" has the example "-1"; it must be a number within the question's limits`, mend},
		{bench.Question{Kind: bench.Choice, Text: "Which?", Choices: []string{"a", "b"}, Example: "c"}, `question "Which?" has the example "c"; it must be "a" or "b"`, mend},
	} {
		_, err := ask(c.q)
		wantError(t, err, bench.CodeUnsupported, c.message, c.hint)
	}
}

// TestStopped: a request that comes after a stop does nothing.
func TestStopped(t *testing.T) {
	w := world(t, "default", nil)
	stop := errors.New("stop")
	ctx, cancel := context.WithCancelCause(t.Context())
	cancel(stop)
	_, errShow := device[bench.Patches](t, w, bench.KindPatches).Show(ctx, patch(1, 10))
	_, errSet := device[bench.Unit](t, w, bench.KindUnit).Set(ctx, []bench.Setting{{Name: "Brightness", Value: 1.0}})
	_, errAsk := device[bench.Operator](t, w, bench.KindOperator).Ask(ctx, bench.Question{Kind: bench.Confirm})
	if errShow != stop || errSet != stop || errAsk != stop || w.Now() != 0 {
		t.Errorf("show %v, set %v, ask %v, at %v", errShow, errSet, errAsk, w.Now())
	}
}

// TestOpenBench opens the built-in simulated bench whole.
func TestOpenBench(t *testing.T) {
	b, err := bench.Open(t.Context(), bench.SimFile, bench.Openers{"sim": Opener(Default(), 1, 0)})
	if err != nil {
		t.Fatal(err)
	}
	if !b.Simulated || len(b.Meters) != 2 || b.Patches == nil || b.Unit == nil || b.Rig == nil || b.Operator == nil {
		t.Errorf("bench is %+v", b)
	}
	if _, err := b.Patches.Show(t.Context(), patch(1, 10)); err != nil || b.Clock.Now() < 120*time.Millisecond {
		t.Errorf("the clock is at %v, %v: it is not the world's", b.Clock.Now(), err)
	}
	id, _ := b.About("meter")
	if id.Floor != 0.005 || id.Accuracy.Repeatability < 0.1 || id.Accuracy.Repeatability > 0.11 || !id.Simulated || id.Driver != "sim" {
		t.Errorf("meter says %+v", id)
	}
	for _, d := range b.Devices() {
		if d.Identity.Name == "" || d.Identity.Driver != "sim" || !d.Identity.Simulated {
			t.Errorf("%s says %+v", d.Name, d.Identity)
		}
	}
	if err := b.Close(); err != nil {
		t.Error(err)
	}
}

func TestOpenErrors(t *testing.T) {
	p := Default()
	p.Light.Black = -1
	_, err := Opener(p, 1, 0)()
	wantError(t, err, "", "light.black is -1; it must be 0 to 10 cd/m2", "")
	d := world(t, "default", nil).driver()
	_, err = d.Open(t.Context(), "kettle", bench.Section{})
	wantError(t, err, bench.CodeWrongDevice, `the simulated bench has no device of kind "kettle"`, "")
	_, err = d.Open(t.Context(), bench.KindMeter, bench.Section{Options: map[string]any{"seed": 2.0}})
	wantError(t, err, bench.CodeBadFile, "the simulated bench takes no options in a bench file", "state them in a world file; `candelua world` prints one with all parameters")
}

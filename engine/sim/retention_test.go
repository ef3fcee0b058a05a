package sim

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"candelua/engine/bench"
)

// retaining is an ideal display that retains, read in an instant.
func retaining(terms ...[4]float64) func(*Params) {
	return func(p *Params) {
		p.Light.HDRPeak, p.Source.Latency = 100, 0.001
		p.Tone.Kind, p.Tone.Exponent = "power", 2
		p.Retention = RetentionParams{Terms: terms, Colour: [3]float64{1, 1, 1}}
		p.Meter.Integration, p.Meter.IntegrationDark = 0.001, 0.001
	}
}

// readAt reads one place of what is shown.
func readAt(t testing.TB, w *World, x, y float64) bench.Sample {
	t.Helper()
	m := device[*meter](t, w, bench.KindMeter)
	var s bench.Sample
	at := [2]float64{x, y}
	if err := m.Read(t.Context(), bench.ReadRequest{Most: 1, At: &at}, func(got bench.Sample) error { s = got; return nil }); err != nil {
		t.Fatal(err)
	}
	return s
}

func wait(t testing.TB, w *World, s float64) { passTo(t, w, w.Now()+seconds(s)) }

// TestResidual: a bright window leaves what the terms say, where it stood and
// nowhere else: charged as 1 − exp(−t/τ), it decays as exp(−t/τ).
func TestResidual(t *testing.T) {
	w := world(t, "ideal", retaining([4]float64{10, 30, 2, 0}))
	field := patch(0.5, 100) // light and drive a quarter of full
	show1(t, w, field)
	near(t, "before", readAt(t, w, 0.5, 0.5).Y, 25, 1e-4, 0)

	w = world(t, "ideal", retaining([4]float64{10, 30, 2, 0}))
	show1(t, w, patch(1, 10))
	wait(t, w, 4.999) // and until the next patch is lit
	show1(t, w, field)
	q := -math.Expm1(-0.5)
	for _, after := range []float64{0, 10, 40} {
		wait(t, w, after)
		now := 0.25 + (q-0.25)*math.Exp(-(w.Now().Seconds()-5.001)/30)
		near(t, "where it stood", readAt(t, w, 0.5, 0.5).Y, 25*(1+0.02*(1-0.5)*now), 1e-6, 0)
		other := 0.25 * -math.Expm1(-(w.Now().Seconds()-5.001)/10)
		near(t, "elsewhere", readAt(t, w, 0.1, 0.1).Y, 25*(1+0.02*(1-0.5)*other), 1e-6, 0)
	}
}

// TestResidualTruth: what the truth says a meter reads.
func TestResidualTruth(t *testing.T) {
	for _, term := range [][4]float64{{10, 30, 2, 0}, {10, 30, -3, 0}, {10, 30, 0, 0.5}} {
		w := world(t, "ideal", retaining(term))
		box, field := patch(1, 10), patch(0.3, 100)
		show1(t, w, box)
		wait(t, w, 4.999)
		show1(t, w, field)
		lit := w.Now()
		for _, after := range []float64{1, 20, 100} {
			passTo(t, w, lit+seconds(after)-500*time.Microsecond)
			a := readAt(t, w, 0.5, 0.5).Y
			passTo(t, w, lit+seconds(after)-500*time.Microsecond)
			v := w.viewOf([2]float64{0.1, 0.1}, 0, 0, 0)
			b := w.luminanceAt(lit+seconds(after), &v)
			want, err := w.truthResidual(stress{box, 5}, field, after)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "percent", 100*(a/b-1), want.percent, 1e-4, 1e-7)
			near(t, "luminance", a-b, want.luminance, 1e-4, 1e-7)
		}
	}
}

// TestResidualTime: the residual is within the limit from the time that the
// truth states, and not a second before.
func TestResidualTime(t *testing.T) {
	for _, name := range []string{"default", "awkward", "fulmar-55"} {
		w := world(t, name, nil)
		s, probe := stress{patch(1, 10), 60}, patch(0.3, 100)
		const within = 0.05
		at, err := w.truthResidualTime(s, probe, within)
		if err != nil {
			t.Fatal(err)
		}
		if at < 5 {
			t.Errorf("%s: the residual is gone after %v s", name, at)
		}
		for after, want := range map[float64]bool{at - 1: false, at + 1: true, 2 * at: true} {
			r, err := w.truthResidual(s, probe, after)
			if err != nil || (math.Abs(r.percent) <= within) != want {
				t.Errorf("%s: after %v s it is %v %%, %v; the truth says %v s", name, after, r.percent, err, at)
			}
		}
	}
	if at, err := world(t, "ideal", nil).truthResidualTime(stress{patch(1, 10), 60}, patch(0.3, 100), 0.05); at != 0 || err != nil {
		t.Errorf("without retention it takes %v s, %v", at, err)
	}
}

// TestResidualVisible: seven seconds of a bright white box leave a residual on
// the phone that an eye sees on a dark grey, some tenths of a percent or a
// thousandth of u′v′ (common practice, no source).
func TestResidualVisible(t *testing.T) {
	w := world(t, "default", nil)
	box := patch(1, 10)
	box.Signal = bench.PQ
	r, err := w.truthResidual(stress{box, 7}, patch(0.2, 100), 1)
	if err != nil {
		t.Fatal(err)
	}
	if r.percent < 0.2 || r.deltaUV < 0.0003 {
		t.Errorf("the residual is %+v", r)
	}
}

// TestResidualDecays: whatever was shown, a long black undoes it.
func TestResidualDecays(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := world(t, "awkward", func(p *Params) { quiet2(p); p.Meter.Kind = "spectral" })
		fresh := world(t, "awkward", func(p *Params) { quiet2(p); p.Meter.Kind = "spectral" })
		at := [2]float64{rapid.Float64Range(0, 1).Draw(r, "x"), rapid.Float64Range(0, 1).Draw(r, "y")}
		for range rapid.IntRange(1, 5).Draw(r, "patches") {
			p := patch(rapid.Float64Range(0, 1).Draw(r, "level"), rapid.Float64Range(1, 100).Draw(r, "window"))
			p.At = [2]float64{rapid.Float64Range(0, 1).Draw(r, "at x"), rapid.Float64Range(0, 1).Draw(r, "at y")}
			show1(t, w, p)
			wait(t, w, rapid.Float64Range(0, 2000).Draw(r, "for"))
		}
		show1(t, w, patch(0, 100))
		wait(t, w, 30000)
		show1(t, w, patch(0.4, 100))
		show1(t, fresh, patch(0.4, 100))
		a, b := readAt(t, w, at[0], at[1]).Y, readAt(t, fresh, at[0], at[1]).Y
		if math.Abs(a-b) > 1e-9*b {
			r.Fatalf("after all it reads %v, at first %v", a, b)
		}
	})
}

// quiet2 makes all steady but retention.
func quiet2(p *Params) {
	keep := p.Retention
	quiet(p)
	p.Retention, p.Warmup, p.Limit.Curve = keep, WarmupParams{}, nil
	p.Room.Stray = 0
}

func TestResidualErrors(t *testing.T) {
	w := world(t, "default", nil)
	bad := patch(1, 0)
	for _, c := range []struct {
		s     stress
		probe bench.Patch
		after float64
		want  string
	}{
		{stress{bad, 1}, patch(0.5, 100), 1, "patch: window is 0 %; it must be more than 0 and at most 100 %"},
		{stress{patch(1, 10), -1}, patch(0.5, 100), 1, "residual: times are -1 and 1 s; they must be 0 or more"},
	} {
		_, err := w.truthResidual(c.s, c.probe, c.after)
		wantError(t, err, "", c.want, "")
	}
	_, err := world(t, "ideal", nil).truthResidual(stress{patch(1, 10), 1}, patch(0, 100), 1)
	if err == nil {
		t.Error("a probe without light is no error")
	}
}

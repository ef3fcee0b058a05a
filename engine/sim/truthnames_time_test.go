package sim

import (
	"math"
	"strings"
	"testing"
)

// truthWith asks a world that differs from the default for a truth by its name.
func truthWith(t *testing.T, change func(*Params), name string, args map[string]any) (float64, error) {
	t.Helper()
	p := Default()
	change(&p)
	s, err := NewSubject(nil, nil, "")
	if err != nil {
		t.Fatal(err)
	}
	if s.world, err = New(p, 1, 0); err != nil {
		t.Fatal(err)
	}
	return s.Truth(map[string]any{name: args})
}

// The truths of time agree with the models' formulas, worked out by hand in the
// package's own documentation of warmth, heat and retention.
func TestTruthsOfTime(t *testing.T) {
	one := func(p *Params) {
		p.Warmup.Terms, p.Warmup.Colour = [][2]float64{{700, 6}}, [3]float64{}
		p.Limit.Curve, p.Light.Black = nil, 0
		p.Thermal.From, p.Thermal.By, p.Thermal.Seconds = 0.2, 30, 400
		p.Retention.Terms, p.Retention.Colour = [][4]float64{{20, 35, 3, 0}}, [3]float64{1, 1, 1}
		p.Tone.Bits = 0
	}
	light := math.Pow(0.5, 2.2) * 480 / 950 // drive of the moderate grey
	heat := 480./950 + (light-480./950)*math.Exp(-600./400)
	probe := math.Pow(0.2, 2.2) * 480 / 950
	charge := 480. / 950 * -math.Expm1(-60./20)
	for _, c := range []struct {
		name   string
		args   map[string]any
		want   float64
		within float64
	}{
		// 1 + a·exp(−t/τ): from 6 % at once, and 600 s apart 0.5 % of what is left.
		{"warm_up_drift", map[string]any{}, 100 * (1.06/(1+0.06*math.Exp(-5400./700)) - 1), 1e-6},
		{"warm_up_drift", map[string]any{"from": 700.0}, 100 * ((1+0.06/math.E)/(1+0.06*math.Exp(-5400./700)) - 1), 1e-6},
		{"warm_up_time", map[string]any{}, 700 * math.Log(0.06*-math.Expm1(-600./700)/0.005-0.06*math.Exp(-600./700)), 1},
		{"thermal_dimming", map[string]any{}, 30 * (heat - 0.2) / 0.8, 1e-9},
		{"residual", map[string]any{}, 3 * (1 - math.Sqrt(probe)) * charge, 1e-9},
		{"residual_shift", map[string]any{}, 0, 1e-9},
	} {
		got, err := truthWith(t, one, c.name, c.args)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		} else if math.Abs(got-c.want) > c.within {
			t.Errorf("%s%v is %v, want %v", c.name, c.args, got, c.want)
		}
	}
	// The constant is the time to 1/e of what was at once, the time that to a level.
	at := func(name string, args map[string]any) float64 {
		x, err := truthWith(t, one, name, args)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	first, constant := at("residual", nil), at("residual_constant", nil)
	if then := at("residual", map[string]any{"after": constant}); math.Abs(then-first/math.E) > 1e-3 {
		t.Errorf("after the constant the residual is %v, want %v", then, first/math.E)
	}
	if time := at("residual_time", map[string]any{"within": first / math.E}); math.Abs(time-constant) > 0.01 {
		t.Errorf("the time to 1/e is %v s, want the constant, %v s", time, constant)
	}
	if _, err := truthWith(t, one, "residual", map[string]any{"at": []any{0.5}}); err == nil || !strings.Contains(err.Error(), "it must be a place") {
		t.Errorf("half a place gives %v, want a refusal", err)
	}
}

// The truths of steps are counted by hand.
func TestTruthsOfSteps(t *testing.T) {
	merged := func(p *Params) { p.Tone.Merged = [][2]int{{20, 21}, {130, 133}} }
	cut := func(p *Params) { p.Tone.CutOff = 5.5 / 255 }
	for _, c := range []struct {
		name   string
		change func(*Params)
		args   map[string]any
		want   float64
	}{
		{"merged_steps", merged, nil, 4},
		{"merged_steps", merged, map[string]any{"from": 100.0}, 3},
		{"jumps", merged, nil, 2},
		{"jumps", merged, map[string]any{"factor": 3.0}, 1}, // four codes' worth at once; two are less than three
		{"first_code", cut, nil, 6},
		// 480·(1/255)^2.2 = 0.0024, 480·(2/255)^2.2 = 0.0112 cd/m²: the second is the first.
		{"first_code", func(*Params) {}, nil, 2},
		{"crush", cut, nil, 4},
		{"crush", func(*Params) {}, nil, 0},
	} {
		got, err := truthWith(t, c.change, c.name, c.args)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		} else if got != c.want {
			t.Errorf("%s%v is %v, want %v", c.name, c.args, got, c.want)
		}
	}
	for name, args := range map[string]map[string]any{"merged_steps": {"from": 200.0, "to": 100.0}, "jumps": {"to": 300.0}} {
		if _, err := truthWith(t, merged, name, args); err == nil || !strings.Contains(err.Error(), "it must be more than from") {
			t.Errorf("%s%v gives %v, want a refusal", name, args, err)
		}
	}
}

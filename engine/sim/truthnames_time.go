package sim

import (
	"fmt"
	"math"
	"reflect"
	"time"

	"candelua/engine/bench"
)

// truthWarming is a grey whose drift from a cold start is asked for.
type truthWarming struct {
	Grey    float64 `toml:"grey" min:"0" max:"1" help:"signal of the grey that is shown"`
	Window  float64 `toml:"window" unit:"%" min:"0.01" max:"100" help:"share of the screen"`
	Within  float64 `toml:"within" unit:"%" min:"0.001" max:"50" help:"drift that is allowed"`
	Over    float64 `toml:"over" unit:"s" min:"0.1" max:"100000" help:"time over which that drift is allowed"`
	From    float64 `toml:"from" unit:"s" min:"0" max:"1000000" help:"beginning of the period, counted from the cold start"`
	Seconds float64 `toml:"seconds" unit:"s" min:"0.1" max:"1000000" help:"end of the period, counted from the cold start"`
}

func (a *truthWarming) defaults() {
	*a = truthWarming{Grey: 0.5, Window: 100, Within: 0.5, Over: 600, Seconds: 5400}
}

// truthHeating is a bright picture after a moderate one.
type truthHeating struct {
	Before  float64 `toml:"before" min:"0" max:"1" help:"signal of the full-screen grey that is shown for a long time first"`
	Grey    float64 `toml:"grey" min:"0" max:"1" help:"signal of the bright full-screen grey that follows"`
	Seconds float64 `toml:"seconds" unit:"s" min:"0.1" max:"1000000" help:"time for which that grey is shown"`
}

func (a *truthHeating) defaults() { *a = truthHeating{Before: 0.5, Grey: 1, Seconds: 600} }

// truthStress is a stress and the grey that shows what stays of it.
type truthStress struct {
	Grey    float64   `toml:"grey" min:"0" max:"1" help:"signal of the stress: a window on black"`
	Signal  string    `toml:"signal" one_of:"sdr|pq" help:"signal type of stress and probe"`
	Window  float64   `toml:"window" unit:"%" min:"0.01" max:"100" help:"share of the screen"`
	At      []float64 `toml:"at" min:"0" max:"1" help:"centre of the window, from the left and from the top"`
	Seconds float64   `toml:"seconds" unit:"s" min:"0" max:"1000000" help:"duration of the stress"`
	Probe   float64   `toml:"probe" min:"0" max:"1" help:"signal of the full-screen grey on which the residual is read"`
	After   float64   `toml:"after" unit:"s" min:"0" max:"1000000" help:"time since the end of the stress"`
	Within  float64   `toml:"within" unit:"%" min:"0.0001" max:"100" help:"residual that is allowed"`
}

func (a *truthStress) defaults() {
	*a = truthStress{Grey: 1, Signal: "sdr", Window: 10, At: []float64{0.5, 0.5}, Seconds: 60, Probe: 0.2, Within: 0.2}
}

// timeTruths are truths of what changes with time.
var timeTruths = []truth{
	{TruthDoc{Name: "warm_up_time", Unit: "s", Help: "time from a cold start until a grey drifts by at most within in the time over"},
		reflect.TypeFor[truthWarming](), func(w *World, args any) (float64, error) {
			a := args.(truthWarming)
			return w.truthWarmup(grey(a.Grey, a.Window, bench.SDR, 0), a.Within, a.Over)
		}},
	{TruthDoc{Name: "warm_up_drift", Unit: "%", Help: "excess luminance of a grey at the beginning of a period over that at its end"},
		reflect.TypeFor[truthWarming](), warmUpDrift},
	{TruthDoc{Name: "thermal_dimming", Unit: "%", Help: "loss of light by heat while a bright grey is shown"},
		reflect.TypeFor[truthHeating](), thermalDimming},
	afterStress("residual", "%", "what remains of a stress, as a percentage of the probe's luminance", func(w *World, s stress, p bench.Patch, a truthStress) (float64, error) {
		r, err := w.truthResidual(s, p, a.After)
		return r.percent, err
	}),
	afterStress("residual_shift", "", "what remains of a stress, as a colour difference in u'v'", func(w *World, s stress, p bench.Patch, a truthStress) (float64, error) {
		r, err := w.truthResidual(s, p, a.After)
		return r.deltaUV, err
	}),
	afterStress("residual_time", "s", "time after which the residual stays within a limit", func(w *World, s stress, p bench.Patch, a truthStress) (float64, error) {
		return w.truthResidualTime(s, p, a.Within)
	}),
	afterStress("residual_constant", "s", "time after which the residual stays within 1/e of its initial value", func(w *World, s stress, p bench.Patch, _ truthStress) (float64, error) {
		r, err := w.truthResidual(s, p, 0)
		if err != nil {
			return 0, err
		}
		return w.truthResidualTime(s, p, math.Abs(r.percent)/math.E)
	}),
}

// afterStress declares a truth of what remains of a stress.
func afterStress(name, unit, help string, of func(*World, stress, bench.Patch, truthStress) (float64, error)) truth {
	return truth{TruthDoc{Name: name, Unit: unit, Help: help}, reflect.TypeFor[truthStress](), func(w *World, args any) (float64, error) {
		a := args.(truthStress)
		if len(a.At) != 2 {
			return 0, wrong("at", "is a list of %d; it must be a place as { x, y }", len(a.At))
		}
		s := stress{patch: grey(a.Grey, a.Window, bench.Signal(a.Signal), 0), seconds: a.Seconds}
		s.patch.At = [2]float64(a.At)
		probe := grey(a.Probe, 100, bench.Signal(a.Signal), 0)
		return of(w, s, probe, a)
	}}
}

// warmUpDrift leaves the approach to power limiting out, which is no warm-up.
func warmUpDrift(w *World, args any) (float64, error) {
	a := args.(truthWarming)
	p := grey(a.Grey, a.Window, bench.SDR, 0)
	cold, err := w.coldStart(p)
	if err != nil {
		return 0, err
	}
	v := cold.viewOf(cold.frame.middle, 0, 0, 0)
	cold.limiter.seconds = 0
	end := cold.luminanceAt(seconds(a.Seconds), &v)
	if !(end > 0) {
		return 0, fmt.Errorf("warm-up: the grey has no light")
	}
	return 100 * (cold.luminanceAt(seconds(a.From), &v)/end - 1), nil
}

// thermalDimming compares the factor of heat at the beginning and at the end.
func thermalDimming(w *World, args any) (float64, error) {
	a := args.(truthHeating)
	controls, err := w.truthControls(nil)
	if err != nil {
		return 0, err
	}
	h := newHeat(w.params.Thermal)
	factor := func(t time.Duration) float64 { return h.appendFactor(nil, t, 0, [2]float64{}).mean(0) }
	h.from = min(1, w.frameOf(grey(a.Before, 100, bench.SDR, 0), controls, 1).load.drive)
	h.turn(0, w.frameOf(grey(a.Grey, 100, bench.SDR, 0), controls, 1).load)
	first, end := factor(0), seconds(a.Seconds)
	for next := h.next(); next <= end; next = h.next() {
		h.turn(next, load{drive: h.to})
	}
	return 100 * (1 - factor(end)/first), nil
}

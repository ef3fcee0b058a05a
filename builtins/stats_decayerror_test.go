package builtins

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Stated standard errors of the curve, and of its change, are the scatter of
// repeated fits; 400 of them have a standard uncertainty of 3.5 % themselves.
func TestDecayCurveErrors(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 3))
	zero := 0.0
	for name, c := range map[string]struct {
		terms  []Term
		offset *float64
	}{
		"one term":   {[]Term{{Amplitude: 5, Tau: 40}}, nil},
		"from zero":  {[]Term{{Amplitude: 5, Tau: 40}}, &zero},
		"two terms":  {[]Term{{Amplitude: 5, Tau: 20}, {Amplitude: -4, Tau: 150}}, nil},
		"both known": {[]Term{{Amplitude: 5, Tau: 20}, {Amplitude: 3, Tau: 150}}, &zero},
	} {
		a := exactDecay(0, c.terms, 10, 60, func(int) float64 { return 6 })
		a.Offset = c.offset
		exact := append([]float64(nil), a.Y...)
		const early, late = 15.0, 120.0
		var at, changes, uAt, uChange []float64
		for range 400 {
			a.Y = make([]float64, len(exact))
			for i := range exact {
				a.Y[i] = exact[i] + 0.01*r.NormFloat64()
			}
			d := fitDecay(t, a)
			at, changes = append(at, d.at(late)), append(changes, d.at(late)-d.at(early))
			uAt, uChange = append(uAt, *d.uAt(late)), append(uChange, *d.uChange(early, late))
		}
		if relative(sdFloat(at), meanFloat(uAt)) > 0.12 {
			t.Errorf("%s: the curve scatters by %v, stated %v", name, sdFloat(at), meanFloat(uAt))
		}
		if relative(sdFloat(changes), meanFloat(uChange)) > 0.12 {
			t.Errorf("%s: its change scatters by %v, stated %v", name, sdFloat(changes), meanFloat(uChange))
		}
	}
}

// At t = 0 and for ever after they are those of the amplitude and the offset.
func TestDecayCurveErrorsAtTheEnds(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 9))
	a := exactDecay(1, []Term{{Amplitude: 5, Tau: 30}}, 4, 30, func(int) float64 { return 5 })
	for i := range a.Y {
		a.Y[i] += 0.02 * r.NormFloat64()
	}
	d := fitDecay(t, a)
	if got := *d.uAt(1e6); relative(got, *d.UOffset) > 1e-9 {
		t.Errorf("u of the end is %v, u of the offset %v", got, *d.UOffset)
	}
	if got := *d.uChange(0, 1e6); relative(got, *d.Terms[0].UAmplitude) > 1e-9 {
		t.Errorf("u of the whole change is %v, u of the amplitude %v", got, *d.Terms[0].UAmplitude)
	}
	if got := *d.uChange(17, 17); got != 0 {
		t.Errorf("u of no change is %v", got)
	}
}

// Where nothing tells them there are none, rather than a number.
func TestDecayCurveErrorsUnknown(t *testing.T) {
	constant := fitDecay(t, exactDecay(3, []Term{{Amplitude: 0, Tau: 10}}, 0, 10, func(int) float64 { return 1 }))
	if constant.Converged {
		t.Fatal("a constant determines a time constant")
	}
	if u, c := constant.uAt(5), constant.uChange(0, 5); u != nil || c != nil {
		t.Errorf("of a constant they are %v and %v", u, c)
	}
	late := fitDecay(t, exactDecay(1, []Term{{Amplitude: 1, Tau: 10}}, 0, 20, func(int) float64 { return 3 }))
	if u := late.uAt(-1e6); u != nil {
		t.Errorf("so long before that the curve is infinite it is %v", *u)
	}
	if math.IsNaN(late.at(5)) {
		t.Error("the curve itself is no number")
	}
}

func TestDecayCurveErrorsInScripts(t *testing.T) {
	r := newRig()
	r.prints(t, `
local from, y = {}, {}
for i = 1, 12 do from[i], y[i] = i, 3 + 4 * math.exp(-i / 5) + (i % 2) / 100 end
local d = stats.decay { from = from, to = from, y = y }
print(d:u_at(2) > 0, d:u_change(2, 9) > 0, d:u_change(2, 2))
local none = stats.decay { from = from, to = from, y = { 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1 } }
print(none:u_at(2), none:u_change(2, 3))`, "true\ttrue\t0\nnil\tnil")
}

package builtins

import (
	"context"
	"testing"

	"candelua/engine/bench"
)

// zeroMeter is a meter that can take its dark level.
type zeroMeter struct {
	fakeMeter
	taken *int
}

func (m zeroMeter) Zero(context.Context) error {
	*m.taken++
	return m.failure()
}

func TestDark(t *testing.T) {
	r := newRig()
	m, second := zeroMeter{fakeMeter{r}, new(int)}, zeroMeter{fakeMeter{r}, new(int)}
	r.bench.Meters = map[string]bench.Meter{"meter": m, "reference": second}
	r.prints(t, `print(meter.dark()) meter.named("reference").dark() meter.dark()`, "")
	if *m.taken != 2 || *second.taken != 1 || r.steps[1].Device != "reference" {
		t.Errorf("taken %d and %d times, by %s", *m.taken, *second.taken, r.steps[1].Device)
	}
	if left := r.left["meter"]; len(left) != 2 || left[0] != (bench.ZeroRequest{}) {
		t.Errorf("the meter was asked for %v", left)
	}
	if r.hands[0] {
		t.Error("a meter with a driver is not by hand")
	}
	r.fails(t, "meter.dark(5)", "meter.dark is given too many arguments")

	r.fault = bench.Errorf(bench.CodeTimeout, "", "the meter did not answer")
	r.fails(t, "meter.dark()", "the meter did not answer")
	r.about.ByHand = true
	if err := r.play(t, "meter.dark()"); err != nil || !r.hands[len(r.hands)-1] {
		t.Errorf("by hand %v, %v", r.hands, err)
	}
}

func TestDarkCannot(t *testing.T) {
	r := newRig()
	r.fails(t, "meter.dark()", "the meter cannot measure its dark level on request")
	r.fails(t, `meter.named("reference").dark()`, "the reference cannot measure its dark level on request")
	r.prints(t, "local _, e = pcall(meter.dark) print(e.code)", "unsupported")
	r.bench.Meters = nil
	r.fails(t, "meter.dark()", "the bench has no meter")
}

// A meter that nobody and nothing moves would read the wrong place.
func TestReadAt(t *testing.T) {
	r := newRig()
	r.fails(t, "meter.read { at = { 0.2, 0.5 } }", "the meter cannot look at another place by itself")
	if len(r.requests) > 0 {
		t.Errorf("read all the same: %+v", r.requests)
	}
	for _, id := range []bench.Identity{{ByHand: true}, {Simulated: true}} {
		r := newRig()
		r.about = id
		if err := r.play(t, "meter.read { at = { 0.2, 0.5 } } meter.read {}"); err != nil {
			t.Fatal(err)
		}
		// A person leaves the meter where it was, so the way back is asked for.
		q := r.requests
		if *q[0].At != [2]float64{0.2, 0.5} || (q[1].At != nil) != id.ByHand || id.ByHand && *q[1].At != [2]float64{0.5, 0.5} {
			t.Errorf("%+v: asked as %+v", id, q)
		}
		// What was not said is not kept, so that older journals agree.
		if got := string(r.steps[1].Args); got == string(r.steps[0].Args) || len(got) >= len(r.steps[0].Args) {
			t.Errorf("arguments are %s", got)
		}
	}
	r.fails(t, "meter.read { at = { 0.2 } }", "meter.read: at is {0.2}; it must be a list of 2 numbers from 0 to 1")
	r.fails(t, "meter.read { at = { 0.2, 1.2 } }", "meter.read: at[2] is 1.2; it must be 0 to 1")
}

package builtins

import (
	"testing"

	"candelua/engine/bench"
	"candelua/engine/result"
)

// A saturated meter scatters little and is wrong: its luminance is a limit.
func TestSaturated(t *testing.T) {
	samples := samplesOf(func(float64) float64 { return 300 })
	for i := range samples {
		samples[i].Colour, samples[i].X, samples[i].Z = true, 280, 320
	}
	if r := average(samples, bench.Accuracy{}); r.UY == nil || r.Cx == nil {
		t.Fatalf("before: %+v", r)
	}
	samples[4].Flags = []bench.Flag{bench.Saturated}
	r := average(samples, bench.Accuracy{Repeatability: 1})
	if !r.Flags.Saturated || r.Y != 300 || r.UY != nil || r.Cx != nil {
		t.Errorf("got %+v, want a limit without uncertainty or colour", r)
	}
}

func TestUnitOfAReading(t *testing.T) {
	s := &sameBits{traces: map[trace]*float64{}}
	y, x := 479.90123456, 0.31270123456
	u := 0.1
	s.remember(&y, &u, "cd/m2")
	s.remember(&x, nil, "")
	for _, c := range []struct {
		value float64
		unit  string
		is    string
		other bool
	}{
		{y, "cd/m2", "", false}, {y, "nits", "", false}, {y, "lux", "cd/m2", true}, {y, "", "", false},
		{x, "", "", false}, {x, "%", "", true}, {12.5, "lux", "", false}, {y + 1, "lux", "", false},
	} {
		if is, other := s.otherUnit(c.value, c.unit); is != c.is || other != c.other {
			t.Errorf("%v %q: got %q, %v", c.value, c.unit, is, other)
		}
	}
	v := result.Value{Value: &y, Unit: "nit"}
	if err := s.claim(&v); err != nil || v.U == nil || *v.U != u {
		t.Errorf("the value in nit is %+v, %v", v, err)
	}
}

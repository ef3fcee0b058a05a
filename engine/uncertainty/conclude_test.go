package uncertainty

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"candelua/engine/draw"
	"candelua/engine/result"
)

// concluded is a value with its draws, concluded.
func concluded(t *testing.T, value float64, unit string, of func(r *rand.Rand) float64) *result.Value {
	t.Helper()
	base := result.New()
	if _, err := base.Value(result.Value{Name: "V", Value: &value, Unit: unit}); err != nil {
		t.Fatal(err)
	}
	d := newDrawn(base, 400)
	r := rand.New(rand.NewPCG(1, 2))
	d.values["v"] = slices.Repeat([]float64{0}, 400)
	for i := range d.values["v"] {
		d.values["v"][i] = of(r)
	}
	if err := d.Conclude(); err != nil {
		t.Fatal(err)
	}
	return base.Values()[0]
}

// A hue near grey points anywhere: it has no interval, and a reason. One that is known to 20 degrees has one.
func TestAngleThatCannotBeTold(t *testing.T) {
	v := concluded(t, 350, "°", func(r *rand.Rand) float64 { return 360 * r.Float64() })
	if v.U != nil || v.Interval != nil || !strings.Contains(v.Why, "the angle cannot be told") {
		t.Errorf("%+v", v)
	}
	v = concluded(t, 350, "°", func(r *rand.Rand) float64 { return 350 + 20*r.NormFloat64() })
	if v.U == nil || v.Interval == nil || v.Why != "" {
		t.Errorf("%+v", v)
	}
}

// A count is whole, as it is and where its interval ends, and is written without ±.
func TestCountIsConcluded(t *testing.T) {
	v := concluded(t, 2, "", func(r *rand.Rand) float64 { return float64(1 + r.IntN(3)) })
	if v.Method != string(draw.Counted) || !v.Counted() || v.Rounded != "" || *v.Interval != [2]float64{1, 3} || v.Bias != nil || !(*v.U > 0) {
		t.Errorf("%+v %v", v, v.Interval)
	}
}

// A percentage that no draw takes beyond 100 ends there, and is a bound; 100 of another unit is nothing special.
func TestPercentIsConcluded(t *testing.T) {
	near := func(r *rand.Rand) float64 { return 97 - max(0, 1+0.5*r.NormFloat64()) - r.Float64() }
	if v := concluded(t, 98.9, "%", near); v.Interval[1] != 100 || v.AtLimit() != result.Lower {
		t.Errorf("in %%: %v, %q", v.Interval, v.AtLimit())
	}
	if v := concluded(t, 98.9, "cd/m2", near); v.Interval[1] <= 100 || v.AtLimit() != "" {
		t.Errorf("in cd/m2: %v, %q", v.Interval, v.AtLimit())
	}
}

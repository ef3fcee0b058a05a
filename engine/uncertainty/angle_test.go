package uncertainty

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"candelua/engine/result"
)

// An angle has the same interval wherever its draws are cut: near 0 and 360 as elsewhere.
// By the rules before 4, and in other units, numbers are on a line.
func TestAnglesAreCircular(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		at, sd := rapid.Float64Range(0, 359.999).Draw(r, "angle"), rapid.Float64Range(0.1, 15).Draw(r, "sd")
		seed := rapid.Uint64().Draw(r, "seed")
		interval := func(centre float64, unit string, straight bool) (low, high float64) {
			base := result.New()
			if _, err := base.Value(result.Value{Name: "Hue", Value: &centre, Unit: unit}); err != nil {
				r.Fatal(err)
			}
			d := newDrawn(base, 400)
			d.straight = straight
			random := rand.New(rand.NewPCG(seed, 1))
			for i := range d.values["hue"] {
				x := math.Mod(centre+sd*random.NormFloat64()+720, 360)
				d.values["hue"][i] = x
			}
			if err := d.Conclude(); err != nil {
				r.Fatal(err)
			}
			i := base.Values()[0].Interval
			return i[0] - centre, i[1] - centre
		}
		wantLow, wantHigh := interval(180, "degrees", false)
		for _, unit := range []string{"°", "degrees", "deg", "degree"} {
			if low, high := interval(at, unit, false); math.Abs(low-wantLow) > 1e-6 || math.Abs(high-wantHigh) > 1e-6 {
				r.Errorf("%v ± %v %s: the interval is %v to %v around it, want %v to %v", at, sd, unit, low, high, wantLow, wantHigh)
			}
		}
		low, high := interval(at, "cd/m2", false)
		if older, olderHigh := interval(at, "degrees", true); low != older || high != olderHigh {
			r.Errorf("a luminance is taken for an angle: %v to %v, not %v to %v", low, high, older, olderHigh)
		}
	})
}

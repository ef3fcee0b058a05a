package sim

import (
	"context"
	"errors"
	"math"
	"testing"
	"time"

	"candelua/colour"
	"candelua/engine/bench"
)

// filtering makes an exact filter meter with imperfect filters.
func filtering(p *Params) {
	p.Meter.Kind, p.Meter.FilterShift, p.Meter.FilterLeak = "filter", [3]float64{3, -2, 2}, [3]float64{0.5, 0.5, 0.5}
}

// TestFilterMeter: of a lamp of illuminant A a filter meter reads what it was
// adjusted to; of narrow primaries it is really wrong, each in its own way, and
// with perfect filters it is right. Source: CIE 15, illuminant A at 2856 K.
func TestFilterMeter(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		filtering(p)
		p.Room = RoomParams{Stray: 1000, Reflectance: 50, Kelvin: 2856}
	})
	s := read(t, w, 1)[0] // a black screen that throws the room's light back
	xy := xyOf(t, colour.XYZ{X: s.X, Y: s.Y, Z: s.Z})
	near(t, "luminance of A", s.Y, 0.5*1000/math.Pi, 1e-6, 0)
	near(t, "x of A", xy.X, 0.44757, 0, 3e-4)
	near(t, "y of A", xy.Y, 0.40745, 0, 3e-4)

	w = quietWorld(t, "ideal", filtering)
	var off [3]float64
	for i := range off {
		p := patch(0, 10)
		p.RGB[i] = 1
		off[i] = luminance(t, w, p, 0)/xyzOf(t, w, p).Y - 1
	}
	if math.Abs(off[0]-off[2]) < 0.02 || math.Abs(off[2]) < 0.02 {
		t.Errorf("red, green and blue are off by %v: no correction would be needed", off)
	}
	w = quietWorld(t, "ideal", func(p *Params) { p.Meter.Kind = "filter" })
	for i := range off {
		p := patch(0, 10)
		p.RGB[i] = 1
		near(t, "perfect filters", luminance(t, w, p, 0), xyzOf(t, w, p).Y, 1e-9, 0)
	}
	err := device[bench.Meter](t, w, bench.KindMeter).Read(t.Context(), bench.ReadRequest{Most: 1, Spectrum: true}, nil)
	wantError(t, err, bench.CodeUnsupported, "read: the Ideal is a filter colorimeter and reads no spectra", "use a spectroradiometer, or read without spectrum")
}

// TestFilterNoise: a filter meter scatters as its parameters say.
func TestFilterNoise(t *testing.T) {
	const n = 4000
	w := world(t, "ideal", func(p *Params) {
		p.Meter.Kind, p.Meter.DarkNoise, p.Meter.ShotNoise = "filter", 0.01, 0.5
	})
	_, sd := meanSD(read(t, w, n))
	near(t, "in the dark", sd, 0.01, 4/math.Sqrt(2*n), 0)
	show1(t, w, patch(1, 10))
	_, sd = meanSD(read(t, w, n))
	near(t, "at 100 cd/m2", sd, math.Hypot(0.5, 0.01), 4/math.Sqrt(2*n), 0)
}

// TestDarkDrift: the dark level wanders about zero with its stated deviation;
// taken anew it is gone, and comes back with time.
func TestDarkDrift(t *testing.T) {
	const drift = 0.02
	var square float64
	n := 0
	for seed := range uint64(300) {
		p := quietParams(t, "ideal")
		p.Meter.DarkDrift, p.Meter.DarkSeconds = drift, 600
		w, err := New(p, seed, 0)
		if err != nil {
			t.Fatal(err)
		}
		for range 5 {
			square += math.Pow(read(t, w, 1)[0].Y, 2)
			n++
			wait(t, w, 500)
		}
	}
	near(t, "deviation", math.Sqrt(square/float64(n)), drift, 0.1, 0)

	w := quietWorld(t, "ideal", func(p *Params) { p.Meter.DarkDrift, p.Meter.DarkSeconds, p.Meter.ZeroSeconds = drift, 600, 3 })
	z := device[bench.Zeroer](t, w, bench.KindMeter)
	wait(t, w, 1000)
	before := read(t, w, 1)[0].Y
	began := w.Now()
	if err := z.Zero(t.Context()); err != nil {
		t.Fatal(err)
	}
	if took := w.Now() - began; took != 3*time.Second {
		t.Errorf("taking the dark level took %v", took)
	}
	after := read(t, w, 1)[0].Y
	if math.Abs(before) < 0.002 || math.Abs(after) > math.Abs(before)/5 {
		t.Errorf("reads %v before and %v after", before, after)
	}
	wait(t, w, 400)
	if later := read(t, w, 1)[0].Y; math.Abs(later) < 0.002 {
		t.Errorf("reads %v much later", later)
	}
	stop := errors.New("stop")
	ctx, cancel := context.WithCancelCause(t.Context())
	cancel(stop)
	if err := z.Zero(ctx); err != stop {
		t.Errorf("stopped: %v", err)
	}
}

// quietParams are the parameters of an exact world.
func quietParams(t testing.TB, name string) Params {
	t.Helper()
	p, err := Load(name)
	if err != nil {
		t.Fatal(err)
	}
	quiet(&p)
	return p
}

// TestSaturation: above its range the meter reads its limit and says so.
func TestSaturation(t *testing.T) {
	for _, kind := range []string{"spectral", "filter"} {
		w := quietWorld(t, "ideal", func(p *Params) { p.Meter.Saturation, p.Meter.Kind = 60, kind })
		show1(t, w, patch(1, 10))
		s := read(t, w, 1)[0]
		if s.Y != 60 || len(s.Flags) != 1 || s.Flags[0] != bench.Saturated {
			t.Errorf("%s: reads %v with flags %v", kind, s.Y, s.Flags)
		}
		near(t, "x", xyOf(t, colour.XYZ{X: s.X, Y: s.Y, Z: s.Z}).X, 0.3127, 0, 1e-9)
		show1(t, w, patch(0.5, 10))
		if s := read(t, w, 1)[0]; len(s.Flags) != 0 {
			t.Errorf("%s: flags of grey are %v", kind, s.Flags)
		}
	}
}

// TestField: a window smaller than the field is mixed with the background by
// area; only a meter that sees its field says so.
func TestField(t *testing.T) {
	for _, sees := range []string{"no", "yes"} {
		w := quietWorld(t, "ideal", func(p *Params) {
			p.Screen = ScreenParams{1000, 1000}
			p.Meter.Field, p.Meter.SeesField = 4, sees
			p.Tone.Kind, p.Tone.Exponent = "power", 2
		})
		onGrey := patch(1, 1)
		onGrey.Background = [3]float64{0.5, 0.5, 0.5}
		near(t, "a quarter filled", luminance(t, w, onGrey, 0), 0.25*100+0.75*25, 1e-9, 0)
		flags := read(t, w, 1)[0].Flags
		if (len(flags) == 1 && flags[0] == bench.Underfilled) != (sees == "yes") {
			t.Errorf("sees_field %s: flags are %v", sees, flags)
		}
		near(t, "filled", luminance(t, w, patch(1, 4), 0), 100, 1e-9, 0)
		if flags := read(t, w, 1)[0].Flags; len(flags) != 0 {
			t.Errorf("filled: flags are %v", flags)
		}
		show1(t, w, patch(1, 100))
		near(t, "in a corner", readAt(t, w, 0, 0).Y, 25, 1e-9, 0)
		show1(t, w, onGrey)
		near(t, "in a corner, beside the window", readAt(t, w, 0, 0).Y, 0.25*25, 1e-9, 0)
	}
}

// TestPlace: the meter looks at the middle of the window wherever that is,
// where the request says, or where the rig has put it.
func TestPlace(t *testing.T) {
	w := quietWorld(t, "ideal", nil)
	p := patch(1, 10)
	p.At = [2]float64{0.9, 0.1}
	near(t, "the window's middle", luminance(t, w, p, 0), 100, 1e-9, 0)
	near(t, "in the window's corner", readAt(t, w, 0.99, 0.01).Y, 100, 1e-9, 0)
	near(t, "beside it", readAt(t, w, 0.5, 0.5).Y, 0, 0, 1e-9)
	r := device[rig](t, w, bench.KindRig)
	if at, err := r.Place(t.Context(), [2]float64{0.5, 0.5}); err != nil || at != [2]float64{0.5, 0.5} {
		t.Fatal(at, err)
	}
	near(t, "where the rig is", read(t, w, 1)[0].Y, 0, 0, 1e-9)
	p.At = [2]float64{2, 0}
	_, err := device[bench.Patches](t, w, bench.KindPatches).Show(t.Context(), p)
	wantError(t, err, "", "patch: at has 2; it must be two numbers from 0 to 1", "")
}

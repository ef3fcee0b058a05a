package screen

import (
	"strings"
	"testing"

	"candelua/engine/bench"
)

// A notch at the top of an upright phone is where the phone's top is, whichever way it is held: turned to the left (the
// picture is turned by 90 degrees to the right) at the left.
func TestZonesTurnWithTheUnit(t *testing.T) {
	u, err := bench.ParseUnit("plover.toml", []byte(`name = "Plover"
screen = { width = 1000, height = 2000, avoid = { notch = { x = 400, y = 0, width = 200, height = 100 } } }
`))
	if err != nil {
		t.Fatal(err)
	}
	upright, lying := [2]int{1000, 2000}, [2]int{2000, 1000}
	for _, c := range []struct {
		angle                    int
		box                      [2]int
		left, top, right, bottom float64
		fails                    string
	}{
		{0, upright, 0.4, 0, 0.6, 0.05, ""},
		{90, lying, 0, 0.4, 0.05, 0.6, ""},
		{180, upright, 0.4, 0.95, 0.6, 1, ""},
		{270, lying, 0.95, 0.4, 1, 0.6, ""},
		{0, [2]int{500, 1000}, 0.4, 0, 0.6, 0.05, ""}, // the unit scales
		{0, lying, 0, 0, 0, 0, "another shape"},
		{90, upright, 0, 0, 0, 0, "another shape"},
		{-1, upright, 0, 0, 0, 0, "does not say how the screen is held"},
	} {
		got, err := zones(u, &state{Angle: c.angle, Box: c.box})
		if c.fails != "" {
			if err == nil || !strings.Contains(err.Error(), c.fails) {
				t.Errorf("%d degrees, %v: %v", c.angle, c.box, err)
			}
			continue
		}
		const near = 1e-9
		if err != nil || len(got) != 1 || got[0].Left-c.left > near || c.left-got[0].Left > near || got[0].Top-c.top > near || c.top-got[0].Top > near ||
			got[0].Right-c.right > near || c.right-got[0].Right > near || got[0].Bottom-c.bottom > near || c.bottom-got[0].Bottom > near {
			t.Errorf("%d degrees, %v: %+v, %v", c.angle, c.box, got, err)
		}
	}
	if all, err := zones(bench.DefaultUnit(), &state{Angle: -1}); all != nil || err != nil {
		t.Errorf("a unit of which nothing is known: %v, %v", all, err)
	}
}

// A window is moved out of a zone, and the answer says where it is.
func TestWindowsKeepClear(t *testing.T) {
	s := quick(Options{})
	defer s.Close()
	serve(t, s)
	f := newFake(s.server.URL()).open(t)
	u, err := bench.ParseUnit("plover.toml", []byte(`name = "Plover"
screen = { width = 400, height = 300, avoid = { sensor = { x = 0, y = 0, width = 40, height = 40 } } }
`))
	if err != nil {
		t.Fatal(err)
	}
	d := &driver{source: s, clock: bench.NewRealClock()}
	d.UseUnit(u)
	opened, err := d.Open(t.Context(), bench.KindPatches, bench.Section{})
	if err != nil {
		t.Fatal(err)
	}
	shown, err := opened.(*device).Show(t.Context(), bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 4, At: [2]float64{0.05, 0.05}, Signal: bench.SDR})
	if err != nil || shown.At == nil {
		t.Fatalf("%+v, %v", shown, err)
	}
	if f.code(20, 20) != 0 || f.code(int(shown.At[0]*400), int(shown.At[1]*300)) != 255 {
		t.Errorf("the window is not at %v", *shown.At)
	}
}

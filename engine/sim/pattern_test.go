package sim

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"candelua/colour"
	"candelua/engine/bench"
)

// chequered is a checkerboard whose field at a place is white.
func chequered(columns, rows int, at [2]float64) bench.Patch {
	p := patch(1, 100)
	p.At, p.Pattern = at, bench.Pattern{Kind: bench.Checkerboard, Columns: columns, Rows: rows}
	return p
}

// A checkerboard lights its fields and leaves the others dark, and power limiting goes by all of it: half the screen, as a
// window of half the screen does.
func TestCheckerboard(t *testing.T) {
	limited := func(p *Params) {
		p.Screen = ScreenParams{1600, 900}
		p.Light.HDRPeak = 100
		p.Limit.Curve, p.Limit.Seconds = [][2]float64{{0, 1}, {0.5, 0.6}, {1, 0.3}}, 0
	}
	w := quietWorld(t, "ideal", limited)
	board := chequered(4, 4, [2]float64{0.1, 0.1})
	if got := show1(t, w, board).Area; got != 50 {
		t.Errorf("the area is %v %%, want 50 %%", got)
	}
	for y := range 4 {
		for x := range 4 {
			want := 0.0
			if (x+y)%2 == 0 {
				want = 60
			}
			near(t, "field", readAt(t, w, (float64(x)+0.5)/4, (float64(y)+0.5)/4).Y, want, 1e-9, 1e-12)
		}
	}
	near(t, "where a meter looks by itself", read(t, w, 1)[0].Y, 60, 1e-9, 0)
	truth := xyzOf(t, w, board).Y
	near(t, "truth", truth, 60, 1e-9, 0)
	half := patch(1, 50)
	near(t, "a window of half the screen", xyzOf(t, w, half).Y, truth, 2e-3, 0)
}

// A meter reads the mean of what its field covers: over many small fields half of the light, over four that meet in a corner likewise, and
// of the field's own light as much as the field fills.
func TestFieldOverPattern(t *testing.T) {
	at := func(field float64, p bench.Patch, place [2]float64) bench.Sample {
		w := quietWorld(t, "ideal", func(p *Params) { p.Screen = ScreenParams{1600, 800}; p.Meter.Field, p.Meter.SeesField = field, "yes" })
		show1(t, w, p)
		return readAt(t, w, place[0], place[1])
	}
	board := chequered(4, 4, [2]float64{0.1, 0.1})
	near(t, "a corner of four fields", at(1, board, [2]float64{0.5, 0.5}).Y, 50, 1e-9, 0)
	inside := at(1, board, [2]float64{0.125, 0.125})
	near(t, "inside a field", inside.Y, 100, 1e-9, 0)
	if slices.Contains(inside.Flags, bench.Underfilled) {
		t.Error("a field that fills the meter's is flagged")
	}
	across := at(1, board, [2]float64{0.25, 0.125})
	near(t, "across a border", across.Y, 50, 1e-9, 0)
	if !slices.Contains(across.Flags, bench.Underfilled) {
		t.Error("a border in the meter's field is not flagged")
	}
	near(t, "the middle of many fields", at(25, chequered(64, 64, [2]float64{0.1, 0.1}), [2]float64{0.5, 0.5}).Y, 50, 1e-6, 0)
}

// Ramps, steps and ladders give at each place the light of their signal there, and as much load as the mean of these.
func TestLevels(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.Screen = ScreenParams{1024, 600}
		p.Tone.Kind, p.Tone.Exponent, p.Light.HDRPeak = "power", 2, 100
	})
	ramp := patch(1, 100)
	ramp.Pattern.Kind = bench.Ramp
	show1(t, w, ramp)
	for _, x := range []float64{0, 0.25, 0.7, 1} {
		near(t, "ramp", readAt(t, w, x, 0.3).Y, 100*x*x, 1e-2, 0.2)
	}
	near(t, "mean drive of a ramp of exponent 2", w.frame.load.drive, 1./3, 2e-3, 0)
	steps := patch(1, 100)
	steps.Pattern = bench.Pattern{Kind: bench.Steps, Count: 5, Vertical: true, From: [3]float64{0.2, 0.2, 0.2}}
	show1(t, w, steps)
	for i := range 5 {
		v := 0.2 + 0.2*float64(i)
		near(t, "step", readAt(t, w, 0.5, (float64(i)+0.5)/5).Y, 100*v*v, 1e-9, 0)
	}
	near(t, "mean drive of steps", w.frame.load.drive, (0.04+0.16+0.36+0.64+1)/5, 1e-9, 0)
	ladder := steps
	ladder.Pattern.Kind, ladder.Background = bench.Ladder, [3]float64{0.1, 0.1, 0.1}
	shown := show1(t, w, ladder)
	if !(shown.Area > 15 && shown.Area <= 25) {
		t.Errorf("a ladder of five covers %v %%", shown.Area)
	}
	near(t, "mean drive of a ladder", w.frame.load.drive, shown.Area/100*0.44+(1-shown.Area/100)*0.01, 2e-2, 0)
	near(t, "between the fields", readAt(t, w, 0, 0).Y, 1, 1e-9, 0)
}

// What a checkerboard leaves behind is where its fields were lit.
func TestPatternIsRetained(t *testing.T) {
	w := world(t, "ideal", retaining([4]float64{10, 30, 2, 0}))
	show1(t, w, chequered(2, 2, [2]float64{0.1, 0.1}))
	wait(t, w, 5)
	show1(t, w, patch(0.5, 100))
	q := -math.Expm1(-0.5)
	near(t, "where it was lit", readAt(t, w, 0.25, 0.25).Y, 25*(1+0.02*0.5*q), 1e-5, 0)
	near(t, "where it was dark", readAt(t, w, 0.75, 0.25).Y, 25, 1e-5, 0)
}

// HLG on a display of 1000 cd/m²: 75 % is the reference white of 203 cd/m² (Rep. ITU-R BT.2408-7, table 1), half is
// 1000·(1/12)^1.2 = 50.7 cd/m² and full is the peak (Rec. ITU-R BT.2100-2, table 5); from memory. Black is the display's.
func TestHLG(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) { p.Light.HDRPeak = 1000 })
	for signal, want := range map[float64]float64{0: 0, 0.5: 50.7, 0.75: 203, 1: 1000} {
		p := patch(signal, 10)
		p.Signal = bench.HLG
		near(t, "HLG", xyzOf(t, w, p).Y, want, 2e-3, 1e-9)
	}
	lifted := quietWorld(t, "ideal", func(p *Params) { p.Light.HDRPeak, p.Light.Black = 1000, 0.05 })
	for signal, want := range map[float64]float64{0: 0.05, 1: 1000} {
		p := patch(signal, 10)
		p.Signal = bench.HLG
		near(t, "HLG over a black", xyzOf(t, lifted, p).Y, want, 1e-9, 0)
	}
	bright := world(t, "ideal", func(p *Params) { p.Light.HDRPeak, p.Light.White, p.Light.Black = 20, 20, 9.9 })
	p := patch(1, 10)
	p.Signal = bench.HLG
	if err := device[bench.Painter](t, bright, bench.KindPatches).Paints(p); err == nil || !strings.Contains(err.Error(), "too bright for an HLG signal") {
		t.Errorf("a black of half the peak has no HLG curve, and %v is said", err)
	}
}

// On a unit whose gamut holds it, a picture in Display P3 has the primaries of P3 (0.680, 0.320), (0.265, 0.690) and (0.150, 0.060),
// SMPTE RP 431-2, and greys are those of plain codes. In a mode that means BT.709, its corners are those of BT.709.
func TestDisplayP3(t *testing.T) {
	wide := func(p *Params) {
		p.Tone.Kind = "srgb" // the curve that such a picture is meant for
		p.Primaries.Red, p.Primaries.Green, p.Primaries.Blue = [2]float64{640, 10}, [2]float64{528, 20}, [2]float64{462, 15}
	}
	w := quietWorld(t, "ideal", wide)
	for i, want := range colour.P3D65.Primaries() {
		p := patch(0, 10)
		p.RGB[i], p.Space = 1, bench.DisplayP3
		got := xyOf(t, xyzOf(t, w, p))
		off := 2e-4
		if i == 0 {
			off = 3e-3 // the red of P3 is on the spectrum locus, so it is cut off a little
		}
		near(t, "x", got.X, want.X, 0, off)
		near(t, "y", got.Y, want.Y, 0, off)
		plain := p
		plain.Space = bench.Plain
		if own := xyOf(t, xyzOf(t, w, plain)); math.Hypot(own.X-got.X, own.Y-got.Y) < 0.01 {
			t.Errorf("the plain primary %v is that of P3; the test tells little", own)
		}
	}
	for _, v := range []float64{0.1, 0.5, 1} {
		p := patch(v, 10)
		plain := xyzOf(t, w, p).Y
		p.Space = bench.DisplayP3
		near(t, "grey", xyzOf(t, w, p).Y, plain, 1e-9, 0)
	}
	narrow := quietWorld(t, "ideal", func(p *Params) {
		wide(p)
		p.Mode, p.Modes = "Calm", []ModeParams{{Name: "Calm", Gamut: "bt709", Tone: "as_stated"}}
	})
	p := patch(0, 10)
	p.RGB[0], p.Space = 1, bench.DisplayP3
	got, want := xyOf(t, xyzOf(t, narrow, p)), colour.BT709.Primaries()[0]
	near(t, "x of red in a mode of BT.709", got.X, want.X, 0, 1e-3)
	near(t, "y of red in a mode of BT.709", got.Y, want.Y, 0, 1e-3)
}

// A window of the whole screen and a pattern of one colour are the same light, whatever the colour, signal and meter.
func TestPatternOfOneColour(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 16))
	w := quietWorld(t, "default", nil)
	for range 30 {
		p := patch(0, 100)
		p.RGB = [3]float64{r.Float64(), r.Float64(), r.Float64()}
		p.Background = p.RGB
		p.Signal = []bench.Signal{bench.SDR, bench.PQ, bench.HLG}[r.IntN(3)]
		want := xyzOf(t, w, p)
		for _, pattern := range []bench.Pattern{{Kind: bench.Checkerboard, Columns: 3, Rows: 5}, {Kind: bench.Ramp, From: p.RGB}, {Kind: bench.Steps, Count: 7, From: p.RGB}, {Kind: bench.Ladder, Count: 7, From: p.RGB}} {
			p.Pattern = pattern
			got := xyzOf(t, w, p)
			near(t, string(pattern.Kind)+" of one colour", got.Y, want.Y, 2e-3, 1e-6) // codes of a ramp are rounded
			if near(t, "X", got.X, want.X, 2e-3, 1e-6); t.Failed() {
				t.Fatalf("%+v", p)
			}
		}
	}
}

// A pattern with more parts than the screen has pixels is refused before it is shown.
func TestPatternTooFine(t *testing.T) {
	w := world(t, "ideal", func(p *Params) { p.Screen = ScreenParams{8, 8} })
	p := chequered(9, 2, [2]float64{})
	_, err := device[bench.Patches](t, w, bench.KindPatches).Show(t.Context(), p)
	if err == nil || !strings.Contains(err.Error(), "9 columns, and the screen has 8 pixels there") {
		t.Errorf("the error is %v", err)
	}
	if err := bench.CanShow(device[bench.Patches](t, w, bench.KindPatches), p); err == nil || w.Now() != 0 {
		t.Errorf("it is not refused before it is asked for: %v", err)
	}
}

package sim

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"candelua/colour"
	"candelua/engine/bench"
)

func xyzOf(t testing.TB, w *World, p bench.Patch, s ...bench.Setting) colour.XYZ {
	t.Helper()
	c, err := w.TruthXYZ(p, s...)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func xyOf(t testing.TB, c colour.XYZ) colour.XY {
	t.Helper()
	xy, err := c.XY()
	if err != nil {
		t.Fatal(err)
	}
	return xy
}

// TestWhiteSubpixel: with a share s and a boost β white keeps its luminance and
// colour while red, green and blue add to 1/(1 + sβ) of it, which a check of
// additivity finds. Source: IDMS, additivity of primaries.
func TestWhiteSubpixel(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) { p.Primaries.WhiteShare, p.Primaries.WhiteBoost = 0.75, 0.4 })
	white := xyzOf(t, w, patch(1, 10))
	near(t, "white", white.Y, 100, 1e-9, 0)
	near(t, "x", xyOf(t, white).X, 0.3127, 0, 1e-9)
	near(t, "y", xyOf(t, white).Y, 0.3290, 0, 1e-9)
	near(t, "x of grey", xyOf(t, xyzOf(t, w, patch(0.4, 10))).X, 0.3127, 0, 1e-9)
	var parts [3]colour.XYZ
	sum := 0.0
	for i := range parts {
		var p bench.Patch = patch(0, 10)
		p.RGB[i] = 1
		parts[i] = xyzOf(t, w, p)
		sum += parts[i].Y
	}
	near(t, "sum of primaries", sum, 100/(1+0.75*0.4), 1e-9, 0)
	got, err := colour.CheckAdditivity(parts[0], parts[1], parts[2], white, colour.XYZ{})
	if err != nil {
		t.Fatal(err)
	}
	if got.Luminance > 0.8 {
		t.Errorf("the primaries add to %v of white", got.Luminance)
	}
	// The white subpixel's light is not the sum of the primaries' spectra.
	if w.panel.lights[subWhite] == w.panel.lights[lightBlack] {
		t.Error("the white subpixel shines like red, green and blue together")
	}
}

// TestCrosstalk: with a crosstalk of c, red, green and blue keep their chromaticities and add to 1/(1 - c) of white, which keeps
// its luminance. Arithmetic from the model.
func TestCrosstalk(t *testing.T) {
	plain := quietWorld(t, "ideal", func(*Params) {})
	w := quietWorld(t, "ideal", func(p *Params) { p.Primaries.Crosstalk = 4 })
	near(t, "white", xyzOf(t, w, patch(1, 10)).Y, 100, 1e-9, 0)
	near(t, "x of grey", xyOf(t, xyzOf(t, w, patch(0.4, 10))).X, 0.3127, 0, 1e-9)
	sum := 0.0
	for i := range 3 {
		p := patch(0, 10)
		p.RGB[i] = 1
		alone := xyzOf(t, w, p)
		near(t, "x of a primary", xyOf(t, alone).X, xyOf(t, xyzOf(t, plain, p)).X, 0, 1e-12)
		sum += alone.Y
	}
	near(t, "sum of primaries", sum, 100/0.96, 1e-9, 0)
	// Yellow: each of two loses half of what it loses in white.
	p, yellow := patch(0, 10), 0.0
	for i := range 2 {
		p.RGB = [3]float64{}
		p.RGB[i] = 1
		yellow += xyzOf(t, w, p).Y * 0.98
	}
	p.RGB = [3]float64{1, 1, 0}
	near(t, "yellow", xyzOf(t, w, p).Y, yellow, 1e-9, 0)
}

// TestGamuts: the phone's primaries cover BT.709, as a mode for it needs, and this
// mode has that space's primaries and a white of its own. They cover clearly less
// of P3 and BT.2020, by the story of the phone. Source: ITU-R BT.709-6.
func TestGamuts(t *testing.T) {
	w := quietWorld(t, "default", func(p *Params) { p.Light.Black = 0 })
	for space, want := range map[string][2]float64{"bt709": {100, 100}, "p3-d65": {90, 93}, "bt2020": {68, 72}} {
		if got, err := coverage(w, truthGamut{Space: space, Diagram: "uv"}); err != nil || got < want[0] || got > want[1] {
			t.Errorf("covers %v %% of %s, %v; want %v", got, space, err, want)
		}
	}
	w = quietWorld(t, "default", func(p *Params) { p.Mode, p.Light.Black = "Dusk", 0 })
	got, err := w.truthPrimaries()
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []colour.XY{{X: 0.64, Y: 0.33}, {X: 0.30, Y: 0.60}, {X: 0.15, Y: 0.06}} {
		near(t, "x", got[i].X, want.X, 0, 1e-6)
		near(t, "y", got[i].Y, want.Y, 0, 1e-6)
	}
	near(t, "white's x", xyOf(t, xyzOf(t, w, patch(1, 10))).X, 0.345, 0, 1e-9)
}

// TestModes: a mode changes tone, luminance and white, and nothing without it.
func TestModes(t *testing.T) {
	w := quietWorld(t, "default", func(p *Params) {
		p.Mode, p.Light.Black = "Noon", 0
		p.Modes[0].Exponent = 2
	})
	white := xyzOf(t, w, patch(1, 1))
	near(t, "x", xyOf(t, white).X, 0.301, 0, 1e-9)
	near(t, "y", xyOf(t, white).Y, 0.316, 0, 1e-9)
	if !(white.Y < 480) {
		t.Errorf("another white has %v cd/m2, want less than the panel's 480", white.Y)
	}
	near(t, "half", xyzOf(t, w, patch(128./255, 1)).Y, white.Y*math.Pow(128./255, 2), 1e-9, 0)
	if p := w.params; p.Tone.Kind != "power" || p.Tone.Exponent != 2 {
		t.Errorf("the truths are %+v, want the mode's", p.Tone)
	}
	w = quietWorld(t, "fulmar-55", func(p *Params) { p.Mode = "Cinema" })
	near(t, "Cinema", w.params.Light.White, 320*0.6, 1e-12, 0)
	for mode, want := range map[string]string{
		"Loud": `mode is "Loud"; it must be "Cinema" or "Vivid"`,
	} {
		p, _ := Load("fulmar-55")
		p.Mode = mode
		_, err := New(p, 1, 0)
		wantError(t, err, "", want, "")
	}
	p, _ := Load("ideal")
	p.Mode = "Loud"
	_, err := New(p, 1, 0)
	wantError(t, err, "", `mode is "Loud"; it must be "", for the unit has no modes`, "")
}

// TestTableTone: the curve goes through its points, never falls and never
// leaves the range between neighbours. Source: Fritsch and Carlson, "Monotone
// piecewise cubic interpolation", SIAM J. Numer. Anal. 17 (1980).
func TestTableTone(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(2, 9).Draw(r, "points")
		points := make([][2]float64, n)
		x, y := 0.0, 0.0
		for i := range points {
			points[i] = [2]float64{x, y}
			x += rapid.Float64Range(0.01, 1).Draw(r, "dx")
			y += rapid.Float64Range(0, 1).Draw(r, "dy")
		}
		c := newPchip(points)
		for i, p := range points {
			if math.Abs(c.at(p[0])-p[1]) > 1e-12 {
				r.Fatalf("at %v it is %v, want %v", p[0], c.at(p[0]), p[1])
			}
			if i == 0 {
				continue
			}
			last := points[i-1][1]
			for k := range 101 {
				v := c.at(points[i-1][0] + (p[0]-points[i-1][0])*float64(k)/100)
				if v < last-1e-12 || v > p[1]+1e-12 {
					r.Fatalf("between %v and %v it is %v after %v", points[i-1], p, v, last)
				}
				last = v
			}
		}
	})
	// A straight line is one, exactly.
	c := newPchip([][2]float64{{0, 0}, {0.3, 0.6}, {0.5, 1}})
	near(t, "a line", c.at(0.37), 0.74, 1e-12, 0)
}

// TestNearBlack: what is cut off is black, merged codes show as their first,
// and the truths say so.
func TestNearBlack(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.Tone.Kind, p.Tone.Exponent, p.Tone.Bits, p.Light.Black = "power", 2, 8, 0.01
		p.Tone.CutOff = 5.5 / 255
		p.Tone.Merged = [][2]int{{100, 103}}
	})
	light := func(code int) float64 { return 0.01 + 99.99*math.Pow(float64(code)/255, 2) }
	for code, want := range map[int]float64{0: 0.01, 5: 0.01, 6: light(6), 99: light(99), 100: light(100), 103: light(100), 104: light(104)} {
		near(t, "code", luminance(t, w, patch(float64(code)/255, 10), 0), want, 1e-9, 0)
	}
	if first, err := w.truthFirstCode(8, 0); err != nil || first != 6 {
		t.Errorf("the first code is %v, %v, want 6", first, err)
	}
	steps, err := w.rampSteps(truthRamp{Bits: 8, From: 1, To: 255, Window: 10})
	var merged []int
	for i, s := range steps {
		if s <= sameStep {
			merged = append(merged, i+2) // the code that the step leads to
		}
	}
	if err != nil || !slices.Equal(merged, []int{2, 3, 4, 5, 101, 102, 103}) {
		t.Errorf("merged are %v, %v", merged, err)
	}
	w = quietWorld(t, "ideal", func(p *Params) {
		p.Tone.Kind, p.Tone.Exponent, p.Tone.CutOff, p.Tone.CutOffBy = "power", 2, 0.02, "ramp"
	})
	near(t, "at the cut-off", luminance(t, w, patch(0.02, 10), 0), 0, 0, 1e-12)
	near(t, "half up the ramp", luminance(t, w, patch(0.03, 10), 0), 100*0.0009/2, 1e-9, 0)
	near(t, "above it", luminance(t, w, patch(0.04, 10), 0), 100*0.0016, 1e-9, 0)
	for _, bits := range []int{0, 17} {
		_, err := w.truthFirstCode(bits, 0)
		if err == nil {
			t.Errorf("%d bits are no error", bits)
		}
	}
	if _, err := w.truthFirstCode(8, 1000); err == nil || err.Error() != "first code: no grey is brighter than black by more than 1000 cd/m2" {
		t.Errorf("got %v", err)
	}
}

// TestMetadata: a display that follows what the patch says of its content rolls
// off from there; one that ignores it does not.
func TestMetadata(t *testing.T) {
	at := func(metadata string, m bench.Metadata) float64 {
		w := quietWorld(t, "ideal", func(p *Params) {
			p.Light.HDRPeak, p.Tone.HDR, p.Tone.HDRSource, p.Tone.Metadata = 600, "roll_off", 4000, metadata
		})
		p := patch(colour.EncodePQ(500), 10)
		p.Signal, p.Metadata = bench.PQ, m
		return luminance(t, w, p, 0)
	}
	plain := at("ignore", bench.Metadata{})
	if !(plain < 450) {
		t.Errorf("500 cd/m2 rolls off from 4000 to %v, want less than 450", plain)
	}
	near(t, "ignored", at("ignore", bench.Metadata{MaxCLL: 600}), plain, 1e-12, 0)
	near(t, "not stated", at("follow", bench.Metadata{}), plain, 1e-12, 0)
	near(t, "no brighter than the peak", at("follow", bench.Metadata{MaxCLL: 600}), 500, 1e-9, 0)
	near(t, "by the mastering display", at("follow", bench.Metadata{MasteringPeak: 600}), 500, 1e-9, 0)
	if mid := at("follow", bench.Metadata{MaxCLL: 1000, MasteringPeak: 600}); !(mid > plain && mid < 500) {
		t.Errorf("rolls off from 1000 to %v, want between %v and 500", mid, plain)
	}
}

// TestGains: sliders move the white, reach their end before the slider does,
// and cannot ask for more than the panel has.
func TestGains(t *testing.T) {
	w := quietWorld(t, "ideal", func(p *Params) {
		p.Controls = []ControlParams{{Name: "Red", Min: -20, Max: 20, Step: 1, Start: "0", Gains: [3]float64{20, 0, 0}, Reach: 0.8}}
	})
	red := w.panel.luminance[0]
	at := func(level, tick float64) float64 {
		return xyzOf(t, w, patch(level, 10), bench.Setting{Name: "Red", Value: tick}).Y
	}
	grey := at(0.5, 0)
	near(t, "down 8", at(1, -8), 100*(1-0.1*red), 1e-9, 0)
	near(t, "down 16", at(1, -16), 100*(1-0.2*red), 1e-9, 0)
	near(t, "down 20", at(1, -20), at(1, -16), 1e-12, 0)
	near(t, "up at white", at(1, 20), 100, 1e-12, 0)
	near(t, "up at grey", at(0.5, 20), grey*(1+0.2*red), 1e-9, 0)
}

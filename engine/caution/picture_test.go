package caution

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"candelua/engine/bench"
	"candelua/engine/paint"
)

func pattern(kind bench.PatternKind, at [2]float64) bench.Patch {
	return bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 100, Signal: bench.SDR, At: at,
		Pattern: bench.Pattern{Kind: kind, Columns: 4, Rows: 4, Count: 16}}
}

// What the rule takes a point of a pattern for is what is painted there, whose layout is made by another package.
func TestPicturesAreAsPainted(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 16))
	screen := paint.Screen{Size: paint.Size{Width: 1600, Height: 900}, Bits: 16}
	looked := 0
	for range 60 {
		p := pattern([]bench.PatternKind{bench.Checkerboard, bench.Steps, bench.Ladder}[r.IntN(3)], [2]float64{r.Float64(), r.Float64()})
		p.Pattern.Columns, p.Pattern.Rows, p.Pattern.Count = 1+r.IntN(9), 2+r.IntN(9), 2+r.IntN(20)
		p.Pattern.Vertical = p.Pattern.Kind == bench.Steps && r.IntN(2) == 0
		p.RGB, p.Pattern.From = [3]float64{r.Float64(), 1, 0}, [3]float64{0, r.Float64(), 0}
		p.Background = [3]float64{0, 0, r.Float64()}
		painted, err := paint.Of(p, screen)
		if err != nil {
			t.Fatal(err)
		}
		pic := pictureOf(p)
		for range 40 {
			x, y := 1+r.IntN(1598), 1+r.IntN(898)
			code := codeAt(painted, x, y)
			if codeAt(painted, x-1, y-1) != code || codeAt(painted, x+1, y+1) != code {
				continue // at an edge
			}
			looked++
			var rgb [3]float64
			for i, c := range code {
				rgb[i] = float64(c) / 65535
			}
			got, want := pic.at([2]float64{(float64(x) + 0.5) / 1600, (float64(y) + 0.5) / 900}), lightOf(rgb, p.Signal)
			if math.Abs(got.y-want.y) > 1e-4 || math.Abs(got.redness-want.redness) > 1e-4 {
				t.Fatalf("%+v at %d, %d is %+v, and %+v is painted", p, x, y, got, want)
			}
		}
	}
	if looked < 1500 {
		t.Errorf("%d points were looked at", looked)
	}
}

func codeAt(pic paint.Picture, x, y int) (code [3]int) {
	for _, r := range pic.Rects {
		if x >= r.X && x < r.X+r.W && y >= r.Y && y < r.Y+r.H {
			code = r.Code
		}
	}
	return code
}

func TestPatternsFlash(t *testing.T) {
	board, other := pattern(bench.Checkerboard, [2]float64{0.1, 0.1}), pattern(bench.Checkerboard, [2]float64{0.3, 0.1})
	same := pattern(bench.Checkerboard, [2]float64{0.3, 0.3})
	black := grey(0, 100, bench.SDR)
	rising, falling := pattern(bench.Steps, [2]float64{}), pattern(bench.Steps, [2]float64{})
	falling.RGB, falling.Pattern.From = falling.Pattern.From, falling.RGB
	ramp := pattern(bench.Ramp, [2]float64{})
	ladder := pattern(bench.Ladder, [2]float64{})
	dark := ladder
	dark.RGB = [3]float64{0.1, 0.1, 0.1}
	hlg, dim := grey(0.75, 100, bench.HLG), grey(0.05, 100, bench.HLG)
	hlg.Signal, dim.Signal = bench.HLG, bench.HLG
	for name, c := range map[string]struct {
		a, b bench.Patch
		hold time.Duration
		want bool
	}{
		"a checkerboard that is inverted eight times a second": {board, other, 125 * time.Millisecond, true},
		"once a second": {board, other, time.Second, false},
		"a checkerboard whose place is named by another of its fields":    {board, same, 125 * time.Millisecond, false},
		"steps that are turned round":                                     {rising, falling, 125 * time.Millisecond, true},
		"a ramp and black":                                                {ramp, black, 125 * time.Millisecond, true},
		"a ladder and black":                                              {ladder, black, 125 * time.Millisecond, true},
		"a ladder near black, and black":                                  {dark, black, 125 * time.Millisecond, false},
		"a ladder and white, whose gaps flash":                            {ladder, grey(1, 100, bench.SDR), 125 * time.Millisecond, true},
		"HLG white and near black":                                        {hlg, dim, 125 * time.Millisecond, true},
		"HLG white and near black, slowly":                                {hlg, dim, time.Second, false},
		"HLG near black and black: 0.05 of signal is below 1 cd/m² there": {dim, grey(0, 100, bench.HLG), 125 * time.Millisecond, false},
	} {
		if got := ever(alternate(c.a, c.b, 20, c.hold)); got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// HLG of 75 % is 203 cd/m² on a display of 1000 cd/m². Source: Rep. ITU-R BT.2408-7, table 1 (reference white), from memory.
func TestBrightnessOfPatterns(t *testing.T) {
	hlg := grey(0.75, 100, bench.HLG)
	ladder := pattern(bench.Ladder, [2]float64{})
	ladder.RGB, ladder.Background = [3]float64{}, [3]float64{0.5, 0.5, 0.5}
	from := pattern(bench.Ramp, [2]float64{})
	from.RGB, from.Pattern.From = [3]float64{}, [3]float64{1, 1, 1}
	for name, c := range map[string]struct {
		p    bench.Patch
		want float64
	}{
		"HLG reference white":                  {hlg, 203. / 200},
		"a background between fields of black": {ladder, 0.214}, // sRGB of 0.5, IEC 61966-2-1
		"a ramp that falls from white":         {from, 1},
	} {
		if got := Brightness(c.p); math.Abs(got-c.want) > 0.005 {
			t.Errorf("%s is %v, want %v", name, got, c.want)
		}
	}
	hdr := grey(1, 10, bench.HLG)
	if words := ByRequest(hdr); len(words) == 0 || words[0].Kind != Bright {
		t.Errorf("HLG white brings %+v; it must say that it can be very bright", words)
	}
}

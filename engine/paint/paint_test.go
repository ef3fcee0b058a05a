package paint

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"candelua/engine/bench"
)

// raster is the picture pixel by pixel. It fails where a rectangle leaves the screen, the first is
// not the whole screen, or two later ones share a pixel.
func raster(t *testing.T, pic Picture) [][][3]int {
	t.Helper()
	w, h := pic.Size.Width, pic.Size.Height
	rows, seen := make([][][3]int, h), make([][]bool, h)
	for y := range rows {
		rows[y], seen[y] = make([][3]int, w), make([]bool, w)
	}
	for i, r := range pic.Rects {
		if r.W < 1 || r.H < 1 || r.X < 0 || r.Y < 0 || r.X+r.W > w || r.Y+r.H > h {
			t.Fatalf("%+v leaves a screen of %d by %d pixels", r, w, h)
		}
		if i == 0 && (r.W != w || r.H != h) {
			t.Fatalf("the background is %+v of %d by %d pixels", r, w, h)
		}
		for y := r.Y; y < r.Y+r.H; y++ {
			for x := r.X; x < r.X+r.W; x++ {
				if i > 0 && seen[y][x] {
					t.Fatalf("rectangle %d lies on another at %d, %d", i, x, y)
				}
				rows[y][x], seen[y][x] = r.Code, i > 0
			}
		}
	}
	return rows
}

// codeOf is the code of a signal by the words of the package's comment.
func codeOf(v float64, own, bits int) int {
	if own > 0 {
		n := math.Pow(2, float64(own)) - 1
		v = math.Floor(v*n+0.5) / n
	}
	return int(math.Floor(v*(math.Pow(2, float64(bits))-1) + 0.5))
}

// randomPatch is any patch, and a screen that shows it.
func randomPatch(r *rand.Rand, kind bench.PatternKind, most int) (bench.Patch, Screen) {
	three := func() [3]float64 { return [3]float64{r.Float64(), float64(r.IntN(2)), r.Float64()} }
	p := bench.Patch{RGB: three(), Background: three(), At: [2]float64{r.Float64(), r.Float64()}, Window: 0.01 + 99.99*math.Pow(r.Float64(), 3)}
	s := Screen{Size: Size{1 + r.IntN(most), 1 + r.IntN(most)}, Bits: 8 + 2*r.IntN(5)}
	if r.IntN(3) == 0 {
		p.Bits = 1 + r.IntN(s.Bits)
	}
	p.Pattern = bench.Pattern{Kind: kind}
	switch kind {
	case bench.Checkerboard:
		p.Pattern.Columns, p.Pattern.Rows = 1+r.IntN(min(bench.MostFields, s.Size.Width)), 1+r.IntN(min(bench.MostFields, s.Size.Height))
	case bench.Ramp, bench.Steps, bench.Ladder:
		p.Pattern.From, p.Pattern.Count, p.Pattern.Vertical = three(), 2+r.IntN(30), kind != bench.Ladder && r.IntN(2) == 0
	}
	return p, s
}

var kinds = []bench.PatternKind{bench.Window, bench.Checkerboard, bench.Ramp, bench.Steps, bench.Ladder}

// Every picture is made of whole rectangles inside the screen, has the codes of its signals and no
// others, and states the share of pixels that it really has.
func TestPictures(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 16))
	drawn := map[bench.PatternKind]int{}
	for range 4000 {
		kind := kinds[r.IntN(len(kinds))]
		p, s := randomPatch(r, kind, 60)
		pic, err := Of(p, s)
		if err != nil {
			if kind == bench.Steps || kind == bench.Ladder || p.Pattern.Columns*p.Pattern.Rows == 1 {
				continue // too many for the screen, or a single field
			}
			t.Fatalf("%+v on %+v: %v", p, s, err)
		}
		drawn[kind]++
		rows := raster(t, pic)
		back := [3]int{}
		for i, v := range p.Background {
			back[i] = codeOf(v, p.Bits, s.Bits)
		}
		own := 0
		for y, row := range rows {
			for x, code := range row {
				want, isOwn := expected(p, s, pic, x, y)
				if want != nil && code != *want {
					t.Fatalf("%+v on %+v: pixel %d, %d has %v, want %v", p, s, x, y, code, *want)
				}
				if isOwn {
					own++
				}
			}
		}
		if kind == bench.Window || kind == bench.Checkerboard {
			if share := 100 * float64(own) / float64(s.Size.Width*s.Size.Height); math.Abs(share-pic.Area) > 1e-9 {
				t.Fatalf("%+v on %+v: %v %% of the pixels have the colour, %v %% are stated", p, s, share, pic.Area)
			}
		}
		for i, v := range p.RGB {
			if want := float64(codeOf(v, p.Bits, s.Bits)) / (math.Pow(2, float64(s.Bits)) - 1); math.Abs(pic.RGB[i]-want) > 1e-12 {
				t.Fatalf("%+v on %+v: the signal is %v, want %v", p, s, pic.RGB, want)
			}
		}
		if pic.Rects[0].Code != back {
			t.Fatalf("the background is %v, want %v", pic.Rects[0].Code, back)
		}
	}
	for _, kind := range kinds {
		if drawn[kind] < 100 {
			t.Errorf("%d pictures of %q were drawn; the test looks at fewer than it means to", drawn[kind], kind)
		}
	}
}

// expected is the code of a pixel by the words of [bench.Pattern], from the middle of the pixel; nil where a
// border falls so close to it that either is right. isOwn says that the pixel has the patch's own colour.
func expected(p bench.Patch, s Screen, pic Picture, x, y int) (code *[3]int, isOwn bool) {
	u, v := (float64(x)+0.5)/float64(s.Size.Width), (float64(y)+0.5)/float64(s.Size.Height)
	codes := func(rgb [3]float64) *[3]int {
		var c [3]int
		for i := range rgb {
			c[i] = codeOf(rgb[i], p.Bits, s.Bits)
		}
		return &c
	}
	if p.Pattern.Vertical {
		u = v
	}
	pixels, i := s.Size.Width, x
	if p.Pattern.Vertical {
		pixels, i = s.Size.Height, y
	}
	switch p.Pattern.Kind {
	case bench.Window:
		w := pic.Rects[1]
		if x >= w.X && x < w.X+w.W && y >= w.Y && y < w.Y+w.H {
			return codes(p.RGB), true
		}
		return codes(p.Background), false
	case bench.Checkerboard:
		c, r := math.Floor(u*float64(p.Pattern.Columns)), math.Floor(v*float64(p.Pattern.Rows))
		c0, r0 := p.Pattern.Field(p.At)
		isOwn = int(c+r+float64(c0+r0))%2 == 0
		fieldBorder := func(u float64, n, pixels int) bool {
			part := u * float64(n)
			return math.Abs(part-math.Round(part))/float64(n)*float64(pixels) < 0.5+1e-9
		}
		if fieldBorder(u, p.Pattern.Columns, s.Size.Width) || fieldBorder(v, p.Pattern.Rows, s.Size.Height) {
			// The middle of the pixel is half a pixel from the border or less.
			for _, r := range pic.Rects[1:] {
				if x >= r.X && x < r.X+r.W && y >= r.Y && y < r.Y+r.H {
					return nil, true
				}
			}
			return nil, false
		}
		if isOwn {
			return codes(p.RGB), true
		}
		return codes(p.Background), false
	case bench.Ramp:
		share := 0.0
		if pixels > 1 {
			share = float64(i) / float64(pixels-1)
		}
		var rgb [3]float64
		for k := range rgb {
			rgb[k] = min(max(p.Pattern.From[k]+(p.RGB[k]-p.Pattern.From[k])*share, 0), 1)
		}
		return codes(rgb), false
	case bench.Steps:
		n := float64(p.Pattern.Count)
		if part := u * n; math.Abs(part-math.Round(part))/n*float64(pixels) < 0.5+1e-9 {
			return nil, false
		}
		share := math.Floor(u*n) / (n - 1)
		var rgb [3]float64
		for k := range rgb {
			rgb[k] = min(max(p.Pattern.From[k]+(p.RGB[k]-p.Pattern.From[k])*share, 0), 1)
		}
		return codes(rgb), false
	}
	return nil, false // of a ladder see TestLadder
}

// The window's area is the nearest to its share that sides next to the exact ones give, to less than half a row of
// pixels, and its middle is within half a pixel of its place unless an edge is in the way.
func TestWindows(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 16))
	for range 20_000 {
		p, s := randomPatch(r, bench.Window, 4000)
		pic, err := Of(p, s)
		if err != nil {
			t.Fatal(err)
		}
		w, h, all := float64(s.Size.Width), float64(s.Size.Height), float64(s.Size.Width*s.Size.Height)
		rect := pic.Rects[1]
		miss := math.Abs(float64(rect.W*rect.H) - p.Window/100*all)
		side := math.Sqrt(p.Window / 100)
		for _, x := range []float64{math.Floor(side * w), math.Ceil(side * w)} {
			for _, y := range []float64{math.Floor(side * h), math.Ceil(side * h)} {
				if x >= 1 && y >= 1 && math.Abs(x*y-p.Window/100*all) < miss-1e-6 {
					t.Fatalf("%v %% of %v: %d by %d pixels; %v by %v is nearer", p.Window, s.Size, rect.W, rect.H, x, y)
				}
			}
		}
		if side*w > 1 && side*h > 1 && miss > max(float64(rect.W), float64(rect.H))/2+1 {
			t.Fatalf("%v %% of %v: %d by %d pixels is off by %v pixels", p.Window, s.Size, rect.W, rect.H, miss)
		}
		if math.Abs(float64(rect.W)-side*w) >= 1 || math.Abs(float64(rect.H)-side*h) >= 1 {
			t.Fatalf("%v %% of %v: %d by %d pixels has not the screen's shape", p.Window, s.Size, rect.W, rect.H)
		}
		for i, of := range [][3]float64{{float64(rect.X), float64(rect.W), w}, {float64(rect.Y), float64(rect.H), h}} {
			off := of[0] + of[1]/2 - p.At[i]*of[2]
			atEdge := of[0] == 0 && off > 0 || of[0]+of[1] == of[2] && off < 0
			if math.Abs(off) > 0.5+1e-9 && !atEdge {
				t.Fatalf("%v %% at %v of %v: %+v is %v pixels off", p.Window, p.At, s.Size, rect, off)
			}
		}
	}
}

// Worked by hand: √0.1 of 1920 by 1080 is 607.2 by 341.5, and of the four rectangles around it 608 by 341 has
// the area nearest to 207 360 pixels.
func TestWindowByHand(t *testing.T) {
	for _, c := range []struct {
		size  Size
		share float64
		want  Rect
	}{
		{Size{1920, 1080}, 10, Rect{X: 656, Y: 370, W: 608, H: 341}}, // begins at 369.5, which is rounded up
		{Size{1920, 1080}, 25, Rect{X: 480, Y: 270, W: 960, H: 540}},
		{Size{1920, 1080}, 100, Rect{W: 1920, H: 1080}},
		{Size{3, 3}, 0.01, Rect{X: 1, Y: 1, W: 1, H: 1}},
		{Size{1, 1}, 50, Rect{W: 1, H: 1}},
	} {
		pic, err := Of(bench.Patch{Window: c.share, At: [2]float64{0.5, 0.5}}, Screen{Size: c.size})
		if err != nil {
			t.Fatal(err)
		}
		if pic.Rects[1] != c.want {
			t.Errorf("%v %% of %v is %+v, want %+v", c.share, c.size, pic.Rects[1], c.want)
		}
	}
}

// Of a code that a script asked for by its number, sources of as many bits show this number. Codes of
// 8 bits are 257 times as large in 16 bits, exactly.
func TestCodes(t *testing.T) {
	for bits := 1; bits <= 16; bits++ {
		for code := range 1 << bits {
			v := float64(code) / float64(int(1)<<bits-1)
			pic, err := Of(bench.Patch{RGB: [3]float64{v, 0, 1}, Window: 100, Bits: bits}, Screen{Size: Size{4, 4}})
			if err != nil || pic.Rects[1].Code != [3]int{code, 0, 1<<bits - 1} || pic.Bits != bits {
				t.Fatalf("code %d of %d bits is %+v, %v", code, bits, pic.Rects, err)
			}
			if bits != 8 {
				continue
			}
			if pic, err = Of(bench.Patch{RGB: [3]float64{v, v, v}, Window: 100, Bits: 8}, Screen{Size: Size{4, 4}, Bits: 16}); err != nil || pic.Rects[1].Code[0] != 257*code {
				t.Errorf("code %d of 8 bits is %v of 16", code, pic.Rects[1].Code)
			}
		}
	}
	pic, err := Of(bench.Patch{RGB: [3]float64{0.5, 0.5, 0.5}, Window: 100}, Screen{Size: Size{4, 4}})
	if err != nil || pic.Bits != 8 || pic.Rects[1].Code[0] != 128 || pic.RGB[0] != 128./255 {
		t.Errorf("half of an unstated depth is %+v, %v", pic, err)
	}
}

// The fields of a ladder rise from From to the patch's colour in reading order, are of one size to a pixel, and
// leave as much background between them.
func TestLadder(t *testing.T) {
	for _, size := range []Size{{1920, 1080}, {1080, 2400}, {501, 333}} {
		for _, n := range []int{2, 3, 16, 20, 256} {
			p := bench.Patch{RGB: [3]float64{1, 1, 1}, Pattern: bench.Pattern{Kind: bench.Ladder, Count: n}}
			pic, err := Of(p, Screen{Size: size})
			if err != nil {
				t.Fatal(err)
			}
			raster(t, pic)
			fields := pic.Rects[1:]
			if len(fields) != n {
				t.Fatalf("there are %d fields, want %d", len(fields), n)
			}
			pixels := 0
			for i, f := range fields {
				pixels += f.W * f.H
				if want := int(math.Floor(255*float64(i)/float64(n-1) + 0.5)); f.Code != [3]int{want, want, want} {
					t.Errorf("field %d of %d has %v, want %d", i, n, f.Code, want)
				}
				if i > 0 && f.Y == fields[i-1].Y && f.X <= fields[i-1].X || f.Y < fields[max(i-1, 0)].Y {
					t.Errorf("field %d is not after the one before it", i)
				}
				if math.Abs(float64(f.W-fields[0].W)) > 1 || math.Abs(float64(f.H-fields[0].H)) > 1 {
					t.Errorf("field %d is %d by %d pixels, the first %d by %d", i, f.W, f.H, fields[0].W, fields[0].H)
				}
				if i > 0 && f.Y == fields[i-1].Y && math.Abs(float64(f.X-fields[i-1].X-2*f.W)) > 3 {
					t.Errorf("field %d is %d pixels wide and begins %d after the one before", i, f.W, f.X-fields[i-1].X)
				}
			}
			if share := 100 * float64(pixels) / float64(size.Width*size.Height); math.Abs(share-pic.Area) > 1e-9 || share > 27 {
				t.Errorf("%v %% have fields, %v %% are stated; it must be a quarter at most", share, pic.Area)
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	whole := Screen{Size: Size{100, 50}}
	for _, c := range []struct {
		p    bench.Patch
		s    Screen
		want string
	}{
		{bench.Patch{Window: 10}, Screen{}, "the screen has 0 by 0 pixels; it must have 1 to 65536 each way"},
		{bench.Patch{Window: 10}, Screen{Size: Size{1 << 20, 5}}, "it must have 1 to 65536 each way"},
		{bench.Patch{Window: 10, Bits: 10}, Screen{Size: Size{9, 9}, Bits: 8}, "the patch has 10 bits, and this source shows 8"},
		{bench.Patch{Window: 10, Bits: 17}, whole, "they must be 0 to 16"},
		{bench.Patch{Window: 0}, whole, "the window is 0 %; it must be more than 0 and at most 100 %"},
		{bench.Patch{Window: math.NaN()}, whole, "the window is NaN %"},
		{bench.Patch{Window: 5, RGB: [3]float64{1.01}}, whole, "a signal or a place is 1.01"},
		{bench.Patch{Window: 5, At: [2]float64{0, math.NaN()}}, whole, "a signal or a place is NaN"},
		{bench.Patch{Pattern: bench.Pattern{Kind: "spiral"}}, whole, `kind is "spiral"`},
		{bench.Patch{Pattern: bench.Pattern{Kind: bench.Steps, Count: 1}}, whole, "count is 1; it must be 2 to 256"},
		{bench.Patch{Pattern: bench.Pattern{Kind: bench.Ramp, From: [3]float64{-1}}}, whole, "from has -1"},
		{bench.Patch{Pattern: bench.Pattern{Kind: bench.Checkerboard, Columns: 65, Rows: 1}}, whole, "65 by 1 fields; it must have 1 to 64 each way"},
		{bench.Patch{Pattern: bench.Pattern{Kind: bench.Checkerboard, Columns: 1, Rows: 1}}, whole, "one field"},
		{bench.Patch{Pattern: bench.Pattern{Kind: bench.Checkerboard, Columns: 10, Rows: 60}}, whole, "60 rows, and the screen has 50 pixels there"},
		{bench.Patch{Pattern: bench.Pattern{Kind: bench.Steps, Count: 101}}, whole, "101 bars, and the screen has 100 pixels there"},
		{bench.Patch{Pattern: bench.Pattern{Kind: bench.Ladder, Count: 256}}, Screen{Size: Size{20, 20}}, "fields and gaps"},
	} {
		pic, err := Of(c.p, c.s)
		if !errors.Is(err, bench.ErrUnsupported) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v on %+v: %v, want %q", c.p, c.s, err, c.want)
		}
		if pic.Rects != nil {
			t.Errorf("%+v is refused and painted", c.p)
		}
	}
}

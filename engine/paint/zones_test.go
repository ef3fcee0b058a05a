package paint

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"candelua/engine/bench"
)

// phone is a screen with rounded corners, a notch and a sensor under the panel.
func phone(corner float64) []bench.Zone {
	w, h := corner/1080, corner/2400
	return []bench.Zone{
		{What: "rounded corner", Right: w, Bottom: h, Rounded: true},
		{What: "rounded corner", Left: 1 - w, Right: 1, Bottom: h, Rounded: true},
		{What: "rounded corner", Right: w, Top: 1 - h, Bottom: 1, Rounded: true},
		{What: "rounded corner", Left: 1 - w, Top: 1 - h, Right: 1, Bottom: 1, Rounded: true},
		{What: "notch", Left: 0.35, Right: 0.65, Bottom: 0.03},
		{What: "light sensor", Left: 0.47, Right: 0.53, Top: 0.06, Bottom: 0.08},
	}
}

// hidden tells whether any of a pixel lies in a zone, from the zone's words alone.
func hidden(z bench.Zone, x, y int, s Size) bool {
	const eps = 1e-9
	left, right := float64(x)/float64(s.Width), float64(x+1)/float64(s.Width)
	top, bottom := float64(y)/float64(s.Height), float64(y+1)/float64(s.Height)
	if right <= z.Left+eps || left >= z.Right-eps || bottom <= z.Top+eps || top >= z.Bottom-eps {
		return false
	}
	if !z.Rounded {
		return true
	}
	// The pixel's corner that is nearest to the screen's is outside the ellipse around the inner corner.
	u, v := (z.Right-left)/(z.Right-z.Left), (z.Bottom-top)/(z.Bottom-z.Top)
	if z.Left+z.Right > 1 {
		u = (right - z.Left) / (z.Right - z.Left)
	}
	if z.Top+z.Bottom > 1 {
		v = (bottom - z.Top) / (z.Bottom - z.Top)
	}
	u, v = min(max(u, 0), 1), min(max(v, 0), 1)
	return u*u+v*v > 1+eps
}

func coversAny(r Rect, zones []bench.Zone, s Size) bool {
	for _, z := range zones {
		for y := r.Y; y < r.Y+r.H; y++ {
			for x := r.X; x < r.X+r.W; x++ {
				if hidden(z, x, y, s) {
					return true
				}
			}
		}
	}
	return false
}

// On small screens every place of the window is tried pixel by pixel: the one that is taken is clear, and none that is
// clear is nearer.
func TestWindowsKeepClear(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 16))
	moved, stayed, covers, refused := 0, 0, 0, 0
	for range 3000 {
		s := Size{4 + r.IntN(24), 4 + r.IntN(24)}
		var zones []bench.Zone
		for range 1 + r.IntN(3) {
			left, top := r.Float64()*0.9, r.Float64()*0.9
			zones = append(zones, bench.Zone{What: "sensor", Left: left, Top: top, Right: left + r.Float64()*(1-left)/2, Bottom: top + r.Float64()*(1-top)/2})
		}
		if r.IntN(2) == 0 {
			zones = append(zones, phone(300 + 400*r.Float64())[:4]...)
		}
		p := bench.Patch{Window: 1 + 60*r.Float64()*r.Float64(), At: [2]float64{r.Float64(), r.Float64()}}
		plain, err := Of(p, Screen{Size: s})
		if err != nil {
			t.Fatal(err)
		}
		was, nearest := plain.Rects[1], math.Inf(1)
		if was.W == s.Width && was.H == s.Height {
			continue // the full screen
		}
		for y := 0; y <= s.Height-was.H; y++ {
			for x := 0; x <= s.Width-was.W; x++ {
				if d := math.Hypot(float64(x-was.X), float64(y-was.Y)); d < nearest && !coversAny(Rect{X: x, Y: y, W: was.W, H: was.H}, zones, s) {
					nearest = d
				}
			}
		}
		pic, err := Of(p, Screen{Size: s, Avoid: zones})
		switch {
		case err != nil:
			if !math.IsInf(nearest, 1) || !errors.Is(err, bench.ErrUnsupported) {
				t.Fatalf("%+v on %v with %+v: %v, with a clear place %v pixels away", p, s, zones, err, nearest)
			}
			refused++
			continue
		case math.IsInf(nearest, 1):
			if len(pic.Covers) == 0 || pic.Rects[1] != was {
				t.Fatalf("%+v on %v has no clear place; it is at %+v and covers %v", p, s, pic.Rects[1], pic.Covers)
			}
			covers++
			continue
		}
		now := pic.Rects[1]
		if d := math.Hypot(float64(now.X-was.X), float64(now.Y-was.Y)); d != nearest || coversAny(now, zones, s) {
			t.Fatalf("%+v on %v with %+v went from %+v to %+v, %v pixels; the nearest clear place is %v pixels away", p, s, zones, was, now, d, nearest)
		}
		if now.W != was.W || now.H != was.H || pic.Area != plain.Area || pic.Moved != (now != was) || len(pic.Covers) > 0 {
			t.Fatalf("%+v on %v: %+v was %+v", p, s, pic, plain)
		}
		if pic.Moved {
			moved++
		} else {
			stayed++
		}
	}
	if min(moved, stayed, covers, refused) < 20 {
		t.Errorf("%d windows were moved, %d stayed, %d cover a zone and %d were refused; the test sees too few of a kind", moved, stayed, covers, refused)
	}
}

// A window for uniformity in the corner of a phone goes just clear of its rounded corner and stays near; the full screen and patterns are
// as they are.
func TestZonesOfAPhone(t *testing.T) {
	s := Screen{Size: Size{1080, 2400}, Avoid: phone(120)}
	at := func(window, x, y float64) Picture {
		t.Helper()
		pic, err := Of(bench.Patch{Window: window, At: [2]float64{x, y}}, s)
		if err != nil {
			t.Fatal(err)
		}
		return pic
	}
	// The diagonal of a corner of radius r is cut r·(1 − 1/√2) deep on each side: 35.1 pixels of 120.
	corner := at(4, 0, 0).Rects[1]
	if !(corner.X+corner.Y >= 70 && corner.X+corner.Y <= 71 && corner.X >= 30 && corner.Y >= 30) {
		t.Errorf("the window in the corner is at %+v, want 36 pixels from both sides", corner)
	}
	// 108 by 240 pixels: 72 down, clear of the notch, and 87 aside, clear of the sensor; below both would be 192 down.
	if top := at(1, 0.5, 0); !top.Moved || top.Rects[1] != (Rect{X: 399, Y: 72, W: 108, H: 240}) {
		t.Errorf("the window at the notch is at %+v", top.Rects[1])
	}
	if large := at(90, 0.5, 0.5); large.Moved || strings.Join(large.Covers, " ") != "notch light sensor" {
		t.Errorf("a large window moved (%v), and covers %v", large.Moved, large.Covers)
	}
	if full := at(100, 0.5, 0.5); full.Moved || full.Covers != nil {
		t.Errorf("the full screen is %+v", full)
	}
	if pic, err := Of(bench.Patch{Pattern: bench.Pattern{Kind: bench.Checkerboard, Columns: 4, Rows: 4}}, s); err != nil || pic.Moved {
		t.Errorf("a checkerboard is %+v, %v", pic, err)
	}
	blocked := Screen{Size: Size{100, 100}, Avoid: []bench.Zone{{What: "camera", Left: 0.4, Top: 0.4, Right: 0.6, Bottom: 0.6}}}
	_, err := Of(bench.Patch{Window: 60, At: [2]float64{0.5, 0.5}}, blocked)
	if err == nil || err.Error() != "the middle of the window, where the meter looks, would be on the camera, and there is no place for a window of this size beside it" {
		t.Errorf("a window whose middle is a camera: %v", err)
	}
}

// Zones that turn with the screen hide the same pixels, turned.
func TestZonesTurn(t *testing.T) {
	s := Size{12, 26}
	for _, z := range phone(300) {
		turned := z.Turned(1)
		for y := range s.Height {
			for x := range s.Width {
				// A quarter clockwise: what was at the left is at the top, and what was at the bottom is at the left.
				if hidden(z, x, y, s) != hidden(turned, s.Height-1-y, x, Size{s.Height, s.Width}) {
					t.Fatalf("%+v turned is %+v: pixel %d, %d differs", z, turned, x, y)
				}
			}
		}
		again := z.Turned(5).Turned(-1)
		for i, d := range []float64{again.Left - z.Left, again.Top - z.Top, again.Right - z.Right, again.Bottom - z.Bottom} {
			if math.Abs(d) > 1e-12 {
				t.Errorf("side %d of %+v turned to and fro differs by %v", i, z, d)
			}
		}
	}
}

func BenchmarkOf(b *testing.B) {
	p := bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, At: [2]float64{0.1, 0.02}}
	s := Screen{Size: Size{1080, 2400}, Avoid: phone(120)}
	for b.Loop() {
		if _, err := Of(p, s); err != nil {
			b.Fatal(err)
		}
	}
}

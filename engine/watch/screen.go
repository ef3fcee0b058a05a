package watch

import (
	"fmt"

	"candelua/engine/bench"
	"candelua/engine/paint"
)

// screen is what the unit shows, small: rectangles that lie on one another.
type screen struct {
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Rects  []rect `json:"rects"`
	Hidden int    `json:"hidden,omitempty"` // rectangles beyond what a small picture can show
}

type rect struct {
	X, Y, W, H int
	Colour     string  // of the codes, as #rrggbb
	Level      float64 // the mean signal, 0 to 1
}

// The size of the small picture. Nothing is measured on it.
var small = paint.Size{Width: 320, Height: 180}

// mostRects is how many rectangles a small picture can show.
const mostRects = 512

// screenOf is what a patch looks like; nil where that is not known.
func screenOf(p *bench.Patch) *screen {
	if p == nil {
		return nil
	}
	q := *p
	q.Bits = 0
	picture, err := paint.Of(q, paint.Screen{Size: small, Bits: 8})
	if err != nil {
		return nil // the words say it
	}
	s := &screen{Width: small.Width, Height: small.Height, Rects: []rect{}}
	for i, r := range picture.Rects {
		if i == mostRects {
			s.Hidden = len(picture.Rects) - i
			break
		}
		c := r.Code
		s.Rects = append(s.Rects, rect{r.X, r.Y, r.W, r.H, fmt.Sprintf("#%02x%02x%02x", c[0], c[1], c[2]), float64(c[0]+c[1]+c[2]) / (3 * 255)})
	}
	return s
}

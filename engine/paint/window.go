package paint

import (
	"math"

	"candelua/engine/bench"
)

// window lays a plain window on the background.
func (pic *Picture) window(p bench.Patch, c coder, avoid []bench.Zone) error {
	size := windowSize(p.Window/100, pic.Size)
	r := Rect{W: size.Width, H: size.Height, Code: c.code(p.RGB)}
	r.X, r.Y = placed(p.At[0], r.W, pic.Size.Width), placed(p.At[1], r.H, pic.Size.Height)
	if size != pic.Size {
		if err := pic.clear(&r, avoid); err != nil {
			return err
		}
	}
	pic.Area = 100 * float64(r.W) * float64(r.H) / (float64(pic.Size.Width) * float64(pic.Size.Height))
	pic.At = [2]float64{(float64(r.X) + float64(r.W)/2) / float64(pic.Size.Width), (float64(r.Y) + float64(r.H)/2) / float64(pic.Size.Height)}
	pic.Rects = append(pic.Rects, r)
	return nil
}

// windowSize is the rectangle of whole pixels whose area is nearest to a share of the screen's, of
// those whose sides are next to the exact ones. Of two that are equally near, it is the one whose
// shape is nearer to the screen's, and then the smaller.
func windowSize(share float64, screen Size) Size {
	side := math.Sqrt(share)
	want := share * float64(screen.Width) * float64(screen.Height)
	best, missed, skew := Size{}, math.Inf(1), math.Inf(1)
	for _, w := range neighbours(side*float64(screen.Width), screen.Width) {
		for _, h := range neighbours(side*float64(screen.Height), screen.Height) {
			miss := math.Abs(float64(w)*float64(h) - want)
			bent := math.Abs(float64(w)*float64(screen.Height) - float64(h)*float64(screen.Width))
			if miss < missed || miss == missed && bent < skew {
				best, missed, skew = Size{w, h}, miss, bent
			}
		}
	}
	return best
}

// neighbours are the whole numbers of pixels next to an exact length, on the screen.
func neighbours(exact float64, most int) []int {
	low := min(max(int(math.Floor(exact)), 1), most)
	high := min(max(int(math.Ceil(exact)), 1), most)
	if low == high {
		return []int{low}
	}
	return []int{low, high}
}

// placed is where a length begins whose middle is at a place from 0 to 1, moved inside.
func placed(at float64, length, all int) int {
	return min(max(int(math.Round(at*float64(all)-float64(length)/2)), 0), all-length)
}

// zone is a [bench.Zone] in pixels; rounded corners have the corner that is cut.
type zone struct {
	what                     string
	left, top, right, bottom float64
	rounded                  bool
	atLeft, atTop            bool // the corner that is cut off
}

func zonesOf(avoid []bench.Zone, s Size) []zone {
	all := make([]zone, len(avoid))
	for i, z := range avoid {
		w, h := float64(s.Width), float64(s.Height)
		all[i] = zone{what: z.What, left: z.Left * w, top: z.Top * h, right: z.Right * w, bottom: z.Bottom * h,
			rounded: z.Rounded, atLeft: z.Left+z.Right < 1, atTop: z.Top+z.Bottom < 1}
	}
	return all
}

// overlap is less than this for a border that only rounding puts across, in pixels.
const overlap = 1e-6

// taken is the range of left edges, from and to exclusive, at which a window of a width covers part of
// the zone while it covers the rows from y to y + height; false for none.
func (z zone) taken(y, width, height float64) (from, to float64, any bool) {
	if y+height <= z.top+overlap || y >= z.bottom-overlap {
		return 0, 0, false
	}
	left, right := z.left, z.right
	if z.rounded {
		reach := z.reach(y, height)
		if z.atLeft {
			right = left + reach
		} else {
			left = right - reach
		}
		if reach < overlap {
			return 0, 0, false
		}
	}
	return left - width + overlap, right - overlap, true
}

// reach is how far a rounded corner cuts into the rows of a window, at the row that is
// nearest to the corner.
//
//	((x − r_x)/r_x)² + ((y − r_y)/r_y)² = 1
func (z zone) reach(y, height float64) float64 {
	depth := y - z.top // of the nearest row from the screen's edge
	if !z.atTop {
		depth = z.bottom - (y + height)
	}
	along := min(max(1-depth/(z.bottom-z.top), 0), 1)
	return (z.right - z.left) * (1 - math.Sqrt(1-along*along))
}

// clear moves a window by the least distance that clears it of all zones. Where no place does, it says what is covered, and
// refuses a window whose middle is.
func (pic *Picture) clear(r *Rect, avoid []bench.Zone) error {
	zones := zonesOf(avoid, pic.Size)
	if len(zones) == 0 {
		return nil
	}
	if x, y, ok := nearestClear(*r, pic.Size, zones); ok {
		pic.Moved = x != r.X || y != r.Y
		r.X, r.Y = x, y
		return nil
	}
	middle := [2]float64{float64(r.X) + float64(r.W)/2, float64(r.Y) + float64(r.H)/2}
	for _, z := range zones {
		from, to, any := z.taken(float64(r.Y), float64(r.W), float64(r.H))
		if x := float64(r.X); !any || x <= from || x >= to {
			continue
		}
		if z.holds(middle) {
			return refuse("use a smaller window or another place; the unit file states what to avoid",
				"the middle of the window, where the meter looks, would be on the %s, and there is no place for a window of this size beside it", z.what)
		}
		pic.Covers = append(pic.Covers, z.what)
	}
	return nil
}

// holds tells whether a point, in pixels, lies in the zone.
func (z zone) holds(at [2]float64) bool {
	from, to, any := z.taken(at[1], 0, 0)
	return any && at[0] > from && at[0] < to
}

// nearestClear is the place nearest to a window's own at which it covers no zone; false where
// there is none. Of places that are equally near it is the one that is less far up or down, then
// the upper, then the left.
func nearestClear(r Rect, s Size, zones []zone) (x, y int, ok bool) {
	best := math.Inf(1)
	for away := 0; away <= max(r.Y, s.Height-r.H-r.Y) && float64(away)*float64(away) < best; away++ {
		for _, row := range []int{r.Y - away, r.Y + away} {
			if row < 0 || row > s.Height-r.H {
				continue
			}
			column, there := nearestColumn(r, row, s.Width-r.W, zones)
			dx, dy := float64(column-r.X), float64(away)
			if d := dx*dx + dy*dy; there && d < best {
				x, y, best, ok = column, row, d, true
			}
		}
	}
	return x, y, ok
}

// nearestColumn is the left edge from 0 to most nearest to the window's own at which it covers
// no zone when its top edge is in a row.
func nearestColumn(r Rect, row, most int, zones []zone) (x int, ok bool) {
	left, right := r.X, r.X
	for moved := true; moved; { // each pass clears at least one zone more
		moved = false
		for _, z := range zones {
			from, to, any := z.taken(float64(row), float64(r.W), float64(r.H))
			if !any {
				continue
			}
			if f := float64(left); f > from && f < to {
				left, moved = int(math.Floor(from)), true
			}
			if f := float64(right); f > from && f < to {
				right, moved = int(math.Ceil(to)), true
			}
		}
	}
	switch leftFits, rightFits := left >= 0, right <= most; {
	case leftFits && (!rightFits || r.X-left <= right-r.X):
		return left, true
	case rightFits:
		return right, true
	}
	return 0, false
}

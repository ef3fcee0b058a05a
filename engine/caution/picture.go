package caution

import (
	"math"

	"candelua/engine/bench"
)

// picture is a patch as the rule of flashes looks at it: which light each point shows. The screen's sides are 1 long. The
// fields of a ladder lie as on a screen of 16 by 9.
type picture struct {
	patch          bench.Patch
	window         rect // of a plain window
	inside, around light
	levels         []light // of ramps, steps and ladders, from the first
	columns, rows  int     // of a ladder
}

// rampLevels are the levels by which a ramp is judged (model of our own): a step of a 64th of the signal is below the threshold of a flash.
const rampLevels = 64

func pictureOf(p bench.Patch) picture {
	pic := picture{patch: p, window: windowOf(p), inside: lightOf(p.RGB, p.Signal), around: lightOf(p.Background, p.Signal)}
	levels := map[bench.PatternKind]int{bench.Steps: p.Pattern.Count, bench.Ladder: p.Pattern.Count, bench.Ramp: rampLevels}[p.Pattern.Kind]
	for i := range levels {
		pic.levels = append(pic.levels, lightOf(p.Level(i, levels), p.Signal))
	}
	if p.Pattern.Kind == bench.Ladder {
		pic.columns = min(max(int(math.Round(math.Sqrt(float64(levels)*16/9))), 1), levels)
		pic.rows = (levels + pic.columns - 1) / pic.columns
	}
	return pic
}

// edges are where the light changes from left to right, and from top to bottom.
func (pic *picture) edges() (across, down []float64) {
	parts := func(n int) (all []float64) {
		for i := 1; i < n; i++ {
			all = append(all, float64(i)/float64(n))
		}
		return all
	}
	pattern := pic.patch.Pattern
	switch {
	case pattern.Kind == bench.Checkerboard:
		return parts(pattern.Columns), parts(pattern.Rows)
	case pattern.Kind == bench.Ladder: // a field is the middle half of its cell
		return parts(4 * pic.columns), parts(4 * pic.rows)
	case pic.levels != nil && pattern.Vertical:
		return nil, parts(len(pic.levels))
	case pic.levels != nil:
		return parts(len(pic.levels)), nil
	}
	w := pic.window
	return []float64{w.left, w.right}, []float64{w.top, w.bottom}
}

// at is the light of a point, which lies on no edge.
func (pic *picture) at(p [2]float64) light {
	pattern := pic.patch.Pattern
	switch {
	case pattern.Kind == bench.Checkerboard:
		column, row := pattern.Field(p)
		own, ownRow := pattern.Field(pic.patch.At)
		if (column+row+own+ownRow)%2 != 0 {
			return pic.around
		}
		return pic.inside
	case pattern.Kind == bench.Ladder:
		x, y := p[0]*float64(pic.columns), p[1]*float64(pic.rows)
		n := int(x) + int(y)*pic.columns
		if n >= len(pic.levels) || math.Abs(x-math.Floor(x)-0.5) > 0.25 || math.Abs(y-math.Floor(y)-0.5) > 0.25 {
			return pic.around
		}
		return pic.levels[n]
	case pic.levels != nil:
		along := p[0]
		if pattern.Vertical {
			along = p[1]
		}
		n := len(pic.levels)
		return pic.levels[max(0, min(int(math.Floor(along*float64(n))), n-1))]
	case pic.window.holds(p):
		return pic.inside
	}
	return pic.around
}

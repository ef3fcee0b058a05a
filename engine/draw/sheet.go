package draw

import (
	"cmp"
	"slices"
	"sync"
)

// Sheet is the readings of a run as they were, and what is drawn of each. It is
// filled first, by one that only looks; then several may draw at once. The zero
// Sheet is empty.
type Sheet struct {
	readings []entry
	place    map[place]int // in readings
	once     sync.Once
	drawn    []Reading
}

// place is a step's number and a single reading of it; 0 for the mean.
type place struct{ step, single int }

type entry struct {
	meter   string
	singles []XYZ
	taken   Taken
	reading Reading // but for its scatter
}

// Enter notes a reading of a meter, or one single reading of a series that each
// stand for themselves. What taken and the reading's Scatter say of readings of
// the same level is filled in by the sheet. It must not be called any more once
// something was drawn.
func (s *Sheet) Enter(step, single int, meter string, singles []XYZ, taken Taken, r Reading) {
	if s.place == nil {
		s.place = map[place]int{}
	}
	s.place[place{step, single}] = len(s.readings)
	s.readings = append(s.readings, entry{meter, singles, taken, r})
}

// Draw is what a draw does to a reading where only the components of a set are
// drawn; false where the reading is not on the sheet.
func (s *Sheet) Draw(step, single int, set Set, draw int) (moved Drawn, ok bool) {
	s.once.Do(s.finish)
	i, ok := s.place[place{step, single}]
	if !ok {
		return moved, false
	}
	return s.drawn[i].Draw(set, draw), true
}

// Causes lists what the readings share and has a size, each once.
func (s *Sheet) Causes() (all []Cause) {
	s.once.Do(s.finish)
	seen := map[Cause]bool{}
	for i := range s.drawn {
		for _, cause := range s.drawn[i].Causes() {
			if !seen[cause] {
				seen[cause] = true
				all = append(all, cause)
			}
		}
	}
	return all
}

// finish says how each reading scatters. What others of a like level scattered
// by serves too: of few readings the own scatter says little.
func (s *Sheet) finish() {
	s.drawn = make([]Reading, len(s.readings))
	order := make([]int, len(s.readings))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := &s.readings[a], &s.readings[b]
		return cmp.Or(cmp.Compare(x.meter, y.meter), cmp.Compare(x.reading.Mean.Y, y.reading.Mean.Y))
	})
	for k, i := range order {
		e := &s.readings[i]
		e.taken.Before = s.like(order, k)
		s.drawn[i] = e.reading
		if scatter, err := ScatterOf(e.singles, e.taken); err == nil {
			s.drawn[i].Scatter = scatter
		}
	}
}

// Readings are of a like level within this factor; and so many of them, to each
// side, say enough.
const (
	likeLevel  = 1.5
	likeEnough = 25
)

// What is known by fewer degrees of freedom than fewDoF is asked of levels up
// to farLevel times as bright or as dim; it must not claim less by more than
// mostLess in variance, as it does where scatter does not go with the level.
const (
	fewDoF   = 12
	farLevel = 5
	mostLess = 2.5
)

// like pools the scatter of readings of a like level, those that are farther
// where there are too few. A t distribution of four degrees of freedom has twice the
// variance of what it knows so little of; a mean of many such readings is then
// far more certain than its draws say.
func (s *Sheet) like(order []int, k int) Spread {
	near := s.within(order, k, likeLevel)
	own := Pool(SpreadOf(s.readings[order[k]].singles), near)
	if own.dof >= fewDoF || own.dof == 0 {
		return near
	}
	far := s.within(order, k, farLevel)
	if own.Luminance()*own.Luminance() > float64(mostLess*far.Luminance()*far.Luminance()) {
		return near
	}
	return far
}

// within pools the scatter of the readings near the kth of an order by level, up
// to a factor of the level, in proportion to the level.
func (s *Sheet) within(order []int, k int, factor float64) Spread {
	e := &s.readings[order[k]]
	var all []Spread
	for _, by := range []int{-1, 1} {
		for n := k + by; n >= 0 && n < len(order) && max(n-k, k-n) <= likeEnough; n += by {
			o := &s.readings[order[n]]
			ratio := e.reading.Mean.Y / o.reading.Mean.Y
			if o.meter != e.meter || !(ratio < factor && ratio > 1/factor) {
				break
			}
			if len(o.singles) > 1 {
				all = append(all, SpreadOf(o.singles).Scaled(ratio))
			}
		}
	}
	return Pool(all...)
}

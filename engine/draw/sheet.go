package draw

import (
	"cmp"
	"math"
	"slices"
	"sync"
)

// Sheet holds the readings of a run and the errors that are drawn for each. It is
// filled first, by one execution of the script; then several goroutines may draw at
// once. The zero Sheet is empty.
type Sheet struct {
	readings []entry
	place    map[place]int // in readings
	once     sync.Once
	drawn    []Reading
	unknown  int // readings whose scatter nobody knows
}

// place is a step's number and a single reading of it; 0 for the mean.
type place struct{ step, single int }

type entry struct {
	meter   string
	singles []XYZ
	own     spread // of the singles
	taken   Taken
	reading Reading // but for its scatter
}

// Enter adds a reading of a meter, or one single reading of a series whose single
// readings count separately. The sheet adds the scatter of other readings of the same
// level. It must not be called after the first draw.
func (s *Sheet) Enter(step, single int, meter string, singles []XYZ, taken Taken, r Reading) {
	if s.place == nil {
		s.place = map[place]int{}
	}
	s.place[place{step, single}] = len(s.readings)
	s.readings = append(s.readings, entry{meter, singles, spreadOf(singles), taken, r})
}

// Draw returns the errors of a reading in one draw; false if the reading is not on
// the sheet.
func (s *Sheet) Draw(step, single, draw int) (moved Drawn, ok bool) {
	s.once.Do(s.finish)
	i, ok := s.place[place{step, single}]
	if !ok {
		return moved, false
	}
	return s.drawn[i].draw(draw), true
}

// Causes lists the shared causes of error that are not zero, each once.
func (s *Sheet) Causes() (all []Cause) {
	s.once.Do(s.finish)
	seen := map[Cause]bool{}
	for i := range s.drawn {
		for _, cause := range s.drawn[i].causes() {
			if !seen[cause] {
				seen[cause] = true
				all = append(all, cause)
			}
		}
	}
	return all
}

// NoScatter counts the readings whose scatter is not known, so that no scatter is drawn
// for them.
func (s *Sheet) NoScatter() int {
	s.once.Do(s.finish)
	return s.unknown
}

// Unstated are the meters, by their places on the bench, that were read and of which nobody
// states how far off they may be. What is drawn of their readings is repeatability alone.
func (s *Sheet) Unstated() (meters []string) {
	for _, e := range s.readings {
		if e.taken.Unstated && !slices.Contains(meters, e.meter) {
			meters = append(meters, e.meter)
		}
	}
	slices.Sort(meters)
	return meters
}

// Still says whether no reading has an error that is known: a draw would change nothing.
func (s *Sheet) Still() bool {
	s.once.Do(s.finish)
	return !slices.ContainsFunc(s.drawn, func(r Reading) bool { return !r.still() })
}

// Resolution is what people call the part of a budget that the last digits of typed
// readings have.
const Resolution = "resolution"

// Rest names the remaining part of a budget by [Explain]: the errors that each reading
// has of its own.
func (s *Sheet) Rest() string {
	s.once.Do(s.finish)
	typed := slices.ContainsFunc(s.drawn, func(r Reading) bool { return r.Typed != (Typed{}) })
	switch {
	case typed && s.unknown == len(s.drawn):
		return Resolution
	case typed:
		return Scatter.String() + " and " + Resolution
	}
	return Scatter.String()
}

// finish determines the scatter of each reading. It also uses the scatter of other
// readings of the same meter, because the own scatter of few readings is poorly known.
func (s *Sheet) finish() {
	s.drawn = make([]Reading, len(s.readings))
	order := make([]int, len(s.readings))
	seen := map[string][]levelled{}
	for i := range order {
		order[i] = i
		if e := &s.readings[i]; e.own.dof > 0 {
			seen[e.meter] = append(seen[e.meter], levelled{e.own, e.light()})
		}
	}
	noises := map[string]noise{}
	for meter, all := range seen {
		noises[meter] = noiseOf(all)
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := &s.readings[a], &s.readings[b]
		return cmp.Or(cmp.Compare(x.meter, y.meter), cmp.Compare(x.reading.Mean.Y, y.reading.Mean.Y))
	})
	for k, i := range order {
		e := &s.readings[i]
		e.taken.before, e.taken.level = s.like(order, k, noises[e.meter])
		s.drawn[i] = e.reading
		if scatter, err := scatterOf(e.singles, e.taken); err == nil {
			s.drawn[i].scatter = scatter
		} else {
			s.unknown++
		}
	}
}

// Levels are alike where readings scatter alike within the factor likeScatter, and
// serve each other up to farScatter; the nearest first, until enoughDoF degrees
// of freedom are together: a t distribution of 30 has 7 % more variance than a
// normal one, of 4 twice as much, and a value that hangs on many readings is
// far more certain than such draws say.
const (
	likeScatter = 1.1
	farScatter  = 10
	enoughDoF   = 30
)

// A colour is like another where x and y differ by no more; and so many readings
// are looked at to find such ones.
const (
	likeColour = 0.03
	lookedAt   = 60
)

// like pools what readings near the kth of an order by level scattered by, as
// the noise has it at that level: luminance of all, and X and Z of a like colour alone, since
// how they go together depends on the colour. Those that are not of a like level count only where
// they do not claim that it scatters less than was seen there.
func (s *Sheet) like(order []int, k int, n noise) (before, level spread) {
	e := &s.readings[order[k]]
	own := e.own
	var near, far, nearLike, farLike pool
	for around, looked := s.around(order, k, n), 0; looked < lookedAt; looked++ {
		o, times, ok := around()
		if !ok || own.dof+far.dof >= enoughDoF && own.dof+farLike.dof >= enoughDoF {
			break
		}
		here := o.own.scaled(times)
		alike := times < likeScatter && times > 1/likeScatter
		if own.dof+far.dof < enoughDoF {
			far.add(here, true)
			near.add(here, alike)
		}
		farLike.add(here, e.likeColour(o))
		nearLike.add(here, alike && e.likeColour(o))
	}
	seen, all := pooled(append(near.all, own)...), pooled(append(far.all, own)...)
	if seen.luminance()*seen.luminance() > float64(byChance(seen.dof)*all.luminance()*all.luminance()) {
		far, farLike = near, nearLike
	}
	return pooled(farLike.all...), pooled(far.all...)
}

// pool are spreads and their degrees of freedom together.
type pool struct {
	all []spread
	dof float64
}

func (p *pool) add(s spread, fits bool) {
	if fits {
		p.all, p.dof = append(p.all, s), p.dof+s.dof
	}
}

func (e *entry) light() light { return light{e.reading.Mean.Y, e.taken.Seconds} }

// likeColour says whether X and Z of two readings go together with Y alike.
func (e *entry) likeColour(o *entry) bool {
	a, b := &e.reading.Mean, &o.reading.Mean
	sumA, sumB := a.X+a.Y+a.Z, b.X+b.Y+b.Z
	return math.Abs(a.X/sumA-b.X/sumB) <= likeColour && math.Abs(a.Y/sumA-b.Y/sumB) <= likeColour
}

// around gives the readings of the same meter that have a scatter, the one whose scatter
// the noise has next to that of the kth of an order first, and how many
// times theirs its scatter is.
func (s *Sheet) around(order []int, k int, n noise) func() (*entry, float64, bool) {
	e := &s.readings[order[k]]
	side := func(by int) func() (*entry, float64) {
		i := k
		return func() (*entry, float64) {
			for i += by; i >= 0 && i < len(order); i += by {
				o := &s.readings[order[i]]
				if o.meter != e.meter {
					break
				}
				times := n.times(e.light(), o.light())
				if !(times < farScatter && times > 1./farScatter) {
					break
				}
				if o.own.dof > 0 {
					return o, times
				}
			}
			i = len(order) * by // no more on this side
			return nil, 0
		}
	}
	below, above := side(-1), side(1)
	low, down := below()
	high, up := above()
	return func() (o *entry, times float64, ok bool) {
		switch {
		case low == nil && high == nil:
			return nil, 0, false
		case high == nil || low != nil && down*up < 1: // down ≥ 1 ≥ up
			o, times = low, down
			low, down = below()
		default:
			o, times = high, up
			high, up = above()
		}
		return o, times, true
	}
}

// byChance is how many times its true value a variance that is known by so many degrees of
// freedom is found to be in one of a hundred: the 99 % quantile of χ²/ν.
//
// Source: E. B. Wilson and M. M. Hilferty, "The distribution of chi-square", Proc.
// Natl. Acad. Sci. 17 (1931) 684-688; good to 1 % from 3 degrees of freedom on.
func byChance(dof float64) float64 {
	if dof == 0 {
		return math.Inf(1)
	}
	const z99 = 2.3263478740408408
	q := 1 - 2/(9*dof) + z99*math.Sqrt(2/(9*dof))
	return q * q * q
}

package draw

import (
	"cmp"
	"math"
	"slices"
)

// witnesses are what a meter's readings say of how it scatters, by rising level, beside
// what is stated of it.
type witnesses struct {
	stated  StatedScatter
	all     []witness
	noise   noise
	seconds float64 // for how long it reads in the dark
	darkest float64
}

type witness struct {
	levelled
	mean  XYZ
	from  int     // the reading that says so
	worth float64 // logarithm of the variance that the noise has there
}

// hear takes a reading for a witness, once for all readings of a run of single ones.
func (w *witnesses) hear(e *entry, i int) {
	if l := e.light(); l.seconds > 0 && (w.seconds == 0 || l.level < w.darkest) {
		w.seconds, w.darkest = l.seconds, l.level
	}
	if e.own.dof > 0 && e.from == i {
		w.all = append(w.all, witness{levelled: levelled{e.own, e.light()}, mean: e.reading.Mean, from: i})
	}
}

// agree finds the noise that all witnesses speak of.
func (w *witnesses) agree() {
	slices.SortStableFunc(w.all, func(a, b witness) int { return cmp.Compare(a.level, b.level) })
	seen := make([]levelled, 0, len(w.all)+1)
	for i := range w.all {
		seen = append(seen, w.all[i].levelled)
	}
	if s := w.stated; len(s.Noise) == 0 && s.Repeatability > 0 {
		seen = append(seen, levelled{s.at(XYZ{Y: statedAt}), light{level: statedAt, seconds: w.brightSeconds()}})
	}
	if len(w.stated.Noise) == 0 {
		w.noise = noiseOf(seen, w.stated.Floor)
	}
	for i := range w.all {
		w.all[i].worth = w.worth(w.all[i].light)
	}
}

// brightSeconds is for how long the meter reads in bright light, 0 where nobody says.
func (w *witnesses) brightSeconds() float64 {
	if len(w.all) == 0 {
		return 0
	}
	return w.all[len(w.all)-1].seconds
}

// worth is the logarithm of the variance that the noise, or what is stated of it, has at a
// light, to compare with others; 0 where nothing scatters.
func (w *witnesses) worth(at light) float64 {
	if len(w.stated.Noise) > 0 {
		noise, _ := w.stated.luminance(max(at.level, 0))
		return 2 * log(max(noise, math.SmallestNonzeroFloat64*0x1p52))
	}
	mean, _ := w.noise.logAt(at)
	return mean
}

// Witnesses are heard up to farScatter times another scatter, the nearest first, until
// enoughDoF degrees of freedom are together: a t distribution of 30 has 7 % more
// variance than a normal one. Within likeScatter a light scatters alike, whatever noise
// is made of. A colour is like another where x and y differ by no more than likeColour, and so
// many witnesses are asked to find such ones.
const (
	likeScatter = 1.1
	farScatter  = 10
	enoughDoF   = 30
	likeColour  = 0.03
	lookedAt    = 60
)

// testimony is what is known of the scatter of a reading's single readings.
type testimony struct {
	level  known  // of Y
	colour spread // of readings of a like colour: how X and Z go with Y
	stated spread // what the bench states, zero where nothing
	far    bool   // the level is concluded from others that do not say how it compares
}

// of is what the witnesses know of a reading.
func (w *witnesses) of(e *entry) (t testimony) {
	if w.stated.says() {
		t.stated = w.stated.at(e.reading.Mean)
	}
	at := w.worth(e.light())
	near, colour := pool{}, pool{}
	near.add(e.own, e.own.dof > 0)
	colour.add(e.own, e.own.dof > 0)
	far := near
	ask := w.around(e, at)
	for range lookedAt {
		o, times, ok := ask()
		if !ok || far.dof >= enoughDoF && colour.dof >= enoughDoF {
			break
		}
		here := o.scaled(times)
		near.add(here, near.dof < enoughDoF && times < likeScatter && times > 1/likeScatter)
		far.add(here, far.dof < enoughDoF)
		colour.add(here, e.likeColour(o.mean))
	}
	t.colour = pooled(colour.all...)
	t.level, t.far = w.judge(e, near, far, t.stated)
	return t
}

// judge is what is known of Y: of what near witnesses say and what the noise has at this
// level the latter, unless they claim that it scatters less there than was seen.
// concluded says that no witness and no statement is of this level.
func (w *witnesses) judge(e *entry, near, far pool, stated spread) (k known, concluded bool) {
	seen := pooled(near.all...)
	switch {
	case len(w.stated.Noise) > 0:
		k = withStated(pooled(far.all...), stated)
	case len(w.noise.shapes) > 0:
		found, agreed := w.noise.at(e.light())
		if k = found; stated.dof > 0 {
			if as := withStated(seen, stated); !agreed || as.width() < found.width() {
				k = as
			}
		}
		if concluded = !agreed && stated.dof == 0 && seen.dof == 0; !agreed && seen.dof > 0 {
			if here := (known{seen.cov[0][0], seen.dof}); here.width() < k.width() {
				k = here // what was seen here is better than what is concluded
			}
		}
	}
	if seen.dof >= k.dof || seen.cov[0][0] > float64(byChance(seen.dof)*k.variance) {
		k, concluded = known{seen.cov[0][0], seen.dof}, false
	}
	k.dof = min(k.dof, enoughDoF)
	return k, concluded
}

// withStated joins what was seen with what is stated. A figure that is clearly too small does
// not count, and none that is clearly too large where many readings say so.
func withStated(seen, stated spread) known {
	was, is := seen.cov[0][0], stated.cov[0][0]
	const many = 8
	if seen.dof > 0 && was > float64(byChance(seen.dof)*is) || seen.dof >= many && was < float64(leastByChance(seen.dof)*is) {
		return known{was, seen.dof}
	}
	both := pooled(seen, stated)
	return known{both.cov[0][0], both.dof}
}

// width is the half of the 95 % interval of a single reading: the 97.5 % quantile of t.
//
// Source: M. Abramowitz and I. A. Stegun, Handbook of mathematical functions, 26.7.5; good to
// 1 % from 3 degrees of freedom on.
func (k known) width() float64 {
	r := 1 / k.dof
	return math.Sqrt(k.variance) * (1.959964 + float64(r*(2.372+float64(r*(2.822+float64(r*(2.556+float64(r*1.59))))))))
}

// zero is the scatter of one measurement of the dark level: as stated, else as single readings
// in the dark scatter, as a normal distribution; 0 where nobody knows.
func (w *witnesses) zero() float64 {
	if w.stated.Zero > 0 {
		return w.stated.Zero
	}
	dark := &entry{taken: Taken{Seconds: w.seconds}}
	t := w.of(dark)
	if t.level.dof == 0 {
		return 0
	}
	if nu := t.level.dof; nu > 4 {
		return math.Sqrt(t.level.variance * nu / (nu - 2))
	}
	return math.Sqrt(2 * t.level.variance)
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

// likeColour says whether X and Z go together with Y alike.
func (e *entry) likeColour(b XYZ) bool {
	a := &e.reading.Mean
	sumA, sumB := a.X+a.Y+a.Z, b.X+b.Y+b.Z
	return math.Abs(a.X/sumA-b.X/sumB) <= likeColour && math.Abs(a.Y/sumA-b.Y/sumB) <= likeColour
}

// around gives the other witnesses, the one first that scatters most like a reading, and
// how many times theirs the reading's scatter is.
func (w *witnesses) around(e *entry, at float64) func() (*witness, float64, bool) {
	const most = 2 * math.Ln10 // farScatter, as a logarithm of variances
	level := e.reading.Mean.Y
	start, _ := slices.BinarySearchFunc(w.all, level, func(o witness, level float64) int { return cmp.Compare(o.level, level) })
	low, high := start-1, start
	return func() (*witness, float64, bool) {
		for {
			down, up := math.Inf(1), math.Inf(1)
			if low >= 0 {
				down = math.Abs(w.all[low].worth - at)
			}
			if high < len(w.all) {
				up = math.Abs(w.all[high].worth - at)
			}
			if min(down, up) > most {
				return nil, 0, false
			}
			k := high
			if down <= up {
				k = low
				low--
			} else {
				high++
			}
			if o := &w.all[k]; o.from != e.from || e.own.dof == 0 {
				return o, exp((at - o.worth) / 2), true
			}
		}
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
	return chiQuantile(dof, z99)
}

// leastByChance is the 1 % quantile likewise.
func leastByChance(dof float64) float64 { return chiQuantile(dof, -z99) }

// z99 is the 99 % quantile of a normal distribution.
const z99 = 2.3263478740408408

func chiQuantile(dof, z float64) float64 {
	q := 1 - 2/(9*dof) + float64(z*math.Sqrt(2/(9*dof)))
	return math.Max(0, q*q*q)
}

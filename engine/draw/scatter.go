package draw

import (
	"errors"
	"fmt"
	"math"
)

// errNoScatter is the error for a reading whose scatter is not known.
var errNoScatter = errors.New("the scatter is not known")

// stoppingFactor increases the scatter of a mean whose readings went on until
// their own standard error was small enough. Such a series tends to end when
// the readings happen to agree, so that its t interval covers less than stated:
// 91.7 % instead of 95 % in the worst case, where the target needs some 20
// readings, at least 5 were taken and the standard error is already widened by
// the t factor of few readings. With 1.15 it is 94.9 to 97 % for every target
// (measured, 40,000 series each; a study among the tests repeats it).
//
// It is for what a series says of itself. Variances of many such series, pooled
// by their degrees of freedom, are right (A. Wald, "On cumulative sums of random
// variables", Ann. Math. Stat. 15 (1944) 283-296: a sum up to a moment that
// only what was summed decides has as its mean that of one term times
// that of their number), and the mean of normal readings does not depend on when their
// scatter had them end. So the more others say, the less is widened.
const stoppingFactor = 1.15

// meanScatter is the distribution of the error of a reading's mean. The zero
// meanScatter draws nothing.
type meanScatter struct {
	root [3][3]float64 // lower triangle L, L Lᵀ is the covariance of the mean, in the order Y, X, Z
	dof  float64       // of the t distribution of Y
	rest float64       // degrees of freedom of what X and Z have beside Y; as many as dof where 0
}

// Taken says how the single readings of a mean were taken.
type Taken struct {
	// before is how single readings of the same level and colour scattered in other
	// readings, pooled; zero where there were none.
	before spread
	// level is the same of whatever colour, of which only Y counts: how X and Z
	// go with it depends on the colour.
	level spread
	// Unstated says that nobody states how far off the meter may be in all that it reads.
	Unstated bool
	// Repeatability is what the bench states for a single reading, a standard
	// uncertainty in % of Y; 0 where it states none.
	Repeatability float64
	// Noise is the standard uncertainty of a single reading in darkness, in
	// cd/m²; 0 where nobody says. A share of Y says nothing of a black: where a
	// bench states a repeatability and, of the dark, only its level's
	// uncertainty, that is a figure on the safe side.
	Noise float64
	// Seconds is for how long a single reading was taken, 0 where nobody says. It
	// counts beside that of other readings of the same meter.
	Seconds float64
	// UntilSteady says that readings went on until their standard error was
	// as small as asked.
	UntilSteady bool
	// Target is the standard error, in % of Y, that such a series asked for; 0
	// where nobody says.
	Target float64
}

// scatterOf chooses the distribution of the error of a mean of single readings:
//
//   - of two and more: t with n - 1 degrees of freedom, pooled with what the
//     same level showed before;
//   - of a single one: what the same level showed before, else the bench's
//     stated repeatability, else errNoScatter;
//   - of a series that ended by its own scatter, as far as only that is known: no
//     less than the stated repeatability, and widened by stoppingFactor; neither where
//     the target is so easily reached that the readings had no say in it.
//
// Source: [JCGM100], 4.2.3, 4.2.4 and G.3; [JCGM101], 6.4.9.
func scatterOf(singles []XYZ, taken Taken) (meanScatter, error) {
	n := len(singles)
	if n == 0 {
		return meanScatter{}, fmt.Errorf("%w: there is no single reading", errNoScatter)
	}
	stated := statedSpread(MeanOf(singles), taken.Repeatability, taken.Noise)
	own := spreadOf(singles)
	scatter := pooled(own, taken.before)
	for _, other := range []spread{taken.level, stated} {
		if scatter.dof == 0 {
			scatter = other
		}
	}
	if scatter.dof == 0 {
		return meanScatter{}, fmt.Errorf("%w: there is a single reading, no other at this level, and the bench states no repeatability; take two or more readings, or state the repeatability", errNoScatter)
	}
	level := pooled(own, taken.level)
	if !taken.UntilSteady {
		return scatter.mean(n).levelled(level, n), nil
	}
	// A figure on the safe side, as that of the dark is, is no floor of readings that were repeated.
	floor := statedSpread(MeanOf(singles), taken.Repeatability, 0)
	return steadied(scatter, floor, level, own.dof/max(level.dof, scatter.dof), MeanOf(singles).Y*taken.Target/100, n), nil
}

// levelled has Y scatter as is known of readings of that level whatever their colour,
// where that is more than of the colour; X and Z go with Y as before, and what they have
// beside it stays.
func (m meanScatter) levelled(level spread, n int) meanScatter {
	if !(level.dof > m.dof) || level.luminance() == 0 {
		return m
	}
	m.rest = m.dof
	times := level.luminance() / math.Sqrt(float64(n)) / m.luminance()
	if m.luminance() == 0 {
		m.root[0][0], times = level.luminance()/math.Sqrt(float64(n)), 1
	}
	for i := range m.root {
		m.root[i][0] *= times
	}
	m.dof = level.dof
	return m
}

// steadied is the scatter of a mean of n readings that went on until their
// standard error was as small as asked, in cd/m²; own is which share of the spread they
// are themselves.
func steadied(scatter, floor, level spread, own, asked float64, n int) meanScatter {
	floored := scatter
	if own > 0.5 {
		floored = scatter.atLeast(floor)
	}
	best := floored
	if level.dof > best.dof {
		best = level
	}
	if best.easily(asked, n) {
		return scatter.mean(n).levelled(level, n)
	}
	return floored.mean(n).levelled(level, n).widened(1 + float64(own*(stoppingFactor-1)))
}

// easily says whether a mean of n readings of this scatter is known better than a
// standard error asked for, in cd/m², with so much to spare that series do not end by
// luck: n readings would then do if they scattered by 1.5 times as much. The t
// factor is that of the fewest readings that a series has, 5 (JCGM 100, table G.2,
// 68.27 %: 1.14).
func (s spread) easily(asked float64, n int) bool {
	const spare, t = 1.5, 1.14
	return s.dof > 0 && float64(spare*t*s.luminance()) <= asked*math.Sqrt(float64(n))
}

// mean returns the distribution of the error of a mean of n single readings, n
// ≥ 1: a multivariate t distribution about 0 with the covariance C/n as its
// scale and s's degrees of freedom. Each linear combination of X, Y and Z then
// has the t distribution that its own scatter gives it, so that its interval
// covers exactly. (The joint t distribution with n - 3 degrees of freedom of
// [JCGM102], 5.3.2, serves a region in all three, and needs four readings.)
func (s spread) mean(n int) meanScatter {
	m := meanScatter{dof: s.dof}
	if s.dof == 0 {
		return m
	}
	c, l := &s.cov, &m.root
	for j := range c {
		rest := c[j][j]
		for k := range j {
			rest -= float64(l[j][k] * l[j][k])
		}
		if rest <= 1e-12*c[j][j] { // what rounding leaves of a combination of the others
			continue
		}
		l[j][j] = math.Sqrt(rest)
		for i := j + 1; i < len(c); i++ {
			rest := c[i][j]
			for k := range j {
				rest -= float64(l[i][k] * l[j][k])
			}
			l[i][j] = rest / l[j][j]
		}
	}
	return m.widened(1 / math.Sqrt(float64(n)))
}

func (m meanScatter) widened(f float64) meanScatter {
	for i := range m.root {
		for j := range m.root[i] {
			m.root[i][j] *= f
		}
	}
	return m
}

// luminance returns the scale of the t distribution of Y, in cd/m²: s/√n.
func (m meanScatter) luminance() float64 { return m.root[0][0] }

// restPart is far from the parts that a χ² may use up.
const restPart = 1 << 10

// draw returns the deviation of one draw: L z √(dof/χ²) with three normal
// numbers z and one χ² that X, Y and Z share, or another one for what X and Z have
// beside Y where that is known less well. Y's comes first, so that a meter
// without colour draws the same luminance.
func (m *meanScatter) draw(k Key, draw int) XYZ {
	if m.dof == 0 {
		return XYZ{}
	}
	var d [3]float64
	scale := k.part(3).tScale(m.dof, draw)
	l := &m.root
	z := float64(k.normal(draw) * scale)
	d[0], d[1], d[2] = float64(l[0][0]*z), float64(l[1][0]*z), float64(l[2][0]*z)
	if m.rest > 0 && (l[1][1] != 0 || l[2][2] != 0) {
		scale = k.part(restPart).tScale(m.rest, draw)
	}
	if l[1][1] != 0 {
		z = float64(k.part(1).normal(draw) * scale)
		d[1], d[2] = d[1]+float64(l[1][1]*z), d[2]+float64(l[2][1]*z)
	}
	if l[2][2] != 0 {
		z = float64(k.part(2).normal(draw) * scale)
		d[2] += float64(l[2][2] * z)
	}
	return fromVector(d)
}

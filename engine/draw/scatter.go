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
	// Unstated says that nobody states how far off the meter may be in all that it reads.
	Unstated bool
	// Stated is what the bench states of the meter's scatter, the same for all its readings.
	Stated StatedScatter
	// Exact says that readings which do not scatter do not: those of a simulated meter without noise.
	Exact bool
	// Seconds is for how long a single reading was taken, 0 where nobody says. It
	// counts beside that of other readings of the same meter.
	Seconds float64
	// Began is when the first single reading was taken, in s.
	Began float64
	// Stimulus tells what was read: single readings with equal texts were of the same light by
	// the same meter, that looked alike. It is "" where nobody says.
	Stimulus string
	// Unsynchronised says that the readings may be off by the light's flicker. Single readings
	// that follow each other then have much of that error in common.
	Unsynchronised bool
	// UntilSteady says that readings went on until their standard error was
	// as small as asked.
	UntilSteady bool
	// Target is the standard error, in % of Y, that such a series asked for; 0
	// where nobody says.
	Target float64
}

// scatterOf chooses the distribution of the error of a mean of single readings by what is
// known of them:
//
//   - the scatter of Y is what witnesses say of it, see witnesses.judge, and t with as many
//     degrees of freedom;
//   - X and Z go with Y as in readings of a like colour; where there are few, or none, as is
//     stated, else as channelsOf has it;
//   - a series that ended by its own scatter is widened by stoppingFactor, as far as only its own
//     is known, unless the target is so easily reached that the readings had no say in it;
//   - a mean of readings that may be off by flicker is known no better than one of them.
//
// Source: [JCGM100], 4.2.3, 4.2.4 and G.3; [JCGM101], 6.4.9.
func scatterOf(singles []XYZ, taken Taken, t testimony) (meanScatter, error) {
	n := len(singles)
	if n == 0 {
		return meanScatter{}, fmt.Errorf("%w: there is no single reading", errNoScatter)
	}
	if t.level.dof == 0 {
		return meanScatter{}, fmt.Errorf("%w: there is a single reading, no other says how it scatters, and neither does the bench; take two or more readings, or state noise or repeatability", errNoScatter)
	}
	mean := MeanOf(singles)
	independent := n
	if taken.Unsynchronised {
		independent = 1
	}
	m := t.colours(mean).mean(independent).levelled(t.level, independent)
	if taken.UntilSteady && !t.level.easily(mean.Y*taken.Target/100, n) {
		own := min(1, float64(n-1)/t.level.dof)
		m = m.widened(1 + float64(own*(stoppingFactor-1)))
	}
	return m, nil
}

// colours is how X and Z go with Y at a mean.
func (t *testimony) colours(mean XYZ) spread {
	const few = 3
	if t.colour.dof >= few {
		return t.colour
	}
	guess := t.stated
	if guess.dof == 0 {
		guess = channelsOf(mean, math.Sqrt(t.level.variance), 0, statedCommon)
		guess.dof = few
	}
	return pooled(t.colour, guess)
}

// levelled has Y scatter as is known of readings of that level whatever their
// colour; X and Z go with Y as before, and what they have beside it stays.
func (m meanScatter) levelled(level known, n int) meanScatter {
	m.rest = m.dof
	m.dof = math.Max(1, level.dof)
	y := math.Sqrt(level.variance / float64(n))
	times := y / m.luminance()
	if m.luminance() == 0 {
		m.root[0][0], times = y, 1
	}
	for i := range m.root {
		m.root[i][0] *= times
	}
	return m
}

// easily says whether a mean of n readings of this scatter is known better than a
// standard error asked for, in cd/m², with so much to spare that series do not end by
// luck: n readings would then do if they scattered by 1.5 times as much. The t
// factor is that of the fewest readings that a series has, 5 (JCGM 100, table G.2,
// 68.27 %: 1.14).
func (k known) easily(asked float64, n int) bool {
	const spare, t = 1.5, 1.14
	return float64(spare*t*math.Sqrt(k.variance)) <= asked*math.Sqrt(float64(n))
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

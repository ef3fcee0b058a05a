package draw

import "math"

// A value is counted where its draws have few values, and most of these more than once: a
// number of places, a share k/n, the number of a step, what was rounded.
const (
	fewValues = 5    // so many draws for each value
	fewAlone  = 0.02 // share of the draws whose values occur once, up to which nearly all others are the same
	countStep = 1e-6
)

// Of a counted value the interval leaves out so many of the draws on either side: fewer than of
// others, because a value that is chosen among a few is moved by a whole step. Where the
// draws follow the readings in proportion, as of a number that was rounded, it is
// nearly the usual share. Chosen by the study of functions.
const (
	leftOut       = 0.01
	leftOutLinear = 0.02
	mostlyLinear  = 0.85
)

// counts is what the draws of a counted value say.
type counts struct {
	step    float64 // between its values
	lattice bool    // all its values are whole steps apart
}

// counted says whether the draws and the estimate are those of a counted value.
func (s sorted) counted(estimate float64) (c counts, ok bool) {
	values, once := 1, 0
	c.step = math.Inf(1)
	same := 1e-9 * (s.at[len(s.at)-1] - s.at[0]) // what only rounding tells apart
	for i, from := 1, 0; i <= len(s.at); i++ {
		if i < len(s.at) && s.at[i]-s.at[i-1] <= same {
			continue
		}
		if i-from == 1 {
			once++
		}
		if from = i; i < len(s.at) {
			values++
			c.step = math.Min(c.step, s.at[i]-s.at[i-1])
		}
	}
	if values*fewValues > len(s.at) || 2*once > values && once > int(fewAlone*float64(len(s.at))) {
		return c, false
	}
	if values == 1 {
		c.step = math.Abs(s.at[0] - estimate)
	}
	c.lattice = c.step > 0
	for _, y := range s.at {
		steps := (y - estimate) / c.step
		c.lattice = c.lattice && math.Abs(steps-math.Round(steps)) < countStep
	}
	return c, true
}

// count returns the interval of a counted value: from the lowest to the highest of the values
// that the draws and the estimate allow.
//
// Many places that are near their threshold are a case of their own. If all truly are on
// one side of it, errors put half of them on the other, and the draws never put all of
// them back. Of n such places the draws have the variance n/6 (the mean of p(1 - p),
// with p as likely as any other share), so n/2 is three times the variance.
// That is no more than what the draws show for one or two places; for many it is far
// more. Values that are no sum of places show themselves: their draws
// follow the readings in proportion, or lie as evenly as the number of a step does.
func (s sorted) count(c counts, estimate, linear float64, limits Limits) (low, high float64) {
	out := leftOut
	if linear > mostlyLinear {
		out = leftOutLinear
	}
	low, high = s.among(out)
	low, high = math.Min(low, estimate), math.Max(high, estimate)
	if reach := c.reach(s, linear); reach > 0 {
		low, high = math.Min(low, estimate-reach), math.Max(high, estimate+reach)
	}
	if s.at[0] >= 0 && estimate >= 0 {
		low = math.Max(low, 0)
	}
	return math.Max(low, limits.Low), math.Min(high, limits.High)
}

// among returns the lowest and the highest of the draws when a share of all is left out on
// either side. Draws without a value lie beyond the ends, half of them each.
func (s sorted) among(out float64) (low, high float64) {
	skip := max(0, int(out*float64(len(s.at)+s.missing))-(s.missing+1)/2)
	return s.at[skip], s.at[len(s.at)-1-skip]
}

// What tells many places at their threshold from other counts.
const (
	sumLinear = 0.6 // they follow the readings in proportion to less than this share
	sumRange  = 5   // and their draws reach over so many standard deviations
)

// reach is how far from the estimate all places that may be on the other side take the
// count; 0 where it is no count of places, or of so few that the draws show it.
func (c counts) reach(s sorted, linear float64) float64 {
	if !c.lattice || !(linear < sumLinear) {
		return 0
	}
	_, sd := moments(s.at)
	if s.at[len(s.at)-1]-s.at[0] < sumRange*sd {
		return 0
	}
	in := sd / c.step
	if in*in < 0.7 {
		return 0
	}
	return c.step * math.Ceil(float64(3*in*in))
}

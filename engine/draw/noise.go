package draw

import (
	"cmp"
	"math"
	"slices"
)

// light is what single readings of a mean were taken of: the mean's Y, in cd/m², and
// for how long each, in s; 0 where nobody says.
type light struct{ level, seconds float64 }

// levelled is a spread and the light that it was seen at.
type levelled struct {
	spread
	light
}

// terms are 1/t, Y/t and Y², of what is darker than dark those of 0, and of what has
// no time those of 1 s.
func (l light) terms() [3]float64 {
	level, rate := max(l.level, 0), 1.
	if l.seconds > 0 {
		rate = 1 / l.seconds
	}
	return [3]float64{rate, float64(level * rate), float64(level * level)}
}

// noise is how the variance of a meter's single readings grows with the light and
// with the time t, in s, that it integrates, in (cd/m²)²:
//
//	σ²(Y, t) = (a + b·Y)/t + c·Y²
//
// a being of the dark, b of counting, c of a light or a gain that is unsteady
// (model of our own; the three laws are common practice, no source). Most meters integrate
// longer in the dark, so that a black says too little of a grey beside it.
//
// What is known of a, b and c is kept as shapes, each of which has a weight: the levels
// a/b and b/c at which one term gives way to the next, on a grid of two to a
// decade, each as likely beforehand as any other. So where the levels that were seen
// do not say how much there is at another, the shapes differ there, and noise.at
// says so by few degrees of freedom.
type noise struct {
	shapes []shape
	dof    float64 // of all that was seen
}

type shape struct {
	of     [3]float64 // a, b, c
	weight float64    // all together 1
}

func (s *shape) variance(terms [3]float64) float64 {
	return float64(s.of[0]*terms[0]) + float64(s.of[1]*terms[1]) + float64(s.of[2]*terms[2])
}

// noiseOf weighs the shapes by what was seen at some levels of Y. Of each shape the size is
// the one of the largest likelihood, Σ ν s²/m / Σ ν with m the shape's own
// variances, and its weight the likelihood with the size integrated out, of a prior 1/size:
//
//	∏ m^(-ν/2) · (Σ ν s²/m)^(-Σν/2)
//
// A shape that has more noise in the dark than the meter's floor, the lowest luminance that it
// can measure, is the less likely the more it has: by a normal distribution of the logarithm of that
// ratio, with the standard deviation 1/2 (model of our own). A floor of 0 says nothing.
//
// Source: A. Gelman and others, Bayesian data analysis, 3rd edition, 3.2, from memory.
func noiseOf(seen []levelled, floor float64) noise {
	seen = fewer(seen)
	var n noise
	var squares float64
	for _, s := range seen {
		n.dof += s.dof
		squares += float64(s.dof * s.cov[0][0])
	}
	if squares == 0 {
		return noise{}
	}
	highest := math.Inf(-1)
	for i := -10; i <= 10; i++ { // a/b from 1e-5 to 1e5 cd/m²
		for j := -6; j <= 10; j++ { // b/c from 1e-3 to 1e5 cd/m²
			half := math.Ln10 / 2
			s := shape{of: [3]float64{exp(float64(i) * half), 1, exp(-float64(j) * half)}}
			s.weigh(seen, n.dof)
			if over := s.of[0] / (floor * floor); floor > 0 && over > 1 {
				s.weight -= float64(log(over) * log(over) / 2)
			}
			n.shapes, highest = append(n.shapes, s), max(highest, s.weight)
		}
	}
	n.keep(highest)
	return n
}

// weigh gives a shape its size, and as its weight the logarithm of its likelihood.
func (s *shape) weigh(seen []levelled, dof float64) {
	var squares, logs float64
	for i := range seen {
		m := s.variance(seen[i].terms())
		squares += float64(seen[i].dof * seen[i].cov[0][0] / m)
		logs += float64(seen[i].dof * log(m))
	}
	for k := range s.of {
		s.of[k] *= squares / dof
	}
	s.weight = -float64(logs/2) - float64(dof/2*log(squares))
}

// keep makes weights of logarithms, and leaves out shapes that are all but impossible.
func (n *noise) keep(highest float64) {
	const least = 1e-4
	var sum float64
	kept := n.shapes[:0]
	for _, s := range n.shapes {
		if s.weight = exp(s.weight - highest); s.weight >= least {
			sum += s.weight
			kept = append(kept, s)
		}
	}
	for i := range kept {
		kept[i].weight /= sum
	}
	n.shapes = kept
}

// fewer joins neighbours by level until there are no more than some hundred.
func fewer(seen []levelled) []levelled {
	const most = 128
	if len(seen) <= most {
		return seen
	}
	seen = slices.Clone(seen)
	slices.SortStableFunc(seen, func(a, b levelled) int { return cmp.Compare(a.level, b.level) })
	out := make([]levelled, 0, most)
	for i := range most {
		some := seen[i*len(seen)/most : (i+1)*len(seen)/most]
		var j levelled
		for _, s := range some {
			j.level += s.level / float64(len(some))
			j.seconds += s.seconds / float64(len(some))
			j.dof += s.dof
			j.cov[0][0] += float64(s.cov[0][0] * s.dof)
		}
		j.cov[0][0] /= j.dof
		out = append(out, j)
	}
	return out
}

// known is a variance of Y, in (cd/m²)², and the degrees of freedom by which it is known.
type known struct{ variance, dof float64 }

// leastAgreed is by how many degrees of freedom a noise must be known for shapes to be taken
// together. Below, they say so different things that no single number is between them.
const leastAgreed = 2

// at is what the noise says of a light: the scaled inverse χ² distribution whose logarithm has
// the mean and the variance that the shapes and their size give it. Where that is hardly known
// at all, the shapes do not agree, and it is on the safe side: as much as nine in ten of
// the shapes have, by weight.
func (n *noise) at(l light) (k known, agreed bool) {
	mean, spread := n.logAt(l)
	if len(n.shapes) == 0 {
		return known{}, false
	}
	psi, slope := digamma(n.dof / 2)
	dof := 2 * trigammaInverse(spread+slope)
	if dof < min(leastAgreed, float64(0.9*n.dof)) {
		return known{n.most(l), n.dof}, false
	}
	found, _ := digamma(dof / 2)
	return known{exp(mean + log(n.dof/2) - psi - log(dof/2) + found), dof}, true
}

// most is the variance that nine in ten of the shapes, by weight, do not exceed.
func (n *noise) most(l light) float64 {
	const share = 0.9
	terms := l.terms()
	all := make([]known, len(n.shapes)) // variances and weights
	for i := range n.shapes {
		all[i] = known{n.shapes[i].variance(terms), n.shapes[i].weight}
	}
	slices.SortFunc(all, func(a, b known) int { return cmp.Compare(a.variance, b.variance) })
	sum := 0.
	for _, k := range all {
		if sum += k.dof; sum >= share {
			return k.variance
		}
	}
	return all[len(all)-1].variance
}

// logAt is the mean and the variance of the logarithm of the variance at a light.
func (n *noise) logAt(l light) (mean, spread float64) {
	terms := l.terms()
	var squares float64
	for i := range n.shapes {
		s := &n.shapes[i]
		v := log(s.variance(terms))
		mean += float64(s.weight * v)
		squares += float64(s.weight * v * v)
	}
	return mean, max(0, squares-float64(mean*mean))
}

// digamma returns the first and the second derivative of the logarithm of the gamma
// function at x > 0, to 1e-10.
//
// Source: M. Abramowitz and I. A. Stegun, Handbook of mathematical functions, 6.3.5,
// 6.3.18, 6.4.6 and 6.4.12.
func digamma(x float64) (psi, slope float64) {
	for ; x < 10; x++ {
		psi -= 1 / x
		slope += 1 / float64(x*x)
	}
	r := 1 / float64(x*x)
	psi += log(x) - 0.5/x - float64(r*(1./12-float64(r*(1./120-float64(r*(1./252-float64(r/240)))))))
	slope += 1/x + r/2 + float64(r/x*(1./6-float64(r*(1./30-float64(r*(1./42-float64(r/30)))))))
	return psi, slope
}

// trigammaInverse returns the x, from 1/2 on, at which the slope of digamma is y.
func trigammaInverse(y float64) float64 {
	low, high := 0.5, 1e6
	for range 60 {
		x := math.Sqrt(low * high)
		if _, slope := digamma(x); slope > y {
			low = x
		} else {
			high = x
		}
	}
	return math.Sqrt(low * high)
}

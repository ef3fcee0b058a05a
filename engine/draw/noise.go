package draw

import "math"

// noise is how the variance of a meter's single readings grows with the light and
// with the time t, in s, that it integrates, in (cd/m²)²:
//
//	σ²(Y, t) = (a + b·Y)/t + c·Y²
//
// a being of the dark, b of counting, c of a light or a gain that is unsteady
// (model of our own; the three laws are common practice, no source). Most meters integrate
// longer in the dark, so that a black says too little of a grey beside it. It only says
// what the scatter at one level tells of another; how much there is, readings near by say.
type noise [3]float64

// noiseOf fits the model to what was seen at some levels of Y: the largest
// likelihood of variances with their degrees of freedom, by the multiplicative
// steps that never go beyond zero,
//
//	θₖ ← θₖ √(Σ ν φₖ s²/m² / Σ ν φₖ/m),  φ = 1, Y, Y²,  m = Σ θₖ φₖ
//
// Source: C. Févotte and J. Idier, "Algorithms for nonnegative matrix
// factorization with the β-divergence", Neural Comput. 23 (2011) 2421-2456, β =
// 0, from memory.
func noiseOf(seen []levelled) (n noise) {
	var squares float64
	var basis noise
	for _, s := range seen {
		squares += s.dof * s.cov[0][0]
		for k, phi := range s.powers() {
			basis[k] += s.dof * phi
		}
	}
	if squares == 0 {
		return n
	}
	for k := range n {
		if basis[k] > 0 {
			n[k] = squares / basis[k] / 3
		}
	}
	const most, enough = 500, 1e-4
	for range most {
		if n.step(seen) < enough {
			break
		}
	}
	return n
}

// step improves the model, and gives the largest relative change of what it says
// of a level that was seen.
func (n *noise) step(seen []levelled) (change float64) {
	var up, down noise
	for _, s := range seen {
		m := n.variance(s.light)
		if m == 0 {
			continue
		}
		for k, phi := range s.powers() {
			up[k] += s.dof * phi * s.cov[0][0] / (m * m)
			down[k] += s.dof * phi / m
		}
	}
	old := *n
	for k := range n {
		if down[k] > 0 {
			n[k] *= math.Sqrt(up[k] / down[k])
		}
	}
	for _, s := range seen {
		if m := old.variance(s.light); m > 0 {
			change = max(change, math.Abs(n.variance(s.light)/m-1))
		}
	}
	return change
}

// light is what single readings of a mean were taken of: the mean's Y, in cd/m², and
// for how long each, in s; 0 where nobody says.
type light struct{ level, seconds float64 }

// levelled is a spread and the light that it was seen at.
type levelled struct {
	spread
	light
}

// powers are 1/t, Y/t and Y², of what is darker than dark those of 0, and of what has
// no time those of 1 s.
func (l light) powers() noise {
	level, rate := max(l.level, 0), 1.
	if l.seconds > 0 {
		rate = 1 / l.seconds
	}
	return noise{rate, float64(level * rate), float64(level * level)}
}

// variance is the model at a light, in (cd/m²)².
func (n noise) variance(at light) (v float64) {
	for k, phi := range at.powers() {
		v += float64(n[k] * phi)
	}
	return v
}

// times is by how much more readings scatter at one light than at another, as a
// ratio of standard deviations; 1 where nothing scatters.
func (n noise) times(at, than light) float64 {
	if v := n.variance(than); v > 0 {
		return math.Sqrt(n.variance(at) / v)
	}
	return 1
}

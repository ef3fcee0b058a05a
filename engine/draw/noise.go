package draw

import "math"

// noise is how the variance of a meter's single readings grows with the light,
// in (cd/m²)²:
//
//	σ²(Y) = a + b·Y + c·Y²
//
// a being of the dark, b of counting, c of a light or a gain that is unsteady
// (model of our own; the three laws are common practice, no source). It only says
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
		for k, phi := range powers(s.level) {
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
		m := n.variance(s.level)
		if m == 0 {
			continue
		}
		for k, phi := range powers(s.level) {
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
		if m := old.variance(s.level); m > 0 {
			change = max(change, math.Abs(n.variance(s.level)/m-1))
		}
	}
	return change
}

// levelled is a spread and the level of Y that it was seen at, in cd/m².
type levelled struct {
	Spread
	level float64
}

// powers are 1, Y and Y², of what is darker than dark those of 0.
func powers(level float64) noise {
	level = max(level, 0)
	return noise{1, level, float64(level * level)}
}

// variance is the model at a level, in (cd/m²)².
func (n noise) variance(level float64) (v float64) {
	for k, phi := range powers(level) {
		v += float64(n[k] * phi)
	}
	return v
}

// times is by how much more readings scatter at one level than at another, as a
// ratio of standard deviations; 1 where nothing scatters.
func (n noise) times(at, than float64) float64 {
	if v := n.variance(than); v > 0 {
		return math.Sqrt(n.variance(at) / v)
	}
	return 1
}

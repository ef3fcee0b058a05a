package draw

import "math"

// Single readings of one light say how they scatter, as repeated readings of a mean do. They
// are taken in runs of at most seriesLength, in the order of their time, so that each
// run has the light of its time.
const seriesLength = 32

// So few readings of one stimulus cannot tell a light that changed from a meter that scatters,
// and say nothing unless they follow each other within so many seconds.
const (
	leastApart = 4
	nearInTime = 30
)

// seriesSpread is how single readings of one stimulus scatter, at the times when they
// were taken, in s. Two estimates are made:
//
//	s² = Σ (yᵢ - ȳ)² / (m - 1)                           with m - 1 degrees of freedom
//	s² = Σ dᵢ²/(1 + wᵢ² + (1 - wᵢ)²) / (m - 2),  dᵢ = yᵢ - wᵢ yᵢ₋₁ - (1 - wᵢ) yᵢ₊₁
//
// where wᵢ puts the neighbours on a straight line with the time of yᵢ. The first is the
// better one of a light that is steady. The second does not see a light that rises or falls
// smoothly, and is taken where the first is larger than chance makes it. steady says that
// slow changes are errors of the readings themselves, and only the first is made.
//
// Source: T. Gasser, L. Sroka and C. Jennen-Steinmetz, "Residual variance and residual pattern in
// nonlinear regression", Biometrika 73 (1986) 625-633, from memory.
func seriesSpread(singles []XYZ, times []float64, steady bool) spread {
	about := spreadOf(singles)
	if steady || len(singles) < leastApart {
		return about
	}
	local := localSpread(singles, times)
	if about.cov[0][0] > float64(byChance(local.dof)*local.cov[0][0]) {
		return local
	}
	return about
}

// localSpread is the second estimate. Neighbouring residuals are correlated by -2/3, those
// beside them by 1/6, if the times are even; that takes about half of the degrees of freedom:
//
//	ν = N² / (N + 2 (N - 1) 4/9 + 2 (N - 2)/36),  N = m - 2
func localSpread(singles []XYZ, times []float64) (s spread) {
	n := float64(len(singles) - 2)
	for i := 1; i < len(singles)-1; i++ {
		w := 0.5
		if span := times[i+1] - times[i-1]; span > 0 {
			w = (times[i+1] - times[i]) / span
		}
		d := singles[i].plus(singles[i-1].times(-w)).plus(singles[i+1].times(w - 1))
		s.add(d.vector(), 1/(n*(1+float64(w*w)+float64((1-w)*(1-w)))))
	}
	s.dof = math.Max(1, n*n/(n+float64((n-1)*8/9)+math.Max(0, n-2)/18))
	return s
}

// series finds the single readings of one stimulus by one meter, and gives each the
// spread of the run of them that it is in.
func (s *Sheet) series() {
	type of struct{ meter, stimulus string }
	runs := map[of][]int{}
	var order []of
	for i := range s.readings {
		e := &s.readings[i]
		if len(e.singles) != 1 || e.taken.Stimulus == "" {
			continue
		}
		k := of{e.meter, e.taken.Stimulus}
		if runs[k] == nil {
			order = append(order, k)
		}
		runs[k] = append(runs[k], i)
	}
	for _, k := range order {
		for all := runs[k]; len(all) > 1; {
			n := min(len(all), seriesLength)
			if len(all)-n == 1 { // one alone says nothing
				n = len(all)
			}
			s.share(all[:n])
			all = all[n:]
		}
	}
}

// share gives the readings of a run their common spread.
func (s *Sheet) share(run []int) {
	singles, times, steady := make([]XYZ, len(run)), make([]float64, len(run)), false
	for k, i := range run {
		e := &s.readings[i]
		singles[k], times[k] = e.singles[0], e.taken.Began
		steady = steady || e.taken.Unsynchronised
	}
	if len(run) < leastApart && times[len(run)-1]-times[0] > nearInTime*float64(len(run)-1) {
		return
	}
	own := seriesSpread(singles, times, steady)
	for _, i := range run {
		s.readings[i].own, s.readings[i].from = own, run[0]
	}
}

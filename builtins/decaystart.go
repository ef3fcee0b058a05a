package builtins

import (
	"math"
	"slices"
)

const (
	decayGrid   = 24 // time constants that are tried for a start
	decayStarts = 4  // best starts that are followed
	decayApart  = 2  // places of the grid within which starts lead the same way
)

// decayStart is places of the grid, logarithms of their time constants, and what
// these leave.
type decayStart struct {
	place [mostTerms]int
	l     [mostTerms]float64
	ss    float64
}

// near says that another start leads the same way.
func (s *decayStart) near(o decayStart) bool {
	for t, g := range s.place {
		if max(g-o.place[t], o.place[t]-g) > decayApart {
			return false
		}
	}
	return true
}

// starts tries a grid of time constants, for each of which offset and amplitudes
// follow by linear least squares, and gives the best ones, the best first, no two of
// which are near each other: those lie in one valley, and the lowest may be another.
func (m *decayModel) starts(w *decayWork) (best []decayStart) {
	var l [decayGrid]float64
	for g := range l {
		share := float64(g) / (decayGrid - 1)
		l[g] = math.Log(m.tauLow*1.5)*(1-share) + math.Log(m.tauHigh/1.5)*share
	}
	products := m.products(w, &l)
	try := func(pick ...int) {
		s := decayStart{}
		for t, g := range pick {
			s.place[t], s.l[t] = g, l[g]
		}
		var ok bool
		if s.ss, ok = m.left(products, pick); ok {
			best = placed(best, s)
		}
	}
	for a := range l {
		if m.terms == 1 {
			try(a)
			continue
		}
		for b := a + 1; b < decayGrid; b++ {
			try(a, b)
		}
	}
	return best
}

// placed puts a start among the best, in place of those near it that are worse.
func placed(best []decayStart, s decayStart) []decayStart {
	if slices.ContainsFunc(best, func(b decayStart) bool { return b.near(s) && !(s.ss < b.ss) }) {
		return best
	}
	best = slices.DeleteFunc(best, s.near)
	at := slices.IndexFunc(best, func(b decayStart) bool { return s.ss < b.ss })
	if at < 0 {
		at = len(best)
	}
	best = slices.Insert(best, at, s)
	return best[:min(len(best), decayStarts)]
}

// gridProducts are the scalar products of the grid's columns, of a constant,
// which comes after them, and of y, which is last.
type gridProducts [decayGrid + 2][decayGrid + 2]float64

func (m *decayModel) products(w *decayWork, l *[decayGrid]float64) *gridProducts {
	columns := w.grid(len(m.y))
	for g := range l {
		m.means(math.Exp(l[g]), columns[g], nil)
	}
	copy(columns[decayGrid], m.root)
	m.weighted(columns[decayGrid+1])
	for a := range columns {
		row, b := &w.products[a], a
		for ; b+4 <= len(columns); b += 4 {
			row[b], row[b+1], row[b+2], row[b+3] = dot4(columns[a], columns[b], columns[b+1], columns[b+2], columns[b+3])
		}
		for ; b < len(columns); b++ {
			row[b] = dot(columns[a], columns[b])
		}
		for b := a; b < len(columns); b++ {
			w.products[b][a] = row[b]
		}
	}
	return &w.products
}

// left is the sum of squares that picked time constants leave, by the normal
// equations in Cholesky's way: they need only tell good starts from bad ones.
// False where they are all but dependent.
func (m *decayModel) left(products *gridProducts, pick []int) (ss float64, ok bool) {
	var use [mostTerms + 2]int
	k := copy(use[:], pick)
	if m.fixed == nil {
		use[k] = decayGrid
		k++
	}
	use[k] = decayGrid + 1 // y: its pivot is the sum of squares
	var c [mostTerms + 2][mostTerms + 2]float64
	for i := range k + 1 {
		for j := range i + 1 {
			x := products[use[i]][use[j]]
			for n := range j {
				x -= c[i][n] * c[j][n]
			}
			switch {
			case i == k && j == k:
				return x, true
			case i > j:
				c[i][j] = x / c[j][j]
			case !(x > 0):
				return 0, false
			default:
				c[i][i] = math.Sqrt(x)
			}
		}
	}
	return 0, false
}

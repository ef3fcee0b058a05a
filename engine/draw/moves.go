package draw

import (
	"math"
	"slices"
)

// Moves are by how much the draws moved each reading. They tell how far a value follows its
// readings in proportion, and so which values a median of draws says everything of, and which
// may be pushed further than it shows: the largest of many nearly equal numbers, a distance
// near 0.
type Moves struct {
	columns [][]float64 // of each reading's Y, and X and Z where it has colour
	known   map[string][][]float64
	kept    int
}

// Limits of the work: squares of columns times draws are what a set of draws costs.
const (
	mostColumns = 400
	fewestFree  = 50 // draws more than columns
)

// Moves returns the moves of so many draws; none where there are so many readings that
// the draws could not tell.
func (s *Sheet) Moves(draws int) *Moves {
	s.once.Do(s.finish)
	m := &Moves{known: map[string][][]float64{}}
	channels := 0
	for i := range s.drawn {
		channels += s.drawn[i].channels()
	}
	if channels > mostColumns || channels+fewestFree > draws {
		return m
	}
	for i := range s.drawn {
		r := &s.drawn[i]
		columns := make([][]float64, r.channels())
		for j := range draws {
			to := r.draw(j).Apply(r.Mean)
			for k, by := range []float64{to.Y - r.Mean.Y, to.X - r.Mean.X, to.Z - r.Mean.Z}[:len(columns)] {
				columns[k] = append(columns[k], by)
			}
		}
		m.columns = append(m.columns, columns...)
	}
	return m
}

func (r *Reading) channels() int {
	switch {
	case r.still():
		return 0
	case r.Colour:
		return 3
	}
	return 1
}

// Linear returns which share of the variance of a value's draws is in proportion to the moves
// of the readings: 1 of a mean, about a half of a count. It is adjusted for the
// number of readings, so that chance adds nothing. It is NaN where that is not known: there
// are too many readings for so few draws, or the value does not change.
//
// Source: N. R. Draper and H. Smith, Applied regression analysis, 3rd edition, 5.3
// (adjusted R²), from memory.
func (m *Moves) Linear(draws []float64) float64 {
	if m == nil || len(m.columns) == 0 {
		return math.NaN()
	}
	basis, ok := m.basis(draws)
	left := centred(draws, func(i int) float64 { return draws[i] })
	free := len(left) - 1 - len(basis)
	all := dot(left, left)
	if !ok || free < fewestFree || !(all > 0) || !finite(all) {
		return math.NaN()
	}
	for _, b := range basis {
		take(left, b, dot(left, b))
	}
	return 1 - dot(left, left)/float64(free)/(all/float64(len(left)-1))
}

// basis gives the moves in those draws that gave a value, at right angles to each other and of length 1.
func (m *Moves) basis(draws []float64) (basis [][]float64, ok bool) {
	gave := gaveOf(draws)
	if b, ok := m.known[gave]; ok {
		return b, true
	}
	if m.kept > 0 && m.kept+len(m.columns)*len(draws) > mostKept {
		return nil, false
	}
	for _, moves := range m.columns {
		column := centred(draws, func(i int) float64 { return moves[i] })
		whole := math.Sqrt(dot(column, column))
		for _, b := range basis {
			take(column, b, dot(column, b))
		}
		length := math.Sqrt(dot(column, column))
		if !(length > 1e-6*whole) {
			continue // it follows from the others
		}
		for i := range column {
			column[i] /= length
		}
		basis = append(basis, slices.Clip(column))
	}
	m.known[gave] = basis
	m.kept += len(m.columns) * len(draws)
	return basis, true
}

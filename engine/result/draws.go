package result

import (
	"bytes"
	"errors"
	"fmt"
)

// Draws says how the uncertainties of results were found: the script was
// executed again on so many drawn readings.
type Draws struct {
	Count     int `json:"count"`
	Divergent int `json:"divergent"` // draws in which the script would have asked other steps
	Failed    int `json:"failed"`    // draws in which it ended in an error
	// NoScatter counts readings whose scatter nobody knows: single ones, of a meter of which
	// no repeatability is stated. It is in no uncertainty.
	NoScatter int `json:"no_scatter,omitempty"`
	// FarScatter counts readings whose scatter is concluded from other luminances, on the safe side.
	FarScatter int `json:"far_scatter,omitempty"`
	// Unstated names the meters that were read and whose accuracy nobody states, with "and"
	// between: with them all uncertainties are repeatability only.
	Unstated string `json:"unstated,omitempty"`
	// BudgetWhy says why no value's uncertainty is taken apart.
	BudgetWhy string `json:"budget_why,omitempty"`
	// Asked is how many were to be made, where fewer were; Ended is why, and Note says it in words.
	Asked int    `json:"asked,omitempty"`
	Ended Ended  `json:"ended,omitempty"`
	Note  string `json:"note,omitempty"`
}

// RepeatabilityOnly says whether the uncertainties leave out how far off a meter may be in
// all that it reads, because nobody states it.
func (d *Draws) RepeatabilityOnly() bool { return d != nil && d.Unstated != "" }

// Ended says why fewer draws were made than were to be.
type Ended string

// What ends draws.
const (
	NothingDrawn Ended = "nothing drawn" // none could change anything
	EndedByWork  Ended = "work"          // the script works too long; alike on every machine
	EndedByTime  Ended = "time"          // they took too long on the machine of the run
	Interrupted  Ended = "interrupted"   // by whoever ran it
	TooManyDraws Ended = "memory"        // they need too much
)

// Part is what one cause contributes to a value's uncertainty.
type Part struct {
	Of    string  `json:"of"`    // as in "scatter", "scale"
	U     float64 `json:"u"`     // the standard uncertainty that it alone gives, in the value's unit
	Share float64 `json:"share"` // of the sum of squares, 0 to 1
}

// Spread is a cell's uncertainty, in its column's unit.
type Spread struct {
	U         float64 // standard
	Low, High float64 // the interval of 95 %
}

// SetDraws keeps how the uncertainties were found; nil takes that back.
func (r *Results) SetDraws(d *Draws) { r.draws = d }

// Draws says how the uncertainties were found, nil where nobody drew.
func (r *Results) Draws() *Draws { return r.draws }

// SetSpread keeps a cell's uncertainty. It fails where there is no such cell,
// and on what is not finite.
func (t *Table) SetSpread(row, column int, s Spread) error {
	if row < 0 || row >= len(t.rows) || column < 0 || column >= len(t.columns) {
		return fmt.Errorf("table %q has no cell in row %d, column %d", t.Name, row+1, column+1)
	}
	if !finite(s.U) || s.U < 0 || !finite(s.Low) || !finite(s.High) || s.Low > s.High {
		return fmt.Errorf("table %q: row %d: uncertainty is %v; it must be a finite number", t.Name, row+1, s)
	}
	if missing := len(t.rows) - len(t.spreads); missing > 0 { // rows were added since
		t.spreads = append(t.spreads, make([][]*Spread, missing)...)
	}
	if t.spreads[row] == nil {
		t.spreads[row] = make([]*Spread, len(t.columns))
	}
	s.U, s.Low, s.High = nought(s.U), nought(s.Low), nought(s.High)
	t.spreads[row][column] = &s
	return nil
}

// Spread is a cell's uncertainty, nil where there is none.
func (t *Table) Spread(row, column int) *Spread {
	if row < 0 || row >= len(t.spreads) || column < 0 || column >= len(t.spreads[row]) {
		return nil
	}
	return t.spreads[row][column]
}

// spreadsJSON writes the cells' uncertainties as three lists of rows.
func (t *Table) spreadsJSON(b *bytes.Buffer) error {
	pick := func(of func(*Spread) float64) [][]*float64 {
		rows := make([][]*float64, len(t.rows))
		for i := range rows {
			rows[i] = make([]*float64, len(t.columns))
			for j := range rows[i] {
				if s := t.Spread(i, j); s != nil {
					x := of(s)
					rows[i][j] = &x
				}
			}
		}
		return rows
	}
	return errors.Join(
		list(b, "u", pick(func(s *Spread) float64 { return s.U })),
		list(b, "low", pick(func(s *Spread) float64 { return s.Low })),
		list(b, "high", pick(func(s *Spread) float64 { return s.High })),
	)
}

// takeSpreads reads them back.
func (t *Table) takeSpreads(in tableJSON) error {
	if in.U == nil && in.Low == nil && in.High == nil {
		return nil
	}
	if len(in.U) != len(in.Rows) || len(in.Low) != len(in.Rows) || len(in.High) != len(in.Rows) {
		return fmt.Errorf("table %q: u, low and high have %d, %d and %d rows; they must have %d each", t.Name, len(in.U), len(in.Low), len(in.High), len(in.Rows))
	}
	for i := range in.Rows {
		if len(in.U[i]) != len(t.columns) || len(in.Low[i]) != len(t.columns) || len(in.High[i]) != len(t.columns) {
			return fmt.Errorf("table %q: row %d of u, low or high has not %d cells", t.Name, i+1, len(t.columns))
		}
		for j, u := range in.U[i] {
			low, high := in.Low[i][j], in.High[i][j]
			if u == nil && low == nil && high == nil {
				continue
			}
			if u == nil || low == nil || high == nil {
				return fmt.Errorf("table %q: row %d: u, low and high are not all there", t.Name, i+1)
			}
			if err := t.SetSpread(i, j, Spread{*u, *low, *high}); err != nil {
				return err
			}
		}
	}
	return nil
}

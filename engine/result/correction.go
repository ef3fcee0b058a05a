package result

import (
	"fmt"
	"math"
	"slices"
)

// maxCorrections is the most corrections that results hold.
const maxCorrections = 100

// Correction is a correction of a meter that a run made: a matrix by which what
// the meter reads becomes what the reference reads. It holds what a correction
// file does, which is written from it.
type Correction struct {
	ID        string        `json:"id"`
	Name      string        `json:"name"`
	Method    string        `json:"method"`
	Matrix    [3][3]float64 `json:"matrix"` // corrected XYZ = Matrix times XYZ of the meter
	Meter     Instrument    `json:"meter"`
	Reference Instrument    `json:"reference"`
	Unit      string        `json:"unit,omitempty"`  // the display that it was made on
	Mode      string        `json:"mode,omitempty"`  // of that display
	Panel     string        `json:"panel,omitempty"` // the kind of its panel
	Date      string        `json:"date,omitempty"`
	ValidFor  int           `json:"valid_for,omitempty"` // days from Date; 0: not stated
	Notes     string        `json:"notes,omitempty"`
	// XY and Luminance are standard uncertainties that it leaves, of a
	// chromaticity coordinate and of the luminance in percent; 0 where they
	// are not known.
	XY        float64 `json:"u_xy,omitempty"`
	Luminance float64 `json:"u_luminance,omitempty"`
	Where     string  `json:"where,omitempty"`
}

// Instrument tells a meter from any other.
type Instrument struct {
	Name   string `json:"name"`
	Serial string `json:"serial,omitempty"`
}

// Correction records a correction: it fills in the id where there is none, and
// returns the copy that is kept. It fails where the id is taken ([ErrTaken]) and
// on anything that is not finite.
func (r *Results) Correction(c Correction) (*Correction, error) {
	for _, s := range []*string{&c.Name, &c.Method, &c.Meter.Name, &c.Meter.Serial, &c.Reference.Name, &c.Reference.Serial,
		&c.Unit, &c.Mode, &c.Panel, &c.Date, &c.Notes, &c.Where} {
		*s = tidy(*s)
	}
	c.ID = idOr(c.ID, c.Name)
	if err := checkName(c.ID, c.Name); err != nil {
		return nil, fmt.Errorf("correction: %w", err)
	}
	if err := c.check(); err != nil {
		return nil, fmt.Errorf("correction %q %w", c.Name, err)
	}
	if len(r.corrections) >= maxCorrections {
		return nil, fmt.Errorf("correction %q: results hold at most %d corrections", c.Name, maxCorrections)
	}
	if first, is := byID(r.corrections, c.ID, func(c *Correction) string { return c.ID }); is {
		return nil, taken("correction", c.ID, c.Name, first.Where)
	}
	r.corrections = append(r.corrections, &c)
	return &c, nil
}

func (c *Correction) check() error {
	for i, row := range c.Matrix {
		for j, x := range row {
			if !finite(x) {
				return fmt.Errorf("has %v in row %d, column %d of its matrix; it must be a finite number", x, i+1, j+1)
			}
		}
	}
	for _, u := range []float64{c.XY, c.Luminance} {
		if !finite(u) || math.Signbit(u) {
			return fmt.Errorf("has the uncertainty %v; it must be a finite number not below 0", u)
		}
	}
	return checkTexts(c.Method, c.Meter.Name, c.Meter.Serial, c.Reference.Name, c.Reference.Serial, c.Unit, c.Mode, c.Date, c.Notes, c.Where)
}

// Corrections returns the corrections, in order. They are the kept ones, not
// copies.
func (r *Results) Corrections() []*Correction { return slices.Clone(r.corrections) }

func compareCorrections(d *differences, a, b *Correction) {
	d.text("name", a.Name, b.Name)
	d.text("method", a.Method, b.Method)
	for i := range 3 {
		for j := range 3 {
			d.cell(fmt.Sprintf("matrix, row %d, column %d", i+1, j+1), Num(a.Matrix[i][j]), Num(b.Matrix[i][j]))
		}
	}
	d.text("meter", a.Meter.Name+" "+a.Meter.Serial, b.Meter.Name+" "+b.Meter.Serial)
	d.text("reference", a.Reference.Name+" "+a.Reference.Serial, b.Reference.Name+" "+b.Reference.Serial)
	d.text("unit", a.Unit, b.Unit)
	d.text("mode", a.Mode, b.Mode)
	d.text("date", a.Date, b.Date)
	d.text("notes", a.Notes, b.Notes)
	d.cell("u_xy", Num(a.XY), Num(b.XY))
	d.cell("u_luminance", Num(a.Luminance), Num(b.Luminance))
}

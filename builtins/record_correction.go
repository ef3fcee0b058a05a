package builtins

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"candelua/colour"
	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/result"
	"candelua/engine/script"
)

type correctionArgs struct {
	Correction any         `lua:"correction" want:"a result of colour.four_colour or colour.matrix_correction" help:"the correction"`
	Name       string      `lua:"name" help:"name as it appears in the results, such as the display and its mode"`
	ID         string      `lua:"id" default:"" help:"identifier for programs, and name of the file; made from name when left out"`
	Meter      string      `lua:"meter" default:"meter" one_of:"meter|reference" help:"meter whose readings are corrected, by its name in the bench file"`
	Reference  string      `lua:"reference" default:"reference" one_of:"meter|reference" help:"reference meter that the correction was made with"`
	Check      *matrixArgs `lua:"check" help:"colours that the correction was not made from, as in { reference = { … }, target = { … } }; the errors that remain on them are stated as its uncertainty"`
	Panel      string      `lua:"panel" default:"" help:"kind of the panel that it was made on, such as RGB OLED; when left out, what the unit file states"`
	ValidFor   int         `lua:"valid_for" default:"0" min:"0" max:"3650" unit:"days" help:"for how long it is to be used without a warning, counted from the day of the run; 0: not stated"`
	Notes      string      `lua:"notes" default:"" help:"range in which the correction holds, on one line"`
}

// recordCorrection records a correction in the form in which a bench file can
// name it. It refuses what could not be read again as a correction file, and a
// meter whose readings are corrected already: a matrix that was made from those
// would be wrong for what the meter itself gives.
func recordCorrection(c *script.Call, a correctionArgs) (script.None, error) {
	by, ok := a.Correction.(*ColourCorrection)
	if !ok {
		return script.None{}, &fault.ArgError{Arg: "correction", Got: declare.Show(a.Correction), Want: "a result of colour.four_colour or colour.matrix_correction"}
	}
	if a.Meter == a.Reference {
		return script.None{}, &fault.ArgError{Arg: "reference", Got: declare.Show(a.Reference), Want: "a meter other than " + declare.Show(a.Meter)}
	}
	if by := c.Host().Corrections[a.Meter]; by != nil {
		return script.None{}, bench.Errorf(bench.CodeUnsupported, "remove the correction from the bench file, and run again",
			"the %s already has the correction %q; no other correction can be made from its readings", a.Meter, by.Name)
	}
	meter, err := makerOf(c, a.Meter)
	if err != nil {
		return script.None{}, err
	}
	reference, err := makerOf(c, a.Reference)
	if err != nil {
		return script.None{}, err
	}
	made := bench.Correction{Name: a.Name, Path: "the correction", Meter: meter, Reference: reference, Mode: c.Host().Mode,
		Panel: cmp.Or(strings.TrimSpace(a.Panel), c.Host().Panel), Method: by.method, Date: c.Host().Day, Notes: a.Notes, Matrix: by.c.Matrix}
	if unit := c.Host().Unit; unit != bench.DefaultUnit().Name {
		made.Unit = unit
	}
	if made.Date != "" {
		made.ValidFor = a.ValidFor
	}
	if a.Check != nil {
		if made.Residual, err = residualOf(by.c, *a.Check); err != nil {
			return script.None{}, err
		}
	}
	if _, err := made.Text(); err != nil {
		return script.None{}, err
	}
	_, err = c.Results().Correction(result.Correction{ID: a.ID, Name: made.Name, Method: made.Method, Matrix: made.Matrix,
		Meter: result.Instrument(made.Meter), Reference: result.Instrument(made.Reference), Unit: made.Unit, Mode: made.Mode, Panel: made.Panel,
		Date: made.Date, ValidFor: made.ValidFor, Notes: made.Notes, XY: made.Residual.XY, Luminance: made.Residual.Luminance, Where: c.Where()})
	return script.None{}, err
}

func makerOf(c *script.Call, place string) (bench.Maker, error) {
	d, ok := c.Host().Devices[place]
	if !ok {
		return bench.Maker{}, missing(place)
	}
	return bench.Maker{Name: d.Name, Serial: d.Serial}, nil
}

// residualOf is what a correction leaves on other colours than those that it was
// made from: the root of the mean square of the differences from the reference,
// in x and y together, and in the luminance in percent.
func residualOf(by *colour.Correction, check matrixArgs) (r bench.Residual, err error) {
	pairs, err := check.pairs("check.")
	if err != nil {
		return r, err
	}
	if len(pairs) == 0 {
		return r, &fault.ArgError{Arg: "check.reference", Got: "empty", Want: "one stimulus or more"}
	}
	var xy, luminance float64
	for i, p := range pairs {
		got := by.Apply(p.Target)
		is, err := got.XY()
		if err != nil {
			return r, fmt.Errorf("check.target[%d]: %w", i+1, err)
		}
		want, err := p.Reference.XY()
		if err != nil {
			return r, fmt.Errorf("check.reference[%d]: %w", i+1, err)
		}
		xy += (is.X-want.X)*(is.X-want.X) + (is.Y-want.Y)*(is.Y-want.Y)
		luminance += (got.Y/p.Reference.Y - 1) * (got.Y/p.Reference.Y - 1)
	}
	n := float64(len(pairs))
	return bench.Residual{XY: math.Sqrt(xy / (2 * n)), Luminance: 100 * math.Sqrt(luminance/n)}, nil
}

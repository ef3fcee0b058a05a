package builtins

import (
	"fmt"
	"math"

	"candelua/colour"
	"candelua/engine/bench"
	"candelua/engine/script"
)

func meterFuncs() []*script.Func {
	return []*script.Func{
		pure("colour.four_colour", "computes the correction of a filter colorimeter by the four-colour matrix method, from red, green, blue and white read with both meters (Ohno and Hardis 1997)", fourColour),
		pure("colour.matrix_correction", "computes the correction of a filter colorimeter as a 3x3 matrix by least squares, from three stimuli or more (ASTM E1455)", matrixCorrection),
		pure("correction:apply", "applies a correction, which colour.four_colour or colour.matrix_correction returns, to a reading of the target meter, and returns the corrected stimulus", func(_ *script.Call, a applyArgs) (ColourXYZ, error) {
			c, err := stimulusOf("colour", a.Colour)
			if err != nil {
				return ColourXYZ{}, err
			}
			return givenXYZ(a.Self.c.Apply(c)), nil
		}),
		pure("colour.additivity", "compares the sum of red, green and blue with white; black is counted once (IDMS 5.4)", additivity),
	}
}

// ColourCorrection maps readings of one meter to those of another.
type ColourCorrection struct {
	Matrix    [][]float64       `lua:"matrix" help:"three rows; corrected XYZ = matrix times XYZ of the target meter"`
	Residuals []*ColourResidual `lua:"residuals" help:"remaining error of each stimulus, in the same order"`
	Worst     ColourResidual    `lua:"worst" help:"the largest delta_uv and the largest luminance error; nil if one of them is nil"`
	c         *colour.Correction
	method    string
}

// LuaName is what scripts call it.
func (ColourCorrection) LuaName() string { return "correction" }

// Bytes is what the correction takes: its matrices, and what is left of each stimulus.
func (k *ColourCorrection) Bytes() int {
	if k.c == nil {
		return 0
	}
	return 512 + 16*len(k.c.Residuals)
}

// ColourResidual is what a correction leaves.
type ColourResidual struct {
	DeltaUV   *float64 `lua:"delta_uv" help:"distance in u'v'; nil if there is no chromaticity"`
	Luminance *float64 `lua:"luminance" help:"relative error of Y; nil if the reference's Y is not above 0"`
}

// LuaName is what scripts call it.
func (ColourResidual) LuaName() string { return "residual" }

func givenResidual(r colour.Residual) ColourResidual {
	var out ColourResidual
	if !math.IsNaN(r.DeltaUV) {
		out.DeltaUV = &r.DeltaUV
	}
	if !math.IsNaN(r.Luminance) {
		out.Luminance = &r.Luminance
	}
	return out
}

func givenCorrection(method string, c *colour.Correction, err error) (*ColourCorrection, error) {
	if err != nil {
		return nil, err
	}
	out := &ColourCorrection{Matrix: rowsOf(c.Matrix), Worst: givenResidual(c.Worst()), c: c, method: method}
	for _, r := range c.Residuals {
		each := givenResidual(r)
		out.Residuals = append(out.Residuals, &each)
	}
	return out, nil
}

type fourStimuli struct {
	Red   any `lua:"red" want:"a reading or another stimulus" help:"the stimulus of full red"`
	Green any `lua:"green" want:"a reading or another stimulus" help:"the stimulus of full green"`
	Blue  any `lua:"blue" want:"a reading or another stimulus" help:"the stimulus of full blue"`
	White any `lua:"white" want:"a reading or another stimulus" help:"the stimulus of full white, a colour"`
}

func (s *fourStimuli) read(arg string) (out [4]colour.XYZ, err error) {
	for i, p := range []struct {
		name string
		x    any
	}{{"red", s.Red}, {"green", s.Green}, {"blue", s.Blue}, {"white", s.White}} {
		if out[i], err = stimulusOf(arg+p.name, p.x); err != nil {
			return out, err
		}
	}
	return out, nil
}

type fourColourArgs struct {
	Reference fourStimuli `lua:"reference" help:"readings of the reference meter, usually a spectroradiometer"`
	Target    fourStimuli `lua:"target" help:"readings of the meter that the correction is for, not of the reference"`
}

func fourColour(_ *script.Call, a fourColourArgs) (*ColourCorrection, error) {
	n, err := a.Reference.read("reference.")
	if err != nil {
		return nil, err
	}
	m, err := a.Target.read("target.")
	if err != nil {
		return nil, err
	}
	pair := func(i int) colour.Pair { return colour.Pair{Reference: n[i], Target: m[i]} }
	made, err := colour.FourColour(pair(0), pair(1), pair(2), pair(3))
	return givenCorrection(bench.FourColour, made, err)
}

type matrixArgs struct {
	Reference []any `lua:"reference" want:"a list of readings, or of other stimuli" help:"readings of the reference meter, usually a spectroradiometer"`
	Target    []any `lua:"target" want:"a list of readings, or of other stimuli" help:"readings of the meter that the correction is for, not of the reference, in the same order"`
}

func matrixCorrection(_ *script.Call, a matrixArgs) (*ColourCorrection, error) {
	pairs, err := a.pairs("")
	if err != nil {
		return nil, err
	}
	made, err := colour.MatrixCorrection(pairs)
	return givenCorrection(bench.LeastSquares, made, err)
}

// pairs reads the stimuli of both meters; arg stands before their names.
func (a *matrixArgs) pairs(arg string) ([]colour.Pair, error) {
	if len(a.Reference) != len(a.Target) {
		return nil, wrongCount(arg+"target", howMany(len(a.Target), "stimuli"), fmt.Sprintf("%d, as many as reference", len(a.Reference)), "give the same stimuli for both meters, in the same order")
	}
	pairs := make([]colour.Pair, len(a.Reference))
	for i := range pairs {
		var err error
		if pairs[i].Reference, err = stimulusOf(fmt.Sprintf("%sreference[%d]", arg, i+1), a.Reference[i]); err != nil {
			return nil, err
		}
		if pairs[i].Target, err = stimulusOf(fmt.Sprintf("%starget[%d]", arg, i+1), a.Target[i]); err != nil {
			return nil, err
		}
	}
	return pairs, nil
}

type applyArgs struct {
	Self   *ColourCorrection `lua:"self"`
	Colour any               `lua:"colour" pos:"1" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reading of the target meter"`
}

type additivityArgs struct {
	Red   any `lua:"red" want:"a reading or another stimulus" help:"the stimulus of full red"`
	Green any `lua:"green" want:"a reading or another stimulus" help:"the stimulus of full green"`
	Blue  any `lua:"blue" want:"a reading or another stimulus" help:"the stimulus of full blue"`
	White any `lua:"white" want:"a reading or another stimulus" help:"the stimulus of full white, a colour"`
	Black any `lua:"black" optional:"true" want:"a reading or another stimulus" help:"the stimulus of black; 0 when left out"`
}

// ColourAdditivity tells whether primaries add up to white.
type ColourAdditivity struct {
	Sum       ColourXYZ `lua:"sum" help:"sum of red, green and blue, with black counted once"`
	Luminance float64   `lua:"luminance" help:"Y of the sum divided by Y of white; below 1 if the display boosts white"`
	DeltaUV   float64   `lua:"delta_uv" help:"distance in u'v' between the sum and white"`
}

// LuaName is what scripts call it.
func (ColourAdditivity) LuaName() string { return "additivity" }

func additivity(_ *script.Call, a additivityArgs) (ColourAdditivity, error) {
	four := fourStimuli{a.Red, a.Green, a.Blue, a.White}
	c, err := four.read("")
	if err != nil {
		return ColourAdditivity{}, err
	}
	black := colour.XYZ{}
	if a.Black != nil {
		if black, err = stimulusOf("black", a.Black); err != nil {
			return ColourAdditivity{}, err
		}
	}
	v, err := colour.CheckAdditivity(c[0], c[1], c[2], c[3], black)
	return ColourAdditivity{givenXYZ(v.Sum), v.Luminance, v.DeltaUV}, err
}

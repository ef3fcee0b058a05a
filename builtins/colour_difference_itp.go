package builtins

import (
	"cmp"

	"candelua/colour"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

// Differences of colours that are taken as they are seen, absolutely or by an
// appearance model, and not in CIELAB or CIELUV.

type absolutePair struct {
	A any `lua:"a" want:"a stimulus or { I=, Ct=, Cp= }" help:"the first colour, usually the target, in cd/m2"`
	B any `lua:"b" want:"a stimulus or { I=, Ct=, Cp= }" help:"the second colour, in cd/m2"`
}

type absoluteLists struct {
	A      declare.Loose `lua:"a" want:"a colour, or a list of colours or of numbers" help:"the first colour, usually the target: a stimulus in cd/m2, or { I=, Ct=, Cp= }"`
	B      declare.Loose `lua:"b" want:"a colour, or a list of colours or of numbers" help:"the second colour, or a list as long as a; plain numbers are X, Y, Z in cd/m2"`
	Packed bool          `lua:"packed" default:"false" help:"true: returns the differences of lists as packed numbers, an object that the functions of stats take as a list and that numbers:at and numbers:list read; for long lists"`
}

func ictcpOf(call *script.Call, arg string, x any) (colour.ICtCp, error) {
	if c, ok := x.(*ColourICtCp); ok {
		return colour.ICtCp(*c), nil
	}
	if n, ok := numbersOf(x, "I", "Ct", "Cp"); ok {
		return colour.ICtCp{I: n[0], Ct: n[1], Cp: n[2]}, nil
	}
	c, err := stimulusOf(arg, x)
	if err != nil {
		return colour.ICtCp{}, wrongColour(arg, x, "{ I=, Ct=, Cp= }, "+wantStimulus)
	}
	return c.ICtCp(), ictcpLight(call)(arg, c)
}

func (a *absolutePair) ictcps(c *script.Call) (p, q colour.ICtCp, err error) {
	if p, err = ictcpOf(c, "a", a.A); err == nil {
		q, err = ictcpOf(c, "b", a.B)
	}
	return p, q, err
}

func deltaITP(c *script.Call, a absolutePair) (ColourDeltaITP, error) {
	p, q, err := a.ictcps(c)
	return ColourDeltaITP(p.Delta(q)), err
}

func deltaEITP(c *script.Call, a absoluteLists) (any, error) {
	if !isList(a.A) && !isList(a.B) {
		pair := absolutePair{a.A, a.B}
		p, q, err := pair.ictcps(c)
		if err != nil {
			return nil, err
		}
		return one(a.Packed, colour.DeltaEITP(p, q))
	}
	ps, err := ictcpList(c, "a", a.A)
	if err != nil {
		return nil, err
	}
	qs, err := ictcpList(c, "b", a.B)
	if err != nil {
		return nil, err
	}
	return pairwise(c, shortCost, ps, qs, a.Packed, func(p, q []float64) float64 {
		return colour.DeltaEITP(colour.ICtCp{I: p[0], Ct: p[1], Cp: p[2]}, colour.ICtCp{I: q[0], Ct: q[1], Cp: q[2]})
	})
}

func ictcpList(c *script.Call, arg string, x any) (*ColourList, error) {
	l, err := listOf(arg, x, "XYZ", "ICtCp", func(arg string, x any) ([3]float64, error) {
		v, err := ictcpOf(c, arg, x)
		return ictcpNumbers(v), err
	})
	switch {
	case err != nil:
		return nil, err
	case l == nil:
		return nil, notAList(arg, x)
	case l.Of == "ICtCp":
		return l, nil
	}
	c.Charge(ictcpCost * int64(l.N))
	return l.eachXYZ(arg, "ICtCp", ictcpLight(c), func(xyz colour.XYZ) [3]float64 { return ictcpNumbers(xyz.ICtCp()) })
}

type cam16Pair struct {
	A          declare.Loose `lua:"a" want:"a stimulus, or a list of stimuli or of numbers" help:"the first colour, on the scale of white"`
	B          declare.Loose `lua:"b" want:"a stimulus, or a list of stimuli or of numbers" help:"the second colour, or a list as long as a; plain numbers are X, Y, Z"`
	White      any           `lua:"white" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the adopted white"`
	Adapting   float64       `lua:"adapting" above:"0" unit:"cd/m2" help:"luminance that the eye is adapted to; usually a fifth of white"`
	Background float64       `lua:"background" default:"0.2" above:"0" max:"1" help:"luminance of the background relative to white"`
	Surround   string        `lua:"surround" default:"dim" one_of:"average|dim|dark" help:"light around the screen: average is a lit room"`
	Packed     bool          `lua:"packed" default:"false" help:"true: returns the differences of lists as packed numbers, an object that the functions of stats take as a list and that numbers:at and numbers:list read; for long lists"`
}

func deltaECAM16(c *script.Call, a cam16Pair) (any, error) {
	m, isLight, err := cam16Of(c, a.White, a.Adapting, a.Background, a.Surround)
	if err != nil {
		return nil, err
	}
	ps, err := listOf("a", a.A, "XYZ", "XYZ", stimulusNumbers)
	if err != nil {
		return nil, err
	}
	qs, err := listOf("b", a.B, "XYZ", "XYZ", stimulusNumbers)
	if err != nil {
		return nil, err
	}
	if ps == nil && qs == nil {
		p, err := stimulusOf("a", a.A)
		if err != nil {
			return nil, err
		}
		q, err := stimulusOf("b", a.B)
		if err != nil {
			return nil, err
		}
		if err := cmp.Or(isLight("a", p), isLight("b", q)); err != nil {
			return nil, err
		}
		return one(a.Packed, colour.DeltaE16(m.UCS(p), m.UCS(q)))
	}
	for _, t := range []struct {
		arg string
		x   any
		l   *ColourList
	}{{"a", a.A, ps}, {"b", a.B, qs}} {
		if t.l == nil {
			return nil, notAList(t.arg, t.x)
		}
		if t.l.Of != "XYZ" {
			return nil, &fault.ArgError{Arg: t.arg, Got: "a list of " + t.l.Of, Want: "a list of XYZ", Tip: "make one from readings with colour.list, or from numbers with colour.triples"}
		}
		if err := t.l.check(t.arg, isLight); err != nil {
			return nil, err
		}
	}
	return pairwise(c, 2*camCost, ps, qs, a.Packed, func(p, q []float64) float64 {
		return colour.DeltaE16(m.UCS(colour.XYZ{X: p[0], Y: p[1], Z: p[2]}), m.UCS(colour.XYZ{X: q[0], Y: q[1], Z: q[2]}))
	})
}

package builtins

import (
	"fmt"

	"candelua/colour"
	"candelua/engine/script"
)

func differenceFuncs() []*script.Func {
	return []*script.Func{
		script.Pure("colour.delta_uv", "CIE 15: distance in CIE 1976 u', v' of two colours, or of u1, v1 and u2, v2", deltaUV),
		script.Pure("colour.delta_e2000", "CIE 142, ISO/CIE 11664-6: CIEDE2000 of two colours, or pair by pair of two lists (gives a list)", deltaE2000),
		script.Pure("colour.delta_e94", "CIE 116: delta E*94 of a sample b from a reference a, or pair by pair of two lists; not symmetric", deltaE94),
		script.Pure("colour.delta_e76", "CIE 15: delta E*ab of 1976, or pair by pair of two lists; overstates saturated colours", deltaE76),
		script.Pure("colour.delta_e_uv", "CIE 15: delta E*uv of 1976", deltaEuv),
		script.Pure("colour.delta_e_itp", "ITU-R BT.2124: delta E ITP of absolute colours in cd/m2, or pair by pair of two lists", deltaEITP),
		script.Pure("colour.delta_e_cam16", "distance in CAM16-UCS (Li et al. 2017), or pair by pair of two lists", deltaECAM16),
		script.Pure("colour.delta_lch", "CIE 15: b less a in CIELAB by lightness, chroma and hue, signed", func(_ *script.Call, a labPair) (ColourDelta, error) {
			p, q, err := a.labs()
			return ColourDelta(p.Delta(q)), err
		}),
		script.Pure("colour.delta_lch2000", "CIE 142: the weighted parts of CIEDE2000 from a to b, signed", func(_ *script.Call, a labPair) (ColourDelta, error) {
			p, q, err := a.labs()
			return ColourDelta(p.Delta2000(q)), err
		}),
		script.Pure("colour.delta_itp", "ITU-R BT.2124: b less a by intensity, T and P, signed, on the scale of delta E ITP", deltaITP),
	}
}

type deltaUVArgs struct {
	A any      `lua:"a" pos:"1" want:"a number u', or a chromaticity" help:"the one colour, or its u'"`
	B any      `lua:"b" pos:"2" want:"a number v', or a chromaticity" help:"the other colour, or v' of the one"`
	U *float64 `lua:"u2" pos:"3" help:"u' of the other, after two numbers"`
	V *float64 `lua:"v2" pos:"4" help:"v' of the other, after two numbers"`
}

func deltaUV(_ *script.Call, a deltaUVArgs) (float64, error) {
	if a.U != nil || a.V != nil {
		u, okU := a.A.(float64)
		v, okV := a.B.(float64)
		switch {
		case !okU || !okV:
			return 0, &script.ArgError{Arg: "a and b", Got: inBrief(a.A) + " and " + inBrief(a.B), Want: "two colours alone, or four numbers u1, v1, u2, v2"}
		case a.U == nil:
			return 0, &script.ArgError{Arg: "u2", Got: "missing", Want: "a number"}
		case a.V == nil:
			return 0, &script.ArgError{Arg: "v2", Got: "missing", Want: "a number"}
		}
		return colour.UV{U: u, V: v}.Distance(colour.UV{U: *a.U, V: *a.V}), nil
	}
	p, err := uvOf("a", a.A)
	if err != nil {
		return 0, err
	}
	q, err := uvOf("b", a.B)
	return p.Distance(q), err
}

// labPair is what a difference in CIELAB is taken of.
type labPair struct {
	A     any `lua:"a" want:"a colour, a colour list or a list of numbers" help:"the one, as a rule the target: a Lab colour, or a stimulus with a white"`
	B     any `lua:"b" want:"a colour, a colour list or a list of numbers" help:"the other, as a rule the measured one; of lists as many"`
	White any `lua:"white" optional:"true" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white of stimuli; L*a*b* needs none, and plain numbers are L*, a*, b* without it, X, Y, Z with it"`
}

func (a *labPair) labs() (p, q colour.Lab, err error) {
	if p, err = labOf("a", a.A, a.White); err == nil {
		q, err = labOf("b", a.B, a.White)
	}
	return p, q, err
}

// labOf reads a colour in CIELAB, or one that a white makes so.
func labOf(arg string, x, white any) (colour.Lab, error) {
	if c, ok := x.(*ColourLab); ok {
		return colour.Lab(*c), nil
	}
	if n, ok := numbersOf(x, "L", "a", "b"); ok {
		return colour.Lab{L: n[0], A: n[1], B: n[2]}, nil
	}
	c, err := stimulusOf(arg, x)
	if err != nil {
		return colour.Lab{}, wrongColour(arg, x, "{ L=, a=, b= }, "+wantStimulus)
	}
	if white == nil {
		return colour.Lab{}, needsWhite()
	}
	w, err := whiteOf(white)
	return w.Lab(c), err
}

func needsWhite() error {
	return &script.ArgError{Arg: "white", Got: "missing", Want: wantStimulus, Tip: "CIELAB is relative to a white: give the reading of the display's white"}
}

// labList turns a list into CIELAB.
func (a *labPair) labList(c *script.Call, arg string, x any) (*ColourList, error) {
	kind := "Lab"
	if a.White != nil {
		kind = "XYZ"
	}
	l, err := listOf(arg, x, kind)
	switch {
	case err != nil:
		return nil, err
	case l == nil:
		return nil, &script.ArgError{Arg: arg, Got: inBrief(x), Want: "a list, as the other"}
	case l.Of == "Lab":
		return l, nil
	case a.White == nil:
		return nil, needsWhite()
	}
	w, err := whiteOf(a.White)
	if err != nil {
		return nil, err
	}
	c.Charge(labCost * int64(l.N))
	return l.eachXYZ(arg, "Lab", func(xyz colour.XYZ) [3]float64 { v := w.Lab(xyz); return [3]float64{v.L, v.A, v.B} })
}

// differ gives one difference, or one for each pair of two lists.
func (a *labPair) differ(c *script.Call, cost int64, f func(p, q colour.Lab) float64) (any, error) {
	if !isList(a.A) && !isList(a.B) {
		p, q, err := a.labs()
		return f(p, q), err
	}
	ps, err := a.labList(c, "a", a.A)
	if err != nil {
		return nil, err
	}
	qs, err := a.labList(c, "b", a.B)
	if err != nil {
		return nil, err
	}
	return pairwise(c, cost, ps, qs, func(p, q []float64) float64 {
		return f(colour.Lab{L: p[0], A: p[1], B: p[2]}, colour.Lab{L: q[0], A: q[1], B: q[2]})
	})
}

func isList(x any) bool {
	switch x.(type) {
	case *ColourList, []any:
		return true
	}
	return false
}

// pairwise takes differences of two lists, pair by pair.
func pairwise(c *script.Call, cost int64, a, b *ColourList, f func(p, q []float64) float64) (any, error) {
	if a.N != b.N {
		return nil, &script.ArgError{Arg: "b", Got: fmt.Sprintf("%d colours long", b.N), Want: fmt.Sprintf("%d, as a", a.N)}
	}
	if a.N > mostDifferences {
		return nil, &script.ArgError{Arg: "a", Got: fmt.Sprintf("%d colours long", a.N), Want: fmt.Sprintf("at most %d", mostDifferences)}
	}
	c.Charge(cost * int64(a.N))
	out := make([]float64, a.N)
	for i := range out {
		out[i] = f(a.data[3*i:3*i+3], b.data[3*i:3*i+3])
	}
	return out, nil
}

// mostDifferences is how long a list a script can hold.
const mostDifferences = 1 << 20

type e2000Args struct {
	A     any     `lua:"a" want:"a colour, a colour list or a list of numbers" help:"the one, as a rule the target: a Lab colour, or a stimulus with a white"`
	B     any     `lua:"b" want:"a colour, a colour list or a list of numbers" help:"the other, as a rule the measured one; of lists as many"`
	White any     `lua:"white" optional:"true" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white of stimuli; L*a*b* needs none, and plain numbers are L*, a*, b* without it, X, Y, Z with it"`
	KL    float64 `lua:"kL" default:"1" above:"0" help:"parametric factor of lightness"`
	KC    float64 `lua:"kC" default:"1" above:"0" help:"parametric factor of chroma"`
	KH    float64 `lua:"kH" default:"1" above:"0" help:"parametric factor of hue"`
}

func deltaE2000(c *script.Call, a e2000Args) (any, error) {
	w := colour.Weights2000{KL: a.KL, KC: a.KC, KH: a.KH}
	pair := labPair{a.A, a.B, a.White}
	return pair.differ(c, e2000Cost, func(p, q colour.Lab) float64 { return colour.DeltaE2000Weighted(p, q, w) })
}

type e94Args struct {
	A     any    `lua:"a" want:"a colour, a colour list or a list of numbers" help:"the reference: a Lab colour, or a stimulus with a white"`
	B     any    `lua:"b" want:"a colour, a colour list or a list of numbers" help:"the sample; of lists as many"`
	White any    `lua:"white" optional:"true" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white of stimuli; plain numbers are L*, a*, b* without it, X, Y, Z with it"`
	Trade string `lua:"trade" default:"graphic arts" one_of:"graphic arts|textiles" help:"whose weights; graphic arts for displays"`
}

func deltaE94(c *script.Call, a e94Args) (any, error) {
	w := colour.GraphicArts
	if a.Trade == "textiles" {
		w = colour.Textiles
	}
	pair := labPair{a.A, a.B, a.White}
	return pair.differ(c, shortCost, func(p, q colour.Lab) float64 { return colour.DeltaE94(p, q, w) })
}

func deltaE76(c *script.Call, a labPair) (any, error) { return a.differ(c, shortCost, colour.DeltaE76) }

type luvPair struct {
	A     any `lua:"a" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the one stimulus"`
	B     any `lua:"b" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the other"`
	White any `lua:"white" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white"`
}

func deltaEuv(_ *script.Call, a luvPair) (float64, error) {
	w, err := whiteOf(a.White)
	if err != nil {
		return 0, err
	}
	p, err := stimulusOf("a", a.A)
	if err != nil {
		return 0, err
	}
	q, err := stimulusOf("b", a.B)
	return colour.DeltaEuv(w.Luv(p), w.Luv(q)), err
}

type absolutePair struct {
	A any `lua:"a" want:"a colour, a colour list or a list of numbers" help:"the one, as a rule the target: a stimulus in cd/m2, or { I=, Ct=, Cp= }"`
	B any `lua:"b" want:"a colour, a colour list or a list of numbers" help:"the other; of lists as many; plain numbers are X, Y, Z in cd/m2"`
}

func ictcpOf(arg string, x any) (colour.ICtCp, error) {
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
	return c.ICtCp(), nil
}

func (a *absolutePair) ictcps() (p, q colour.ICtCp, err error) {
	if p, err = ictcpOf("a", a.A); err == nil {
		q, err = ictcpOf("b", a.B)
	}
	return p, q, err
}

func deltaITP(_ *script.Call, a absolutePair) (ColourDeltaITP, error) {
	p, q, err := a.ictcps()
	return ColourDeltaITP(p.Delta(q)), err
}

func deltaEITP(c *script.Call, a absolutePair) (any, error) {
	if !isList(a.A) && !isList(a.B) {
		p, q, err := a.ictcps()
		return colour.DeltaEITP(p, q), err
	}
	ps, err := ictcpList(c, "a", a.A)
	if err != nil {
		return nil, err
	}
	qs, err := ictcpList(c, "b", a.B)
	if err != nil {
		return nil, err
	}
	return pairwise(c, shortCost, ps, qs, func(p, q []float64) float64 {
		return colour.DeltaEITP(colour.ICtCp{I: p[0], Ct: p[1], Cp: p[2]}, colour.ICtCp{I: q[0], Ct: q[1], Cp: q[2]})
	})
}

func ictcpList(c *script.Call, arg string, x any) (*ColourList, error) {
	l, err := listOf(arg, x, "XYZ")
	switch {
	case err != nil:
		return nil, err
	case l == nil:
		return nil, &script.ArgError{Arg: arg, Got: inBrief(x), Want: "a list, as the other"}
	case l.Of == "ICtCp":
		return l, nil
	}
	c.Charge(ictcpCost * int64(l.N))
	return l.eachXYZ(arg, "ICtCp", func(xyz colour.XYZ) [3]float64 { v := xyz.ICtCp(); return [3]float64{v.I, v.Ct, v.Cp} })
}

type cam16Pair struct {
	A          any     `lua:"a" want:"a stimulus, a colour list or a list of numbers" help:"the one, on the scale of the white"`
	B          any     `lua:"b" want:"a stimulus, a colour list or a list of numbers" help:"the other; of lists as many; plain numbers are X, Y, Z"`
	White      any     `lua:"white" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the adopted white"`
	Adapting   float64 `lua:"adapting" above:"0" unit:"cd/m2" help:"luminance that the eye is adapted to; often a fifth of white"`
	Background float64 `lua:"background" default:"0.2" above:"0" max:"1" help:"luminance of the background relative to white"`
	Surround   string  `lua:"surround" default:"dim" one_of:"average|dim|dark" help:"a lit room, a dim one, or darkness"`
}

func deltaECAM16(c *script.Call, a cam16Pair) (any, error) {
	m, err := cam16Of(a.White, a.Adapting, a.Background, a.Surround)
	if err != nil {
		return nil, err
	}
	ps, err := listOf("a", a.A, "XYZ")
	if err != nil {
		return nil, err
	}
	qs, err := listOf("b", a.B, "XYZ")
	if err != nil {
		return nil, err
	}
	if ps == nil && qs == nil {
		p, err := stimulusOf("a", a.A)
		if err != nil {
			return nil, err
		}
		q, err := stimulusOf("b", a.B)
		return colour.DeltaE16(m.UCS(p), m.UCS(q)), err
	}
	for _, t := range []struct {
		arg string
		x   any
		l   *ColourList
	}{{"a", a.A, ps}, {"b", a.B, qs}} {
		if t.l == nil {
			return nil, &script.ArgError{Arg: t.arg, Got: inBrief(t.x), Want: "a list, as the other"}
		}
		if t.l.Of != "XYZ" {
			return nil, &script.ArgError{Arg: t.arg, Got: "a list of " + t.l.Of, Want: "a list of XYZ"}
		}
	}
	return pairwise(c, 2*camCost, ps, qs, func(p, q []float64) float64 {
		return colour.DeltaE16(m.UCS(colour.XYZ{X: p[0], Y: p[1], Z: p[2]}), m.UCS(colour.XYZ{X: q[0], Y: q[1], Z: q[2]}))
	})
}

package builtins

import (
	"fmt"

	"candelua/colour"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

func differenceFuncs() []*script.Func {
	return []*script.Func{
		pure("colour.delta_uv", "computes the distance in CIE 1976 u', v' between two colours, or between u1, v1 and u2, v2 (CIE 15)", deltaUV),
		pure("colour.delta_e2000", "computes CIEDE2000 of two colours, or pair by pair of two lists (CIE 142, ISO/CIE 11664-6)", deltaE2000, script.Gives("a number; for two lists, a list of numbers or packed numbers")),
		pure("colour.delta_e94", "computes delta E*94 of a sample b from a reference a, or pair by pair of two lists; it is not symmetric (CIE 116)", deltaE94, script.Gives("a number; for two lists, a list of numbers or packed numbers")),
		pure("colour.delta_e76", "computes delta E*ab of 1976 of two colours, or pair by pair of two lists; it overstates differences of saturated colours (CIE 15)", deltaE76, script.Gives("a number; for two lists, a list of numbers or packed numbers")),
		pure("colour.delta_e_uv", "computes delta E*uv of 1976 of two colours (CIE 15)", deltaEuv),
		pure("colour.delta_e_itp", "computes delta E ITP of two absolute colours in cd/m2, or pair by pair of two lists (ITU-R BT.2124)", deltaEITP, script.Gives("a number; for two lists, a list of numbers or packed numbers")),
		pure("colour.delta_e_cam16", "computes the distance in CAM16-UCS between two colours, or pair by pair of two lists (Li et al. 2017)", deltaECAM16, script.Gives("a number; for two lists, a list of numbers or packed numbers")),
		pure("colour.delta_lch", "computes b minus a in CIELAB as lightness, chroma and hue, with signs (CIE 15)", func(c *script.Call, a labPair) (ColourDelta, error) {
			p, q, err := a.labs(c)
			return ColourDelta(p.Delta(q)), err
		}),
		pure("colour.delta_lch2000", "computes the weighted parts of CIEDE2000 from a to b: lightness, chroma and hue, with signs (CIE 142)", func(c *script.Call, a labPair) (ColourDelta, error) {
			p, q, err := a.labs(c)
			return ColourDelta(p.Delta2000(q)), err
		}),
		pure("colour.delta_itp", "computes b minus a as intensity, T and P, with signs, on the scale of delta E ITP (ITU-R BT.2124)", deltaITP),
	}
}

type deltaUVArgs struct {
	A any      `lua:"a" pos:"1" want:"a number u', or a chromaticity" help:"the first colour, or its u'"`
	B any      `lua:"b" pos:"2" want:"a number v', or a chromaticity" help:"the second colour, or v' of the first"`
	U *float64 `lua:"u2" pos:"3" help:"u' of the second colour, if a and b are numbers"`
	V *float64 `lua:"v2" pos:"4" help:"v' of the second colour, if a and b are numbers"`
}

// fourNumbers is how delta_uv is called.
const fourNumbers = "write colour.delta_uv(a, b) or colour.delta_uv(u1, v1, u2, v2)"

func deltaUV(c *script.Call, a deltaUVArgs) (float64, error) {
	if a.U != nil || a.V != nil {
		u, okU := a.A.(float64)
		v, okV := a.B.(float64)
		switch {
		case !okU || !okV:
			return 0, &fault.ArgError{Arg: "a and b", Got: inBrief(a.A) + " and " + inBrief(a.B), Want: "two colours, or four numbers u1, v1, u2, v2", Tip: fourNumbers}
		case !isFinite(u, v):
			return 0, &fault.ArgError{Arg: "a and b", Got: inBrief(u) + " and " + inBrief(v), Want: "finite numbers", Tip: fourNumbers}
		case a.U == nil:
			return 0, &fault.ArgError{Arg: "u2", Got: "missing", Want: "a number", Tip: fourNumbers}
		case a.V == nil:
			return 0, &fault.ArgError{Arg: "v2", Got: "missing", Want: "a number", Tip: fourNumbers}
		}
		return colour.UV{U: u, V: v}.Distance(colour.UV{U: *a.U, V: *a.V}), nil
	}
	p, err := uvOf(c, "a", a.A)
	if err != nil {
		return 0, err
	}
	q, err := uvOf(c, "b", a.B)
	return p.Distance(q), err
}

// labPair is what a difference by parts in CIELAB is taken of.
type labPair struct {
	A     any `lua:"a" want:"a Lab colour or a stimulus" help:"the first colour, usually the target"`
	B     any `lua:"b" want:"a Lab colour or a stimulus" help:"the second colour, usually the measured one"`
	White any `lua:"white" optional:"true" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white; stimuli need it, L*a*b* does not"`
}

// labLists is what a difference in CIELAB is taken of.
type labLists struct {
	A      declare.Loose `lua:"a" want:"a colour, or a list of colours or of numbers" help:"the first colour, usually the target: a Lab colour, or a stimulus if white is given"`
	B      declare.Loose `lua:"b" want:"a colour, or a list of colours or of numbers" help:"the second colour, usually the measured one; or a list as long as a"`
	White  any           `lua:"white" optional:"true" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white; stimuli need it, L*a*b* does not. Plain numbers are X, Y, Z if white is given, and L*, a*, b* if it is not"`
	Packed bool          `lua:"packed" default:"false" help:"true: returns the differences of lists as packed numbers, an object that the functions of stats take as a list and that numbers:at and numbers:list read; for long lists"`
}

// labAsGiven reads a colour that is given in CIELAB.
func labAsGiven(x any) (colour.Lab, bool) {
	if c, ok := x.(*ColourLab); ok {
		return colour.Lab(*c), true
	}
	n, ok := numbersOf(x, "L", "a", "b")
	if !ok {
		return colour.Lab{}, false
	}
	return colour.Lab{L: n[0], A: n[1], B: n[2]}, true
}

// labOf reads a colour in CIELAB, or one that a white makes so.
func labOf(call *script.Call, arg string, x any, white *colour.White) (colour.Lab, error) {
	if lab, ok := labAsGiven(x); ok {
		return lab, nil
	}
	c, err := stimulusOf(arg, x)
	if err != nil {
		return colour.Lab{}, wrongColour(arg, x, "{ L=, a=, b= }, "+wantStimulus)
	}
	if white == nil {
		return colour.Lab{}, needsWhite()
	}
	return white.Lab(c), labLight(call, white)(arg, c)
}

// optionalWhite reads a white that need not be there.
func optionalWhite(c *script.Call, x any) (*colour.White, error) {
	if x == nil {
		return nil, nil
	}
	w, err := whiteOf(c, x)
	return &w, err
}

func needsWhite() error {
	return &fault.ArgError{Arg: "white", Got: "missing", Want: wantStimulus, Tip: "CIELAB is relative to a white: give the reading of the display's white"}
}

func (a *labPair) labs(c *script.Call) (p, q colour.Lab, err error) {
	white, err := optionalWhite(c, a.White)
	if err != nil {
		return p, q, err
	}
	if p, err = labOf(c, "a", a.A, white); err == nil {
		q, err = labOf(c, "b", a.B, white)
	}
	return p, q, err
}

// labList turns a list into CIELAB.
func labList(c *script.Call, arg string, x any, white *colour.White) (*ColourList, error) {
	kind := "Lab"
	if white != nil {
		kind = "XYZ"
	}
	l, err := listOf(arg, x, kind, "Lab", func(arg string, x any) ([3]float64, error) {
		lab, err := labOf(c, arg, x, white)
		return labNumbers(lab), err
	})
	switch {
	case err != nil:
		return nil, err
	case l == nil:
		return nil, notAList(arg, x)
	case l.Of == "Lab":
		return l, nil
	case white == nil:
		return nil, needsWhite()
	}
	c.Charge(labCost * int64(l.N))
	return l.eachXYZ(arg, "Lab", labLight(c, white), func(xyz colour.XYZ) [3]float64 { return labNumbers(white.Lab(xyz)) })
}

func notAList(arg string, x any) error {
	return &fault.ArgError{Arg: arg, Got: inBrief(x), Want: "a list, like the other", Tip: "give two colours, or two lists of the same length"}
}

// differ gives one difference, or one for each pair of two lists.
func (a *labLists) differ(c *script.Call, cost int64, f func(p, q colour.Lab) float64) (any, error) {
	if !isList(a.A) && !isList(a.B) {
		pair := labPair{a.A, a.B, a.White}
		p, q, err := pair.labs(c)
		if err != nil {
			return nil, err
		}
		return one(a.Packed, f(p, q))
	}
	white, err := optionalWhite(c, a.White)
	if err != nil {
		return nil, err
	}
	ps, err := labList(c, "a", a.A, white)
	if err != nil {
		return nil, err
	}
	qs, err := labList(c, "b", a.B, white)
	if err != nil {
		return nil, err
	}
	return pairwise(c, cost, ps, qs, a.Packed, func(p, q []float64) float64 {
		return f(colour.Lab{L: p[0], A: p[1], B: p[2]}, colour.Lab{L: q[0], A: q[1], B: q[2]})
	})
}

// one is the difference of two colours that are no lists.
func one(packed bool, d float64) (any, error) {
	if packed {
		return nil, &fault.ArgError{Arg: "packed", Got: "true", Want: "false, or lists as a and b", Tip: "the difference of two colours is one number"}
	}
	return d, nil
}

func isList(x any) bool {
	switch x.(type) {
	case *ColourList, []any, []float64, *declare.Numbers:
		return true
	}
	return false
}

// pairwise takes differences of two lists, pair by pair.
func pairwise(c *script.Call, cost int64, a, b *ColourList, packed bool, f func(p, q []float64) float64) (any, error) {
	if a.N != b.N {
		return nil, wrongCount("b", howMany(b.N, "colours"), fmt.Sprintf("%d, as many as a", a.N), "differences are taken pair by pair: give two lists of the same length")
	}
	if a.N > mostDifferences && !packed {
		return nil, wrongCount("a", howMany(a.N, "colours"), fmt.Sprintf("at most %d, or packed = true", mostDifferences), "a table cannot hold more; the functions of stats take packed differences as they are")
	}
	c.Charge(cost * int64(a.N))
	out := make([]float64, a.N)
	for i := range out {
		out[i] = f(a.data[3*i:3*i+3], b.data[3*i:3*i+3])
	}
	if packed {
		return declare.Pack(out), nil
	}
	return out, nil
}

// mostDifferences is how long a list a script can hold.
const mostDifferences = 1 << 20

type e2000Args struct {
	A      declare.Loose `lua:"a" want:"a colour, or a list of colours or of numbers" help:"the first colour, usually the target: a Lab colour, or a stimulus if white is given"`
	B      declare.Loose `lua:"b" want:"a colour, or a list of colours or of numbers" help:"the second colour, usually the measured one; or a list as long as a"`
	White  any           `lua:"white" optional:"true" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white; stimuli need it, L*a*b* does not. Plain numbers are X, Y, Z if white is given, and L*, a*, b* if it is not"`
	KL     float64       `lua:"kL" default:"1" above:"0" help:"parametric factor of lightness"`
	KC     float64       `lua:"kC" default:"1" above:"0" help:"parametric factor of chroma"`
	KH     float64       `lua:"kH" default:"1" above:"0" help:"parametric factor of hue"`
	Packed bool          `lua:"packed" default:"false" help:"true: returns the differences of lists as packed numbers, an object that the functions of stats take as a list and that numbers:at and numbers:list read; for long lists"`
}

func deltaE2000(c *script.Call, a e2000Args) (any, error) {
	w := colour.Weights2000{KL: a.KL, KC: a.KC, KH: a.KH}
	pair := labLists{a.A, a.B, a.White, a.Packed}
	if w == colour.ReferenceWeights {
		return pair.differ(c, e2000Cost, colour.DeltaE2000)
	}
	return pair.differ(c, e2000Cost, func(p, q colour.Lab) float64 { return colour.DeltaE2000Weighted(p, q, w) })
}

type e94Args struct {
	A      declare.Loose `lua:"a" want:"a colour, or a list of colours or of numbers" help:"the reference: a Lab colour, or a stimulus if white is given"`
	B      declare.Loose `lua:"b" want:"a colour, or a list of colours or of numbers" help:"the sample, or a list as long as a"`
	White  any           `lua:"white" optional:"true" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white; stimuli need it. Plain numbers are X, Y, Z if white is given, and L*, a*, b* if it is not"`
	Trade  string        `lua:"trade" default:"graphic arts" one_of:"graphic arts|textiles" help:"the trade whose weights are used; use graphic arts for displays"`
	Packed bool          `lua:"packed" default:"false" help:"true: returns the differences of lists as packed numbers, an object that the functions of stats take as a list and that numbers:at and numbers:list read; for long lists"`
}

func deltaE94(c *script.Call, a e94Args) (any, error) {
	w := colour.GraphicArts
	if a.Trade == "textiles" {
		w = colour.Textiles
	}
	pair := labLists{a.A, a.B, a.White, a.Packed}
	return pair.differ(c, shortCost, func(p, q colour.Lab) float64 { return colour.DeltaE94(p, q, w) })
}

func deltaE76(c *script.Call, a labLists) (any, error) {
	return a.differ(c, shortCost, colour.DeltaE76)
}

type luvPair struct {
	A     any `lua:"a" want:"a Luv colour or a stimulus" help:"the first colour: { L=, u_star=, v_star= }, or a stimulus if white is given"`
	B     any `lua:"b" want:"a Luv colour or a stimulus" help:"the second colour"`
	White any `lua:"white" optional:"true" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white; stimuli need it"`
}

// luvOf reads a colour in CIELUV, or one that a white makes so.
func luvOf(call *script.Call, arg string, x any, white *colour.White) (colour.Luv, error) {
	if c, ok := x.(*ColourLuv); ok {
		return colour.Luv(*c), nil
	}
	if n, ok := numbersOf(x, "L", "u_star", "v_star"); ok {
		return colour.Luv{L: n[0], U: n[1], V: n[2]}, nil
	}
	c, err := stimulusOf(arg, x)
	if err != nil {
		return colour.Luv{}, wrongColour(arg, x, "{ L=, u_star=, v_star= }, "+wantStimulus)
	}
	if white == nil {
		return colour.Luv{}, &fault.ArgError{Arg: "white", Got: "missing", Want: wantStimulus, Tip: "CIELUV is relative to a white: give the reading of the display's white"}
	}
	return white.Luv(c), luvLight(call, white)(arg, c)
}

func deltaEuv(c *script.Call, a luvPair) (float64, error) {
	w, err := optionalWhite(c, a.White)
	if err != nil {
		return 0, err
	}
	p, err := luvOf(c, "a", a.A, w)
	if err != nil {
		return 0, err
	}
	q, err := luvOf(c, "b", a.B, w)
	return colour.DeltaEuv(p, q), err
}

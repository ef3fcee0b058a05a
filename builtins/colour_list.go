package builtins

import (
	"fmt"
	"math"

	"candelua/colour"
	"candelua/engine/script"
)

// ColourList is many colours, kept as plain numbers, so that one call computes
// with all of them.
type ColourList struct {
	Of   string `lua:"of" help:"XYZ, Lab or ICtCp"`
	N    int    `lua:"n" help:"how many colours"`
	data []float64
}

// LuaName is what scripts call it.
func (ColourList) LuaName() string { return "colour list" }

func (l *ColourList) String() string { return fmt.Sprintf("%d colours, %s", l.N, l.Of) }

func newColourList(of string, data []float64) *ColourList {
	return &ColourList{Of: of, N: len(data) / 3, data: data}
}

// mostColours bounds what one list holds: 96 MB of numbers.
const mostColours = 4 << 20

// What the maths costs of the budget of work without contact, in instructions
// of about 20 ns, measured by BenchmarkMillionPairs.
const (
	moveCost  = 1  // to copy a colour
	labCost   = 5  // XYZ to CIELAB
	ictcpCost = 15 // XYZ to ICtCp
	camCost   = 30 // XYZ to CAM16
	e2000Cost = 15
	shortCost = 1 // a difference without much maths
)

func listFuncs() []*script.Func {
	return []*script.Func{
		script.Pure("colour.list", "many stimuli as one colour list, for the functions that take a colour or a colour list", colourList),
		script.Pure("colour.triples", "a colour list of plain numbers, three a colour: X, Y, Z or L*, a*, b* or I, Ct, Cp", colourTriples),
		script.Pure("colour.join", "one colour list of several, of one kind", colourJoin),
		script.Pure("colours:at", "one colour of a list, by its number from 1", colourAt),
		script.Pure("colours:numbers", "the colours as plain numbers, three a colour", func(c *script.Call, a colourSelf) ([]float64, error) {
			return a.Self.data, nil
		}),
	}
}

type colourListArgs struct {
	Colours []any `lua:"colours" pos:"1" want:"a list of readings, or of other stimuli" help:"each a reading, { X=, Y=, Z= } or { x=, y=, Y= }"`
}

func colourList(c *script.Call, a colourListArgs) (*ColourList, error) {
	c.Charge(moveCost * int64(len(a.Colours)))
	return stimuliOf("colours", a.Colours)
}

func stimuliOf(arg string, list []any) (*ColourList, error) {
	data := make([]float64, 0, 3*len(list))
	for i, x := range list {
		xyz, err := stimulusOf(fmt.Sprintf("%s[%d]", arg, i+1), x)
		if err != nil {
			return nil, err
		}
		data = append(data, xyz.X, xyz.Y, xyz.Z)
	}
	return newColourList("XYZ", data), nil
}

type triplesArgs struct {
	Numbers []float64 `lua:"numbers" pos:"1" help:"three a colour"`
	Of      string    `lua:"of" default:"XYZ" one_of:"XYZ|Lab|ICtCp" help:"what they are"`
}

func colourTriples(c *script.Call, a triplesArgs) (*ColourList, error) {
	c.Charge(moveCost * int64(len(a.Numbers)/3))
	if len(a.Numbers)%3 != 0 {
		return nil, &script.ArgError{Arg: "numbers", Got: fmt.Sprintf("%d numbers long", len(a.Numbers)), Want: "three numbers a colour"}
	}
	return newColourList(a.Of, a.Numbers), nil
}

type joinArgs struct {
	Lists []*ColourList `lua:"lists" pos:"1" help:"colour lists of one kind"`
}

func colourJoin(c *script.Call, a joinArgs) (*ColourList, error) {
	if len(a.Lists) == 0 {
		return nil, &script.ArgError{Arg: "lists", Got: "empty", Want: "one colour list or more"}
	}
	n := 0
	for i, l := range a.Lists {
		if l.Of != a.Lists[0].Of {
			return nil, &script.ArgError{Arg: fmt.Sprintf("lists[%d]", i+1), Got: "of " + l.Of, Want: a.Lists[0].Of + ", as the first"}
		}
		if n += l.N; n > mostColours {
			return nil, &script.ArgError{Arg: "lists", Got: "too long together", Want: fmt.Sprintf("at most %d colours", mostColours)}
		}
	}
	c.Charge(moveCost * int64(n))
	data := make([]float64, 0, 3*n)
	for _, l := range a.Lists {
		data = append(data, l.data...)
	}
	return newColourList(a.Lists[0].Of, data), nil
}

type colourSelf struct {
	Self *ColourList `lua:"self"`
}

type colourAtArgs struct {
	Self *ColourList `lua:"self"`
	I    int         `lua:"i" pos:"1" min:"1" help:"which, from 1"`
}

func colourAt(_ *script.Call, a colourAtArgs) (any, error) {
	if a.I > a.Self.N {
		return nil, &script.ArgError{Arg: "i", Got: fmt.Sprint(a.I), Want: fmt.Sprintf("1 to %d", a.Self.N)}
	}
	d := a.Self.data[3*(a.I-1):]
	switch a.Self.Of {
	case "Lab":
		return &ColourLab{d[0], d[1], d[2]}, nil
	case "ICtCp":
		return &ColourICtCp{d[0], d[1], d[2]}, nil
	}
	return &ColourXYZ{d[0], d[1], d[2]}, nil
}

// listOf reads many colours: a colour list, a list of stimuli, or numbers,
// which are of the kind that the function takes them for. It is nil for what
// is one colour.
func listOf(arg string, x any, numbers string) (*ColourList, error) {
	if l, ok := x.(*ColourList); ok {
		return l, nil
	}
	list, ok := x.([]any)
	if !ok {
		return nil, nil
	}
	if _, isNumber := list[0].(float64); !isNumber {
		return stimuliOf(arg, list)
	}
	if len(list)%3 != 0 {
		return nil, &script.ArgError{Arg: arg, Got: fmt.Sprintf("%d numbers long", len(list)), Want: "three numbers a colour"}
	}
	data := make([]float64, len(list))
	for i, v := range list {
		n, isNumber := v.(float64)
		if !isNumber || math.IsNaN(n) || math.IsInf(n, 0) {
			return nil, &script.ArgError{Arg: fmt.Sprintf("%s[%d]", arg, i+1), Got: script.Show(v), Want: "a finite number, as the first"}
		}
		data[i] = n
	}
	return newColourList(numbers, data), nil
}

// eachXYZ maps the stimuli of a list.
func (l *ColourList) eachXYZ(arg, to string, f func(colour.XYZ) [3]float64) (*ColourList, error) {
	if l.Of != "XYZ" {
		return nil, &script.ArgError{Arg: arg, Got: "a list of " + l.Of, Want: "a list of XYZ"}
	}
	out := make([]float64, len(l.data))
	for i := 0; i < len(out); i += 3 {
		v := f(colour.XYZ{X: l.data[i], Y: l.data[i+1], Z: l.data[i+2]})
		out[i], out[i+1], out[i+2] = v[0], v[1], v[2]
	}
	return newColourList(to, out), nil
}

package builtins

import (
	"fmt"
	"math"

	"candelua/colour"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

// ColourList is many colours, kept as plain numbers, so that one call computes
// with all of them.
type ColourList struct {
	Of   string `lua:"of" help:"kind of the colours: XYZ, Lab or ICtCp"`
	N    int    `lua:"n" help:"how many colours"`
	data []float64
}

// LuaName is what scripts call it.
func (ColourList) LuaName() string { return "colour list" }

// Bytes is what the colours take.
func (l *ColourList) Bytes() int { return 8 * len(l.data) }

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
		pure("colour.list", "makes one colour list of many stimuli, for the functions that take lists", colourList),
		pure("colour.triples", "makes a colour list of plain numbers, three for each colour: X, Y, Z or L*, a*, b* or I, Ct, Cp", colourTriples),
		pure("colour.join", "joins several colour lists of the same kind", colourJoin),
		pure("colours:at", "returns one colour of a colour list, such as colour.list returns, by its position from 1", colourAt, script.Gives("an XYZ, Lab or ICtCp colour, depending on the list")),
		pure("colours:numbers", "returns the colours of a colour list as plain numbers, three for each colour", func(_ *script.Call, a colourSelf) ([]float64, error) {
			return a.Self.data, nil
		}),
		pure("numbers:at", "returns one number of packed numbers, which the differences return with packed = true, by its position from 1", numberAt),
		pure("numbers:list", "returns packed numbers as a list", func(_ *script.Call, a numbersSelf) ([]float64, error) {
			return a.Self.List(), nil
		}),
	}
}

type colourListArgs struct {
	Colours []any `lua:"colours" pos:"1" want:"a list of readings, of other stimuli, or of Lab colours" help:"the colours: each a reading, { X=, Y=, Z= } or { x=, y=, Y= }; or all of them { L=, a=, b= }"`
}

// colourList makes a list of the kind of its first colour.
func colourList(c *script.Call, a colourListArgs) (*ColourList, error) {
	c.Charge(moveCost * int64(len(a.Colours)))
	kind, one := "XYZ", stimulusNumbers
	if len(a.Colours) > 0 {
		if _, isLab := labAsGiven(a.Colours[0]); isLab {
			kind, one = "Lab", func(arg string, x any) ([3]float64, error) {
				lab, ok := labAsGiven(x)
				if !ok {
					return [3]float64{}, wrongColour(arg, x, "{ L=, a=, b= }, like the first")
				}
				return labNumbers(lab), nil
			}
		}
	}
	return listOf("colours", a.Colours, kind, kind, one)
}

type triplesArgs struct {
	Numbers []float64 `lua:"numbers" pos:"1" help:"the numbers, three for each colour"`
	Of      string    `lua:"of" default:"XYZ" one_of:"XYZ|Lab|ICtCp" help:"what the numbers are"`
}

func colourTriples(c *script.Call, a triplesArgs) (*ColourList, error) {
	c.Charge(moveCost * int64(len(a.Numbers)/3))
	if len(a.Numbers)%3 != 0 {
		return nil, notTriples("numbers", len(a.Numbers))
	}
	return newColourList(a.Of, a.Numbers), nil
}

type joinArgs struct {
	Lists []*ColourList `lua:"lists" pos:"1" help:"colour lists of one kind"`
}

func colourJoin(c *script.Call, a joinArgs) (*ColourList, error) {
	if len(a.Lists) == 0 {
		return nil, &fault.ArgError{Arg: "lists", Got: "empty", Want: "one colour list or more", Tip: "write colour.join { list1, list2 }"}
	}
	n := 0
	for i, l := range a.Lists {
		if l.Of != a.Lists[0].Of {
			return nil, &fault.ArgError{Arg: fmt.Sprintf("lists[%d]", i+1), Got: "a list of " + l.Of, Want: "a list of " + a.Lists[0].Of + ", like the first", Tip: "convert one with colour.lab or colour.ictcp before joining"}
		}
		if n += l.N; n > mostColours {
			return nil, &fault.ArgError{Arg: "lists", Got: "too long in total", Want: fmt.Sprintf("at most %d colours", mostColours), Tip: "compute with parts of them, one at a time"}
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

type numbersSelf struct {
	Self *declare.Numbers `lua:"self"`
}

type numberAtArgs struct {
	Self *declare.Numbers `lua:"self"`
	I    int              `lua:"i" pos:"1" min:"1" help:"the position, from 1"`
}

func numberAt(_ *script.Call, a numberAtArgs) (float64, error) {
	if a.I > a.Self.N {
		return 0, beyond(a.I, a.Self.N)
	}
	return a.Self.List()[a.I-1], nil
}

func beyond(i, n int) error {
	want := fmt.Sprintf("1 to %d", n)
	if n == 0 {
		want = "a list that is not empty"
	}
	return &fault.ArgError{Arg: "i", Got: fmt.Sprint(i), Want: want, Tip: "positions start at 1; the field n says how many there are"}
}

type colourAtArgs struct {
	Self *ColourList `lua:"self"`
	I    int         `lua:"i" pos:"1" min:"1" help:"the position, from 1"`
}

func colourAt(_ *script.Call, a colourAtArgs) (any, error) {
	if a.I > a.Self.N {
		return nil, beyond(a.I, a.Self.N)
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

// listOf reads many colours: a colour list, a list of colours that one reads
// singly into a kind, or plain numbers, which are of the kind that the function
// takes them for. It is nil for what is one colour.
func listOf(arg string, x any, numbers, kind string, one func(arg string, x any) ([3]float64, error)) (*ColourList, error) {
	switch l := x.(type) {
	case *ColourList:
		return l, nil
	case []any:
		if err := allNumbers(arg, l); err != nil {
			return nil, err
		}
		data := make([]float64, 0, 3*len(l))
		for i, x := range l {
			v, err := one(fmt.Sprintf("%s[%d]", arg, i+1), x)
			if err != nil {
				return nil, err
			}
			data = append(data, v[:]...)
		}
		return newColourList(kind, data), nil
	}
	data, ok := numberList(x)
	if !ok {
		return nil, nil
	}
	if len(data)%3 != 0 {
		return nil, notTriples(arg, len(data))
	}
	for i, v := range data {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, &fault.ArgError{Arg: fmt.Sprintf("%s[%d]", arg, i+1), Got: declare.Show(v), Want: "a finite number", Tip: "look for a division by zero, or a reading of black, where it was computed"}
		}
	}
	return newColourList(numbers, data), nil
}

// allNumbers refuses a list that begins with a number and is not one of numbers.
func allNumbers(arg string, list []any) error {
	if len(list) == 0 {
		return nil
	}
	if _, isNumber := list[0].(float64); !isNumber {
		return nil
	}
	for i, x := range list {
		if _, isNumber := x.(float64); !isNumber {
			return &fault.ArgError{Arg: fmt.Sprintf("%s[%d]", arg, i+1), Got: inBrief(x), Want: "a finite number, like the first", Tip: "a list holds numbers only, or colours only"}
		}
	}
	return nil
}

func notTriples(arg string, n int) error {
	return wrongCount(arg, howMany(n, "numbers"), "three numbers for each colour", "write the three numbers of each colour one after the other, without gaps")
}

// stimulusNumbers is a stimulus as a colour list keeps it.
func stimulusNumbers(arg string, x any) ([3]float64, error) {
	c, err := stimulusOf(arg, x)
	return [3]float64{c.X, c.Y, c.Z}, err
}

func labNumbers(c colour.Lab) [3]float64 { return [3]float64{c.L, c.A, c.B} }

func ictcpNumbers(c colour.ICtCp) [3]float64 { return [3]float64{c.I, c.Ct, c.Cp} }

// xyz is stimulus i, from 0, of a list of XYZ.
func (l *ColourList) xyz(i int) colour.XYZ {
	return colour.XYZ{X: l.data[3*i], Y: l.data[3*i+1], Z: l.data[3*i+2]}
}

// check refuses the first stimulus of a list that is not one of light; without a check all are taken.
func (l *ColourList) check(arg string, check light) error {
	for i := 0; check != nil && i < l.N; i++ {
		if err := check(fmt.Sprintf("%s[%d]", arg, i+1), l.xyz(i)); err != nil {
			return err
		}
	}
	return nil
}

// eachXYZ maps the stimuli of a list.
func (l *ColourList) eachXYZ(arg, to string, check light, f func(colour.XYZ) [3]float64) (*ColourList, error) {
	if l.Of != "XYZ" {
		return nil, &fault.ArgError{Arg: arg, Got: "a list of " + l.Of, Want: "a list of XYZ", Tip: "make one from readings with colour.list, or from numbers with colour.triples"}
	}
	out := make([]float64, len(l.data))
	if err := l.check(arg, check); err != nil {
		return nil, err
	}
	for i := 0; i < len(out); i += 3 {
		v := f(colour.XYZ{X: l.data[i], Y: l.data[i+1], Z: l.data[i+2]})
		out[i], out[i+1], out[i+2] = v[0], v[1], v[2]
	}
	return newColourList(to, out), nil
}

package builtins

import (
	"fmt"
	"math"

	"candelua/colour"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

func gamutFuncs() []*script.Func {
	return []*script.Func{
		pure("colour.gamut", "compares measured primaries with a space: area, ratio and coverage, in u'v' or xy (IDMS 5.18)", gamut),
		pure("colour.gamut_area", "computes the area of the triangle of measured primaries, in u'v' or xy (IDMS 5.18)", func(c *script.Call, a areaArgs) (float64, error) {
			p, err := polygonOf(c, a.Diagram, a.Red, a.Green, a.Blue)
			return p.Area(), err
		}),
		pure("colour.gamut_polygons", "compares two convex polygons, given by their corners: area, ratio and coverage, in u'v' or xy (IDMS 5.18)", gamutPolygons),
		pure("colour.mesh_volume", "computes the gamut volume from measured colours of the RGB cube's surface, in CIELAB (cubic delta E*ab) or ICtCp (cubic delta E ITP) (IDMS 5.32)", meshVolume),
		pure("colour.gamut_volume", "computes the gamut volume of a space, in CIELAB (cubic delta E*ab) or ICtCp (cubic delta E ITP) (IDMS 5.32)", gamutVolume),
	}
}

type areaArgs struct {
	Red     any    `lua:"red" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"chromaticity of full red"`
	Green   any    `lua:"green" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"chromaticity of full green"`
	Blue    any    `lua:"blue" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"chromaticity of full blue"`
	Diagram string `lua:"diagram" default:"uv" one_of:"uv|xy" help:"chromaticity diagram: uv is CIE 1976, xy is CIE 1931"`
}

type gamutArgs struct {
	Red     any    `lua:"red" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"chromaticity of full red"`
	Green   any    `lua:"green" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"chromaticity of full green"`
	Blue    any    `lua:"blue" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"chromaticity of full blue"`
	Space   any    `lua:"space" want:"\"bt709\", \"p3-d65\", \"p3-dci\", \"bt2020\" or a space made by colour.space" help:"the target space"`
	Diagram string `lua:"diagram" default:"uv" one_of:"uv|xy" help:"chromaticity diagram: uv is CIE 1976, xy is CIE 1931"`
}

// ColourGamut is how a display's gamut relates to a target's.
type ColourGamut struct {
	Area       float64 `lua:"area" help:"area of the display's gamut, in the diagram's units"`
	TargetArea float64 `lua:"target_area" help:"area of the target's gamut"`
	SharedArea float64 `lua:"shared_area" help:"area that both have in common"`
	Ratio      float64 `lua:"ratio" help:"area divided by target_area; it may exceed 1, and does not show how far the two overlap"`
	Coverage   float64 `lua:"coverage" help:"share of the target that the display can show, at most 1"`
}

// LuaName is what scripts call it.
func (ColourGamut) LuaName() string { return "gamut comparison" }

func polygonOf(c *script.Call, diagram string, red, green, blue any) (colour.Polygon, error) {
	var corners []colour.XY
	for _, p := range []struct {
		arg string
		x   any
	}{{"red", red}, {"green", green}, {"blue", blue}} {
		xy, err := primaryOf(c, p.arg, p.x)
		if err != nil {
			return nil, err
		}
		corners = append(corners, xy)
	}
	if diagram == "xy" {
		return colour.XYPolygon(corners...), nil
	}
	return colour.UVPolygon(corners[0].UV(), corners[1].UV(), corners[2].UV()), nil
}

func gamut(c *script.Call, a gamutArgs) (ColourGamut, error) {
	p, err := polygonOf(c, a.Diagram, a.Red, a.Green, a.Blue)
	if err != nil {
		return ColourGamut{}, err
	}
	s, err := spaceOf("space", a.Space)
	if err != nil {
		return ColourGamut{}, err
	}
	target := s.UVGamut()
	if a.Diagram == "xy" {
		target = s.XYGamut()
	}
	g, err := p.Compare(target)
	return ColourGamut(g), err
}

type polygonsArgs struct {
	Display []any  `lua:"display" want:"a list of chromaticities" help:"the corners of the display's gamut in order, three or more"`
	Target  []any  `lua:"target" want:"a list of chromaticities" help:"the corners of the target's gamut in order, three or more"`
	Diagram string `lua:"diagram" default:"uv" one_of:"uv|xy" help:"chromaticity diagram: uv is CIE 1976, xy is CIE 1931"`
}

func cornersOf(c *script.Call, arg, diagram string, list []any) (colour.Polygon, error) {
	p := make(colour.Polygon, len(list))
	for i, x := range list {
		xy, err := primaryOf(c, fmt.Sprintf("%s[%d]", arg, i+1), x)
		if err != nil {
			return nil, err
		}
		p[i] = colour.Point(xy)
		if diagram == "uv" {
			uv := xy.UV()
			p[i] = colour.Point{X: uv.U, Y: uv.V}
		}
	}
	return p, nil
}

// mostCorners bounds the work of an intersection, which grows with the product of both.
const mostCorners = 1000

func gamutPolygons(c *script.Call, a polygonsArgs) (ColourGamut, error) {
	if n := max(len(a.Display), len(a.Target)); n > mostCorners {
		return ColourGamut{}, wrongCount("display or target", howMany(n, "corners"), fmt.Sprintf("at most %d", mostCorners), "a gamut has as many corners as the display has primaries")
	}
	c.Charge(int64(len(a.Display)) * int64(len(a.Target)))
	p, err := cornersOf(c, "display", a.Diagram, a.Display)
	if err != nil {
		return ColourGamut{}, err
	}
	q, err := cornersOf(c, "target", a.Diagram, a.Target)
	if err != nil {
		return ColourGamut{}, err
	}
	g, err := p.Compare(q)
	return ColourGamut(g), err
}

type meshArgs struct {
	Signals [][]float64   `lua:"signals" help:"{ r, g, b } of each colour: every combination of the levels on the cube's surface, with the same levels for r, g and b"`
	Colours declare.Loose `lua:"colours" want:"a list of stimuli or of numbers" help:"the colour measured at each of signals, in cd/m2"`
	In      string        `lua:"in" default:"lab" one_of:"lab|ictcp" help:"colour space in which the volume is computed"`
	White   any           `lua:"white" optional:"true" want:"a reading, { X=, Y=, Z= }, { x=, y=, Y= } or { u=, v=, Y= }" help:"the reference white of CIELAB; the colour at the highest signals when left out"`
}

// highest returns the number of the colour at the highest signals.
func (a *meshArgs) highest() int {
	best, at := math.Inf(-1), 0
	for i, s := range a.Signals {
		if sum := s[0] + s[1] + s[2]; sum > best {
			best, at = sum, i
		}
	}
	return at
}

func meshVolume(c *script.Call, a meshArgs) (float64, error) {
	if a.In == "ictcp" && a.White != nil {
		return 0, &fault.ArgError{Arg: "white", Got: "is " + inBrief(a.White) + "; leave it out, because ICtCp is absolute"}
	}
	l, err := listOf("colours", a.Colours, "XYZ", "XYZ", stimulusNumbers)
	if err != nil {
		return 0, err
	}
	if l == nil || l.Of != "XYZ" {
		return 0, &fault.ArgError{Arg: "colours", Got: inBrief(a.Colours), Want: "a list of stimuli or of numbers X, Y, Z", Tip: "give the readings in the order of the signals"}
	}
	if l.N != len(a.Signals) || l.N == 0 {
		return 0, wrongCount("colours", howMany(l.N, "colours"), fmt.Sprintf("%d, as many as signals, and 8 or more", len(a.Signals)), "give one colour for each signal, in the same order")
	}
	for i, s := range a.Signals {
		if len(s) != 3 {
			return 0, wrongCount(fmt.Sprintf("signals[%d]", i+1), howMany(len(s), "numbers"), "three, { r, g, b }", "the signal of each channel, from 0 to 1")
		}
	}
	c.Charge(2 * ictcpCost * int64(l.N))
	place, err := a.placer(c, l)
	if err != nil {
		return 0, err
	}
	points := make([]colour.MeshPoint, l.N)
	for i, s := range a.Signals {
		points[i] = colour.MeshPoint{Signal: [3]float64(s), At: place(l.xyz(i))}
	}
	return colour.MeasuredVolume(points)
}

// placer gives the place of a stimulus in the space that is filled.
func (a *meshArgs) placer(c *script.Call, l *ColourList) (func(colour.XYZ) [3]float64, error) {
	if a.In == "ictcp" {
		return func(c colour.XYZ) [3]float64 {
			v := c.ICtCp()
			return [3]float64{720 * v.I, 360 * v.Ct, 720 * v.Cp}
		}, l.check("colours", ictcpLight(c))
	}
	white, err := optionalWhite(c, a.White)
	if err != nil {
		return nil, err
	}
	if white == nil {
		brightest := l.xyz(a.highest())
		if err := whiteLight(c, "the colour at the highest signals", brightest); err != nil {
			return nil, err
		}
		w, err := colour.NewWhite(brightest)
		if err != nil {
			return nil, fmt.Errorf("the colour at the highest signals: %w", err)
		}
		white = &w
	}
	return func(c colour.XYZ) [3]float64 { return labNumbers(white.Lab(c)) }, l.check("colours", labLight(c, white))
}

type volumeArgs struct {
	Space any      `lua:"space" want:"\"bt709\", \"p3-d65\", \"p3-dci\", \"bt2020\" or a space made by colour.space" help:"the space; for a display, make it of its primaries and white with colour.space"`
	In    string   `lua:"in" default:"lab" one_of:"lab|ictcp" help:"colour space in which the volume is computed"`
	White *float64 `lua:"white" above:"0" max:"10000" unit:"cd/m2" help:"luminance of white, a number; only for ictcp"`
	Steps int      `lua:"steps" default:"40" min:"1" max:"200" help:"steps along a side of the cube; the error falls with their square"`
}

func gamutVolume(c *script.Call, a volumeArgs) (float64, error) {
	s, err := spaceOf("space", a.Space)
	if err != nil {
		return 0, err
	}
	c.Charge(36 * labCost * int64(a.Steps) * int64(a.Steps))
	if a.In == "lab" {
		if a.White != nil {
			return 0, &fault.ArgError{Arg: "white", Got: "is " + formatNumber(*a.White) + "; leave it out, because CIELAB is relative to the space's own white", Tip: "leave white out, or write [\"in\"] = \"ictcp\""}
		}
		return s.LabVolume(a.Steps)
	}
	if a.White == nil {
		return 0, &fault.ArgError{Arg: "white", Got: "missing", Want: "the luminance of white in cd/m2, because ICtCp is absolute", Tip: "for example white = 1000"}
	}
	if err := ictcpSpace(c, s, *a.White); err != nil {
		return 0, err
	}
	return s.ITPVolume(a.Steps, *a.White)
}

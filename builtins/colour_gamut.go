package builtins

import (
	"candelua/colour"
	"candelua/engine/script"
)

func gamutFuncs() []*script.Func {
	return []*script.Func{
		script.Pure("colour.gamut", "IDMS 5.18: area, ratio and coverage of measured primaries against a space, in u'v' or xy", gamut),
		script.Pure("colour.gamut_area", "IDMS 5.18: area of measured primaries in u'v' or xy", func(_ *script.Call, a areaArgs) (float64, error) {
			p, err := polygonOf(a.Diagram, a.Red, a.Green, a.Blue)
			return p.Area(), err
		}),
		script.Pure("colour.gamut_volume", "IDMS 5.32: volume of a space in CIELAB (cubic delta E*ab) or ICtCp (cubic delta E ITP, for a white in cd/m2)", gamutVolume),
	}
}

type areaArgs struct {
	Red     any    `lua:"red" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"of full red"`
	Green   any    `lua:"green" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"of full green"`
	Blue    any    `lua:"blue" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"of full blue"`
	Diagram string `lua:"diagram" default:"uv" one_of:"uv|xy" help:"CIE 1976 or CIE 1931"`
}

type gamutArgs struct {
	Red     any    `lua:"red" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"of full red"`
	Green   any    `lua:"green" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"of full green"`
	Blue    any    `lua:"blue" want:"a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }" help:"of full blue"`
	Space   any    `lua:"space" want:"\"bt709\", \"p3-d65\", \"p3-dci\", \"bt2020\" or what colour.space gives" help:"the target"`
	Diagram string `lua:"diagram" default:"uv" one_of:"uv|xy" help:"CIE 1976 or CIE 1931"`
}

// ColourGamut is how a display's gamut relates to a target's.
type ColourGamut struct {
	Area       float64 `lua:"area" help:"of the display, in the diagram's units"`
	TargetArea float64 `lua:"target_area" help:"of the target"`
	SharedArea float64 `lua:"shared_area" help:"of what both have"`
	Ratio      float64 `lua:"ratio" help:"area over target area; may exceed 1, and says nothing of overlap"`
	Coverage   float64 `lua:"coverage" help:"share of the target that the display can show, at most 1"`
}

// LuaName is what scripts call it.
func (ColourGamut) LuaName() string { return "gamut comparison" }

func polygonOf(diagram string, red, green, blue any) (colour.Polygon, error) {
	var corners []colour.XY
	for _, p := range []struct {
		arg string
		x   any
	}{{"red", red}, {"green", green}, {"blue", blue}} {
		xy, err := chromaticityOf(p.arg, p.x)
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

func gamut(_ *script.Call, a gamutArgs) (ColourGamut, error) {
	p, err := polygonOf(a.Diagram, a.Red, a.Green, a.Blue)
	if err != nil {
		return ColourGamut{}, err
	}
	s, err := spaceOf(a.Space)
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

type volumeArgs struct {
	Space any      `lua:"space" want:"\"bt709\", \"p3-d65\", \"p3-dci\", \"bt2020\" or what colour.space gives" help:"whose volume; of a display, the space of its primaries and white"`
	In    string   `lua:"in" default:"lab" one_of:"lab|ictcp" help:"the colour space that is filled"`
	White *float64 `lua:"white" above:"0" max:"10000" unit:"cd/m2" help:"luminance of white, for ictcp"`
	Steps int      `lua:"steps" default:"40" min:"1" max:"200" help:"a side of the cube; the error falls with their square"`
}

func gamutVolume(c *script.Call, a volumeArgs) (float64, error) {
	s, err := spaceOf(a.Space)
	if err != nil {
		return 0, err
	}
	c.Charge(36 * labCost * int64(a.Steps) * int64(a.Steps))
	if a.In == "lab" {
		if a.White != nil {
			return 0, &script.ArgError{Arg: "white", Got: formatNumber(*a.White), Want: "none, for CIELAB is relative to the space's own white"}
		}
		return s.LabVolume(a.Steps)
	}
	if a.White == nil {
		return 0, &script.ArgError{Arg: "white", Got: "missing", Want: "the luminance of white in cd/m2, for ICtCp is absolute"}
	}
	return s.ITPVolume(a.Steps, *a.White)
}

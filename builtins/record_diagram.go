package builtins

import (
	"fmt"
	"math"

	"candelua/engine/result"
	"candelua/engine/script"
)

type diagramArgs struct {
	Title   string         `lua:"title" help:"title of the drawing"`
	ID      string         `lua:"id" default:"" help:"identifier for programs, and name of the drawing's file; made from title when left out"`
	Points  []diagramPoint `lua:"points" help:"the colours, each { name=, measured=, target= }"`
	Space   any            `lua:"space" optional:"true" want:"\"bt709\", \"p3-d65\", \"p3-dci\", \"bt2020\" or a space made by colour.space" help:"RGB space whose triangle is drawn"`
	Spaces  []any          `lua:"spaces" optional:"true" want:"a list of spaces" help:"more spaces, each drawn as a triangle"`
	Magnify *float64       `lua:"magnify" min:"1" max:"1000" help:"how many times longer displacements are drawn; when left out, chosen from the longest of them"`
}

type diagramPoint struct {
	Name     string `lua:"name" default:"" help:"the name"`
	Measured any    `lua:"measured" want:"a reading, { u=, v= }, { x=, y= } or a pair { u', v' }" help:"the measured colour; black is not drawn"`
	Target   any    `lua:"target" optional:"true" want:"a reading, { u=, v= }, { x=, y= } or a pair { u', v' }" help:"the target colour"`
}

func recordChromaticity(c *script.Call, a diagramArgs) (script.None, error) {
	d := result.Diagram{ID: a.ID, Title: a.Title, Kind: result.Chromaticity, Where: c.Where()}
	for i, p := range a.Points {
		where := fmt.Sprintf("points[%d].", i+1)
		measured, err := pairOf(c, where+"measured", p.Measured)
		if err != nil {
			return script.None{}, err
		}
		point := result.DiagramPoint{Name: p.Name, Measured: measured}
		if p.Target != nil {
			target, err := pairOf(c, where+"target", p.Target)
			if err != nil {
				return script.None{}, err
			}
			point.Target = &target
		}
		d.Points = append(d.Points, point)
	}
	d.Magnify = magnification(d.Points)
	if a.Magnify != nil {
		d.Magnify = *a.Magnify
	}
	if a.Space != nil {
		s, err := triangleOf("space", a.Space)
		if err != nil {
			return script.None{}, err
		}
		d.Spaces = append(d.Spaces, s)
	}
	for i, x := range a.Spaces {
		s, err := triangleOf(fmt.Sprintf("spaces[%d]", i+1), x)
		if err != nil {
			return script.None{}, err
		}
		d.Spaces = append(d.Spaces, s)
	}
	_, err := c.Results().Diagram(d)
	return script.None{}, err
}

// magnification returns by how much displacements are shown longer where a
// script leaves that open: the largest of 1, 2, 5, 10, … 1000 with which none is
// longer than a sixth of the field that measured colours and targets take up in
// u', v'. It is 1 where nothing is displaced.
func magnification(points []result.DiagramPoint) float64 {
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	longest := 0.0
	hold := func(p [2]float64) {
		for i := range p {
			low[i], high[i] = min(low[i], p[i]), max(high[i], p[i])
		}
	}
	for _, p := range points {
		hold(p.Measured)
		if p.Target != nil {
			hold(*p.Target)
			longest = max(longest, math.Hypot(p.Measured[0]-p.Target[0], p.Measured[1]-p.Target[1]))
		}
	}
	factor := 1.0
	for _, f := range []float64{2, 5, 10, 20, 50, 100, 200, 500, 1000} {
		if longest > 0 && f*longest <= max(high[0]-low[0], high[1]-low[1])/6 {
			factor = f
		}
	}
	return factor
}

// pairOf reads a chromaticity, also as a plain pair of u' and v'.
func pairOf(call *script.Call, arg string, x any) ([2]float64, error) {
	if list, ok := x.([]any); ok && len(list) == 2 {
		u, okU := list[0].(float64)
		v, okV := list[1].(float64)
		if okU && okV {
			return [2]float64{u, v}, nil
		}
	}
	uv, err := uvOf(call, arg, x)
	return [2]float64{uv.U, uv.V}, err
}

func triangleOf(arg string, x any) (result.DiagramSpace, error) {
	s, err := spaceOf(arg, x)
	if err != nil {
		return result.DiagramSpace{}, err
	}
	out := result.DiagramSpace{Name: s.Name()}
	for i, p := range s.Primaries() {
		uv := p.UV()
		out.Corners[i] = [2]float64{uv.U, uv.V}
	}
	return out, nil
}

type distributionArgs struct {
	Title  string             `lua:"title" help:"title of the drawing"`
	ID     string             `lua:"id" default:"" help:"identifier for programs, and name of the drawing's file; made from title when left out"`
	Values []float64          `lua:"values" help:"the numbers, usually colour differences"`
	Unit   string             `lua:"unit" default:"" help:"unit of the values"`
	Marks  []distributionMark `lua:"marks" optional:"true" help:"marks on the axis, each { name=, value= }"`
}

type distributionMark struct {
	Name  string  `lua:"name" help:"the name"`
	Value float64 `lua:"value" help:"position on the axis"`
}

func recordDistribution(c *script.Call, a distributionArgs) (script.None, error) {
	d := result.Diagram{ID: a.ID, Title: a.Title, Kind: result.Distribution, Values: a.Values, Unit: a.Unit, Where: c.Where()}
	for _, m := range a.Marks {
		d.Marks = append(d.Marks, result.DiagramMark{Name: m.Name, Value: m.Value})
	}
	_, err := c.Results().Diagram(d)
	return script.None{}, err
}

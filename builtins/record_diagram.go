package builtins

import (
	"fmt"

	"candelua/engine/result"
	"candelua/engine/script"
)

type diagramArgs struct {
	Title   string         `lua:"title" help:"what people call it"`
	ID      string         `lua:"id" default:"" help:"for machines, and the drawing's file; made from the title when left out"`
	Points  []diagramPoint `lua:"points" help:"each { name=, measured=, target= }"`
	Space   any            `lua:"space" optional:"true" want:"\"bt709\", \"p3-d65\", \"p3-dci\", \"bt2020\" or what colour.space gives" help:"a space whose triangle is drawn"`
	Spaces  []any          `lua:"spaces" optional:"true" want:"a list of spaces" help:"more of them"`
	Magnify float64        `lua:"magnify" default:"1" min:"1" max:"1000" help:"how many times as long displacements are drawn"`
}

type diagramPoint struct {
	Name     string `lua:"name" default:"" help:"what it is called"`
	Measured any    `lua:"measured" want:"a reading, { u=, v= }, { x=, y= } or a pair { u', v' }" help:"what was measured; of black there is nothing to draw"`
	Target   any    `lua:"target" optional:"true" want:"a reading, { u=, v= }, { x=, y= } or a pair { u', v' }" help:"what it should be"`
}

func recordChromaticity(c *script.Call, a diagramArgs) (script.None, error) {
	d := result.Diagram{ID: a.ID, Title: a.Title, Kind: result.Chromaticity, Magnify: a.Magnify, Where: c.Where()}
	for i, p := range a.Points {
		where := fmt.Sprintf("points[%d].", i+1)
		measured, err := pairOf(where+"measured", p.Measured)
		if err != nil {
			return script.None{}, err
		}
		point := result.DiagramPoint{Name: p.Name, Measured: measured}
		if p.Target != nil {
			target, err := pairOf(where+"target", p.Target)
			if err != nil {
				return script.None{}, err
			}
			point.Target = &target
		}
		d.Points = append(d.Points, point)
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

// pairOf reads a chromaticity, also as a plain pair of u' and v'.
func pairOf(arg string, x any) ([2]float64, error) {
	if list, ok := x.([]any); ok && len(list) == 2 {
		u, okU := list[0].(float64)
		v, okV := list[1].(float64)
		if okU && okV {
			return [2]float64{u, v}, nil
		}
	}
	uv, err := uvOf(arg, x)
	return [2]float64{uv.U, uv.V}, err
}

func triangleOf(arg string, x any) (result.DiagramSpace, error) {
	s, err := spaceOf(arg, x)
	if err != nil {
		return result.DiagramSpace{}, err
	}
	name, isName := x.(string)
	if !isName {
		name = s.Name()
	}
	out := result.DiagramSpace{Name: name}
	for i, p := range s.Primaries() {
		uv := p.UV()
		out.Corners[i] = [2]float64{uv.U, uv.V}
	}
	return out, nil
}

type distributionArgs struct {
	Title  string             `lua:"title" help:"what people call it"`
	ID     string             `lua:"id" default:"" help:"for machines, and the drawing's file; made from the title when left out"`
	Values []float64          `lua:"values" help:"the numbers, as a rule differences"`
	Unit   string             `lua:"unit" default:"" help:"of the values"`
	Marks  []distributionMark `lua:"marks" optional:"true" help:"named places on the axis, each { name=, value= }"`
}

type distributionMark struct {
	Name  string  `lua:"name" help:"what it is called"`
	Value float64 `lua:"value" help:"where it is"`
}

func recordDistribution(c *script.Call, a distributionArgs) (script.None, error) {
	d := result.Diagram{ID: a.ID, Title: a.Title, Kind: result.Distribution, Values: a.Values, Unit: a.Unit, Where: c.Where()}
	for _, m := range a.Marks {
		d.Marks = append(d.Marks, result.DiagramMark{Name: m.Name, Value: m.Value})
	}
	_, err := c.Results().Diagram(d)
	return script.None{}, err
}

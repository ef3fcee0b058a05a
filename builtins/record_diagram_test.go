package builtins

import (
	"strings"
	"testing"

	"candelua/engine/result"
)

func TestRecordDiagrams(t *testing.T) {
	r := litRig()
	if err := r.play(t, `local own = colour.space { name = "Crake 2", red = { x = 0.64, y = 0.33 }, green = { x = 0.3, y = 0.6 }, blue = { x = 0.15, y = 0.06 }, white = "d65" }
record.chromaticity { title = "White", magnify = 10, space = "bt2020", spaces = { own, "p3-d65" }, points = {
  { name = "reading", measured = meter.read(), target = { u = 0.2, v = 0.47 } }, { name = "pair", measured = { 0.21, 0.48 }, target = { 0.2, 0.47 } }, { measured = colour.uv("d65"), target = "d65" }, { measured = { x = 0.3127, y = 0.329 } } } }
record.distribution { title = "Spread", id = "spread-of-all", values = { 1, 2, 3 }, unit = "ΔE", marks = { { name = "limit", value = 3 } } }
record.distribution { title = "Plain", values = { 1 } }`); err != nil {
		t.Fatal(err)
	}
	all := r.results.Diagrams()
	if len(all) != 3 || all[0].ID != "white" || all[1].ID != "spread-of-all" || all[0].Where != "test.lua:3" {
		t.Fatalf("diagrams are %+v", all)
	}
	d := all[0]
	// Source: u' = 0.1978, v' = 0.4683 of D65, CIE 15, from its x and y.
	for _, i := range []int{0, 2, 3} {
		if p := d.Points[i]; !near(p.Measured[0], 0.1978300066, 1e-9) || !near(p.Measured[1], 0.4683199949, 1e-9) {
			t.Errorf("point %d is %v", i, p)
		}
	}
	if d.Magnify != 10 || len(d.Spaces) != 3 || d.Spaces[0].Name != "BT.2020" || d.Spaces[1].Name != "Crake 2" || d.Points[1].Measured != [2]float64{0.21, 0.48} || d.Points[3].Target != nil || d.Points[1].Name != "pair" {
		t.Errorf("the diagram is %+v", d)
	}
	if !near(d.Spaces[1].Corners[0][0], 0.4507, 5e-5) || !near(d.Spaces[1].Corners[0][1], 0.5229, 5e-5) { // red of BT.709 in u', v', from memory
		t.Errorf("red is at %v", d.Spaces[1].Corners[0])
	}
	if all[1].Unit != "ΔE" || all[1].Marks[0] != (result.DiagramMark{Name: "limit", Value: 3}) || len(all[1].Values) != 3 || all[2].Unit != "" {
		t.Errorf("the distribution is %+v", all[1])
	}
}

// Displacements are drawn as long as a sixth of the field allows, and as they
// are where that is too long already or there are none. The steps 1, 2, 5 are
// those of scales (common practice, no source).
func TestMagnification(t *testing.T) {
	at := func(u, v float64) [2]float64 { return [2]float64{u, v} }
	to := func(u, v float64) *[2]float64 { return &[2]float64{u, v} }
	for _, tt := range []struct {
		points []result.DiagramPoint
		want   float64
	}{
		{[]result.DiagramPoint{{Measured: at(0.1, 0.2)}, {Measured: at(0.4, 0.5)}}, 1},
		{[]result.DiagramPoint{{Measured: at(0.1, 0.2), Target: to(0.1, 0.2)}}, 1},
		{[]result.DiagramPoint{{Measured: at(0.2, 0.47), Target: to(0.2, 0.465)}}, 1},
		{[]result.DiagramPoint{{Measured: at(0.101, 0.2), Target: to(0.1, 0.2)}, {Measured: at(0.42, 0.2)}}, 50},
		{[]result.DiagramPoint{{Measured: at(0.101, 0.2), Target: to(0.1, 0.2)}, {Measured: at(0.42, 0.19), Target: to(0.42, 0.2)}}, 5},
		{[]result.DiagramPoint{{Measured: at(0.1, 0.2000001), Target: to(0.1, 0.2)}, {Measured: at(0.1, 0.5)}}, 1000},
	} {
		if got := magnification(tt.points); got != tt.want {
			t.Errorf("%v are drawn %g times as long, want %g", tt.points, got, tt.want)
		}
	}
	r := litRig()
	if err := r.play(t, `record.chromaticity { title = "a", points = { { measured = { 0.101, 0.2 }, target = { 0.1, 0.2 } }, { measured = { 0.42, 0.2 } } } }`); err != nil {
		t.Fatal(err)
	}
	if d := r.results.Diagrams()[0]; d.Magnify != 50 {
		t.Errorf("displacements are drawn %g times as long, want 50", d.Magnify)
	}
}

func TestRecordDiagramsRefuse(t *testing.T) {
	const want = "a reading, { x=, y= }, { u=, v= } or { X=, Y=, Z= }"
	for body, text := range map[string]string{
		"record.chromaticity { title = 't', points = { { measured = 5 } } }":                                                                             "points[1].measured is 5; it must be " + want,
		"record.chromaticity { title = 't', points = { { measured = { 1, 'x' } } } }":                                                                    "points[1].measured is {1, \"x\"}; it must be " + want,
		"record.chromaticity { title = 't', points = { { measured = { X = 0, Y = 0, Z = 0 } } } }":                                                       "points[1].measured: no chromaticity",
		"record.chromaticity { title = 't', points = { { measured = { 0.2, 0.4 }, target = 'd66' } } }":                                                  `points[1].target is "d66"`,
		"record.chromaticity { title = 't', points = { { mesured = 5 } } }":                                                                              `points[1] has no field "mesured"`,
		"record.chromaticity { title = 't', points = {} }":                                                                                               "has 0 points; it must have 1 to 1000",
		"record.chromaticity { title = 't', points = { { measured = { 0.2, 0.4 } } }, space = 'rgb' }":                                                   `space is "rgb"`,
		"record.chromaticity { title = 't', points = { { measured = { 0.2, 0.4 } } }, spaces = { 5 } }":                                                  "spaces[1] is 5",
		"record.chromaticity { title = 't', points = { { measured = { 0.2, 0.4 } } }, magnify = 0 }":                                                     "magnify is 0; it must be 1 to 1000",
		"record.chromaticity { title = 't', points = { { measured = { 0.2, 40 } } } }":                                                                   "has no chromaticity at point 1",
		"record.distribution { title = 't', values = {} }":                                                                                               "has 0 values",
		"record.distribution { title = 't', values = { 0/0 } }":                                                                                          "values[1] is nan",
		"record.distribution { title = 't', values = { 1 }, marks = { { name = 'm' } } }":                                                                "marks[1].value",
		"record.distribution { title = '', values = { 1 } }":                                                                                             "name is",
		"record.distribution { title = 't', values = { 1 } } record.distribution { title = 'T', values = { 1 } }":                                        "already recorded at test.lua:2",
		"local t = record.table('t', {{'a'}}) record.plot { table = t, x = 'a', y = 'a', id = 'd' } record.distribution { title = 'D', values = { 1 } }": "already recorded at test.lua:2",
	} {
		if err := litRig().play(t, body); err == nil || !strings.Contains(err.Error(), text) {
			t.Errorf("%s ends with %v, want %q", body, err, text)
		}
	}
}

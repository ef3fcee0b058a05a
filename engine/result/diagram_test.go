package result

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
)

func someDiagrams(t testing.TB) *Results {
	t.Helper()
	r := New()
	for _, d := range []Diagram{
		{Title: "White", Kind: Chromaticity, Magnify: 10, Points: []DiagramPoint{{Name: "w", Measured: [2]float64{0.2, 0.47}, Target: &[2]float64{0.1978, 0.4683}}, {Measured: [2]float64{0.3, 0.5}}},
			Spaces: []DiagramSpace{{Name: "s", Corners: [3][2]float64{{0.4, 0.5}, {0.1, 0.5}, {0.2, 0.1}}}}, Where: "a.lua:1"},
		{Title: "Spread", Kind: Distribution, Values: []float64{3, 1}, Unit: "ΔE", Marks: []DiagramMark{{Name: "limit", Value: 3}}},
	} {
		if _, err := r.Diagram(d); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

func TestDiagramsSurviveJSON(t *testing.T) {
	text, err := someDiagrams(t).MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	again := New()
	if err := json.Unmarshal(text, again); err != nil {
		t.Fatal(err)
	}
	if d := Compare(someDiagrams(t), again); len(d) > 0 {
		t.Errorf("read diagrams differ: %v", d)
	}
	if len(again.Diagrams()) != 2 || again.room != maxCells-10-7-2-2 {
		t.Errorf("%d diagrams, room %d", len(again.Diagrams()), again.room)
	}
}

// Every number and word of a diagram is compared.
func TestDiagramsCompare(t *testing.T) {
	for want, change := range map[string]func(a, b *Diagram){
		`diagram white: title is recorded as "White" and is "Other" now`:            func(a, b *Diagram) { a.Title = "Other" },
		"diagram white: magnify is recorded as 10 and is 5 now":                     func(a, b *Diagram) { a.Magnify = 5 },
		`diagram white: point 1's name is recorded as "w" and is "x" now`:           func(a, b *Diagram) { a.Points[0].Name = "x" },
		"diagram white: point 1, measured, v' is recorded as 0.47 and is 0.48 now":  func(a, b *Diagram) { a.Points[0].Measured[1] = 0.48 },
		"diagram white: point 1, target, u' is recorded as 0.1978 and is 0.2 now":   func(a, b *Diagram) { a.Points[0].Target[0] = 0.2 },
		"diagram white: point 1, target is recorded: true, and is there now: false": func(a, b *Diagram) { a.Points[0].Target = nil },
		"diagram white: has 2 points recorded and 1 now":                            func(a, b *Diagram) { a.Points = a.Points[:1] },
		"diagram white: has 1 spaces recorded and 0 now":                            func(a, b *Diagram) { a.Spaces = nil },
		`diagram white: space 1 is recorded as "s" and is "t" now`:                  func(a, b *Diagram) { a.Spaces[0].Name = "t" },
		"diagram white: space 1, corner 3, v' is recorded as 0.1 and is 0 now":      func(a, b *Diagram) { a.Spaces[0].Corners[2][1] = 0 },
		"diagram spread: value 2 is recorded as 1 and is 2 now":                     func(a, b *Diagram) { b.Values[1] = 2 },
		`diagram spread: unit is recorded as "ΔE" and is "" now`:                    func(a, b *Diagram) { b.Unit = "" },
		`diagram spread: mark 1 is recorded as "limit" and is "x" now`:              func(a, b *Diagram) { b.Marks[0].Name = "x" },
		"diagram spread: mark 1's value is recorded as 3 and is 4 now":              func(a, b *Diagram) { b.Marks[0].Value = 4 },
		`diagram spread: kind is recorded as "distribution" and is "" now`:          func(a, b *Diagram) { b.Kind = "" },
	} {
		now := someDiagrams(t)
		change(now.diagrams[0], now.diagrams[1])
		if d := Compare(someDiagrams(t), now); len(d) != 1 || d[0].String() != want {
			t.Errorf("%v, want %s", d, want)
		}
	}
	if d := Compare(someDiagrams(t), New()); len(d) != 2 || d[0].text != "is recorded and is missing now" {
		t.Errorf("%v", d)
	}
}

func TestDiagramsRefused(t *testing.T) {
	uv := [2]float64{0.2, 0.47}
	points := []DiagramPoint{{Measured: uv}}
	for want, d := range map[string]Diagram{
		"name is":                         {Title: " ", Kind: Distribution, Values: []float64{1}},
		`of the kind ""`:                  {Title: "t"},
		"has 0 points":                    {Title: "t", Kind: Chromaticity, Magnify: 1},
		"has 1001 points":                 {Title: "t", Kind: Chromaticity, Magnify: 1, Points: make([]DiagramPoint, maxDiagramPoints+1)},
		"magnifies displacements by 0":    {Title: "t", Kind: Chromaticity, Points: points},
		"magnifies displacements by 1001": {Title: "t", Kind: Chromaticity, Points: points, Magnify: 1001},
		"has 9 spaces":                    {Title: "t", Kind: Chromaticity, Points: points, Magnify: 1, Spaces: make([]DiagramSpace, 9)},
		`has space 1 named ""`:            {Title: "t", Kind: Chromaticity, Points: points, Magnify: 1, Spaces: make([]DiagramSpace, 1)},
		"has a corner of space 1":         {Title: "t", Kind: Chromaticity, Points: points, Magnify: 1, Spaces: []DiagramSpace{{Name: "s", Corners: [3][2]float64{{5, 0}}}}},
		"has no chromaticity at point 1":  {Title: "t", Kind: Chromaticity, Points: []DiagramPoint{{Measured: [2]float64{math.NaN(), 0}}}, Magnify: 1},
		"has a name of 201 bytes":         {Title: "t", Kind: Chromaticity, Points: []DiagramPoint{{Name: strings.Repeat("x", 201), Measured: uv}}, Magnify: 1},
		"but has values, a unit":          {Title: "t", Kind: Chromaticity, Points: points, Magnify: 1, Unit: "x"},
		"but has points, spaces":          {Title: "t", Kind: Distribution, Values: []float64{1}, Magnify: 2},
		"has 0 values":                    {Title: "t", Kind: Distribution},
		"has 100001 values":               {Title: "t", Kind: Distribution, Values: make([]float64, MaxDiagramValues+1)},
		"has the value +Inf at 2":         {Title: "t", Kind: Distribution, Values: []float64{1, math.Inf(1)}},
		"has 13 marks":                    {Title: "t", Kind: Distribution, Values: []float64{1}, Marks: make([]DiagramMark, 13)},
		`has mark 1 named ""`:             {Title: "t", Kind: Distribution, Values: []float64{1}, Marks: make([]DiagramMark, 1)},
		"has mark 1 at NaN":               {Title: "t", Kind: Distribution, Values: []float64{1}, Marks: []DiagramMark{{Name: "m", Value: math.NaN()}}},
		"has a unit of 201 bytes":         {Title: "t", Kind: Distribution, Values: []float64{1}, Unit: strings.Repeat("x", 201)},
		"has a text of 16385 bytes":       {Title: "t", Kind: Distribution, Values: []float64{1}, Unit: strings.Repeat("x", maxText+1)},
	} {
		r := New()
		if _, err := r.Diagram(d); err == nil || !strings.Contains(err.Error(), want) || len(r.Diagrams()) > 0 || r.room != maxCells {
			t.Errorf("%s: %v", want, err)
		}
	}
}

// Plots and diagrams share ids, and tables and diagrams share the room.
func TestDiagramsShare(t *testing.T) {
	r := New()
	tab, _ := r.Table("T", "", []Column{{Name: "a"}})
	if _, err := r.Plot(Plot{ID: "one", Table: tab.ID, X: "a", Y: []string{"a"}, Where: "a.lua:1"}); err != nil {
		t.Fatal(err)
	}
	one := Diagram{Title: "One", Kind: Distribution, Values: make([]float64, MaxDiagramValues)}
	if _, err := r.Diagram(one); !errors.Is(err, ErrTaken) || !strings.Contains(err.Error(), "a.lua:1") {
		t.Errorf("%v", err)
	}
	for i := range 10 {
		one.ID = "d" + string(rune('0'+i))
		if _, err := r.Diagram(one); err != nil {
			t.Fatal(err)
		}
	}
	one.ID = "last"
	if _, err := r.Diagram(one); err == nil || !strings.Contains(err.Error(), "cells in all") {
		t.Errorf("%v", err)
	}
	if _, err := r.Plot(Plot{ID: "d0", Table: tab.ID, X: "a", Y: []string{"a"}}); !errors.Is(err, ErrTaken) {
		t.Errorf("%v", err)
	}
	full := New()
	for i := range maxDiagrams {
		if _, err := full.Diagram(Diagram{Title: "x", ID: ID("x " + Number(float64(i))), Kind: Distribution, Values: []float64{1}}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := full.Diagram(Diagram{Title: "more", Kind: Distribution, Values: []float64{1}}); err == nil || !strings.Contains(err.Error(), "at most 1000 diagrams") {
		t.Errorf("%v", err)
	}
}

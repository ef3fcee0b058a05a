package result

import (
	"fmt"
	"slices"
	"strings"
)

// The most that diagrams hold.
const (
	maxDiagrams      = 1_000
	maxDiagramPoints = 1_000   // points of a chromaticity diagram
	maxDiagramSpaces = 8       // triangles in one
	MaxDiagramValues = 100_000 // values of a distribution
	maxDiagramMarks  = 12      // marks in one
	maxMagnify       = 1_000
)

// DiagramKind says what a diagram shows.
type DiagramKind string

// The kinds of diagram.
const (
	Chromaticity DiagramKind = "chromaticity" // measured against target in u', v'
	Distribution DiagramKind = "distribution" // values as a cumulative distribution
)

// Diagram is a drawing that holds its own numbers: unlike a [Plot], which
// shows a table.
type Diagram struct {
	ID    string      `json:"id"`
	Title string      `json:"title"`
	Kind  DiagramKind `json:"kind"`
	// Points, Spaces and Magnify are those of a chromaticity diagram. Magnify is
	// the factor by which displacements are shown longer than they are.
	Points  []DiagramPoint `json:"points,omitempty"`
	Spaces  []DiagramSpace `json:"spaces,omitempty"`
	Magnify float64        `json:"magnify,omitempty"`
	// Values, Unit and Marks are those of a distribution.
	Values []float64     `json:"values,omitempty"`
	Unit   string        `json:"unit,omitempty"`
	Marks  []DiagramMark `json:"marks,omitempty"`
	Where  string        `json:"where,omitempty"`
	// Doubt is what stands against readings that numbers of the drawing are computed from.
	Doubt string `json:"doubt,omitempty"`
	// Open says against which readings something stands, where it is not known whether numbers are computed from them.
	Open string `json:"open,omitempty"`
}

// DiagramPoint is a measured colour and, where there is one, its target: CIE
// 1976 u', v'.
type DiagramPoint struct {
	Name     string      `json:"name"`
	Measured [2]float64  `json:"measured"`
	Target   *[2]float64 `json:"target,omitempty"`
}

// DiagramSpace is the triangle of an RGB space by its red, green and blue in
// u', v'.
type DiagramSpace struct {
	Name    string        `json:"name"`
	Corners [3][2]float64 `json:"corners"`
}

// DiagramMark is a named place on the axis of a distribution.
type DiagramMark struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
}

// Diagram records a diagram: it fills in the id where there is none, and
// returns the copy that is kept. It fails where the id is taken ([ErrTaken]) by
// a diagram or a plot, whose files stand in one folder, and on anything that is
// not finite, empty, too much or not of the kind.
func (r *Results) Diagram(d Diagram) (*Diagram, error) {
	kept := d.clone()
	kept.ID = idOr(kept.ID, kept.Title)
	if err := checkName(kept.ID, kept.Title); err != nil {
		return nil, fmt.Errorf("diagram: %w", err)
	}
	if err := kept.check(); err != nil {
		return nil, fmt.Errorf("diagram %q %w", kept.Title, err)
	}
	if len(r.diagrams) >= maxDiagrams {
		return nil, fmt.Errorf("diagram %q: results hold at most %d diagrams", kept.Title, maxDiagrams)
	}
	if where, is := r.drawn(kept.ID); is {
		return nil, taken("diagram", kept.ID, kept.Title, where)
	}
	if size := kept.size(); size > r.room {
		return nil, fmt.Errorf("diagram %q: results hold at most %d cells in all; draw fewer numbers", kept.Title, maxCells)
	} else {
		r.room -= size
	}
	r.diagrams = append(r.diagrams, kept)
	return kept, nil
}

// drawn says whether a drawing of this id is there, and where it was recorded.
func (r *Results) drawn(id string) (where string, is bool) {
	if p, ok := byID(r.plots, id, func(p *Plot) string { return p.ID }); ok {
		return p.Where, true
	}
	if d, ok := byID(r.diagrams, id, func(d *Diagram) string { return d.ID }); ok {
		return d.Where, true
	}
	return "", false
}

// Diagrams returns the diagrams, in order. They are the kept ones, not copies.
func (r *Results) Diagrams() []*Diagram { return slices.Clone(r.diagrams) }

// size is what a diagram takes of the room that tables and diagrams share.
func (d *Diagram) size() int {
	return 5*len(d.Points) + 7*len(d.Spaces) + len(d.Values) + 2*len(d.Marks)
}

func (d Diagram) clone() *Diagram {
	d.Points, d.Spaces, d.Values, d.Marks = slices.Clone(d.Points), slices.Clone(d.Spaces), slices.Clone(d.Values), slices.Clone(d.Marks)
	d.Title, d.Unit, d.Where = tidy(d.Title), tidy(d.Unit), tidy(d.Where)
	d.Doubt, d.Open = tidy(d.Doubt), tidy(d.Open)
	for i := range d.Points {
		d.Points[i].Name, d.Points[i].Target = tidy(d.Points[i].Name), copied(d.Points[i].Target)
	}
	for i := range d.Spaces {
		d.Spaces[i].Name = tidy(d.Spaces[i].Name)
	}
	for i := range d.Marks {
		d.Marks[i].Name = tidy(d.Marks[i].Name)
	}
	return &d
}

func (d *Diagram) check() error {
	if err := checkTexts(d.Unit, d.Where, d.Doubt, d.Open); err != nil {
		return err
	}
	switch d.Kind {
	case Chromaticity:
		if d.Values != nil || d.Marks != nil || d.Unit != "" {
			return fmt.Errorf("is a chromaticity diagram but has values, a unit or marks, which belong to a distribution")
		}
		return d.checkPoints()
	case Distribution:
		if d.Points != nil || d.Spaces != nil || d.Magnify != 0 {
			return fmt.Errorf("is a distribution but has points, spaces or a factor, which belong to a chromaticity diagram")
		}
		return d.checkValues()
	}
	return fmt.Errorf("is of the kind %q; it must be %q or %q", d.Kind, Chromaticity, Distribution)
}

func (d *Diagram) checkPoints() error {
	if n := len(d.Points); n == 0 || n > maxDiagramPoints {
		return fmt.Errorf("has %d points; it must have 1 to %d", n, maxDiagramPoints)
	}
	if n := len(d.Spaces); n > maxDiagramSpaces {
		return fmt.Errorf("has %d spaces; it must have at most %d", n, maxDiagramSpaces)
	}
	if !finite(d.Magnify) || d.Magnify < 1 || d.Magnify > maxMagnify {
		return fmt.Errorf("magnifies displacements by %v; it must be 1 to %d", d.Magnify, maxMagnify)
	}
	for i, p := range d.Points {
		if len(p.Name) > maxName {
			return fmt.Errorf("has a name of %d bytes at point %d; it must have at most %d", len(p.Name), i+1, maxName)
		}
		if !inDiagram(p.Measured) || p.Target != nil && !inDiagram(*p.Target) {
			return fmt.Errorf("has no chromaticity at point %d; it needs u' and v' from -1 to 2", i+1)
		}
	}
	for i, s := range d.Spaces {
		if strings.TrimSpace(s.Name) == "" || len(s.Name) > maxName {
			return fmt.Errorf("has space %d named %q; the name must have 1 to %d bytes", i+1, cut(s.Name), maxName)
		}
		for _, c := range s.Corners {
			if !inDiagram(c) {
				return fmt.Errorf("has a corner of space %d at %v; it must be u' and v' from -1 to 2", i+1, c)
			}
		}
	}
	return nil
}

// inDiagram refuses what is no chromaticity of light, with room for noise.
func inDiagram(uv [2]float64) bool {
	return uv[0] >= -1 && uv[0] <= 2 && uv[1] >= -1 && uv[1] <= 2
}

func (d *Diagram) checkValues() error {
	if n := len(d.Values); n == 0 || n > MaxDiagramValues {
		return fmt.Errorf("has %d values; it must have 1 to %d", n, MaxDiagramValues)
	}
	if n := len(d.Marks); n > maxDiagramMarks {
		return fmt.Errorf("has %d marks; it must have at most %d", n, maxDiagramMarks)
	}
	if len(d.Unit) > maxName {
		return fmt.Errorf("has a unit of %d bytes; it must have at most %d", len(d.Unit), maxName)
	}
	for i, v := range d.Values {
		if !drawable(v) {
			return fmt.Errorf("has the value %v at %d; it must be a finite number within ±1e300", v, i+1)
		}
	}
	for i, m := range d.Marks {
		if strings.TrimSpace(m.Name) == "" || len(m.Name) > maxName {
			return fmt.Errorf("has mark %d named %q; the name must have 1 to %d bytes", i+1, cut(m.Name), maxName)
		}
		if !drawable(m.Value) {
			return fmt.Errorf("has mark %d at %v; it must be a finite number within ±1e300", i+1, m.Value)
		}
	}
	return nil
}

// drawable leaves room for an axis around the number.
func drawable(v float64) bool { return finite(v) && v > -1e300 && v < 1e300 }

func compareDiagrams(d *differences, a, b *Diagram) {
	d.text("title", a.Title, b.Title)
	d.text("kind", string(a.Kind), string(b.Kind))
	d.text("unit", a.Unit, b.Unit)
	d.text("doubt", a.Doubt, b.Doubt)
	d.text("open doubt", a.Open, b.Open)
	d.cell("magnify", Num(a.Magnify), Num(b.Magnify))
	for i := range counted(d, "points", len(a.Points), len(b.Points)) {
		p, q, label := a.Points[i], b.Points[i], fmt.Sprintf("point %d", i+1)
		d.text(label+"'s name", p.Name, q.Name)
		d.uv(label+", measured", &p.Measured, &q.Measured)
		d.uv(label+", target", p.Target, q.Target)
	}
	for i := range counted(d, "spaces", len(a.Spaces), len(b.Spaces)) {
		d.text(fmt.Sprintf("space %d", i+1), a.Spaces[i].Name, b.Spaces[i].Name)
		for j := range a.Spaces[i].Corners {
			d.uv(fmt.Sprintf("space %d, corner %d", i+1, j+1), &a.Spaces[i].Corners[j], &b.Spaces[i].Corners[j])
		}
	}
	for i := range counted(d, "values", len(a.Values), len(b.Values)) {
		d.cell(fmt.Sprintf("value %d", i+1), Num(a.Values[i]), Num(b.Values[i]))
	}
	for i := range counted(d, "marks", len(a.Marks), len(b.Marks)) {
		d.text(fmt.Sprintf("mark %d", i+1), a.Marks[i].Name, b.Marks[i].Name)
		d.cell(fmt.Sprintf("mark %d's value", i+1), Num(a.Marks[i].Value), Num(b.Marks[i].Value))
	}
}

// counted says where two lists differ in length, and gives the shorter one.
func counted(d *differences, what string, recorded, now int) int {
	if recorded != now {
		d.add("has %d %s recorded and %d now", recorded, what, now)
	}
	return min(recorded, now)
}

// uv compares two chromaticities that may not be there.
func (d *differences) uv(label string, recorded, now *[2]float64) {
	if (recorded == nil) != (now == nil) {
		d.add("%s is recorded: %t, and is there now: %t", label, recorded != nil, now != nil)
		return
	}
	if recorded != nil {
		d.cell(label+", u'", Num(recorded[0]), Num(now[0]))
		d.cell(label+", v'", Num(recorded[1]), Num(now[1]))
	}
}

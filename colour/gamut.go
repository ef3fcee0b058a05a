package colour

import (
	"errors"
	"fmt"
	"math"
)

// ErrGamut is the error for corners that do not enclose a convex area.
var ErrGamut = errors.New("gamut is not a convex polygon")

// Point is a point of a chromaticity diagram, CIE 1931 or CIE 1976.
type Point struct{ X, Y float64 }

// Polygon is an area of a chromaticity diagram by its corners in order, either way
// around. The last is joined to the first.
type Polygon []Point

// XYPolygon returns the polygon with these corners in the CIE 1931 diagram.
func XYPolygon(corners ...XY) Polygon {
	p := make(Polygon, len(corners))
	for i, c := range corners {
		p[i] = Point(c)
	}
	return p
}

// UVPolygon returns the polygon with these corners in the CIE 1976 diagram.
func UVPolygon(corners ...UV) Polygon {
	p := make(Polygon, len(corners))
	for i, c := range corners {
		p[i] = Point{c.U, c.V}
	}
	return p
}

// XYGamut returns the triangle of the space's primaries in the CIE 1931 diagram.
func (s *Space) XYGamut() Polygon { return XYPolygon(s.primaries[:]...) }

// UVGamut returns the triangle of the space's primaries in the CIE 1976 diagram.
func (s *Space) UVGamut() Polygon {
	return UVPolygon(s.primaries[0].UV(), s.primaries[1].UV(), s.primaries[2].UV())
}

// signedArea is positive for corners that run counter-clockwise.
func (p Polygon) signedArea() float64 {
	sum := 0.0
	for i := 2; i < len(p); i++ { // fanned out from the first corner, which keeps digits
		sum += cross(p[0], p[i-1], p[i])
	}
	return sum / 2
}

// Area returns the area of p, by the shoelace formula. Fewer than three corners have none.
func (p Polygon) Area() float64 { return math.Abs(p.signedArea()) }

// cross is twice the signed area of the triangle a, b, c.
func cross(a, b, c Point) float64 {
	return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
}

// counterClockwise returns p in that order, or an error that wraps [ErrGamut] where p is not convex.
func (p Polygon) counterClockwise() (Polygon, error) {
	if len(p) < 3 {
		return nil, fmt.Errorf("%w: it has %d corners; it must have at least 3", ErrGamut, len(p))
	}
	area := p.signedArea()
	if !(math.Abs(area) > 1e-12) || math.IsInf(area, 0) {
		return nil, fmt.Errorf("%w: its area is %v", ErrGamut, area)
	}
	q := append(Polygon(nil), p...)
	if area < 0 {
		for i, j := 0, len(q)-1; i < j; i, j = i+1, j-1 {
			q[i], q[j] = q[j], q[i]
		}
	}
	turned := 0.0
	for i := range q {
		a, b, c := q[i], q[(i+1)%len(q)], q[(i+2)%len(q)]
		turn := math.Atan2(cross(a, b, c), (b.X-a.X)*(c.X-b.X)+(b.Y-a.Y)*(c.Y-b.Y))
		if turn < -1e-9 {
			return nil, fmt.Errorf("%w: it turns inward at corner %v, %v", ErrGamut, b.X, b.Y)
		}
		turned += turn
	}
	if turned > 3*math.Pi { // a star turns the right way too, but twice around
		return nil, fmt.Errorf("%w: its sides cross", ErrGamut)
	}
	return q, nil
}

// Intersection returns the area that p and q share, as a polygon counter-clockwise; it
// is empty where they share none. Both must be convex, as the gamuts of additive displays
// are, or the error wraps [ErrGamut].
//
// Source: [SutherlandHodgman1974].
func (p Polygon) Intersection(q Polygon) (Polygon, error) {
	out, err := p.counterClockwise()
	if err != nil {
		return nil, err
	}
	clip, err := q.counterClockwise()
	if err != nil {
		return nil, err
	}
	for i := range clip {
		out = out.clipLeft(clip[i], clip[(i+1)%len(clip)])
	}
	return out, nil
}

// clipLeft returns the part of p that lies to the left of the line from a to b.
func (p Polygon) clipLeft(a, b Point) Polygon {
	var out Polygon
	for i, c := range p {
		d := p[(i+1)%len(p)]
		sc, sd := cross(a, b, c), cross(a, b, d)
		if sc >= 0 {
			out = append(out, c)
		}
		if (sc > 0 && sd < 0) || (sc < 0 && sd > 0) {
			t := sc / (sc - sd)
			out = append(out, Point{c.X + t*(d.X-c.X), c.Y + t*(d.Y-c.Y)})
		}
	}
	return out
}

// GamutComparison tells how a display's gamut relates to a target's. The areas are in
// the units of the diagram.
type GamutComparison struct {
	Area, TargetArea, SharedArea float64
	// Ratio is the display's area over the target's. It may exceed 1 and says nothing of
	// whether the two overlap.
	Ratio float64
	// Coverage is the share of the target that the display can show, at most 1.
	Coverage float64
}

// Compare returns how p, a display's gamut, relates to a target in the same diagram. Both
// must be convex, or the error wraps [ErrGamut].
//
// Source: [IDMS], 5.18.
func (p Polygon) Compare(target Polygon) (GamutComparison, error) {
	shared, err := p.Intersection(target)
	if err != nil {
		return GamutComparison{}, err
	}
	g := GamutComparison{Area: p.Area(), TargetArea: target.Area(), SharedArea: shared.Area()}
	g.Ratio = g.Area / g.TargetArea
	g.Coverage = math.Min(g.SharedArea/g.TargetArea, 1)
	return g, nil
}

package report

import (
	"fmt"
	"io"
	"math"
	"slices"

	"candelua/colour"
	"candelua/engine/plain"
	"candelua/engine/result"
)

// keyed is how many points the key of a chromaticity diagram names: those that
// are farthest from their target.
const keyed = 24

// chromaticitySVG renders measured colours against their targets in CIE 1976 u',
// v'. A ring is a target; a dot is a measured colour, at its true place. The arrow
// shows the displacement, magnified by the stated factor. The field is fitted to
// the points, or to the whole diagram if they are spread.
func chromaticitySVG(w io.Writer, d *result.Diagram) error {
	shown := farthest(d.Points)
	remark := remarkLines(d.Remark())
	s := newSVG(980, max(690, 170+21*float64(len(shown))+24*float64(len(d.Spaces)))+20*float64(len(remark)), d.Title)
	s.heading(d.Title)
	b := fitted(d)
	s.frame(b, "CIE 1976 u'", "CIE 1976 v'")
	s.raw(`<clipPath id="field"><rect x="%s" y="%s" width="%s" height="%s"/></clipPath>`, px(b.left), px(b.top), px(b.width), px(b.height))
	s.raw(`<g clip-path="url(#field)">`)
	s.locus(b)
	for i, space := range d.Spaces {
		s.triangle(b, space, i)
	}
	for _, p := range d.Points {
		s.displacement(b, p, d.Magnify)
	}
	s.numbers(b, d, shown)
	s.raw(`</g>`)
	s.key(b, d, shown)
	s.below(b.left, remark, 0)
	return s.writeTo(w)
}

// shortest is the length in pixels up to which an arrow would hide in its ring
// and is left out.
const shortest = 7

// farthest lists the points for the key: all, or those with the largest
// displacements, in the order in which they were recorded.
func farthest(points []result.DiagramPoint) []int {
	all := make([]int, len(points))
	for i := range all {
		all[i] = i
	}
	if len(all) <= keyed {
		return all
	}
	slices.SortStableFunc(all, func(i, j int) int {
		switch a, b := off(points[i]), off(points[j]); {
		case a > b:
			return -1
		case a < b:
			return 1
		}
		return 0
	})
	all = all[:keyed]
	slices.Sort(all)
	return all
}

// off is the displacement of a point from its target, 0 without one.
func off(p result.DiagramPoint) float64 {
	if p.Target == nil {
		return 0
	}
	return colour.UV{U: p.Measured[0], V: p.Measured[1]}.Distance(colour.UV{U: p.Target[0], V: p.Target[1]})
}

// tip is where a point's arrow ends.
func tip(p result.DiagramPoint, magnify float64) [2]float64 {
	return [2]float64{p.Target[0] + magnify*(p.Measured[0]-p.Target[0]), p.Target[1] + magnify*(p.Measured[1]-p.Target[1])}
}

// fitted makes the field: square, one scale on both sides.
func fitted(d *result.Diagram) *box {
	lowU, highU, lowV, highV := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	hold := func(p [2]float64) {
		lowU, highU, lowV, highV = min(lowU, p[0]), max(highU, p[0]), min(lowV, p[1]), max(highV, p[1])
	}
	for _, p := range d.Points {
		hold(p.Measured)
		if p.Target != nil {
			hold(*p.Target)
			hold(tip(p, d.Magnify))
		}
	}
	side := 1.3 * max(highU-lowU, highV-lowV, 0.004)
	midU, midV := (lowU+highU)/2, (lowV+highV)/2
	if side > 0.25 {
		side, midU, midV = max(0.64, side), (min(lowU, 0)+max(highU, 0.63))/2, (min(lowV, 0)+max(highV, 0.6))/2
		side = max(side, max(highU, 0.63)-min(lowU, 0), max(highV, 0.6)-min(lowV, 0))
	}
	const size = 540
	return &box{left: 84, top: 76, width: size, height: size, x: tickAxis(midU-side/2, midU+side/2, 7), y: tickAxis(midV-side/2, midV+side/2, 7)}
}

// locus renders the boundary of all colours of the CIE 1931 observer, with
// strokes every 10 nm and the wavelength every 20 nm where lines are apart.
func (s *svg) locus(b *box) {
	var points [][2]float64
	for nm := 380.0; nm <= 700; nm++ {
		x, y := b.at(locusUV(nm))
		points = append(points, [2]float64{x, y})
	}
	s.path(points, true, fmt.Sprintf(`fill="%s" fill-opacity="0.55" stroke="%s" stroke-width="1"`, ground, faint))
	midX, midY := b.at(0.21, 0.42)
	for nm := 420.0; nm <= 660; nm += 10 {
		x, y := b.at(locusUV(nm))
		dx, dy := outward(b, nm, midX, midY)
		s.line(x, y, x+4*dx, y+4*dy, thin(faint, 0.8))
		if math.Mod(nm, 20) == 0 && labelledWavelength(nm) {
			s.text(x+15*dx, y+15*dy+4, atMiddle, fmt.Sprintf(`font-size="10.5" fill="%s"`, faint), fmt.Sprintf("%.0f", nm), 4)
		}
	}
}

// labelledWavelength leaves out those that lie on each other.
func labelledWavelength(nm float64) bool { return nm == 420 || nm >= 440 && nm <= 640 }

func locusUV(nm float64) (u, v float64) {
	xy, err := colour.SpectrumLocus(nm)
	if err != nil {
		panic(err) // 380 to 700 nm never fails
	}
	uv := xy.UV()
	return uv.U, uv.V
}

// outward is at right angles to the locus, away from white.
func outward(b *box, nm, midX, midY float64) (dx, dy float64) {
	x1, y1 := b.at(locusUV(nm - 1))
	x2, y2 := b.at(locusUV(nm + 1))
	dx, dy = y2-y1, x1-x2
	if l := math.Hypot(dx, dy); l > 0 {
		dx, dy = dx/l, dy/l
	}
	if dx*((x1+x2)/2-midX)+dy*((y1+y2)/2-midY) < 0 {
		dx, dy = -dx, -dy
	}
	return dx, dy
}

func (s *svg) triangle(b *box, space result.DiagramSpace, i int) {
	corners := make([][2]float64, 3)
	for k, c := range space.Corners {
		corners[k][0], corners[k][1] = b.at(c[0], c[1])
	}
	s.path(corners, true, thin(ink, 1)+dashed(i))
}

// displacement renders a target, what was measured and the arrow.
func (s *svg) displacement(b *box, p result.DiagramPoint, magnify float64) {
	mx, my := b.at(p.Measured[0], p.Measured[1])
	if p.Target != nil {
		tx, ty := b.at(p.Target[0], p.Target[1])
		end := tip(p, magnify)
		ex, ey := b.at(end[0], end[1])
		s.raw(`<circle cx="%s" cy="%s" r="5.5" %s/>`, px(tx), px(ty), thin(ink, 1.2))
		if l := math.Hypot(ex-tx, ey-ty); l > shortest {
			dx, dy := (ex-tx)/l, (ey-ty)/l
			s.line(tx+5.5*dx, ty+5.5*dy, ex, ey, thin(ink, 1.2))
			s.path([][2]float64{{ex - 8*dx - 3*dy, ey - 8*dy + 3*dx}, {ex, ey}, {ex - 8*dx + 3*dy, ey - 8*dy - 3*dx}}, false, thin(ink, 1.2))
		}
	}
	s.raw(`<circle cx="%s" cy="%s" r="2.4" fill="%s"/>`, px(mx), px(my), ink)
}

// numbers writes the numbers of points, each beyond the end of its arrow or as
// near to there as others leave room.
func (s *svg) numbers(b *box, d *result.Diagram, shown []int) {
	var taken [][2]float64
	for n, i := range shown {
		x, y := freePlace(places(b, d.Points[i], d.Magnify), taken)
		taken = append(taken, [2]float64{x, y})
		s.text(x, y+4, atMiddle, fmt.Sprintf(`font-size="11" font-weight="bold" stroke="%s" stroke-width="3" stroke-opacity="0.8" paint-order="stroke"`, paper), fmt.Sprint(n+1), 4)
	}
}

// places lists where a point's number may stand: beyond the tip of its arrow,
// then to the sides of it, then farther out all around.
func places(b *box, p result.DiagramPoint, magnify float64) (all [][2]float64) {
	x, y := b.at(p.Measured[0], p.Measured[1])
	dx, dy := 1.0, 0.0
	if p.Target != nil {
		tx, ty := b.at(p.Target[0], p.Target[1])
		end := tip(p, magnify)
		x, y = b.at(end[0], end[1])
		l := math.Hypot(x-tx, y-ty)
		if l > 0 {
			dx, dy = (x-tx)/l, (y-ty)/l
		}
		if l < shortest { // no arrow: beside the ring
			x, y = tx, ty
		}
	}
	for _, r := range []float64{12, 22, 34, 48} {
		for _, turn := range []float64{0, 40, -40, 80, -80, 120, -120, 180} {
			sin, cos := math.Sincos(turn * math.Pi / 180)
			all = append(all, [2]float64{x + r*(cos*dx-sin*dy), y + 0.85*r*(sin*dx+cos*dy)})
		}
	}
	return all
}

// freePlace is the first place at which a number covers no other, and the first
// of all where there is none.
func freePlace(all, taken [][2]float64) (x, y float64) {
	for _, p := range all {
		if !slices.ContainsFunc(taken, func(t [2]float64) bool { return math.Abs(t[0]-p[0]) < 16 && math.Abs(t[1]-p[1]) < 12 }) {
			return p[0], p[1]
		}
	}
	return all[0][0], all[0][1]
}

// enters says whether a triangle's sides come into the field.
func enters(b *box, space result.DiagramSpace) bool {
	for k, c := range space.Corners {
		next := space.Corners[(k+1)%3]
		for i := range 400 {
			f := float64(i) / 400
			u, v := b.x.at(c[0]+f*(next[0]-c[0])), b.y.at(c[1]+f*(next[1]-c[1]))
			if u >= 0 && u <= 1 && v >= 0 && v <= 1 {
				return true
			}
		}
	}
	return false
}

// key explains the signs and lists the points with their displacements, or
// where nothing has a target with their places.
func (s *svg) key(b *box, d *result.Diagram, shown []int) {
	left, y := b.left+b.width+32, b.top+6
	targets := slices.ContainsFunc(d.Points, func(p result.DiagramPoint) bool { return p.Target != nil })
	if targets {
		y = s.keyOfTargets(left, y, d.Magnify)
	} else {
		s.raw(`<circle cx="%s" cy="%s" r="2.4" fill="%s"/>`, px(left+9), px(y-4), ink)
		s.text(left+26, y, atStart, "", "measured", 20)
	}
	for i, space := range d.Spaces {
		y += 24
		s.line(left, y-4, left+18, y-4, thin(ink, 1)+dashed(i))
		name := widths.Truncate(plain.Line(space.Name), 18, "…")
		if !enters(b, space) {
			name += " (outside this diagram)"
		}
		s.text(left+26, y, atStart, "", name, 40)
	}
	y += 32
	if len(shown) < len(d.Points) {
		s.text(left, y, atStart, `font-style="italic"`, fmt.Sprintf("the %d farthest of %d", len(shown), len(d.Points)), 28)
	}
	if targets {
		s.text(left+264, y, atEnd, `font-style="italic"`, "Δu′v′", 10)
	} else {
		s.text(left+198, y, atEnd, `font-style="italic"`, "u'", 4)
		s.text(left+264, y, atEnd, `font-style="italic"`, "v'", 4)
	}
	for n, i := range shown {
		y += 21
		s.text(left+18, y, atEnd, `font-size="11" font-weight="bold"`, fmt.Sprint(n+1), 4)
		s.keyed(left, y, d.Points[i], targets)
	}
}

// keyOfTargets explains the signs of targets and displacements. It returns the y of
// the last sign.
func (s *svg) keyOfTargets(left, y, magnify float64) float64 {
	s.raw(`<circle cx="%s" cy="%s" r="5.5" %s/>`, px(left+8), px(y-4), thin(ink, 1.2))
	s.text(left+26, y, atStart, "", "target", 20)
	s.raw(`<circle cx="%s" cy="%s" r="2.4" fill="%s"/>`, px(left+98), px(y-4), ink)
	s.text(left+110, y, atStart, "", "measured", 20)
	y += 24
	s.line(left, y-4, left+18, y-4, thin(ink, 1.2))
	s.path([][2]float64{{left + 10, y - 7}, {left + 18, y - 4}, {left + 10, y - 1}}, false, thin(ink, 1.2))
	words := "displacement, true to scale"
	if magnify != 1 {
		words = "displacement, drawn " + Display(magnify) + " times as long"
	}
	s.text(left+26, y, atStart, "", words, 40)
	return y
}

// keyed writes a point's name and its displacement, or its place.
func (s *svg) keyed(left, y float64, p result.DiagramPoint, targets bool) {
	if !targets {
		s.text(left+26, y, atStart, "", p.Name, 16)
		s.text(left+198, y, atEnd, "", fixed(p.Measured[0], 4), 12)
		s.text(left+264, y, atEnd, "", fixed(p.Measured[1], 4), 12)
		return
	}
	s.text(left+26, y, atStart, "", p.Name, 25)
	words := "no target"
	if p.Target != nil {
		words = fixed(off(p), 4)
	}
	s.text(left+264, y, atEnd, "", words, 12)
}

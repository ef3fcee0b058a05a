package report

import (
	"fmt"
	"io"
	"strings"

	"candelua/engine/plain"
	"candelua/engine/result"
)

// PlotSVG renders columns of a table as a file that needs no other. Points without
// a number, and on a logarithmic axis those at 0 and below, are left out; it
// says how many of these there are; the line has a gap there. It draws at most so many points ([PointsOf]), and says
// so, too. It fails only if w fails.
func PlotSVG(w io.Writer, t *result.Table, p *result.Plot, most int) error {
	height := 500 + 22*float64(len(p.Y))
	remark := remarkLines(t.Remark(append([]string{p.X}, p.Y...)...))
	height += 20 * float64(len(remark))
	s := newSVG(760, height, p.Title)
	s.heading(p.Title)
	drawn := plotPoints(t, p, everyRow(t, p, most))
	points := drawn.points
	if len(points) == 0 {
		s.text(24, 70, atStart, "", "No row has a number for both axes.", 80)
		s.remarks(24, &drawn)
		return s.writeTo(w)
	}
	xs, ys := make([]float64, len(points)), make([]float64, len(points))
	for i, pt := range points {
		xs[i], ys[i] = pt.x, pt.y
	}
	b := &box{left: 84, top: 76, width: 640, height: 340, x: newAxis(xs, p.LogX, 9), y: newAxis(ys, p.LogY, 8)}
	yName := "logarithmic scale"
	if !p.LogY {
		yName = ""
	}
	if len(p.Y) == 1 {
		yName = headOf(t, p.Y[0]) + logWords(p.LogY)
	}
	s.frame(b, headOf(t, p.X)+logWords(p.LogX), yName)
	for i, name := range p.Y {
		s.series(b, t, p, i, drawn.every)
		y := b.top + b.height + 66 + 22*float64(i)
		s.line(b.left, y, b.left+44, y, thin(ink, 1.3)+dashed(i))
		s.mark(i, b.left+22, y, 3.6)
		s.text(b.left+56, y+4.5, atStart, "", headOf(t, name), 70)
	}
	s.remarks(b.left, &drawn)
	s.below(b.left, remark, 20)
	return s.writeTo(w)
}

// remarkLines are the lines of a remark in a drawing, none of "".
func remarkLines(remark string) []string {
	if remark == "" {
		return nil
	}
	return wrap(plain.Line(remark), 110)
}

// below writes the lines of a remark at the foot of a drawing, so far above its edge.
func (s *svg) below(left float64, lines []string, above float64) {
	for i, l := range lines {
		s.text(left, s.height-above-12-20*float64(len(lines)-1-i), atStart, fmt.Sprintf(`fill="%s"`, faint), l, 120)
	}
}

// The most points of one drawing, and of all drawings of a run together.
const (
	mostPoints    = 20_000
	mostPointsAll = 1_000_000
)

// PointsOf is how many points each of so many drawings may have.
func PointsOf(drawings int) int { return min(mostPoints, mostPointsAll/max(1, drawings)) }

// remarks writes at the foot what is not drawn.
func (s *svg) remarks(left float64, d *drawn) {
	if all := d.remarks(); len(all) > 0 {
		s.text(left, s.height-12, atStart, fmt.Sprintf(`fill="%s"`, faint), strings.Join(all, "; "), 120)
	}
}

// mostMarks is how many points of one series get a mark of their own; a longer
// series is a line.
const mostMarks = 120

// series renders one column over another, in the order of x.
func (s *svg) series(b *box, t *result.Table, p *result.Plot, i, every int) {
	one := *p
	one.Y = p.Y[i : i+1]
	points := plotPoints(t, &one, every).points
	for n := 0; n < len(points); {
		stretch := unbroken(points[n:])
		at := make([][2]float64, len(stretch))
		for k, pt := range stretch {
			at[k][0], at[k][1] = b.at(pt.x, pt.y)
		}
		if len(at) > 1 {
			s.path(at, false, thin(ink, 1.3)+dashed(i)+` stroke-linejoin="round"`)
		}
		for _, xy := range at {
			if len(points) <= mostMarks || len(at) == 1 { // of one point alone there is no line
				s.mark(i, xy[0], xy[1], 3.6)
			}
		}
		n += len(stretch)
	}
}

// unbroken is the stretch of points up to the next gap.
func unbroken(points []point) []point {
	for n := 1; n < len(points); n++ {
		if points[n].gap {
			return points[:n]
		}
	}
	return points
}

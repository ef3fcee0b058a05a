package report

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"candelua/engine/plain"
)

// Drawings are SVG files that need no other file: no script, no style sheet, no
// font and no picture from elsewhere. Text is text. They use one ink in two
// strengths; series differ by the shape of their marks and the dashes of their
// lines, so that a drawing is as clear in print. The same results give the
// same bytes.
const (
	paper  = "#fdfcf9"
	ink    = "#1d2733"
	faint  = "#8a929b"
	ground = "#f1eee7"
)

// svg writes one drawing.
type svg struct {
	b             strings.Builder
	width, height float64
}

func newSVG(width, height float64, title string) *svg {
	s := &svg{width: width, height: height}
	fmt.Fprintf(&s.b, `<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s" viewBox="0 0 %s %s" role="img" font-family="Georgia, 'Times New Roman', serif" font-size="13" fill="%s">`+"\n",
		px(width), px(height), px(width), px(height), ink)
	fmt.Fprintf(&s.b, "<title>%s</title>\n", plain.Markup(title))
	s.raw(`<rect width="%s" height="%s" fill="%s"/>`, px(width), px(height), paper)
	return s
}

func (s *svg) raw(format string, args ...any) { fmt.Fprintf(&s.b, format+"\n", args...) }

// px writes a coordinate to a hundredth, the same on every processor.
func px(v float64) string {
	text := strconv.FormatFloat(v, 'f', 2, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" || text == "" {
		return "0"
	}
	return text
}

// Where a text stands at its point.
const (
	atStart  = "start"
	atMiddle = "middle"
	atEnd    = "end"
)

// text writes a line of text, cut to a number of columns.
func (s *svg) text(x, y float64, anchor, more, words string, most int) {
	if more != "" {
		more = " " + more
	}
	s.raw(`<text x="%s" y="%s" text-anchor="%s"%s>%s</text>`, px(x), px(y), anchor, more, plain.Markup(widths.Truncate(plain.Line(words), most, "…")))
}

func (s *svg) line(x1, y1, x2, y2 float64, more string) {
	s.raw(`<line x1="%s" y1="%s" x2="%s" y2="%s" %s/>`, px(x1), px(y1), px(x2), px(y2), more)
}

// path joins points by straight lines.
func (s *svg) path(points [][2]float64, closed bool, more string) {
	if len(points) == 0 {
		return
	}
	var d strings.Builder
	for i, p := range points {
		if i == 0 {
			d.WriteString("M")
		} else {
			d.WriteString("L")
		}
		d.WriteString(px(p[0]) + " " + px(p[1]))
	}
	if closed {
		d.WriteString("Z")
	}
	s.raw(`<path d="%s" %s/>`, d.String(), more)
}

func (s *svg) writeTo(w io.Writer) error {
	s.b.WriteString("</svg>\n")
	_, err := io.WriteString(w, s.b.String())
	return err
}

// thin is a stroke of a strength.
func thin(colour string, width float64) string {
	return fmt.Sprintf(`fill="none" stroke="%s" stroke-width="%s"`, colour, px(width))
}

// dashes tell lines apart.
var dashes = []string{"", "7 4", "2 3", "10 3 2 3", "14 4", "1 4"}

func dashed(i int) string {
	if d := dashes[i%len(dashes)]; d != "" {
		return fmt.Sprintf(` stroke-dasharray="%s"`, d)
	}
	return ""
}

// mark renders the i-th shape around a point; every other one is open.
func (s *svg) mark(i int, x, y, r float64) {
	how := fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="1.4"`, paper, ink)
	if i%2 == 0 {
		how = fmt.Sprintf(`fill="%s"`, ink)
	}
	switch i / 2 % 3 {
	case 0:
		s.raw(`<circle cx="%s" cy="%s" r="%s" %s/>`, px(x), px(y), px(r), how)
	case 1:
		s.path([][2]float64{{x - r, y - r}, {x + r, y - r}, {x + r, y + r}, {x - r, y + r}}, true, how)
	default:
		s.path([][2]float64{{x, y - 1.3*r}, {x + 1.2*r, y + r}, {x - 1.2*r, y + r}}, true, how)
	}
}

// box is the field of a drawing and what its sides stand for.
type box struct {
	left, top, width, height float64
	x, y                     axis
}

func (b *box) at(x, y float64) (float64, float64) {
	return b.left + b.x.at(x)*b.width, b.top + (1-b.y.at(y))*b.height
}

// frame renders the field with its scales: short strokes that stand outward, and
// faint lines across.
func (s *svg) frame(b *box, xName, yName string) {
	s.raw(`<rect x="%s" y="%s" width="%s" height="%s" fill="#ffffff" stroke="%s" stroke-width="0.8"/>`, px(b.left), px(b.top), px(b.width), px(b.height), faint)
	bottom, gridded := b.top+b.height, fmt.Sprintf(`stroke="%s" stroke-width="0.8"`, ground)
	xLabels, yLabels := tickLabels(b.x), tickLabels(b.y)
	for i, t := range b.x.ticks {
		x := b.left + b.x.at(t)*b.width
		s.line(x, b.top, x, bottom, gridded)
		s.line(x, bottom, x, bottom+5, thin(ink, 0.8))
		s.text(x, bottom+19, atMiddle, "", xLabels[i], 12)
	}
	for i, t := range b.y.ticks {
		_, y := b.at(b.x.low, t)
		s.line(b.left, y, b.left+b.width, y, gridded)
		s.line(b.left-5, y, b.left, y, thin(ink, 0.8))
		s.text(b.left-9, y+4.5, atEnd, "", yLabels[i], 12)
	}
	s.text(b.left+b.width/2, bottom+41, atMiddle, `font-style="italic"`, xName, 80)
	s.text(b.left, b.top-10, atStart, `font-style="italic"`, yName, 80)
}

// tickLabels are an axis' labels; on a linear one all have as many decimals.
func tickLabels(a axis) []string {
	labels := make([]string, len(a.ticks))
	most := 0
	for i, t := range a.ticks {
		labels[i] = tickLabel(t)
		if strings.Contains(labels[i], "e") || a.log {
			most = -1
		}
		if _, decimals, ok := strings.Cut(labels[i], "."); ok && most >= 0 {
			most = max(most, len(decimals))
		}
	}
	for i, t := range a.ticks {
		if most > 0 && labels[i] != "0" {
			labels[i] = fixed(t, most)
		}
	}
	return labels
}

// heading writes the title at the top left.
func (s *svg) heading(title string) {
	s.text(24, 34, atStart, `font-size="19"`, title, int(s.width/9.5))
}

// tickAxis is an axis from low to high with ticks within.
func tickAxis(low, high float64, most int) axis {
	a := axis{low: low, high: high}
	step := roundUp((high - low) / float64(most))
	for i := math.Ceil(low/step - 1e-9); i <= math.Floor(high/step+1e-9); i++ {
		a.ticks = append(a.ticks, i*step)
	}
	return a
}

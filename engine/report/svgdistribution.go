package report

import (
	"fmt"
	"io"
	"math"
	"slices"

	"candelua/engine/result"
)

// DiagramSVG renders a diagram as a file that needs no other. It fails only if w
// fails.
func DiagramSVG(w io.Writer, d *result.Diagram) error {
	if d.Kind == result.Distribution {
		return distributionSVG(w, d)
	}
	return chromaticitySVG(w, d)
}

// distributionSVG renders which share of the values is at most so much: a
// staircase that rises by 1/n at each value.
func distributionSVG(w io.Writer, d *result.Diagram) error {
	remark := remarkLines(d.Remark())
	s := newSVG(760, 520+20*float64(len(d.Marks)+len(remark)), d.Title)
	s.heading(d.Title)
	sorted := slices.Clone(d.Values)
	slices.Sort(sorted)
	within := []float64{sorted[0], sorted[len(sorted)-1]}
	for _, m := range d.Marks {
		within = append(within, m.Value)
	}
	b := &box{left: 84, top: 76, width: 560, height: 340, x: newAxis(within, false, 9), y: tickAxis(0, 100, 5)}
	xName := d.Unit
	if xName == "" {
		xName = "value"
	}
	s.frame(b, xName, fmt.Sprintf("share of the %d values at or below, %%", len(sorted)))
	for i, m := range d.Marks {
		x, _ := b.at(m.Value, 0)
		s.line(x, b.top, x, b.top+b.height, thin(ink, 1)+dashed(i+1))
		y := b.top + b.height + 66 + 20*float64(i)
		s.line(b.left, y-4.5, b.left+44, y-4.5, thin(ink, 1)+dashed(i+1))
		s.text(b.left+56, y, atStart, "", withUnit(m.Name+": "+Display(m.Value), d.Unit)+fmt.Sprintf("; %s %% of the values are at or below it", Display(math.Round(1000*atMost(sorted, m.Value))/10)), 90)
	}
	s.path(stairs(b, sorted), false, thin(ink, 1.8)+` stroke-linejoin="round"`)
	for _, share := range []float64{0.5, 0.95} {
		v := quantile(sorted, share)
		x, y := b.at(v, 100*share)
		s.line(b.left, y, x, y, thin(faint, 1))
		s.mark(1, x, y, 3.6)
		s.text(b.left+b.width+12, y+4.5, atStart, "", fmt.Sprintf("%g %%: %s", 100*share, display(v, significantInTable)), 20)
		s.line(x+5, y, b.left+b.width+8, y, thin(faint, 0.6)+` stroke-dasharray="1 4"`)
	}
	s.below(b.left, remark, 0)
	return s.writeTo(w)
}

func withUnit(text, unit string) string {
	if unit == "" {
		return text
	}
	return text + " " + unit
}

// quantile interpolates between values in order, number k of n standing for a
// share of k/(n + 1), as stats.percentile does, so that what is drawn is what
// scripts state.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.2.
func quantile(sorted []float64, share float64) float64 {
	n := len(sorted)
	whole, part := math.Modf(share * float64(n+1))
	switch k := int(whole); {
	case k < 1:
		return sorted[0]
	case k >= n:
		return sorted[n-1]
	default:
		return sorted[k-1] + part*(sorted[k]-sorted[k-1])
	}
}

// atMost is the share of values that are at most v.
func atMost(sorted []float64, v float64) float64 {
	n, _ := slices.BinarySearchFunc(sorted, v, func(e, v float64) int {
		if e <= v {
			return -1
		}
		return 1
	})
	return float64(n) / float64(len(sorted))
}

// mostStairs bounds the corners that are drawn: beyond, a step is thinner than
// a stroke.
const mostStairs = 800

func stairs(b *box, sorted []float64) [][2]float64 {
	n := len(sorted)
	every := max(1, n/mostStairs)
	var points [][2]float64
	before := 0.0
	add := func(v, share float64) {
		x, y := b.at(v, share)
		points = append(points, [2]float64{x, y})
	}
	add(b.x.low, 0)
	for i := 0; i < n; i += every {
		last := min(i+every, n) - 1
		add(sorted[last], before)
		before = 100 * float64(last+1) / float64(n)
		add(sorted[last], before)
	}
	add(b.x.high, 100)
	return points
}

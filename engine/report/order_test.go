package report

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"candelua/engine/result"
)

// The line of a plot goes from row to row in the order of the rows, whatever x does: up
// and down again is two lines beside each other, and not a zigzag between them.
func TestPlotKeepsTheOrderOfRows(t *testing.T) {
	path := regexp.MustCompile(`<path d="M([^"Z]*)" fill="none"`)
	rapid.Check(t, func(t *rapid.T) {
		xs := rapid.SliceOfN(rapid.IntRange(0, 30), 2, 20).Draw(t, "x")
		r := result.New()
		tab, err := r.Table("T", "", []result.Column{{Name: "x"}, {Name: "y"}})
		if err != nil {
			t.Fatal(err)
		}
		for i, x := range xs {
			if err := tab.Add(map[string]any{"x": float64(x), "y": float64(i)}); err != nil {
				t.Fatal(err)
			}
		}
		p, err := r.Plot(result.Plot{Table: tab.ID, X: "x", Y: []string{"y"}})
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		if err := PlotSVG(&b, tab, p, PointsOf(1)); err != nil {
			t.Fatal(err)
		}
		last := math.Inf(1)
		for _, m := range path.FindAllStringSubmatch(b.String(), -1) {
			points := strings.Split(m[1], "L")
			if len(points) != len(xs) {
				continue
			}
			for _, point := range points { // y rises from row to row, so its place goes up the drawing
				_, y, _ := strings.Cut(point, " ")
				if now := place64(t, y); now >= last {
					t.Fatalf("rows with x %v are joined as %v", xs, points)
				} else {
					last = now
				}
			}
			return
		}
		t.Fatalf("no line of %d points in %s", len(xs), b.String())
	})
}

func place64(t *rapid.T, text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

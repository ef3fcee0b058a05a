package report

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"candelua/engine/result"

	"pgregory.net/rapid"
)

// TestPlotsHaveGaps: over tables with rows that cannot be drawn, on either scale and however many rows are drawn, no line
// joins points between which there is such a row, each point is in a line or has a mark, and both kinds of plot say how
// many rows have no number.
func TestPlotsHaveGaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := result.New()
		tab, err := r.Table("T", "", []result.Column{{Name: "x"}, {Name: "y"}})
		if err != nil {
			t.Fatal(err)
		}
		log := rapid.Bool().Draw(t, "log")
		rows := rapid.SliceOfN(rapid.IntRange(0, 9), 2, 200).Draw(t, "rows")
		blank, stretches, shown, open := 0, 0, 0, false
		for i, kind := range rows {
			row := map[string]any{"x": float64(i + 1), "y": float64(kind)}
			if kind == 1 {
				delete(row, "y")
				blank++
			}
			if err := tab.Add(row); err != nil {
				t.Fatal(err)
			}
			is := kind != 1 && !(log && kind == 0)
			if is {
				shown++
			}
			if is && !open {
				stretches++
			}
			open = is
		}
		kept, err := r.Plot(result.Plot{Title: "P", Table: tab.ID, X: "x", Y: []string{"y"}, LogY: log})
		if err != nil || shown == 0 {
			return // a column without any number is refused
		}
		var svg bytes.Buffer
		if err := PlotSVG(&svg, tab, kept, 1000); err != nil {
			t.Fatal(err)
		}
		starts, inLines := 0, 0
		for _, m := range regexp.MustCompile(`<path d="(M[^"]*)"[^>]*stroke-linejoin="round"`).FindAllStringSubmatch(svg.String(), -1) {
			starts++
			inLines += 1 + strings.Count(m[1], "L")
		}
		if alone := shown - inLines; starts+alone != stretches || alone < 0 {
			t.Fatalf("%d lines and %d points alone of %d stretches", starts, alone, stretches)
		}
		words := fmt.Sprintf("%d rows lack a number", blank)
		if blank == 1 {
			words = "1 row lacks a number"
		}
		for kind, text := range map[string]string{"SVG": svg.String(), "characters": strings.Join(drawPlot(tab, kept, 70), "\n")} {
			if (blank > 0) != strings.Contains(text, words) {
				t.Fatalf("%s: %d rows have no number, and it does not say so:\n%s", kind, blank, text)
			}
		}
		all := plotPoints(tab, kept, 1).points
		thinned := plotPoints(tab, kept, 3).points
		for i := 1; i < len(thinned); i++ {
			before, pt := thinned[i-1], thinned[i]
			gap := false
			for _, between := range all {
				gap = gap || between.gap && between.x > before.x && between.x <= pt.x
			}
			if gap && !pt.gap {
				t.Fatalf("with one row in three drawn, a line joins x %v and %v", before.x, pt.x)
			}
		}
	})
}

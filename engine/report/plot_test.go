package report

import (
	"math"
	"strings"
	"testing"

	"candelua/engine/result"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// plotted draws one plot of one table.
func plotted(t testing.TB, columns []result.Column, rows []map[string]any, p result.Plot, width int) string {
	t.Helper()
	r := result.New()
	tab, err := r.Table("Tone response", "", columns)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		if err := tab.Add(row); err != nil {
			t.Fatal(err)
		}
	}
	p.Table = tab.ID
	kept, err := r.Plot(p)
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(drawPlot(tab, kept, width), "\n") + "\n"
}

var tone = []result.Column{{Name: "grey"}, {Name: "luminance", Unit: "cd/m2"}, {Name: "target", Unit: "cd/m2"}}

// On a logarithmic x axis a decade is as wide as the next, so that 1, 10 and
// 100 lie at the left, in the middle and at the right.
func TestPlotLogX(t *testing.T) {
	got := plotted(t, []result.Column{{Name: "window", Unit: "%"}, {Name: "luminance", Unit: "cd/m2"}},
		[]map[string]any{{"window": 1, "luminance": 800}, {"window": 10, "luminance": 600}, {"window": 100, "luminance": 200}, {"window": 0, "luminance": 1}},
		result.Plot{Title: "Sweep", X: "window", Y: []string{"luminance"}, LogX: true}, 60)
	want := `Sweep
  * luminance (cd/m2)
  800 +*
      |
      |
  600 +                         *
      |
      |
  400 +
      |
      |
  200 +                                                  *
      |
      |
    0 +
      ++-------+--------+-------+-------+--------+-------+
       1       2        5      10      20       50      100
                         window (%), log
  (1 not drawn: a logarithmic axis cannot show 0 or less)
`
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("%s\n%s", diff, got)
	}
}

func TestPlotSeries(t *testing.T) {
	rows := []map[string]any{{"grey": 0.5, "luminance": 100, "target": 110}, {"grey": 1, "luminance": 400, "target": 400}, {"grey": 0.2}, {"grey": "mid", "target": 5}}
	got := plotted(t, tone, rows, result.Plot{X: "grey", Y: []string{"target", "luminance"}, LogY: true}, 50)
	for _, want := range []string{"* target (cd/m2)   o luminance (cd/m2), log\n", "*", "o", "  500 +", "  100 +                    o"} {
		if !strings.Contains(got, want) {
			t.Errorf("there is no %q in\n%s", want, got)
		}
	}
	if !strings.Contains(got, "(2 rows lack a number, which is not drawn)") || strings.Contains(got, "logarithmic axis cannot") {
		t.Errorf("empty cells are not counted as empty:\n%s", got)
	}
}

func TestPlotOfNothing(t *testing.T) {
	for _, rows := range [][]map[string]any{nil, {{"grey": "mid", "luminance": 1}}, {{"grey": -1, "luminance": 1}}} {
		got := plotted(t, tone, rows, result.Plot{X: "grey", Y: []string{"luminance"}, LogX: true}, 80)
		if !strings.Contains(got, "not drawn: no row has a number for both axes") {
			t.Errorf("got\n%s", got)
		}
	}
}

// Plots of any numbers fit the width, and every series shows.
func TestPlotFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Map(rapid.Float64Range(-12, 12), func(e float64) float64 { return math.Pow(10, e) })
		if rapid.Bool().Draw(t, "signed") {
			number = rapid.Float64Range(-1e9, 1e9)
		}
		var points []point
		xs, ys := []float64{}, []float64{}
		for range rapid.IntRange(1, 12).Draw(t, "n") {
			p := point{number.Draw(t, "x"), number.Draw(t, "y"), '*', false}
			points, xs, ys = append(points, p), append(xs, p.x), append(ys, p.y)
		}
		field := strings.Join(canvas(points, newAxis(xs, false, 7), newAxis(ys, false, 7), 40), "\n")
		if n := strings.Count(field, "*"); n < 1 || n > len(points) {
			t.Fatalf("%d points became %d marks\n%s", len(points), n, field)
		}
		for _, l := range strings.Split(field, "\n") {
			if len(l) != 40 {
				t.Fatalf("line is %d wide, want 40", len(l))
			}
		}
		for _, l := range bottom(newAxis(xs, false, 7), 40, 3) {
			if len(l) > 40+3+12 {
				t.Fatalf("labels are %d wide: %q", len(l), l)
			}
		}
	})
}

func TestTerminalDrawsPlotsWhenAsked(t *testing.T) {
	r := bench(t)
	if _, err := r.Plot(result.Plot{Title: "The sweep", Table: "luminance-by-window", X: "window", Y: []string{"luminance"}}); err != nil {
		t.Fatal(err)
	}
	if got := terminal(t, r, Options{Plots: true}); !strings.Contains(got, "\nThe sweep\n  * luminance (cd/m2)\n") {
		t.Errorf("there is no plot in\n%s", got)
	}
	if got := terminal(t, r, Options{}); strings.Contains(got, "The sweep") {
		t.Errorf("there is a plot in\n%s", got)
	}
}

package report

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"candelua/engine/result"

	"pgregory.net/rapid"
)

// anyNumber draws from all finite numbers, the outermost and the least more often.
func anyNumber() *rapid.Generator[float64] {
	return rapid.OneOf(
		rapid.SampledFrom([]float64{0, 5e-324, -5e-324, 1e-310, 2.5e-308, 1e-300, 1, 1e15, 1e300, -1e300, 1e308, 1.5e308, math.MaxFloat64, -math.MaxFloat64}),
		rapid.Map(rapid.Float64Range(-323, 308.2), func(e float64) float64 { return math.Pow(10, e) }),
		rapid.Float64Range(-math.MaxFloat64, math.MaxFloat64))
}

// within fails if a call has not ended after a time that it never needs.
func within(t interface{ Fatalf(string, ...any) }, what string, call func() error) {
	done := make(chan error, 1)
	go func() { done <- call() }()
	select {
	case err := <-done:
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
	case <-time.After(time.Minute):
		t.Fatalf("%s does not end", what)
	}
}

// Whatever numbers an axis is made of, it has few ticks, which are finite and in order.
func TestAxisOfAnyNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		log := rapid.Bool().Draw(t, "log")
		number := anyNumber()
		if log {
			number = rapid.Map(number, math.Abs)
		}
		var values []float64
		for _, v := range rapid.SliceOfN(number, 1, 5).Draw(t, "values") {
			if onAxis(v, log) {
				values = append(values, v)
			}
		}
		if len(values) == 0 {
			return
		}
		within(t, fmt.Sprint("the axis of ", values), func() error {
			a := newAxis(values, log, 7)
			if len(a.ticks) == 0 || len(a.ticks) > 20 {
				return fmt.Errorf("the axis of %v has %d ticks", values, len(a.ticks))
			}
			last := math.Inf(-1)
			for _, v := range a.ticks {
				if math.IsInf(v, 0) || !(v > last) {
					return fmt.Errorf("the axis of %v has the ticks %v", values, a.ticks)
				}
				last = v
			}
			for _, v := range values {
				if at := a.at(v); !(at >= -1e-6 && at <= 1+1e-6) {
					return fmt.Errorf("%v lies at %v of %v to %v", v, at, a.low, a.high)
				}
			}
			return nil
		})
	})
}

// Whatever finite numbers a table holds, its plot ends, in characters and as a file, on
// either kind of axis; so does the distribution of what a distribution may hold.
func TestDrawingsOfAnyNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := result.New()
		tab, err := r.Table("t", "", []result.Column{{Name: "x"}, {Name: "y"}, {Name: "z"}})
		if err != nil {
			t.Fatal(err)
		}
		var values []float64
		for range rapid.IntRange(1, 6).Draw(t, "rows") {
			x, y, z := anyNumber().Draw(t, "x"), anyNumber().Draw(t, "y"), anyNumber().Draw(t, "z")
			if err := tab.Add(map[string]any{"x": x, "y": y, "z": z}); err != nil {
				t.Fatal(err)
			}
			if math.Abs(x) < 1e300 {
				values = append(values, x)
			}
		}
		p, err := r.Plot(result.Plot{Table: tab.ID, X: "x", Y: []string{"y", "z"}, LogX: rapid.Bool().Draw(t, "log x"), LogY: rapid.Bool().Draw(t, "log y")})
		if err != nil {
			t.Fatal(err)
		}
		within(t, "the plot", func() error {
			var b bytes.Buffer
			if err := PlotSVG(&b, tab, p, PointsOf(1)); err != nil || b.Len() > 20_000 || strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") {
				return fmt.Errorf("%d bytes, %v: %.2000s", b.Len(), err, b.String())
			}
			if text := strings.Join(drawPlot(tab, p, 80), "\n"); len(text) > 5000 || strings.Contains(text, "NaN") {
				return fmt.Errorf("%d bytes: %.2000s", len(text), text)
			}
			return nil
		})
		if len(values) == 0 {
			return
		}
		within(t, "the distribution", func() error {
			d, err := r.Diagram(result.Diagram{Title: "d", Kind: result.Distribution, Values: values})
			if err != nil {
				return err
			}
			var b bytes.Buffer
			if err := DiagramSVG(&b, d); err != nil || b.Len() > 20_000 || strings.Contains(b.String(), "NaN") {
				return fmt.Errorf("%d bytes, %v: %.2000s", b.Len(), err, b.String())
			}
			return nil
		})
	})
}

// filled is a table of so many rows, whose first column counts them.
func filled(t testing.TB, r *result.Results, rows, columns int, text string) *result.Table {
	t.Helper()
	heads := []result.Column{{Name: "x"}}
	for i := 1; i < columns; i++ {
		heads = append(heads, result.Column{Name: fmt.Sprint("c", i)})
	}
	tab, err := r.Table(fmt.Sprintf("%d rows", rows), "", heads)
	if err != nil {
		t.Fatal(err)
	}
	for n := range rows {
		row := map[string]any{"x": n}
		for i := 1; i < columns; i++ {
			row[heads[i].Name] = float64(n * i)
		}
		if n < columns-1 && text != "" {
			row[heads[n+1].Name] = text
		}
		if err := tab.Add(row); err != nil {
			t.Fatal(err)
		}
	}
	return tab
}

// However long a table is, its drawing has so many points and says how many rows it leaves out.
func TestLongTablesAreThinned(t *testing.T) {
	r := result.New()
	tab := filled(t, r, 50_000, 4, "")
	p, err := r.Plot(result.Plot{Table: tab.ID, X: "x", Y: []string{"c1", "c2", "c3"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, drawings := range []int{1, 10, 1000} {
		var b bytes.Buffer
		if err := PlotSVG(&b, tab, p, PointsOf(drawings)); err != nil {
			t.Fatal(err)
		}
		most := PointsOf(drawings)
		if n := strings.Count(b.String(), "L"); n > most+200 || n < most/2 {
			t.Errorf("%d points of one of %d drawings, with %d allowed", n, drawings, most)
		}
		if want := fmt.Sprintf("1 row in %d is drawn; the table has them all", everyRow(tab, p, most)); !strings.Contains(b.String(), want) {
			t.Errorf("one of %d drawings does not say %q", drawings, want)
		}
	}
	if n := PointsOf(1000) * 1000; n > mostPointsAll {
		t.Errorf("1000 drawings have %d points", n)
	}
	if text := strings.Join(drawPlot(tab, p, 80), "\n"); !strings.Contains(text, "(1 row in 15 is drawn; the table has them all)") {
		t.Error(text)
	}
}

// However much was recorded, a terminal gets so much, and the words that say so.
func TestTerminalIsBounded(t *testing.T) {
	r := result.New()
	filled(t, r, 2000, 3, strings.Repeat("wide ", 3000))
	filled(t, r, 1500, 190, strings.Repeat("wide ", 20))
	filled(t, r, 3000, 30, "")
	for i := range 1000 {
		if err := r.Note(result.Note{Text: fmt.Sprint(i, strings.Repeat(" %", 2000)), Level: map[bool]result.Level{true: result.Doubt}[i%2 == 0]}); err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	within(t, "the text", func() error {
		return Terminal(&b, r, Options{})
	})
	if b.Len() > 8<<20 {
		t.Errorf("%d bytes", b.Len())
	}
	for _, want := range []string{"(the first 1000 of 2000 rows; results.json has them all)", "(the first 510 of 1500 rows; results.json has them all)",
		"(the first 3 of 3000 rows; results.json has them all)", "(300 more; results.json has them all)"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("it does not say %q", want)
		}
	}
}

// One of a thousand drawings of a table of 100,000 rows.
func BenchmarkPlotOfMany(b *testing.B) {
	r := result.New()
	tab := filled(b, r, 100_000, 2, "")
	p, err := r.Plot(result.Plot{Table: tab.ID, X: "x", Y: []string{"c1"}})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := PlotSVG(&bytes.Buffer{}, tab, p, PointsOf(1000)); err != nil {
			b.Fatal(err)
		}
	}
}

package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"candelua/engine/result"
)

// TestNothingOutsideWithoutRemark: of generated results, whatever is shown outside of the interval that
// is shown with it, to the digits that are shown, has a remark, at every exit. So has what is outside
// before it is rounded.
func TestNothingOutsideWithoutRemark(t *testing.T) {
	const remark = "own 95 % interval"
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.SampledFrom([]float64{1e-9, 1e-3, 1, 195.080274, 1e6, 1e12}).Draw(t, "scale")
		u := scale * rapid.SampledFrom([]float64{1e-17, 1e-7, 0.0099, 0.00951, 0.1, 3}).Draw(t, "u")
		number := func() float64 { return scale + u*rapid.Float64Range(-3, 3).Draw(t, "in u") }
		x, a, b := number(), number(), number()
		low, high := min(a, b), max(a, b)
		if rapid.Bool().Draw(t, "at the end") {
			x = rapid.SampledFrom([]float64{low, high}).Draw(t, "end")
		}
		v := &result.Value{Name: "V", Value: &x, Interval: &[2]float64{low, high}, Bound: rapid.SampledFrom([]result.Bound{"", result.Upper}).Draw(t, "bound")}
		if rapid.Bool().Draw(t, "has u") {
			v.U = &u
		}
		outside := x < low || x > high
		number1, _ := quantity(v)
		ends := strings.Split(interval(v), " to ")
		shown := strings.TrimPrefix(number1, "< ")
		if len(ends) == 2 && (parsed(t, shown) < parsed(t, ends[0]) || parsed(t, shown) > parsed(t, ends[1])) && !outside {
			t.Fatalf("%v within %v to %v is shown as %s of %v", x, low, high, shown, ends)
		}
		r := result.New()
		if _, err := r.Value(*v); err != nil {
			t.Fatal(err)
		}
		tab, err := r.Table("T", "", []result.Column{{Name: "n"}, {Name: "y", Unit: "s"}})
		if err != nil {
			t.Fatal(err)
		}
		for i := range 2 {
			if err := tab.Add(map[string]any{"n": i, "y": x}); err != nil {
				t.Fatal(err)
			}
		}
		if err := tab.SetSpread(1, 1, result.Spread{U: u, Low: low, High: high}); err != nil {
			t.Fatal(err)
		}
		plot, err := r.Plot(result.Plot{Table: "t", X: "n", Y: []string{"y"}})
		if err != nil {
			t.Fatal(err)
		}
		says := func(exit, text string, times int) {
			if !outside {
				times = 0
			}
			text = strings.ReplaceAll(strings.Join(strings.Fields(text), " "), "own 95 % intervals", remark)
			if n := strings.Count(text, remark); n < times || times == 0 && n > 0 {
				t.Fatalf("%s: %v of %v to %v: %d remarks:\n%s", exit, x, low, high, n, text)
			}
		}
		var out bytes.Buffer
		if err := Terminal(&out, r, Options{Width: 40 + rapid.IntRange(0, 60).Draw(t, "width"), Plots: true}); err != nil {
			t.Fatal(err)
		}
		says("terminal", out.String(), 3)
		says("line", ValueText(v), 1)
		says("plot", strings.Join(drawPlot(tab, plot, 80), " "), 1)
		out.Reset()
		if err := Changes(&out, r, r, Options{}); err != nil {
			t.Fatal(err)
		}
		says("changes", out.String(), 2)
		out.Reset()
		if err := PlotSVG(&out, tab, plot, 1000); err != nil {
			t.Fatal(err)
		}
		says("drawing", out.String(), 1)
		out.Reset()
		if err := TableCSV(&out, tab, Kind{}); err != nil {
			t.Fatal(err)
		}
		says("CSV", out.String(), 1)
		rows, err := csv.NewReader(&out).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if outside && (len(rows[0]) != 6 || rows[0][5] != "remark on y" || rows[1][5] != "" || rows[2][5] == "") {
			t.Fatalf("CSV: %v", rows)
		}
	})
}

func parsed(t *rapid.T, text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// TestDrawsNote: what ended the draws is said in the summary, but where none could change anything.
func TestDrawsNote(t *testing.T) {
	for ended, want := range map[result.Ended]bool{result.EndedByWork: true, result.EndedByTime: true, result.Interrupted: true, result.TooManyDraws: true, result.NothingDrawn: false} {
		for _, budget := range []bool{false, true} {
			r := result.New()
			r.SetDraws(&result.Draws{Asked: 500, Ended: ended, Note: "the reason"})
			var out bytes.Buffer
			if err := Terminal(&out, r, Options{Budget: budget}); err != nil {
				t.Fatal(err)
			}
			if got := strings.Contains(out.String(), "uncertainties: the reason"); got != (want || budget) {
				t.Errorf("%s, budget %v: %s", ended, budget, out.String())
			}
		}
	}
}

// valueShown is how the terminal shows a single value, without what wrapping added.
func valueShown(t *testing.T, v result.Value, budget bool) string {
	t.Helper()
	r := result.New()
	if _, err := r.Value(v); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := Terminal(&out, r, Options{Width: 100, Budget: budget}); err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(out.String()), " ")
}

func number(x float64) *float64 { return &x }

// What is counted has no digits beyond its own, and an end at the limit of what is possible makes the other a bound.
func TestCountsAndBounds(t *testing.T) {
	for _, c := range []struct {
		name string
		v    result.Value
		want string
	}{
		{"a count", result.Value{Value: number(2), U: number(0.61), Interval: &[2]float64{1, 3}, Method: "counted"}, "value 95 % V 2 1 to 3"},
		{"none", result.Value{Value: number(0), U: number(0.61), Interval: &[2]float64{0, 3}, Method: "counted"}, "value 95 % V 0 0 to 3"},
		{"a share", result.Value{Value: number(8.59375), U: number(0.83), Interval: &[2]float64{7.03125, 11.71875}, Method: "counted", Unit: "%"}, "value unit 95 % V 8.59 % 7.03 to 11.72"},
		{"a distance near 0", result.Value{Value: number(0.12), U: number(0.1), Interval: &[2]float64{0, 0.3}}, "value ± u 95 % V 0.12 ± 0.10 at most 0.30"},
		{"near 100 %", result.Value{Value: number(99.9), U: number(0.12), Interval: &[2]float64{99.61, 100}, Unit: "%"}, "value ± u unit 95 % V 99.90 ± 0.12 % at least 99.61"},
		{"100 of another unit", result.Value{Value: number(99.9), U: number(0.12), Interval: &[2]float64{99.61, 100}}, "value ± u 95 % V 99.90 ± 0.12 99.61 to 100.00"},
		{"below 0", result.Value{Value: number(-0.12), U: number(0.1), Interval: &[2]float64{-0.3, 0}}, "value ± u 95 % V -0.12 ± 0.10 at least -0.30"},
	} {
		c.v.Name = "V"
		if got := valueShown(t, c.v, false); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A bias is told where it moves a shown digit and is worth it beside u; a budget tells every one.
func TestBiasIsTold(t *testing.T) {
	v := result.Value{Name: "V", Value: number(2.31), U: number(0.13), Interval: &[2]float64{1.9, 2.5}, Bias: number(0.08)}
	const up, down = "random errors push this value up, by about 0.08; the interval allows for that, the value does not", "push this value down, by about 0.08;"
	if got := valueShown(t, v, false); !strings.HasSuffix(got, up) {
		t.Errorf("got %q, want %q at its end", got, up)
	}
	v.Bias = number(-0.08)
	if got := valueShown(t, v, false); !strings.Contains(got, down) {
		t.Errorf("got %q, want %q", got, down)
	}
	v.Bias = number(0.03)
	if got := valueShown(t, v, false); strings.Contains(got, "push") {
		t.Errorf("a small one: %q", got)
	}
	v.Bias, v.Interval = number(0.4), &[2]float64{1.6, 2.2}
	if got := valueShown(t, v, false); strings.Contains(got, "push this value") || !strings.Contains(got, "above its own 95 % interval") {
		t.Errorf("outside of its interval: %q", got)
	}
}

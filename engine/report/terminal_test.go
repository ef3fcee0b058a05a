package report

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"
	"unicode"

	"candelua/engine/result"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func num(f float64) *float64 { return &f }

// bench gives results such as the Tern Street bench could have of a Crake 2.
func bench(t testing.TB) *result.Results {
	t.Helper()
	r := result.New()
	for _, v := range []result.Value{
		{Name: "Peak luminance", Value: num(812.4321), Unit: "cd/m2", U: num(8.13), Interval: &[2]float64{796.2, 828.9}, Tolerance: &result.Tolerance{Min: num(800)}},
		{Name: "Black level", Value: num(0.005), Unit: "cd/m2", Bound: result.Upper, Tolerance: &result.Tolerance{Max: num(0.003)}},
		{Name: "Mean chart error", Value: num(1.23456), U: num(0.0521), Tolerance: &result.Tolerance{Min: num(0), Max: num(1)}},
		{Name: "Contrast", Value: num(160000), Bound: result.Lower},
		{Name: "Banding", Text: "slight, in the darkest third"},
		{Name: "Tint", Text: "green"},
		{Name: "Half-life of the retained image", Unit: "s", Tolerance: &result.Tolerance{Max: num(60)}, Why: "it had not decayed by half when the hour was over"},
	} {
		if _, err := r.Value(v); err != nil {
			t.Fatal(err)
		}
	}
	tab, err := r.Table("Luminance by window", "", []result.Column{{Name: "window", Unit: "%"}, {Name: "luminance", Unit: "cd/m2"}, {Name: "flag"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []map[string]any{
		{"window": 1, "luminance": 812.4300000000001}, {"window": 10, "luminance": 805.5},
		{"window": 50.5, "luminance": 390, "flag": "drifting"}, {"window": 100, "luminance": 1.5e-7, "flag": true},
	} {
		if err := tab.Add(row); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := r.Table("Nothing", "", []result.Column{{Name: "a"}}); err != nil {
		t.Fatal(err)
	}
	for _, n := range []result.Note{{Text: "the panel was not warmed up", Level: result.Doubt}, {Text: "the guard patch did not move by more than half a percent during the whole of this run"}} {
		if err := r.Note(n); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

func terminal(t testing.TB, r *result.Results, o Options) string {
	t.Helper()
	var b strings.Builder
	if err := Terminal(&b, r, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestTerminal(t *testing.T) {
	for width, want := range map[int]string{120: goldenWide, 64: goldenNarrow} {
		got := terminal(t, bench(t), Options{Width: width})
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("width %d: %s\n%s", width, diff, got)
		}
	}
	if got := terminal(t, result.New(), Options{}); got != "" {
		t.Errorf("no results gave %q", got)
	}
}

const goldenWide = `doubt: the panel was not warmed up

value                                          ± u      unit   95 %            tolerance      finding
Peak luminance                        812.4    ± 8.1    cd/m2  796.2 to 828.9  at least 800   pass
Black level                           < 0.005           cd/m2                  at most 0.003  not evaluated
    an upper bound of 0.005 does not show that it is at most 0.003
Mean chart error                        1.235  ± 0.052                         0 to 1         fail
Contrast                         > 160000
Banding
    slight, in the darkest third
Tint                             green
Half-life of the retained image  -                      s                      at most 60     not evaluated
    it had not decayed by half when the hour was over

Luminance by window
  window (%)  luminance (cd/m2)  flag
    1         812.4
   10         805.5
   50.5       390                drifting
  100           1.5e-7           true

Nothing
  a
  (no rows)

note: the guard patch did not move by more than half a percent during the whole of this run
`

const goldenNarrow = `doubt: the panel was not warmed up

value                              ± u      unit   finding
Peak luminance            812.4    ± 8.1    cd/m2  pass
Black level               < 0.005           cd/m2  not evaluated
    an upper bound of 0.005 does not show that it is at most
    0.003
Mean chart error            1.235  ± 0.052         fail
Contrast             > 160000
Banding
    slight, in the darkest third
Tint                 green
Half-life of the r…  -                      s      not evaluated
    it had not decayed by half when the hour was over
(no room here for the 95 % intervals and the tolerances:
results.json has them)

Luminance by window
  window (%)  luminance (cd/m2)  flag
    1         812.4
   10         805.5
   50.5       390                drifting
  100           1.5e-7           true

Nothing
  a
  (no rows)

note: the guard patch did not move by more than half a percent
      during the whole of this run
`

func TestTerminalColours(t *testing.T) {
	plain, coloured := terminal(t, bench(t), Options{Width: 120}), terminal(t, bench(t), Options{Width: 120, Colour: true})
	for _, want := range []string{"\x1b[32mpass\x1b[0m\n", "\x1b[31mfail\x1b[0m\n", "\x1b[33mnot evaluated\x1b[0m\n", "\x1b[33mdoubt: \x1b[0mthe panel"} {
		if !strings.Contains(coloured, want) {
			t.Errorf("there is no %q in\n%s", want, coloured)
		}
	}
	bare := strings.NewReplacer("\x1b[31m", "", "\x1b[32m", "", "\x1b[33m", "", "\x1b[0m", "").Replace(coloured)
	if diff := cmp.Diff(plain, bare); diff != "" {
		t.Errorf("colours changed the text: %s", diff)
	}
}

// A script's texts move no cursor and reverse no line.
func TestTerminalIsHarmless(t *testing.T) {
	const evil = "a\x1b[2J\x07\u009b1A\u202eb\u2028c"
	r := result.New()
	if _, err := r.Value(result.Value{Name: evil, Text: evil + " and some more words", Unit: evil, Why: evil}); err != nil {
		t.Fatal(err)
	}
	tab, err := r.Table(evil, "", []result.Column{{Name: evil, Unit: evil}, {Name: "y"}})
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(tab.Add(map[string]any{evil: evil, "y": 1}), tab.Add(map[string]any{evil: 1, "y": 1}), r.Note(result.Note{Text: evil})); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Plot(result.Plot{ID: "p", Title: evil, Table: tab.ID, X: evil, Y: []string{"y", evil}}); err != nil {
		t.Fatal(err)
	}
	got := terminal(t, r, Options{Plots: true})
	for _, c := range got {
		if c != '\n' && (unicode.IsControl(c) || unicode.Is(unicode.Bidi_Control, c) || c == '\u2028') {
			t.Fatalf("there is %U in\n%s", c, got)
		}
	}
	if !strings.Contains(got, "a\uFFFD[2J\uFFFD\uFFFD1A\uFFFDb\uFFFDc") {
		t.Errorf("the text is gone from\n%s", got)
	}
}

// A table that is too wide comes in blocks, each with the first column.
func TestTerminalBlocks(t *testing.T) {
	var columns []result.Column
	row := map[string]any{}
	for _, name := range []string{"patch", "luminance", "chromaticity x", "chromaticity y", "difference"} {
		columns = append(columns, result.Column{Name: name})
		row[name] = len(columns)
	}
	r := result.New()
	tab, err := r.Table("Chart", "", columns)
	if err != nil {
		t.Fatal(err)
	}
	if err := tab.Add(row); err != nil {
		t.Fatal(err)
	}
	want := `Chart
  patch  luminance  chromaticity x
  1      2          3

  patch  chromaticity y  difference
  1      4               5
`
	if diff := cmp.Diff(want, terminal(t, r, Options{Width: 40})); diff != "" {
		t.Error(diff)
	}
}

// Each block repeats the columns that tell the rows apart, unless these would fill
// more than half of the width.
func TestTerminalBlocksWithKeys(t *testing.T) {
	r := result.New()
	tab, err := r.Table("Colours", "", []result.Column{{Name: "colour"}, {Name: "level"}, {Name: "luminance"}, {Name: "difference"}, {Name: "in average"}})
	if err != nil {
		t.Fatal(err)
	}
	for i, colour := range []string{"red", "red", "green"} {
		row := map[string]any{"colour": colour, "level": 10 * i, "luminance": 9, "difference": i + 1, "in average": "yes"}
		if err := tab.Add(row); err != nil {
			t.Fatal(err)
		}
	}
	want := `Colours
  colour  level  luminance  difference
  red      0     9          1
  red     10     9          2
  green   20     9          3

  colour  level  in average
  red      0     yes
  red     10     yes
  green   20     yes
`
	if diff := cmp.Diff(want, terminal(t, r, Options{Width: 40})); diff != "" {
		t.Error(diff)
	}
	if wide := []column{newColumn("a long head of a column", []string{"1", "1"}), newColumn("key", []string{"1", "2"})}; keyColumns(wide, 40) != 1 {
		t.Error("keys that fill more than half of the width are repeated")
	}
}

// A further block holds only the rows that have an entry in it.
func TestTerminalBlocksWithoutEmptyRows(t *testing.T) {
	r := result.New()
	tab, err := r.Table("Greys", "", []result.Column{{Name: "signal"}, {Name: "luminance", Unit: "cd/m2"},
		{Name: "excluded from the fit"}, {Name: "flag of the reading"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []map[string]any{
		{"signal": 0, "luminance": 0.01, "excluded from the fit": "black"}, {"signal": 0.5, "luminance": 40},
		{"signal": 0.75, "luminance": 90, "excluded from the fit": "limited"}, {"signal": 1, "luminance": 200},
	} {
		if err := tab.Add(row); err != nil {
			t.Fatal(err)
		}
	}
	want := `Greys
  signal  luminance (cd/m2)
  0         0.01
  0.5      40
  0.75     90
  1       200

  (2 of 4 rows; the others have no entry in these columns)
  signal  excluded from the fit
  0       black
  0.75    limited

  (none of the 4 rows has an entry in these columns)
  signal  flag of the reading
`
	if diff := cmp.Diff(want, terminal(t, r, Options{Width: 40})); diff != "" {
		t.Error(diff)
	}
}

func TestTerminalFailsWithItsWriter(t *testing.T) {
	if err := Terminal(full{}, bench(t), Options{}); !errors.Is(err, errFull) {
		t.Errorf("error is %v, want %v", err, errFull)
	}
}

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{"", []string{""}},
		{"one two three", []string{"one two", "three"}},
		{"a verylongword b", []string{"a", "verylongword", "b"}},
		{"peak 1 % of", []string{"peak 1 %", "of"}},
		{"peaks 18 %, so", []string{"peaks", "18 %, so"}},
		{"% alone", []string{"% alone"}},
		{"  spaces   and\nlines ", []string{"spaces", "and", "lines"}},
		{"峰值 峰值 峰值", []string{"峰值", "峰值", "峰值"}}, // each is four wide
	} {
		if diff := cmp.Diff(c.want, wrap(c.text, 8)); diff != "" {
			t.Errorf("%q: %s", c.text, diff)
		}
	}
}

// Decimal points stand one below the other, and all cells have one width.
func TestColumnsAlign(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		numbers := rapid.SliceOfN(rapid.Float64Range(-1e9, 1e9), 1, 10).Draw(t, "numbers")
		cells := make([]string, len(numbers))
		for i, f := range numbers {
			cells[i] = Display(f)
		}
		column := newColumn("head", cells)
		point := -1
		for i, cell := range column.cells {
			if len(cell) != column.width || strings.TrimSpace(cell) != Display(numbers[i]) {
				t.Fatalf("cell %q of %v, width %d", cell, numbers[i], column.width)
			}
			at := strings.IndexAny(strings.TrimRight(cell, " "), ".e")
			if at < 0 {
				at = len(strings.TrimRight(cell, " "))
			}
			if point >= 0 && at != point {
				t.Fatalf("points do not align in %q", column.cells)
			}
			point = at
		}
	})
}

// Where nobody states a meter's accuracy, every uncertainty that is shown is called what it
// is, whatever the values and the width, and no value has more than four digits.
func TestRepeatabilityOnly(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := result.New()
		n := rapid.IntRange(1, 4).Draw(rt, "values")
		for i := range n {
			x := rapid.Float64Range(0.001, 9e5).Draw(rt, "value")
			u := x * rapid.Float64Range(1e-6, 0.1).Draw(rt, "u")
			if _, err := r.Value(result.Value{Name: fmt.Sprintf("Value %d", i), Value: &x, Unit: "cd/m2"}); err != nil {
				rt.Fatal(err)
			}
			v := r.Values()[i]
			v.U, v.Interval = &u, &[2]float64{x - 2*u, x + 2*u}
		}
		stated := rapid.Bool().Draw(rt, "stated")
		d := &result.Draws{Count: 500}
		if !stated {
			d.Unstated = "meter"
		}
		r.SetDraws(d)
		var b bytes.Buffer
		if err := Terminal(&b, r, Options{Width: rapid.IntRange(40, 140).Draw(rt, "width")}); err != nil {
			rt.Fatal(err)
		}
		text := b.String()
		if said := strings.Contains(text, headRepeatability) && strings.Contains(strings.Join(strings.Fields(text), " "), "repeatability only, because the accuracy of the meter is not stated"); said == stated {
			rt.Errorf("accuracy stated: %v, and the text is\n%s", stated, text)
		}
		if !stated && strings.Contains(text, headU+" ") {
			rt.Errorf("an uncertainty is called %q:\n%s", headU, text)
		}
		data, err := r.MarshalJSON()
		if err != nil {
			rt.Fatal(err)
		}
		if got := strings.Count(string(data), result.Repeatability); got != n && !stated || got != 0 && stated {
			rt.Errorf("of %d values JSON calls %d repeatability", n, got)
		}
		var again result.Results
		if err := again.UnmarshalJSON(data); err != nil {
			rt.Fatal(err)
		}
		if d := result.Compare(r, &again); len(d) > 0 {
			rt.Errorf("read again they differ: %v", d)
		}
	})
}

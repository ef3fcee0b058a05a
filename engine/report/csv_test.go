package report

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"iter"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"candelua/engine/result"

	"pgregory.net/rapid"
)

func tableOf(t testing.TB, columns []result.Column, rows ...map[string]any) *result.Table {
	t.Helper()
	tab, err := result.New().Table("Table", "", columns)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		if err := tab.Add(row); err != nil {
			t.Fatal(err)
		}
	}
	return tab
}

// Quoting and line ends: RFC 4180, section 2.
func TestTableCSV(t *testing.T) {
	tab := tableOf(t, []result.Column{{Name: "window", Unit: "%"}, {Name: "note, \"so\"", Unit: ""}},
		map[string]any{"window": 0.30000000000000004, "note, \"so\"": `a "b", c`},
		map[string]any{"window": -5, "note, \"so\"": true},
		map[string]any{"note, \"so\"": "two\r\nlines"},
		map[string]any{"window": 1e-9, "note, \"so\"": "Δu′v′"},
	)
	var b strings.Builder
	if err := TableCSV(&b, tab, Kind{}); err != nil {
		t.Fatal(err)
	}
	want := "window (%),\"note, \"\"so\"\"\"\r\n" +
		"0.30000000000000004,\"a \"\"b\"\", c\"\r\n" +
		"-5,true\r\n" +
		",two  lines\r\n" +
		"1e-9,Δu′v′\r\n"
	if b.String() != want {
		t.Errorf("got\n%q, want\n%q", b.String(), want)
	}
}

// Uncertainties stand after the script's columns, so that these keep their places; a
// column without any has none, and a cell without one is empty.
func TestTableCSVHasUncertainties(t *testing.T) {
	tab := tableOf(t, []result.Column{{Name: "window", Unit: "%"}, {Name: "luminance", Unit: "cd/m2"}, {Name: "gamma"}},
		map[string]any{"window": 1, "luminance": 480.2, "gamma": 2.2}, map[string]any{"window": 10, "luminance": 470.1})
	for _, s := range []struct {
		row, column int
		result.Spread
	}{{1, 1, result.Spread{U: 0.25, Low: 469.6, High: 470.7}}, {0, 2, result.Spread{U: 0.01, Low: 2.18, High: 2.22}}} {
		if err := tab.SetSpread(s.row, s.column, s.Spread); err != nil {
			t.Fatal(err)
		}
	}
	var b strings.Builder
	if err := TableCSV(&b, tab, Kind{}); err != nil {
		t.Fatal(err)
	}
	want := "window (%),luminance (cd/m2),gamma,u of luminance (cd/m2),lower end of luminance (cd/m2),upper end of luminance (cd/m2)," +
		"u of gamma,lower end of gamma,upper end of gamma\r\n" +
		"1,480.2,2.2,,,,0.01,2.18,2.22\r\n" +
		"10,470.1,,0.25,469.6,470.7,,,\r\n"
	if b.String() != want {
		t.Errorf("got\n%q, want\n%q", b.String(), want)
	}
	got, err := json.Marshal(TableColumns(tab, Kind{})[3:5])
	if want := `[{"name":"u of luminance","unit":"cd/m2","of":"luminance","is":"u"},{"name":"lower end of luminance","unit":"cd/m2","of":"luminance","is":"low"}]`; string(got) != want {
		t.Errorf("got %s, %v; want %s", got, err, want)
	}
}

// A script's own column may be named as one of the uncertainties would be.
func TestTableCSVHeadsDiffer(t *testing.T) {
	tab := tableOf(t, []result.Column{{Name: "x"}, {Name: "u of x"}, {Name: "u of x, 2"}}, map[string]any{"x": 1, "u of x": 2})
	for column := range 2 {
		if err := tab.SetSpread(0, column, result.Spread{U: 0.5, Low: 0, High: 3}); err != nil {
			t.Fatal(err)
		}
	}
	var heads []string
	for _, c := range TableColumns(tab, Kind{}) {
		heads = append(heads, c.Head())
	}
	want := []string{"x", "u of x", "u of x, 2", "u of x, 3", "lower end of x", "upper end of x", "u of u of x", "lower end of u of x", "upper end of u of x"}
	if !slices.Equal(heads, want) {
		t.Errorf("heads are %q, want %q", heads, want)
	}
}

// What starts a formula: common practice, no source.
func TestCSVIsHarmless(t *testing.T) {
	for text, want := range map[string]string{
		"=1+1": "'=1+1", "+1": "'+1", "-1": "'-1", "@SUM(A1)": "'@SUM(A1)", "\t=1": "' =1", "\r\n=1": "'  =1", "  =1": "'  =1",
		"＝1": "'＝1", "\u00a0-1": "'\u00a0-1", "a=1": "a=1", "'=1": "'=1", "": "", "1": "1", "a\x00b\x1b[2J": "a b [2J",
	} {
		if got := field(result.Text(text)); got != want {
			t.Errorf("%q became %q, want %q", text, got, want)
		}
	}
	if got := field(result.Num(-1)); got != "-1" {
		t.Errorf("the number -1 became %q", got)
	}
	var b strings.Builder
	if err := CSV(&b, []string{"=cmd()"}, slices.Values([][]result.Cell(nil))); err != nil || b.String() != "'=cmd()\r\n" {
		t.Errorf("head became %q, %v", b.String(), err)
	}
}

func TestCSVErrors(t *testing.T) {
	one := slices.Values([][]result.Cell{{result.Num(1)}, {result.Num(1), result.Num(2)}})
	err := CSV(&strings.Builder{}, []string{"a"}, one)
	if err == nil || err.Error() != "csv: row 2 has 2 cells, want 1" {
		t.Errorf("error is %v", err)
	}
	if err := CSV(&strings.Builder{}, nil, one); err == nil || !strings.Contains(err.Error(), "no columns") {
		t.Errorf("error is %v", err)
	}
	long := []string{strings.Repeat("a", 10000)}
	empty := [][]result.Cell{{{}}}
	for name, rows := range map[string]iter.Seq[[]result.Cell]{
		"at the end":         slices.Values([][]result.Cell{{result.Num(1)}}),
		"at an empty row":    slices.Values(empty),
		"at a long row":      slices.Values([][]result.Cell{{result.Text(long[0])}}),
		"within a long head": slices.Values([][]result.Cell(nil)),
	} {
		head := []string{"a"}
		if name == "within a long head" {
			head = long
		}
		if err := CSV(full{}, head, rows); !errors.Is(err, errFull) {
			t.Errorf("%s: error is %v, want %v", name, err, errFull)
		}
	}
}

var errFull = errors.New("disk is full")

// full is a disk without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

// Every number and every row reads back, by a reader that is not ours.
func TestCSVRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float64().Filter(func(f float64) bool { return !math.IsNaN(f) && !math.IsInf(f, 0) })
		cell := rapid.OneOf(rapid.Map(number, result.Num), rapid.Map(rapid.String(), result.Text), rapid.Just(result.Cell{}))
		width := rapid.IntRange(1, 3).Draw(t, "width")
		rows := rapid.SliceOfN(rapid.SliceOfN(cell, width, width), 0, 8).Draw(t, "rows")
		head := slices.Repeat([]string{"h"}, width)
		var b strings.Builder
		if err := CSV(&b, head, slices.Values(rows)); err != nil {
			t.Fatal(err)
		}
		back, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
		if err != nil || len(back) != len(rows)+1 {
			t.Fatalf("%d rows came back as %d, %v\n%q", len(rows), len(back)-1, err, b.String())
		}
		for i, row := range rows {
			for j, c := range row {
				got := back[i+1][j]
				if f, ok := c.Float(); ok {
					if g, err := strconv.ParseFloat(got, 64); err != nil || math.Float64bits(f) != math.Float64bits(g) {
						t.Fatalf("%v came back as %s", f, got)
					}
				} else if got != field(c) {
					t.Fatalf("%q came back as %q", field(c), got)
				}
			}
		}
	})
}

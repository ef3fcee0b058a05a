package report

import (
	"math"
	"slices"
	"testing"

	"candelua/engine/result"
)

// columnOf makes a table of one column; u holds the cells' uncertainties, 0 for
// none.
func columnOf(t *testing.T, cells []any, u []float64) *result.Table {
	t.Helper()
	tab, err := result.New().Table("t", "", []result.Column{{Name: "a"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range cells {
		row := map[string]any{}
		if x != nil {
			row["a"] = x
		}
		if err := tab.Add(row); err != nil {
			t.Fatal(err)
		}
	}
	for i, s := range u {
		if s == 0 {
			continue
		}
		x, _ := tab.Cell(i, 0).Float()
		if err := tab.SetSpread(i, 0, result.Spread{U: s, Low: x - 2*s, High: x + 2*s}); err != nil {
			t.Fatal(err)
		}
	}
	return tab
}

// A column of a table comes to four digits where that keeps its rows apart.
func TestUsualColumn(t *testing.T) {
	for _, c := range []struct {
		name  string
		cells []any
		want  []string
	}{
		{"four digits", []any{479.8612, 63.9281, 0.00015306}, []string{"479.9", "63.93", "0.0001531"}},
		{"neighbours apart in the fifth", []any{2.20011, 2.19984, 2.5}, []string{"2.2001", "2.1998", "2.5"}},
		{"alike in the fifth too", []any{2.2000111, 2.2000112, 2.51236}, []string{"2.200", "2.200", "2.512"}},
		{"alike, but no neighbours", []any{2.20011, 3, 2.19984}, []string{"2.200", "3", "2.200"}},
		{"whole numbers and kelvins", []any{65535, 6503.62, 12345.6}, []string{"65535", "6504", "12346"}},
		{"texts and gaps", []any{"black", nil, 1.23456}, []string{"black", "", "1.235"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := displayColumn(columnOf(t, c.cells, nil), 0); !slices.Equal(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// No number has more places than its uncertainty bears (JCGM 100:2008, 7.2.6; the
// resistance is its example, from memory).
func TestColumnWithUncertainties(t *testing.T) {
	for _, c := range []struct {
		name  string
		cells []any
		u     []float64
		want  []string
	}{
		{"kelvins", []any{6591.7, 6503.26}, []float64{57, 60}, []string{"6592", "6503"}},
		{"tens", []any{12345, 12355.}, []float64{123, 130}, []string{"12340", "12360"}},
		{"7.2.6", []any{10.05762}, []float64{0.027}, []string{"10.058"}},
		{"all to the place of the least", []any{480.4912, 404.0738}, []float64{0.1, 0.26}, []string{"480.49", "404.07"}},
		{"five digits at most", []any{480.4912, 21.32345}, []float64{0.001, 0.002}, []string{"480.49", "21.323"}},
		{"from black to white each to its own", []any{0.00058441, 3.15793, 480.6051}, []float64{0.0003, 0.0011, 0.21}, []string{"0.00058", "3.1579", "480.61"}},
		{"less than its uncertainty", []any{0.00034, -0.00034, 0.2}, []float64{0.02, 0.02, 0.02}, []string{"0.000", "0.000", "0.200"}},
		{"without one, to the same place", []any{100, 98.9449, 0}, []float64{0, 0.25, 0}, []string{"100.00", "98.94", "0.00"}},
		{"without one, and small", []any{0.0012, 98.9449}, []float64{0, 0.25}, []string{"0.0012", "98.94"}},
		{"without one, among wide ones", []any{98.12345, 0.00058441, 480.6051}, []float64{0, 0.0003, 0.21}, []string{"98.12", "0.00058", "480.61"}},
		{"texts and gaps", []any{"black", nil, 1.23456}, []float64{0, 0, 0.12}, []string{"black", "", "1.23"}},
		{"tiny", []any{1.2345e-12, 3e-12}, []float64{2e-14, 0}, []string{"1.234e-12", "3e-12"}},
		{"huge", []any{1.23456e9, 5.}, []float64{2e6, 0}, []string{"1.2346e9", "5"}},
		{"no negative nought", []any{math.Copysign(0, -1), 1.}, []float64{0.45, 0.45}, []string{"0.00", "1.00"}},
		{"counts have no decimals", []any{3., 0., nil}, []float64{0.5, 1.5, 0}, []string{"3", "0", ""}},
		{"but one that is not whole", []any{3.5, 0.}, []float64{0.5, 1.5}, []string{"3.50", "0.00"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := displayColumn(columnOf(t, c.cells, c.u), 0); !slices.Equal(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

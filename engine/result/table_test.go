package result

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func sweep(t testing.TB) *Table {
	t.Helper()
	tab, err := New().Table("Luminance by window", "", []Column{{"window", "%"}, {"luminance", "cd/m2"}, {"flag", ""}})
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []map[string]any{
		{"window": 1, "luminance": 812.43},
		{"window": 10, "luminance": 805.5, "flag": "drifting"},
		{"window": 0.30000000000000004, "luminance": nil, "flag": true},
		{"window": 10, "luminance": 790.0},
	} {
		if err := tab.Add(row); err != nil {
			t.Fatal(err)
		}
	}
	return tab
}

// fails checks that an error has a cause and says some words.
func fails(t *testing.T, err, cause error, words ...string) {
	t.Helper()
	if err == nil || cause != nil && !errors.Is(err, cause) {
		t.Errorf("error is %v, want one of %v", err, cause)
		return
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("error is %q, want %q in it", err, w)
		}
	}
}

func TestTableRows(t *testing.T) {
	tab := sweep(t)
	if tab.ID != "luminance-by-window" || tab.Len() != 4 {
		t.Errorf("id is %q with %d rows", tab.ID, tab.Len())
	}
	want := [][]any{{1.0, 812.43, nil}, {10.0, 805.5, "drifting"}, {0.30000000000000004, nil, true}, {10.0, 790.0, nil}}
	rows := tab.Rows()
	for i, row := range rows {
		for j, c := range row {
			if c.Any() != want[i][j] {
				t.Errorf("row %d, column %d is %v, want %v", i, j, c.Any(), want[i][j])
			}
		}
	}
	rows[0][0] = Num(99) // a copy
	tab.Columns()[0].Name = "other"
	if c, _ := tab.At("window", map[string]any{"luminance": 812.43}); c != Num(1) {
		t.Errorf("after changing copies the cell is %v, want 1", c)
	}
}

func TestTableAt(t *testing.T) {
	tab := sweep(t)
	for _, c := range []struct {
		column string
		where  map[string]any
		want   any
	}{
		{"luminance", map[string]any{"window": 1.0}, 812.43},
		{"luminance", map[string]any{"window": 1 + 0.5e-9}, 812.43},
		{"luminance", map[string]any{"window": 10, "flag": "drifting"}, 805.5},
		{"luminance", map[string]any{"window": 10, "flag": nil}, 790.0},
		{"flag", map[string]any{"window": 0.3}, true},
		{"window", map[string]any{"flag": true}, 0.30000000000000004},
	} {
		got, err := tab.At(c.column, c.where)
		if err != nil || got.Any() != c.want {
			t.Errorf("At(%q, %v) = %v, %v, want %v", c.column, c.where, got.Any(), err, c.want)
		}
	}
}

func TestTableAtErrors(t *testing.T) {
	tab := sweep(t)
	at := func(column string, where map[string]any) error {
		_, err := tab.At(column, where)
		return err
	}
	fails(t, at("luminance", map[string]any{"window": 10}), errMatch, "2 of 4 rows have window = 10", "exactly one")
	fails(t, at("luminance", map[string]any{"window": 1 + 2e-9}), errMatch, "0 of 4 rows")
	fails(t, at("luminance", map[string]any{"window": 10, "flag": "on"}), errMatch, `0 of 4 rows have flag = "on" and window = 10`)
	fails(t, at("luminance", nil), errMatch, "4 of 4 rows have no condition")
	fails(t, at("lumninance", map[string]any{"window": 10}), errNoColumn, `did you mean "luminance"`)
	fails(t, at("luminance", map[string]any{"widow": 10}), errNoColumn, `did you mean "window"`)
	fails(t, at("temperature", nil), errNoColumn, "its columns are window, luminance, flag")
	fails(t, at("luminance", map[string]any{"window": math.NaN()}), nil, "finite")
}

func TestTableAddErrors(t *testing.T) {
	tab := sweep(t)
	for _, c := range []struct {
		row   map[string]any
		cause error
		word  string
	}{
		{map[string]any{"lumninance": 1}, errNoColumn, `did you mean "luminance"`},
		{map[string]any{"luminance": math.NaN()}, nil, `column "luminance" is NaN; it must be a finite number`},
		{map[string]any{"luminance": math.Inf(-1)}, nil, "is -Inf"},
		{map[string]any{"luminance": Num(math.Inf(1))}, nil, "is +Inf"},
		{map[string]any{"flag": []int{1}}, nil, "is a []int; it must be a number, a text, true or false"},
		{map[string]any{"flag": strings.Repeat("x", maxText+1)}, nil, "16385 bytes of text; it must have at most 16384"},
	} {
		fails(t, tab.Add(c.row), c.cause, c.word)
	}
	if tab.Len() != 4 {
		t.Errorf("a refused row was kept: %d rows, want 4", tab.Len())
	}
}

func TestTableColumn(t *testing.T) {
	tab := sweep(t)
	got, err := tab.Column("window")
	if diff := cmp.Diff([]float64{1, 10, 0.30000000000000004, 10}, got); err != nil || diff != "" {
		t.Errorf("%v %s", err, diff)
	}
	_, err = tab.Column("luminance")
	fails(t, err, nil, `row 3 of column "luminance" is empty; it must be a number`)
	_, err = tab.Column("flag")
	fails(t, err, nil, `row 1 of column "flag" is empty`)
	_, err = tab.Column("flags")
	fails(t, err, errNoColumn, `did you mean "flag"`)
	cells, err := tab.Cells("flag")
	if err != nil || len(cells) != 4 || cells[1] != Text("drifting") || cells[2] != truth(true) || cells[3].Kind() != Empty {
		t.Errorf("cells are %v, %v", cells, err)
	}
}

func TestTableHeads(t *testing.T) {
	r := New()
	many := make([]Column, maxColumns+1)
	for _, c := range []struct {
		name, id string
		columns  []Column
		word     string
	}{
		{"T", "", nil, "has 0 columns; it must have 1 to 200"},
		{"T", "", many, "has 201 columns"},
		{"T", "", []Column{{" ", ""}}, "column 1 is named"},
		{"T", "", []Column{{"a", ""}, {"a", "s"}}, `column "a" is given twice`},
		{"T", "", []Column{{"a", strings.Repeat("u", maxName+1)}}, "and a unit that is no longer"},
		{"", "", []Column{{"a", ""}}, "name is"},
		{"′", "", []Column{{"a", ""}}, "no letter or digit"},
		{"T", "../t", []Column{{"a", ""}}, `such as "t"`},
		{"T", "Upper", []Column{{"a", ""}}, `such as "upper"`},
	} {
		_, err := r.Table(c.name, c.id, c.columns)
		fails(t, err, nil, c.word)
	}
	first, err := r.Table("T", "", []Column{{"a", ""}})
	if err != nil {
		t.Fatal(err)
	}
	first.Where = "sweep.lua:7"
	_, err = r.Table("t", "", []Column{{"a", ""}})
	fails(t, err, ErrTaken, `id "t" is already recorded at sweep.lua:7`, "an id of its own")
	if (Column{"a", ""}).Head() != "a" || (Column{"a", "s"}).Head() != "a (s)" {
		t.Error("heads are wrong")
	}
}

func TestTablesShareTheRoom(t *testing.T) {
	r := New()
	a, _ := r.Table("A", "", []Column{{"a", ""}})
	b, _ := r.Table("B", "", []Column{{"a", ""}, {"b", ""}})
	r.room = 3
	if err := errors.Join(a.Add(nil), b.Add(nil)); err != nil {
		t.Fatal(err)
	}
	fails(t, a.Add(nil), nil, "at most 1048576 cells in all")
}

// What is added is found again, by any of its cells.
func TestTableAtFindsWhatWasAdded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tab, _ := New().Table("T", "", []Column{{"k", ""}, {"v", ""}})
		keys := rapid.SliceOfNDistinct(rapid.IntRange(-1000, 1000), 1, 20, rapid.ID).Draw(t, "keys")
		for _, k := range keys {
			if err := tab.Add(map[string]any{"k": k, "v": float64(k) / 7}); err != nil {
				t.Fatal(err)
			}
		}
		for _, k := range keys {
			got, err := tab.At("v", map[string]any{"k": float64(k)})
			if f, _ := got.Float(); err != nil || f != float64(k)/7 {
				t.Fatalf("at %d: %v, %v", k, got, err)
			}
		}
	})
}

func TestCell(t *testing.T) {
	table, err := New().Table("T", "", []Column{{"a", ""}, {"b", ""}})
	if err != nil {
		t.Fatal(err)
	}
	if err := table.Add(map[string]any{"a": 1.0, "b": "x"}); err != nil {
		t.Fatal(err)
	}
	rows := table.Rows()
	for row := -1; row < 2; row++ {
		for column := -1; column < 3; column++ {
			want := Cell{}
			if row == 0 && column >= 0 && column < 2 {
				want = rows[0][column]
			}
			if got := table.Cell(row, column); got != want {
				t.Errorf("cell %d, %d is %v, want %v", row, column, got, want)
			}
		}
	}
}

package colour

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// row is one line of a published table, by column name.
type row map[string]string

// num returns a column as a number.
func (r row) num(t testing.TB, column string) float64 {
	t.Helper()
	text, ok := r[column]
	if !ok {
		t.Fatalf("no column %q", column)
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatalf("column %s: %v", column, err)
	}
	return v
}

// xyz returns three columns as tristimulus values.
func (r row) xyz(t testing.TB, x, y, z string) XYZ {
	t.Helper()
	return XYZ{r.num(t, x), r.num(t, y), r.num(t, z)}
}

// published reads a table of testdata/published. The file's head names its source.
func published(t testing.TB, name string) []row { return table(t, "published", name) }

func table(t testing.TB, folder, name string) []row {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", folder, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(records) < 2 {
		t.Fatalf("%s holds no rows", name)
	}
	rows := make([]row, len(records)-1)
	for i, record := range records[1:] {
		rows[i] = row{}
		for j, column := range records[0] {
			rows[i][column] = record[j]
		}
	}
	return rows
}

// near fails unless got is within tol of want.
func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.12g, want %.12g within %.1g", what, got, want, tol)
	}
}

// nearRel fails unless got is within the share tol of want; 0 must be met to within tol.
func nearRel(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	near(t, what, got, want, tol*math.Max(math.Abs(want), 1e-3))
}

func nearXY(t testing.TB, what string, got, want XY, tol float64) {
	t.Helper()
	near(t, what+" x", got.X, want.X, tol)
	near(t, what+" y", got.Y, want.Y, tol)
}

func nearXYZ(t testing.TB, what string, got, want XYZ, tol float64) {
	t.Helper()
	near(t, what+" X", got.X, want.X, tol)
	near(t, what+" Y", got.Y, want.Y, tol)
	near(t, what+" Z", got.Z, want.Z, tol)
}

// must returns v, and fails on an error.
func must[T any](t testing.TB) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

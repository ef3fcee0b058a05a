package screen

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// columns reads some columns of a run's readings.
func columns(t testing.TB, folder string, names ...string) (rows [][]string) {
	t.Helper()
	f, err := os.Open(filepath.Join(folder, "readings.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]int{}
	for i, name := range all[0] {
		at[name] = i
	}
	for _, row := range all[1:] {
		var some []string
		for _, name := range names {
			i, ok := at[name]
			if !ok {
				t.Fatalf("readings.csv has no column %q: %q", name, all[0])
			}
			some = append(some, row[i])
		}
		rows = append(rows, some)
	}
	return rows
}

// number reads a cell; one that is none is no number.
func number(cell string) float64 {
	n, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		return math.NaN()
	}
	return n
}

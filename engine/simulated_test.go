package engine_test

import (
	"cmp"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"candelua/engine/journal"
)

// Every file of a simulated run that people share says that it was simulated: in each row
// of a CSV file, which any reader takes (RFC 4180: as many fields in each row as in the
// head), on each drawing, and in the run's own listing. A procedure's own column of that
// name stays what it is.
func TestSharedFilesSaySimulated(t *testing.T) {
	own := procedureOf(`patches.show { grey = 1 }
meter.read()
record.table("Own", { { "simulated" }, { "empty" } }):add { simulated = "no" }
record.table("No rows", { { "a" } })
record.plot { table = record.table("Plotted", { { "x" }, { "y" } }), x = "x", y = "y" }
record.distribution { title = "D", values = { 1, 2, 3 } }
record.value { name = "V", value = 1 }`)
	specs := map[string]func() string{"own": func() string { return ran(t, simSpec(t, own), journal.Done).Path }}
	for _, s := range smallRuns[:6] {
		specs[s.name] = func() string { return ran(t, simSpec(t, shipped(t, s.name), s.set...), journal.Done).Path }
	}
	kinds := map[string]int{}
	for name, run := range specs {
		err := filepath.WalkDir(run(), func(at string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			text, err := os.ReadFile(at)
			kinds[filepath.Ext(at)]++
			switch filepath.Ext(at) {
			case ".svg":
				if s := string(text); strings.Count(s, "Simulated: no real display was measured.") != 1 || !strings.Contains(s, " (simulated)</title>") {
					t.Errorf("%s, %s does not say that it is simulated", name, filepath.Base(at))
				}
			case ".csv":
				rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
				must(t, err)
				last := len(rows[0]) - 1
				if !strings.HasPrefix(rows[0][last], "simulated") {
					t.Errorf("%s, %s: the last column is %q", name, filepath.Base(at), rows[0][last])
				}
				for i, row := range rows[1:] {
					if row[last] != "true" {
						t.Errorf("%s, %s: row %d says %q", name, filepath.Base(at), i+1, row[last])
					}
				}
			case ".toml":
				if !strings.HasPrefix(string(text), "# Simulated: ") {
					t.Errorf("%s, %s does not say that it is simulated", name, filepath.Base(at))
				}
			}
			return err
		})
		must(t, err)
	}
	if kinds[".svg"] < 4 || kinds[".csv"] < 10 {
		t.Errorf("files were %v", kinds)
	}
}

// Shipped procedures add the rows of what they draw in the order of its x, because a
// drawing joins them in their order.
func TestShippedPlotsGoOneWay(t *testing.T) {
	drawn := 0
	for _, s := range smallRuns {
		res := ran(t, simSpec(t, shipped(t, s.name), s.set...), journal.Done).Results
		for _, p := range res.Plots() {
			tab, _ := res.TableByID(p.Table)
			xs, err := tab.Column(p.X)
			must(t, err)
			drawn++
			if !slices.IsSorted(xs) && !slices.IsSortedFunc(xs, func(a, b float64) int { return cmp.Compare(b, a) }) {
				t.Errorf("%s: the rows of plot %s have x of %v", s.name, p.ID, xs)
			}
		}
	}
	if drawn < 5 {
		t.Errorf("only %d plots were drawn", drawn)
	}
}

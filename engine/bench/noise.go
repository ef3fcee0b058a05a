package bench

import "fmt"

// CommonNoise is the share of a reading's variance that X, Y and Z are taken to have in
// common where nobody says.
const CommonNoise = 0.5

const mostLevels = 50

// noise reads how single readings scatter at some levels: rows of a luminance and a standard
// deviation, both in cd/m², and perhaps the share that X, Y and Z have in common.
func (t *table) noise(key string, to *[][]float64) {
	v, ok := t.values[key]
	if !ok {
		return
	}
	rows, ok := v.([]any)
	if !ok || len(rows) == 0 || len(rows) > mostLevels {
		t.wrong(key, "for example "+key+" = [[0, 0.001], [1, 0.003], [100, 0.1]]",
			fmt.Sprintf("a list of 1 to %d rows of a luminance and the standard deviation of a single reading, both in cd/m²", mostLevels))
		return
	}
	for i, row := range rows {
		cells, ok := row.([]any)
		if !ok || len(cells) < 2 || len(cells) > len(noiseColumns) {
			t.doc.fail(t.lineOf(key), "", "%s does not have two or three numbers in row %d; it must have a luminance, a standard deviation and perhaps the share that X, Y and Z have in common", t.named(key), i+1)
			return
		}
		var got []float64
		for j, want := range noiseColumns[:len(cells)] {
			x, ok := asNumber(cells[j])
			if !ok || !want.allow(x) {
				t.doc.fail(t.lineOf(key), "", "%s is %s in row %d, column %d; it must be %s", t.named(key), shown(cells[j]), i+1, j+1, want.want(want.what))
				return
			}
			got = append(got, x)
		}
		if i > 0 && got[0] <= (*to)[i-1][0] {
			t.doc.fail(t.lineOf(key), "", "%s is %s in row %d, column 1; it must be more than in the row before, %s cd/m²", t.named(key), plain(got[0]), i+1, plain((*to)[i-1][0]))
			return
		}
		*to = append(*to, got)
	}
}

// noiseColumns are the numbers of a row.
var noiseColumns = []struct {
	limits
	what string
}{{limits{0, 1e6, "cd/m²"}, "a luminance"}, {limits{0, 1e6, "cd/m²"}, "a standard deviation"}, {limits{0, 1, ""}, "a share"}}

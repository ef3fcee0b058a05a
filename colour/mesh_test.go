package colour

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// meshOf measures the surface of the cube, and its inside too, at some levels.
func meshOf(levels []float64, place func([3]float64) [3]float64) (points []MeshPoint) {
	for _, r := range levels {
		for _, g := range levels {
			for _, b := range levels {
				signal := [3]float64{r, g, b}
				points = append(points, MeshPoint{signal, place(signal)})
			}
		}
	}
	return points
}

// A linear map of the cube has its determinant for a volume, by any levels and in any order
// (geometry); and where the levels are even a measured mesh is the computed one.
func TestMeasuredVolume(t *testing.T) {
	m := Matrix{{2, 0.3, 0}, {0.1, 3, -1}, {0, 0.5, 4}}
	shift := func(rgb [3]float64) [3]float64 {
		v := m.MulVec(rgb)
		return [3]float64{v[0] + 7, v[1] - 3, v[2] + 1}
	}
	rapid.Check(t, func(t *rapid.T) {
		levels := []float64{0, 1}
		for range rapid.IntRange(0, 4).Draw(t, "more") {
			levels = append(levels, float64(rapid.IntRange(1, 9999).Draw(t, "level"))/10000)
		}
		points := rapid.Permutation(meshOf(unique(levels), shift)).Draw(t, "order")
		got, err := MeasuredVolume(points)
		if err != nil || math.Abs(got-m.Det()) > 1e-9*m.Det() {
			t.Fatalf("%v, %v, want %v", got, err, m.Det())
		}
	})
	lab := func(rgb [3]float64) [3]float64 {
		w, _ := NewWhite(BT709.ToXYZ([3]float64{1, 1, 1}))
		c := w.Lab(BT709.ToXYZ([3]float64{rgb[0] * rgb[0], rgb[1] * rgb[1], rgb[2] * rgb[2]}))
		return [3]float64{c.L, c.A, c.B}
	}
	want := must[float64](t)(GamutVolume(4, lab))
	near(t, "volume", must[float64](t)(MeasuredVolume(meshOf([]float64{0, 0.25, 0.5, 0.75, 1}, lab))), want, 1e-9*want)
}

func unique(v []float64) []float64 {
	var out []float64
	seen := map[float64]bool{}
	for _, x := range v {
		if !seen[x] {
			out = append(out, x)
		}
		seen[x] = true
	}
	return out
}

func TestMeshesThatAreNotClosed(t *testing.T) {
	same := func(rgb [3]float64) [3]float64 { return rgb }
	whole := meshOf([]float64{0, 0.5, 1}, same)
	broken := meshOf([]float64{0, 1}, same)
	broken[3].At[1] = math.NaN()
	odd := meshOf([]float64{0, 1}, same)
	odd[2].Signal[0] = math.Inf(1)
	many := []MeshPoint{}
	for i := range 200 {
		many = append(many, MeshPoint{Signal: [3]float64{float64(i)}})
	}
	for want, points := range map[string][]MeshPoint{
		"0 levels": nil, "1 levels": {{}}, "200 levels": many,
		"signal 1, 1, 1 is missing":     whole[:len(whole)-1],
		"signal 0, 0, 0 is there twice": append([]MeshPoint{whole[0]}, whole...),
		"not finite":                    broken,
		"signal of point 3":             odd,
	} {
		if v, err := MeasuredVolume(points); !errors.Is(err, ErrMesh) || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, %v, want %q", v, err, want)
		}
	}
}

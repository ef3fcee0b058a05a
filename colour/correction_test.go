package colour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// correctionSet holds the pairs of one set of the published table, by colour.
type correctionSet struct {
	pairs    map[string]*Pair
	matrices map[string]Matrix
	results  []row
}

func correctionSets(t *testing.T) map[string]*correctionSet {
	sets := map[string]*correctionSet{}
	for _, r := range published(t, "colour_matrix_four_color.csv") {
		s := sets[r["set"]]
		if s == nil {
			s = &correctionSet{pairs: map[string]*Pair{}, matrices: map[string]Matrix{}}
			sets[r["set"]] = s
		}
		switch r["kind"] {
		case "input":
			p := s.pairs[r["colour"]]
			if p == nil {
				p = &Pair{}
				s.pairs[r["colour"]] = p
			}
			c := XY{r.num(t, "v1"), r.num(t, "v2")}.XYZ(r.num(t, "v3"))
			if r["which"] == "reference" {
				p.Reference = c
			} else {
				p.Target = c
			}
		case "matrix":
			var m Matrix
			for i := range 9 {
				m[i/3][i%3] = r.num(t, "v"+string(byte('1'+i)))
			}
			s.matrices[r["which"]] = m
		case "corrected":
			s.results = append(s.results, r)
		}
	}
	return sets
}

func TestCorrectionsAgainstPublished(t *testing.T) {
	sets := correctionSets(t)
	if len(sets) != 3 {
		t.Fatalf("%d sets", len(sets))
	}
	for name, s := range sets {
		r, g, b, w := *s.pairs["R"], *s.pairs["G"], *s.pairs["B"], *s.pairs["W"]
		corrections := map[string]*Correction{
			"four_color_scaled_to_white_luminance": must[*Correction](t)(FourColour(r, g, b, w)),
			"rgb_3x3":                              must[*Correction](t)(MatrixCorrection([]Pair{r, g, b})),
			"rgbw_least_squares":                   must[*Correction](t)(MatrixCorrection([]Pair{r, g, b, w})),
		}
		for which, c := range corrections {
			for i := range 3 {
				for j := range 3 {
					near(t, name+" "+which, c.Matrix[i][j], s.matrices[which][i][j], 6e-11)
				}
			}
		}
		for _, row := range s.results {
			p, ok := s.pairs[row["colour"]]
			if !ok {
				continue // a further reading, of which the table gives the result only
			}
			got := corrections[row["which"]].Apply(p.Target)
			what := name + " " + row["which"] + " " + row["colour"]
			nearXY(t, what, must[XY](t)(got.XY()), XY{row.num(t, "v1"), row.num(t, "v2")}, 6e-9)
			nearRel(t, what+" luminance", got.Y, row.num(t, "v3"), 2e-9)
		}
	}
}

// The two methods' defining properties, on any pair of meters that are linear maps of each other
// and noise on top.
func TestCorrectionProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Identity
		for i := range 3 {
			for j := range 3 {
				m[i][j] += rapid.Float64Range(-0.03, 0.03).Draw(t, "element")
			}
		}
		// White is brighter than the sum: not an additive display.
		boost := rapid.Float64Range(0.8, 1.3).Draw(t, "boost")
		var exact, noisy [4]Pair
		for i, rgb := range [4][3]float64{{100, 0, 0}, {0, 100, 0}, {0, 0, 100}, {100 * boost, 100 * boost, 100 * boost}} {
			c := P3D65.ToXYZ(rgb)
			exact[i] = Pair{c, m.Apply(c)}
			noisy[i] = Pair{c, m.Apply(c).Scale(rapid.Float64Range(0.9, 1.1).Draw(t, "drift"))}
		}
		four, err := FourColour(exact[0], exact[1], exact[2], exact[3])
		if err != nil {
			t.Fatal(err)
		}
		square, err := MatrixCorrection(exact[:])
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range []Residual{four.Worst(), square.Worst()} {
			if w.DeltaUV > 1e-9 || w.Luminance > 1e-8 {
				t.Fatalf("a linear meter is not corrected: %v", w)
			}
		}
		// Drift of the luminances leaves the four chromaticities exact, and white's luminance.
		drifted, err := FourColour(noisy[0], noisy[1], noisy[2], noisy[3])
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range drifted.Residuals {
			if r.DeltaUV > 1e-9 || (i == 3 && math.Abs(r.Luminance) > 1e-9) {
				t.Fatalf("colour %d is off by %v", i, r)
			}
		}
	})
}

func TestCorrectionsRefuse(t *testing.T) {
	pair := func(x, y float64) Pair { c := XY{x, y}.XYZ(50); return Pair{c, c} }
	r, g, b, w := pair(0.64, 0.33), pair(0.30, 0.60), pair(0.15, 0.06), pair(0.3127, 0.3290)
	for name, c := range map[string]struct {
		pairs [4]Pair
		want  error
	}{
		"two alike":       {[4]Pair{r, r, b, w}, ErrSingular},
		"nearly grey":     {[4]Pair{pair(0.33, 0.33), pair(0.31, 0.35), pair(0.29, 0.30), w}, ErrSingular},
		"white on a line": {[4]Pair{r, g, b, pair(0.47, 0.465)}, ErrSingular},
		"black red":       {[4]Pair{{}, g, b, w}, ErrNoChromaticity},
		"black white":     {[4]Pair{r, g, b, {}}, ErrNoChromaticity},
		"black target":    {[4]Pair{r, {g.Reference, XYZ{}}, b, w}, ErrNoChromaticity},
		"no luminance":    {[4]Pair{r, g, {XYZ{1, -0.1, 5}, b.Target}, w}, ErrNoChromaticity},
	} {
		if _, err := FourColour(c.pairs[0], c.pairs[1], c.pairs[2], c.pairs[3]); !errors.Is(err, c.want) {
			t.Errorf("%s: error %v", name, err)
		}
	}
	nan := Pair{XYZ{math.NaN(), 1, 1}, r.Target}
	inf := Pair{r.Reference, XYZ{math.Inf(1), 1, 1}}
	for name, c := range map[string]struct {
		pairs []Pair
		want  error
	}{
		"none": {nil, ErrSingular}, "two": {[]Pair{r, g}, ErrSingular}, "three alike": {[]Pair{r, r, r}, ErrSingular},
		"greys":           {[]Pair{w, pair(0.3130, 0.3292), pair(0.3124, 0.3288), pair(0.3127, 0.3292)}, ErrSingular},
		"on a line":       {[]Pair{r, g, pair(0.47, 0.465)}, ErrSingular},
		"not a number":    {[]Pair{nan, g, b}, ErrNoChromaticity},
		"infinite target": {[]Pair{r, inf, b}, ErrNoChromaticity},
	} {
		if _, err := MatrixCorrection(c.pairs); !errors.Is(err, c.want) {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

// Residuals of a reading without a chromaticity are not a number, and so is the worst of them.
func TestResidualOfBlack(t *testing.T) {
	black := residual(XYZ{}, XYZ{1, 1, 1})
	c := Correction{Residuals: []Residual{{0.1, -0.5}, black}}
	if !math.IsNaN(black.DeltaUV) || black.Luminance != -1 || !math.IsNaN(c.Worst().DeltaUV) || c.Worst().Luminance != 1 {
		t.Errorf("%v, %v", black, c.Worst())
	}
	for _, y := range []float64{0, -0.001, math.NaN()} {
		if r := residual(XYZ{1, 1, 1}, XYZ{1, y, 1}); !math.IsNaN(r.Luminance) {
			t.Errorf("a reference of %v cd/m² leaves %v", y, r)
		}
	}
}

func TestAdditivity(t *testing.T) {
	black := XYZ{0.1, 0.1, 0.15}
	lit := func(rgb [3]float64) XYZ { return BT709.ToXYZ(rgb).Scale(100).Add(black) }
	r, g, b := lit([3]float64{1, 0, 0}), lit([3]float64{0, 1, 0}), lit([3]float64{0, 0, 1})
	a := must[Additivity](t)(CheckAdditivity(r, g, b, lit([3]float64{1, 1, 1}), black))
	near(t, "luminance", a.Luminance, 1, 1e-12)
	near(t, "Δu′v′", a.DeltaUV, 0, 1e-12)
	// A white that a fourth subpixel doubles.
	a = must[Additivity](t)(CheckAdditivity(r, g, b, lit([3]float64{2, 2, 2}), black))
	near(t, "luminance with a white subpixel", a.Luminance, 100.1/200.1, 1e-12)
	if _, err := CheckAdditivity(r, g, b, XYZ{}, black); !errors.Is(err, ErrNoChromaticity) {
		t.Errorf("no white: error %v", err)
	}
	if _, err := CheckAdditivity(XYZ{}, XYZ{}, XYZ{}, r, black); !errors.Is(err, ErrNoChromaticity) {
		t.Errorf("no primaries: error %v", err)
	}
}

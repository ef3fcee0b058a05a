package colour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestGamutsAgainstPublished(t *testing.T) {
	spaces := map[string]*Space{"BT.709": BT709, "P3": P3D65, "BT.2020": BT2020}
	for _, r := range published(t, "gamut_areas.csv") {
		display, target := spaces[r["display"]].XYGamut(), spaces[r["target"]].XYGamut()
		if r["diagram"] == "CIE1976_upvp" {
			display, target = spaces[r["display"]].UVGamut(), spaces[r["target"]].UVGamut()
		}
		g := must[GamutComparison](t)(display.Compare(target))
		what := r["diagram"] + " " + r["display"] + " of " + r["target"]
		near(t, what, g.Area, r.num(t, "area_display"), 6e-11)
		near(t, what, g.TargetArea, r.num(t, "area_target"), 6e-11)
		near(t, what, g.SharedArea, r.num(t, "area_intersection"), 6e-11)
		near(t, what, 100*g.Coverage, r.num(t, "coverage_percent"), 6e-8)
		near(t, what, 100*g.Ratio, r.num(t, "area_ratio_percent"), 6e-8)
	}
}

func anyTriangle() *rapid.Generator[Polygon] {
	return rapid.Custom(func(t *rapid.T) Polygon {
		v := rapid.Float64Range(0, 1)
		p := Polygon{{v.Draw(t, "x"), v.Draw(t, "y")}, {v.Draw(t, "x"), v.Draw(t, "y")}, {v.Draw(t, "x"), v.Draw(t, "y")}}
		if p.Area() < 1e-6 {
			t.Skip("flat")
		}
		return p
	})
}

func TestIntersectionProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := anyTriangle().Draw(t, "p"), anyTriangle().Draw(t, "q")
		pq, err := p.Intersection(q)
		if err != nil {
			t.Fatal(err)
		}
		qp, _ := q.Intersection(p)
		if math.Abs(pq.Area()-qp.Area()) > 1e-12 {
			t.Fatalf("%v one way, %v the other", pq.Area(), qp.Area())
		}
		if pq.Area() > math.Min(p.Area(), q.Area())+1e-12 {
			t.Fatalf("%v is more than either", pq.Area())
		}
		pp, _ := p.Intersection(Polygon{p[2], p[1], p[0]})
		if math.Abs(pp.Area()-p.Area()) > 1e-12 {
			t.Fatalf("with itself %v of %v", pp.Area(), p.Area())
		}
		shifted := Polygon{{p[0].X + 5, p[0].Y}, {p[1].X + 5, p[1].Y}, {p[2].X + 5, p[2].Y}}
		if none, _ := p.Intersection(shifted); none.Area() != 0 {
			t.Fatalf("apart they share %v", none.Area())
		}
	})
}

// A grid of points, each counted where it is inside both, tells the shared area another way.
func TestIntersectionAgainstCounting(t *testing.T) {
	inside := func(p Polygon, a Point) bool {
		q, _ := p.counterClockwise()
		for i := range q {
			if cross(q[i], q[(i+1)%len(q)], a) < 0 {
				return false
			}
		}
		return true
	}
	p := Polygon{{0.1, 0.1}, {0.8, 0.2}, {0.9, 0.6}, {0.4, 0.9}} // a display of four primaries
	q := BT2020.XYGamut()
	count := 0
	const n = 1000
	for i := range n {
		for j := range n {
			a := Point{(float64(i) + 0.5) / n, (float64(j) + 0.5) / n}
			if inside(p, a) && inside(q, a) {
				count++
			}
		}
	}
	shared := must[Polygon](t)(p.Intersection(q))
	near(t, "shared area", shared.Area(), float64(count)/(n*n), 5e-4)
}

func TestGamutsRefuse(t *testing.T) {
	good := BT709.XYGamut()
	for name, bad := range map[string]Polygon{
		"none": {}, "two corners": {{0, 0}, {1, 1}}, "flat": {{0, 0}, {1, 1}, {2, 2}}, "NaN": {{math.NaN(), 0}, {1, 0}, {0, 1}},
		"infinite":    {{math.Inf(1), 0}, {1, 0}, {0, 1}},
		"dented":      {{0, 0}, {1, 0}, {0.2, 0.2}, {0, 1}},
		"star":        {{0, 1}, {-0.59, -0.81}, {0.95, 0.31}, {-0.95, 0.31}, {0.59, -0.81}},
		"crossed bow": {{0, 0}, {1, 1}, {1, 0}, {0, 0.5}},
	} {
		if _, err := bad.Intersection(good); !errors.Is(err, ErrGamut) {
			t.Errorf("%s: error %v", name, err)
		}
		if _, err := good.Compare(bad); !errors.Is(err, ErrGamut) {
			t.Errorf("to %s: error %v", name, err)
		}
	}
	if got := (Polygon{{0, 0}, {1, 1}}).Area(); got != 0 {
		t.Errorf("two corners have area %v", got)
	}
}

func TestPolygonsOfChromaticities(t *testing.T) {
	p := XYPolygon(XY{0, 0}, XY{1, 0}, XY{0, 1})
	q := UVPolygon(UV{0, 0}, UV{1, 0}, UV{0, 1})
	if p.Area() != 0.5 || q.Area() != 0.5 {
		t.Error(p.Area(), q.Area())
	}
}

// A cube keeps its volume, and so does any linear map of it by its determinant.
func TestGamutVolumeOfLinearMaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m Matrix
		for i := range 3 {
			for j := range 3 {
				m[i][j] = rapid.Float64Range(-2, 2).Draw(t, "element")
			}
		}
		offset := rapid.Float64Range(-10, 10).Draw(t, "offset")
		steps := rapid.IntRange(1, 7).Draw(t, "steps")
		got, err := GamutVolume(steps, func(rgb [3]float64) [3]float64 {
			v := m.MulVec(rgb)
			return [3]float64{v[0] + offset, v[1] - offset, v[2] + 2*offset}
		})
		if err != nil || math.Abs(got-math.Abs(m.Det())) > 1e-10 {
			t.Fatalf("%v, want %v, error %v", got, math.Abs(m.Det()), err)
		}
	})
}

// A ball of radius 1 has 4π/3: the cube's surface is blown up to it. The mesh lies inside.
func TestGamutVolumeOfABall(t *testing.T) {
	ball := func(rgb [3]float64) [3]float64 {
		x, y, z := 2*rgb[0]-1, 2*rgb[1]-1, 2*rgb[2]-1
		r := math.Sqrt(x*x + y*y + z*z)
		return [3]float64{x / r, y / r, z / r}
	}
	coarse := must[float64](t)(GamutVolume(10, ball))
	fine := must[float64](t)(GamutVolume(100, ball))
	want := 4 * math.Pi / 3
	near(t, "ball", fine, want, 6e-4)
	nearRel(t, "error falls with steps²", (want-coarse)/(want-fine), 100, 0.03)
}

// The sRGB gamut fills about 8.2e5 cubic ΔE*ab with its own white, the figure that the trade
// quotes [IDMS], from memory. A larger gamut fills more.
func TestGamutVolumeOfSpaces(t *testing.T) {
	nearRel(t, "sRGB", must[float64](t)(BT709.LabVolume(40)), 8.2e5, 5e-3)
	last := [2]float64{}
	for _, s := range []*Space{BT709, P3D65, BT2020} {
		lab, itp := must[float64](t)(s.LabVolume(20)), must[float64](t)(s.ITPVolume(20, 1000))
		if lab <= last[0] || itp <= last[1] {
			t.Errorf("%s fills only %v and %v", s.Name(), lab, itp)
		}
		last = [2]float64{lab, itp}
	}
	dim, bright := must[float64](t)(BT709.ITPVolume(10, 100)), must[float64](t)(BT709.ITPVolume(10, 1000))
	if dim >= bright {
		t.Errorf("100 cd/m² fills %v and 1000 cd/m² %v", dim, bright)
	}
}

func TestGamutVolumeRefuses(t *testing.T) {
	for _, steps := range []int{0, -1, 1001} {
		if _, err := BT709.LabVolume(steps); err == nil {
			t.Errorf("%d steps", steps)
		}
	}
	for _, white := range []float64{0, -1, 10001, math.NaN()} {
		if _, err := BT709.ITPVolume(5, white); err == nil {
			t.Errorf("white of %v cd/m²", white)
		}
	}
	if _, err := GamutVolume(2, func([3]float64) [3]float64 { return [3]float64{math.NaN(), 0, 0} }); err == nil {
		t.Error("a place that is not a number")
	}
	below := mustSpace("white with a negative Z", XY{0.64, 0.36}, XY{0.30, 0.80}, XY{0.15, 0.06}, XY{0.47, 0.56})
	if _, err := below.LabVolume(2); !errors.Is(err, ErrNoChromaticity) {
		t.Errorf("white with a negative Z: error %v", err)
	}
}

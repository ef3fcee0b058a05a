package colour

import (
	"errors"
	"math"
	"regexp"
	"strconv"
	"testing"
)

// numbers returns all numbers of a text, such as those of "L=500 cd/m2; radius=0.05 m".
func numbers(t testing.TB, text string) []float64 {
	var out []float64
	for _, s := range regexp.MustCompile(`\d+(\.\d+)?`).FindAllString(regexp.MustCompile(`cd/m2|[A-Za-z]\d=`).ReplaceAllString(text, "="), -1) {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// photometry computes one quantity of the published table from the numbers of its input.
func photometry(t testing.TB, kind string, v []float64) (float64, bool) {
	first := func(x float64, err error) float64 { return must[float64](t)(x, err) }
	screen := func(w, h, diagonal float64) Screen { return must[Screen](t)(NewScreen(diagonal, int(w), int(h))) }
	window := func(share float64, s Screen) Window { return must[Window](t)(s.Window(share / 100)) }
	switch kind {
	case "lambertian_exitance":
		return LambertianExitance(v[0]), true
	case "lambertian_reflection":
		return LambertianLuminance(v[0], v[1]), true
	case "inverse_square":
		return first(InverseSquare(v[0], v[1], 0)), true
	case "inverse_square_ratio":
		return first(InverseSquare(v[0]*v[1]*v[1], v[2], 0)), true
	case "cosine_law":
		return first(InverseSquare(v[0], v[1], v[2])), true
	case "disc_source_on_axis":
		return DiscIlluminance(v[0], v[1], v[2]), true
	case "footlambert":
		return FromFootlambert(v[0]), true
	case "to_footlambert":
		return ToFootlambert(v[0]), true
	case "footcandle":
		return FromFootcandle(v[0]), true
	case "ambient_contrast":
		return first(AmbientContrast(v[0], v[1], v[2], v[3])), true
	case "michelson":
		return first(Michelson(v[0], v[1])), true
	case "ppi":
		return screen(v[0], v[1], v[2]).PixelsPerInch(), true
	case "pixels_per_degree":
		return screen(v[0], v[1], v[2]).PixelsPerDegree(v[3]), true
	case "window_area":
		return window(v[3], screen(100*v[0], 100*v[1], v[2])).Area, true
	case "window_side_fraction":
		return window(v[0], screen(16, 9, 1)).Side, true
	case "luminous_efficacy":
		_, y, _ := CIE1931.CMF(v[0])
		return LuminousEfficacy * y * v[1], true
	case "stops":
		return first(Stops(v[0], v[1])), true
	case "solid_angle":
		return ConeSolidAngle(v[0]), true
	case "spot_diameter":
		return SpotDiameter(v[0], v[1]), true
	}
	return 0, false
}

func TestPhotometryAgainstPublished(t *testing.T) {
	for _, r := range published(t, "photometry.csv") {
		got, known := photometry(t, r["kind"], numbers(t, r["input"]))
		if !known {
			t.Errorf("nothing computes %s", r["kind"])
			continue
		}
		nearRel(t, r["kind"]+" "+r["input"], got, r.num(t, "value"), 6e-11)
	}
}

func TestContrast(t *testing.T) {
	near(t, "contrast", must[float64](t)(Contrast(500, 0.05)), 10000, 1e-9)
	for _, black := range []float64{0, -0.001, math.NaN()} {
		if _, err := Contrast(500, black); !errors.Is(err, ErrNoContrast) {
			t.Errorf("black %v: error %v", black, err)
		}
		if _, err := AmbientContrast(500, black, 0, 0.1); !errors.Is(err, ErrNoContrast) {
			t.Errorf("black %v in the dark: error %v", black, err)
		}
		if _, err := Michelson(black, 0); !errors.Is(err, ErrNoContrast) {
			t.Errorf("black %v twice: error %v", black, err)
		}
	}
}

func TestReflectanceInverts(t *testing.T) {
	added := LambertianLuminance(300, 0.045)
	near(t, "reflectance", must[float64](t)(DiffuseReflectance(0.2+added, 0.2, 300)), 0.045, 1e-12)
	near(t, "illuminance", must[float64](t)(LambertianIlluminance(added, 0.045)), 300, 1e-10)
}

func TestPhotometryRefuses(t *testing.T) {
	for _, v := range []float64{0, -1, math.NaN()} {
		if _, err := DiffuseReflectance(2, 1, v); err == nil {
			t.Errorf("reflectance under %v lx", v)
		}
		if _, err := LambertianIlluminance(1, v); err == nil {
			t.Errorf("illuminance by a reflectance of %v", v)
		}
		if _, err := InverseSquare(1, v, 0); err == nil {
			t.Errorf("illuminance at %v m", v)
		}
		if _, err := Stops(v, 1); err == nil {
			t.Errorf("stops of %v", v)
		}
		if _, err := Stops(1, v); err == nil {
			t.Errorf("stops over %v", v)
		}
		if _, err := NewScreen(v, 10, 10); err == nil {
			t.Errorf("screen of %v inches", v)
		}
	}
	for _, size := range [][2]int{{0, 10}, {10, 0}, {-1, 10}} {
		if _, err := NewScreen(6, size[0], size[1]); err == nil {
			t.Errorf("screen of %v", size)
		}
	}
	if _, err := NewScreen(math.Inf(1), 10, 10); err == nil {
		t.Error("endless screen")
	}
	s := must[Screen](t)(NewScreen(6.3, 1080, 2400))
	for _, share := range []float64{0, -0.1, 1.01, math.NaN()} {
		if _, err := s.Window(share); err == nil {
			t.Errorf("window of %v", share)
		}
	}
	if got := must[float64](t)(InverseSquare(100, 1, 120)); got != 0 {
		t.Errorf("light from behind gives %v lx", got)
	}
}

func TestWindowInPixels(t *testing.T) {
	s := must[Screen](t)(NewScreen(55, 3840, 2160))
	w := must[Window](t)(s.Window(0.10))
	if w.Width != 1214 || w.Height != 683 { // 3840 and 2160 times sqrt(0.1), to the nearest pixel
		t.Errorf("%v", w)
	}
	near(t, "share of whole pixels", w.Share, 0.1, 5e-5)
	if full := must[Window](t)(s.Window(1)); full.Width != 3840 || full.Height != 2160 || full.Share != 1 {
		t.Errorf("%v", full)
	}
	if tiny := must[Window](t)(s.Window(1e-12)); tiny.Width != 1 || tiny.Height != 1 {
		t.Errorf("%v", tiny)
	}
	width, height := s.Size()
	near(t, "diagonal", math.Hypot(width, height), 55*0.0254, 1e-12)
	near(t, "area", s.Area(), width*height, 1e-15)
}

// [IDMS] 5.26: the ratio of the means; the case is arithmetic.
func TestCheckerboardContrast(t *testing.T) {
	near(t, "contrast", must[float64](t)(CheckerboardContrast([]float64{198, 202}, []float64{0.5, 0.25, 0.25, 0})), 800, 1e-12)
	for _, black := range [][]float64{nil, {0, 0}, {0.1, -0.1}, {math.NaN()}} {
		if c, err := CheckerboardContrast([]float64{100}, black); !errors.Is(err, ErrNoContrast) {
			t.Errorf("%v: %v, %v", black, c, err)
		}
	}
	if c, err := CheckerboardContrast(nil, []float64{1}); !errors.Is(err, ErrNoContrast) {
		t.Errorf("no white: %v, %v", c, err)
	}
}
